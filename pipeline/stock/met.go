package stock

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

const (
	// metShare: an end is covered where a seam runs round at least half of it.
	metShare = 0.5
	// metOff: a seam lies on an end's plane within a share of the section's size,
	// at least metOffMM: what a scan and a fillet leave of the place.
	metOff   = 0.05
	metOffMM = 2.0
)

// MeetEnds returns the parts with those ends marked as Met that stand on another
// part: the seams of their contacts run round them in the end's plane. Nobody sees
// such an end, and nothing is done at it.
func MeetEnds(parts []Part, contacts []Contact) []Part {
	out := slices.Clone(parts)
	for i := range out {
		out[i].Ends = slices.Clone(out[i].Ends)
		for k, e := range out[i].Ends {
			out[i].Ends[k].Met = e.Met || metAll(out[i], e, seamsOf(contacts, i))
		}
	}
	return out
}

// seamsOf gathers the seam points of a part's contacts.
func seamsOf(contacts []Contact, part int) []r3.Vec {
	var out []r3.Vec
	for _, c := range contacts {
		if c.A == part || c.B == part {
			for _, s := range c.Seam {
				out = append(out, s.PointMM)
			}
		}
	}
	return out
}

// sectors into which the way round an end is cut, to count where seams are.
const sectors = 24

// metAll tells whether seam points in the plane of an end surround it.
func metAll(p Part, e End, seam []r3.Vec) bool {
	size := max(sectionMM(p), 1)
	if e.Out == (r3.Vec{}) {
		return false
	}
	u := leastAlong(e.Out)
	v := r3.Cross(e.Out, u)
	var in [sectors]bool
	for _, q := range seam {
		d := r3.Sub(q, e.AtMM)
		x, y := r3.Dot(d, u), r3.Dot(d, v)
		if math.Abs(r3.Dot(d, e.Out)) <= max(metOff*size, metOffMM) && math.Hypot(x, y) <= size {
			in[int(math.Floor((math.Atan2(y, x)/(2*math.Pi)+1)*sectors))%sectors] = true
		}
	}
	n := 0
	for _, x := range in {
		if x {
			n++
		}
	}
	return float64(n) >= metShare*sectors
}

// sectionMM is the outside of a straight or bent part's section.
func sectionMM(p Part) float64 {
	for _, key := range []string{"outside_diameter_mm", "section_diameter_mm"} {
		if x, ok := p.Size(key); ok {
			return x
		}
	}
	return boxOf(polyline(p.Outline)).longMM
}

// leastAlong is a unit vector square to n.
func leastAlong(n r3.Vec) r3.Vec {
	x := r3.Vec{X: 1}
	if math.Abs(n.X) > 0.6*r3.Norm(n) {
		x = r3.Vec{Y: 1}
	}
	return r3.Unit(r3.Cross(n, x))
}
