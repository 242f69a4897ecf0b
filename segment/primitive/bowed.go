package primitive

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// flattest is the radius, in lengths of the piece, up to which it is looked at as
// an arc: the bow is then an 800th of its length, which of a piece of 40 times its
// diameter is within the form limit of a straight one.
const flattest = 100

// bowed is the turning motion of a long piece that is bent a little: the axis
// that a parabola through the centres of its slices curves about. The search of
// slidingMotions draws such an axis into the piece, where the motion is slow.
// ok is false for a straight one.
func bowed(p *Patch, directions []r3.Vec) (m motion, ok bool) {
	f, lo, hi := longest(p, directions)
	const slices = 16
	type centre struct{ u, v, h, w float64 }
	var s [slices]centre
	for i, q := range p.FacetC {
		u, v, h := f.local(q)
		k := int((h - lo) / (hi - lo) * slices)
		if k < 0 || k >= slices {
			continue
		}
		w := p.FacetMM2[i]
		s[k].u, s[k].v, s[k].h, s[k].w = s[k].u+w*u, s[k].v+w*v, s[k].h+w*h, s[k].w+w
	}
	var h, u, v []float64
	for _, x := range s[1 : slices-1] { // the outer ones may hold part of an end
		if x.w > 0 {
			h, u, v = append(h, x.h/x.w), append(u, x.u/x.w), append(v, x.v/x.w)
		}
	}
	if len(h) < 5 {
		return m, false
	}
	a, b := parabola(h, u), parabola(h, v)
	bend := hypot(a[2], b[2]) // half the curvature, but for the slope
	if radius := 1 / (2 * bend); !(radius < flattest*p.SizeMM) || !(radius > 0.3*p.SizeMM) {
		return m, false
	}
	along := unit(f.dir(a[1], b[1], 1))
	out := f.dir(a[2]/bend, b[2]/bend, 0)
	out = unit(r3.Sub(out, r3.Scale(r3.Dot(out, along), along)))
	radius := math.Pow(1+a[1]*a[1]+b[1]*b[1], 1.5) / (2 * bend)
	at := r3.Add(f.at(a[0], b[0], 0), r3.Scale(radius, out))
	return motion{f: newFrame(at, r3.Cross(along, out)), located: true}, true
}

// longest is the frame along the direction in which the piece is longest, its
// origin at mid-length, and the piece's extent along it.
func longest(p *Patch, directions []r3.Vec) (f frame, lo, hi float64) {
	for _, d := range directions {
		g := newFrame(r3.Vec{}, d)
		a, b := math.Inf(1), math.Inf(-1)
		for _, q := range p.P {
			h := r3.Dot(q, g.D)
			a, b = min(a, h), max(b, h)
		}
		if b-a > hi-lo {
			f, lo, hi = g, a, b
		}
	}
	mid := (lo + hi) / 2
	f.C = f.at(0, 0, mid)
	return f, lo - mid, hi - mid
}

// parabola is the least squares a + b x + c x² through the points.
func parabola(x, y []float64) [3]float64 {
	var n [9]float64
	var r [3]float64
	for i := range x {
		g := [3]float64{1, x[i], x[i] * x[i]}
		for j := range g {
			r[j] += g[j] * y[i]
			for k := range g {
				n[3*j+k] += g[j] * g[k]
			}
		}
	}
	inv := invert(n[:], 3)
	var out [3]float64
	for j := range out {
		for k := range r {
			out[j] += inv[3*j+k] * r[k]
		}
	}
	return out
}

// straightFirst puts a straight tube or bar before an arc: where the bow is
// within the form that is allowed, the piece is a straight one that is bowed.
//
// A bow of height s leaves |y cos φ| at the wall, y from -s/3 to 2s/3 over the
// length and φ round the section. Nine tenths of that lie within the form limit
// where s is under about three times it. The limit is never under 5 times the noise: what
// the scan cannot tell from straight is well within it, and on the far side an
// arc's height stands 15 standard deviations of one point, some hundreds of the
// fit's, above the noise.
func straightFirst(list []candidate) {
	if len(list) == 0 {
		return
	}
	section := 0.0
	switch s := list[0].sol.(type) {
	case *bend:
		section = s.rs
	case *torus:
		section = s.rs
	default:
		return
	}
	for i := range list {
		r, ok := list[i].sol.(*round)
		if ok && r.free && r.lengthMM() > r.ro && math.Abs(r.ro-section) < 0.1*section && list[i].explained > straightShare {
			toFront(list, i)
			return
		}
	}
}

// straightShare of the surface must lie within the form limit of a straight piece.
const straightShare = 0.9

// evenFirst puts a straight tube or bar before a cone: where the taper, from its mean, is
// within half of the form that is allowed, the piece is a straight one. A few facets of
// weld at one end taper a thin bar so.
func evenFirst(list []candidate, p *Patch, opt Options) {
	if len(list) == 0 {
		return
	}
	s, ok := list[0].sol.(*cone)
	if !ok || s.pointed {
		return
	}
	low, high := s.end[0].z, s.end[1].z
	middle, taper := s.r0-s.k*(low+high)/2, math.Abs(s.k)*(high-low)/2
	for i := range list {
		r, ok := list[i].sol.(*round)
		if ok && r.free && r.lengthMM() > r.ro && math.Abs(r.ro-middle) < 0.1*middle &&
			taper <= evenShare*limit(p, list[i].sizeMM, opt) && list[i].explained >= list[0].explained-0.05 {
			toFront(list, i)
			return
		}
	}
}

// evenShare of the form limit is what the radius of a straight piece may change from its
// middle to an end.
const evenShare = 0.5
