package main

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh/synthetic"
	"pointup/segment/primitive"
)

// Holes and sides have a place, and a hole a diameter, that are no dimensions of
// their own. Their departures from the truth are read as dimensions that are 0.
const (
	holeAcross = "place of hole, diameter"
	holeCentre = "place of hole, centre"
	sidePlace  = "place of side"
)

func placeKeys() []synthetic.Dim {
	return []synthetic.Dim{{Key: holeAcross}, {Key: holeCentre}, {Key: sidePlace}}
}

// placesOff are the departures of round holes and of straight sides of the
// outline or section, mm, with their u95: a hole's in diameter and, either way, in
// its centre; a side's across, at its middle. All are taken where the scan lies.
func placesOff(want synthetic.Truth, e primitive.Element) (out []primitive.Dimension) {
	v, w := r3.Cross(want.Axis, want.Ref), r3.Cross(e.Frame.Axis, e.Frame.Ref)
	in := func(q [2]float64) [2]float64 { // the truth's frame
		p := r3.Add(e.Frame.OriginMM, r3.Add(r3.Scale(q[0], e.Frame.Ref), r3.Scale(q[1], w)))
		d := r3.Sub(p, want.OriginMM)
		return [2]float64{r3.Dot(d, want.Ref), r3.Dot(d, v)}
	}
	for _, h := range e.Holes {
		c := in(h.CentreMM)
		for _, t := range want.Holes {
			du, dv := c[0]-t.CentreMM[0], c[1]-t.CentreMM[1]
			if h.Shape == "round" && t.Shape == "round" && math.Hypot(du, dv) < t.DiameterMM/2 {
				out = append(out, primitive.Dimension{Key: holeAcross, Value: h.DiameterMM - t.DiameterMM, U95: h.DiameterU95MM},
					primitive.Dimension{Key: holeCentre, Value: du, U95: h.CentreU95MM},
					primitive.Dimension{Key: holeCentre, Value: dv, U95: h.CentreU95MM})
			}
		}
	}
	for i, s := range e.Outline {
		if s.Arc || i >= len(e.OutlineU95MM) {
			continue
		}
		a, b := in(e.Outline[(i+len(e.Outline)-1)%len(e.Outline)].To), in(s.To)
		if d, ok := sideOff(want.Outline, a, b); ok {
			out = append(out, primitive.Dimension{Key: sidePlace, Value: d, U95: e.OutlineU95MM[i]})
		}
	}
	return out
}

// sideOff is how far the middle of a side from a to b lies off the straight step of
// the outline that runs its way, within 10 degrees, nearest to it.
func sideOff(outline []synthetic.Step, a, b [2]float64) (off float64, ok bool) {
	m := [2]float64{(a[0] + b[0]) / 2, (a[1] + b[1]) / 2}
	off = math.Inf(1)
	for i, s := range outline {
		from := outline[(i+len(outline)-1)%len(outline)].To
		du, dv := s.To[0]-from[0], s.To[1]-from[1]
		l := math.Hypot(du, dv)
		if s.Arc || l == 0 || math.Abs(du*(b[1]-a[1])-dv*(b[0]-a[0])) > 0.17*l*math.Hypot(b[0]-a[0], b[1]-a[1]) {
			continue
		}
		along := ((m[0]-from[0])*du + (m[1]-from[1])*dv) / l
		d := ((m[0]-from[0])*dv - (m[1]-from[1])*du) / l
		if along > 0 && along < l && math.Abs(d) < math.Abs(off) {
			off, ok = d, true
		}
	}
	return off, ok
}
