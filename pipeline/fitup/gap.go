package fitup

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// meeting is what a touch is at now: its gap, the place, and the derivative of the
// gap: a place of A that moves by v changes it by -na·v, one of B by -nb·v.
type meeting struct {
	gap    float64
	at     r3.Vec
	na, nb r3.Vec
}

// half is one side of a touch as it is looked at: as sized or as scanned.
type half struct {
	s     *shape
	at    pose
	faces []int
	place r3.Vec // local
}

func (m *model) now(t *touch) meeting {
	a, b := m.body(t.a.part), m.body(t.b.part)
	return m.meeting(half{a.shape, a.at, t.a.faces, a.grown(t.a)}, half{b.shape, b.at, t.b.faces, b.grown(t.b)})
}

func (m *model) scanned(t *touch) meeting {
	a, b := m.body(t.a.part), m.body(t.b.part)
	return m.meeting(half{a.scan, a.scanned, t.a.was, t.a.at}, half{b.scan, b.scanned, t.b.was, t.b.at})
}

// meeting measures a touch.
//
// Face before face: with signed distances d of both, the least of dA(x) + dB(x)
// over x near the touch is the distance of the surfaces; at that x the gradient of
// the sum is 0, so that the derivative by a motion is that of the distances at
// fixed x. Edge on face: dB at the place of the edge. Two edges: the way between
// them along their common normal.
func (m *model) meeting(a, b half) meeting {
	switch {
	case len(a.faces) == 1 && len(b.faces) == 1:
		return m.faceToFace(a, b)
	case len(b.faces) == 1:
		return m.edgeOnFace(a, b)
	case len(a.faces) == 1:
		x := m.edgeOnFace(b, a)
		x.na, x.nb = x.nb, x.na
		return x
	}
	return edgeToEdge(a, b)
}

// grown is where a place lies on the sized part. One that rides with a wheel, on a
// tooth, goes out with its tips.
func (b *body) grown(s side) r3.Vec {
	if len(s.faces) > 0 || b.part.Kind != "toothed_wheel" {
		return s.at
	}
	was, now := sizes{b.was}, sizes{b.part}
	k, h := now.mm("tip_diameter_mm")/was.mm("tip_diameter_mm"), now.mm("thickness_mm")/was.mm("thickness_mm")
	if !(k > 0) || !(h > 0) || math.IsInf(k, 0) || math.IsInf(h, 0) {
		return s.at
	}
	return r3.Vec{X: s.at.X * k, Y: s.at.Y * k, Z: s.at.Z * h}
}

func (h half) distance(p r3.Vec) float64 { return h.s.faces[h.faces[0]].dist(h.at.local(p)) }
func (h half) normal(p r3.Vec) r3.Vec {
	return h.at.dir(h.s.normal(h.faces[0], h.at.local(p)))
}
func (h half) flat() bool { return h.s.faces[h.faces[0]].flat }

// Bounds of the search for the place of a touch.
const (
	settleRounds = 4
	probeMM      = 0.1  // for second derivatives
	bentLeast    = 5e-6 // 1/mm: a radius of 200 m is flat
	rollTouches  = 10   // how far from its seam a touch may go, in touch tolerances
)

func (m *model) faceToFace(a, b half) meeting {
	x := r3.Scale(0.5, r3.Add(a.at.point(a.place), b.at.point(b.place)))
	if !a.flat() || !b.flat() {
		x = m.roll(a, b, x)
		if e, ok := a.edged(x); ok {
			return m.edgeOnFace(e, b)
		}
		if e, ok := b.edged(x); ok {
			y := m.edgeOnFace(e, a)
			y.na, y.nb = y.nb, y.na
			return y
		}
	}
	return meeting{a.distance(x) + b.distance(x), x, a.normal(x), b.normal(x)}
}

// roll leads x to where the sum of both distances is least across the touch, by
// Newton's method; not along directions in which it does not bend, as along a bar
// that lies on a plate.
func (m *model) roll(a, b half, x r3.Vec) r3.Vec {
	slope := func(p r3.Vec) r3.Vec { return r3.Add(a.normal(p), b.normal(p)) }
	limit, from := rollTouches*m.opt.TouchMM, x
	for range settleRounds {
		n := unit(r3.Sub(a.normal(x), b.normal(x)))
		e, f := square(n)
		g := slope(x)
		ge := r3.Scale(1/(2*probeMM), r3.Sub(slope(r3.Add(x, r3.Scale(probeMM, e))), slope(r3.Sub(x, r3.Scale(probeMM, e)))))
		gf := r3.Scale(1/(2*probeMM), r3.Sub(slope(r3.Add(x, r3.Scale(probeMM, f))), slope(r3.Sub(x, r3.Scale(probeMM, f)))))
		p, q, r := r3.Dot(ge, e), (r3.Dot(ge, f)+r3.Dot(gf, e))/2, r3.Dot(gf, f)
		u, v := bentStep(p, q, r, r3.Dot(g, e), r3.Dot(g, f))
		step := r3.Add(r3.Scale(u, e), r3.Scale(v, f))
		if l := r3.Norm(step); l > limit {
			step = r3.Scale(limit/l, step)
		}
		x = r3.Add(x, step)
		if w := r3.Sub(x, from); r3.Norm(w) > limit {
			return r3.Add(from, r3.Scale(limit/r3.Norm(w), w))
		}
		// Back between the surfaces, so that both distances are near 0.
		x = r3.Sub(x, r3.Scale((a.distance(x)-b.distance(x))/2, n))
		if r3.Norm(step) < 1e-7 {
			break
		}
	}
	return x
}

// offMM is how far beyond an edge a touch may roll before it is one of the edge.
const offMM = 0.5

// edged is the side of a touch with the edge beyond which x lies, false where it
// lies on the metal.
func (h half) edged(x r3.Vec) (half, bool) {
	q := h.at.local(x)
	worst, at := offMM, -1
	for i := range h.s.faces {
		f := &h.s.faces[i]
		if i == h.faces[0] || f.on != nil || !f.bears && h.s.faces[h.faces[0]].on != nil {
			continue
		}
		if d := f.dist(q); d > worst && math.Abs(r3.Dot(h.s.normal(i, q), h.s.normal(h.faces[0], q))) < 0.9 {
			worst, at = d, i
		}
	}
	if at < 0 {
		return h, false
	}
	h.faces, h.place = []int{h.faces[0], at}, q
	return h, true
}

// bentStep is -H⁺g for the symmetric H = [p q; q r], leaving out directions in
// which it is flat or bends the other way.
func bentStep(p, q, r, gu, gv float64) (u, v float64) {
	mid, diff := (p+r)/2, (p-r)/2
	root := math.Hypot(diff, q)
	angle := math.Atan2(q, diff) / 2
	for k, l := range []float64{mid + root, mid - root} {
		if l < bentLeast || l < 1e-3*(mid+root) {
			continue
		}
		sin, cos := math.Sincos(angle + float64(k)*math.Pi/2)
		t := -(gu*cos + gv*sin) / l
		u, v = u+t*cos, v+t*sin
	}
	return u, v
}

// onto leads a local place onto all given faces, by the shortest way: Newton's
// method on their distances d with normals N, q ← q - Nᵀ(NNᵀ)⁻¹d, one row of which
// is taken at a time, made square to those before.
func (s *shape) onto(faces []int, q r3.Vec) r3.Vec {
	var basis [3]r3.Vec
	for range 8 {
		from := q
		n := 0
		for _, i := range faces {
			d := s.faces[i].dist(q)
			way := s.normal(i, q)
			x := way
			for _, e := range basis[:n] {
				x = across(x, e)
			}
			rate := r3.Norm(x)
			if rate < 0.2 || n == len(basis) {
				continue
			}
			x = r3.Scale(1/rate, x)
			q = r3.Sub(q, r3.Scale(d/rate, x))
			basis[n], n = x, n+1
		}
		if r3.Norm(r3.Sub(q, from)) < 1e-9 {
			break
		}
	}
	return q
}

func (m *model) edgeOnFace(a, b half) meeting {
	q := a.place
	if len(a.faces) > 0 {
		q = a.s.onto(a.faces, q)
	}
	if len(a.faces) == 2 {
		q = m.slide(a, b, q)
	}
	x := a.at.point(q)
	n := b.normal(x)
	return meeting{b.distance(x), x, r3.Scale(-1, n), n}
}

// slide leads a place along its edge to where it is nearest to a face: a round edge
// or a straight one on a round face.
func (m *model) slide(a, b half, q r3.Vec) r3.Vec {
	limit, gone := rollTouches*m.opt.TouchMM, 0.0
	for range settleRounds {
		t := unit(r3.Cross(a.s.normal(a.faces[0], q), a.s.normal(a.faces[1], q)))
		const h = 10 * probeMM
		at := func(l float64) float64 { return b.distance(a.at.point(a.s.onto(a.faces, r3.Add(q, r3.Scale(l, t))))) }
		lo, mid, hi := at(-h), at(0), at(h)
		bend := (hi - 2*mid + lo) / (h * h)
		if bend < bentLeast {
			break
		}
		step := min(max(-(hi-lo)/(2*h)/bend, -limit), limit)
		q = a.s.onto(a.faces, r3.Add(q, r3.Scale(step, t)))
		if gone += math.Abs(step); math.Abs(step) < 1e-6 || gone > limit {
			break
		}
	}
	return q
}

// edgeToEdge measures along the common normal of two edges; where they run along
// each other, along the mean of their outward directions.
func edgeToEdge(a, b half) meeting {
	qa, qb := a.s.onto(a.faces, a.place), b.s.onto(b.faces, b.place)
	out := func(h half, q r3.Vec) (way, n r3.Vec) {
		u, v := h.s.normal(h.faces[0], q), h.s.normal(h.faces[1], q)
		return h.at.dir(unit(r3.Cross(u, v))), h.at.dir(unit(r3.Add(u, v)))
	}
	for range settleRounds {
		ea, _ := out(a, qa)
		eb, _ := out(b, qb)
		w := r3.Sub(b.at.point(qb), a.at.point(qa))
		c := r3.Dot(ea, eb)
		det := 1 - c*c
		if det < 0.01 {
			break
		}
		la, lb := (r3.Dot(w, ea)-c*r3.Dot(w, eb))/det, (c*r3.Dot(w, ea)-r3.Dot(w, eb))/det
		qa = a.s.onto(a.faces, r3.Add(qa, a.at.localDir(r3.Scale(la, ea))))
		qb = b.s.onto(b.faces, r3.Add(qb, b.at.localDir(r3.Scale(lb, eb))))
	}
	ea, oa := out(a, qa)
	eb, ob := out(b, qb)
	n, ok := apart(ea, eb, oa)
	if !ok {
		n = unit(across(r3.Sub(oa, ob), ea))
	}
	xa, xb := a.at.point(qa), b.at.point(qb)
	return meeting{r3.Dot(n, r3.Sub(xb, xa)), r3.Scale(0.5, r3.Add(xa, xb)), n, r3.Scale(-1, n)}
}
