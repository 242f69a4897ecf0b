package assembly

import (
	"math"
	"math/bits"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh"
	"pointup/segment/primitive"
)

// A rod that runs through another piece may end so soon behind it that what it shows
// there is too small for a part and was left to weld. But no weld lies all round a rod's
// axis in its own surface.
const (
	stubSectors = 12
	stubTurn    = 8   // of the sectors, in which a length of the stub shows
	stubStep    = 1.5 // facet edges: a length of it
	stubLong    = 2   // lengths in a row that show a stub, or one and its end
	stubCap     = 0.6 // of the radius before or behind its last length: its end
	stubShows   = 0.5 // of the end's area
	stubOn      = 0.7 // cosine between a facet's normal and that of the side, or of the end, at least
)

// stubs gives rods of which an end is not seen what they show behind the pieces that
// hide it.
func stubs(m *mesh.Mesh, p *primitive.Patch, pieces []Piece, opt primitive.Options) []Piece {
	weld := map[uint32]bool{}
	for _, x := range pieces {
		for _, f := range x.Weld {
			weld[f] = true
		}
	}
	for i := range pieces {
		for {
			x, more := longer(m, p, pieces, i, weld, opt)
			if len(more) == 0 {
				break
			}
			for _, f := range more {
				delete(weld, f)
			}
			for k := range pieces {
				pieces[k].Weld = slices.DeleteFunc(pieces[k].Weld, func(f uint32) bool { return !weld[f] })
			}
			x.Weld = pieces[i].Weld
			pieces[i] = x
		}
	}
	return pieces
}

// longer is rod i with the facets of weld behind what hides one of its ends; none where
// it is no rod, or has none there.
func longer(m *mesh.Mesh, p *primitive.Patch, pieces []Piece, i int, weld map[uint32]bool, opt primitive.Options) (x Piece, more []uint32) {
	rod := pieces[i]
	if rod.Element.Kind != "bar" && rod.Element.Kind != "tube" {
		return x, nil
	}
	for _, end := range rod.Element.Ends {
		if end.Kind != "open" && end.Kind != "hidden" {
			continue
		}
		if more = stubFaces(p, pieces, i, end.Out, weld); len(more) == 0 {
			continue
		}
		x.Faces = merged(rod.Faces, more)
		x.Patch = primitive.NewPatch(m, x.Faces, p.NoiseMM)
		x.Element = primitive.Refit(x.Patch, rod.Element, opt)
		if x.Element.Kind == rod.Element.Kind && !worse(x.Element, rod.Element) {
			return x, more
		}
	}
	return x, nil
}

// stubFaces are the facets of weld that are the side and the end of rod i behind what
// hides its end in direction out; none where it does not show all round its axis there,
// or no other piece is between.
func stubFaces(p *primitive.Patch, pieces []Piece, i int, out r3.Vec, weld map[uint32]bool) []uint32 {
	x := &pieces[i]
	c, along := x.Element.Frame.OriginMM, x.Element.Frame.Axis
	low, high := reach(x.Patch, x.Element)
	if r3.Dot(along, out) < 0 {
		along, low, high = r3.Scale(-1, along), -high, -low
	}
	d, _ := x.Element.Dim("outside_diameter_mm")
	far, step, gate := high-low, stubStep*p.EdgeMM, onGate(p, x)
	type facet struct {
		at  int // of the shell
		h   float64
		lid bool // looks along the rod, as its end does
	}
	var near []facet
	seen := make([]int, int(far/step)+1) // the sectors of each length
	u := x.Element.Frame.Ref
	v := r3.Cross(along, u)
	for k, f := range p.Face {
		if !weld[f] {
			continue
		}
		w := r3.Sub(r3.Add(p.FacetC[k], p.OriginMM), c)
		h := r3.Dot(w, along) - high
		radial := r3.Sub(w, r3.Scale(h+high, along))
		r := r3.Norm(radial)
		switch {
		case h < 0 || h >= far || r > d/2+gate:
		case r3.Dot(p.FacetS[k], along) > stubOn:
			near = append(near, facet{k, h, true})
		case r > d/2-gate && r3.Dot(p.FacetS[k], radial) > stubOn*r:
			near = append(near, facet{k, h, false})
			sector := int((math.Atan2(r3.Dot(radial, v), r3.Dot(radial, u))/(2*math.Pi) + 1) * stubSectors)
			seen[int(h/step)] |= 1 << (sector % stubSectors)
		}
	}
	round := func(k int) bool { return k < len(seen) && bits.OnesCount(uint(seen[k])) >= stubTurn }
	from := 0
	for from < len(seen) && !round(from) {
		from++
	}
	to := from
	for round(to) || round(to+1) {
		to++
	}
	begin, end := float64(from)*step, float64(to)*step
	others := slices.Concat(pieces[:i], pieces[i+1:])
	if from == to || !filled(pointsOn(c, along, high, high+begin), others) {
		return nil
	}
	var list []uint32
	lidMM2 := 0.0
	for _, f := range near {
		switch {
		case f.lid && math.Abs(f.h-end) < stubCap*d/2:
			lidMM2 += p.FacetMM2[f.at]
			list = append(list, p.Face[f.at])
		case !f.lid && f.h >= begin-step && f.h < end+step:
			list = append(list, p.Face[f.at])
		}
	}
	if to-from < stubLong && lidMM2 < stubShows*math.Pi*d*d/4 {
		return nil
	}
	return list
}
