package fit

import (
	"math"
	"slices"
)

// tryWhole compares the cut with whole shapes that short loops of few points
// often are: a rectangle, a quadrilateral on its corners, a slot. It takes the
// one of least description length.
func (f *outlineFitter) tryWhole() {
	if f.L.N > 400 || len(f.Segs) > 12 {
		return // many points need no such help
	}
	hull := outlineHull(f.L.P)
	if len(hull) < 3 {
		return
	}
	box, rect := outlineHullBox(hull)
	best := f.total()
	keep := f.Segs
	for _, segs := range [][]outlineSeg{
		f.polygonOn(box[:]),
		f.polygonOn(outlineExtremes(hull)),
		f.slotIn(rect),
	} {
		if segs == nil {
			continue
		}
		f.Segs = segs
		f.settle(8)
		if t := f.total(); t < best-1e-6 && f.allSound() {
			best, keep = t, f.Segs
		}
	}
	f.Segs = keep
}

// total is the description length of the cut.
func (f *outlineFitter) total() float64 {
	sum := 0.0
	for k, s := range f.Segs {
		ma, mb := f.meetings(k)
		if s.Fillet {
			ma, mb = nil, nil
			sum += f.filletPrice()
		} else {
			sum += f.price(s.Arc)
		}
		sum += f.cost(s.Lo, s.Hi, s.C, ma, mb)
	}
	return sum
}

// allSound tells whether neighbouring straight steps meet at an angle and the
// edges of the path can be chords of the arcs.
func (f *outlineFitter) allSound() bool {
	for k, s := range f.Segs {
		b := f.Segs[f.next(k)]
		if !s.Arc && !b.Arc && math.Abs(f.meetAfter(k).Turn) < 0.1 {
			return false
		}
		if s.Arc && (s.Hi-s.Lo < 2 || !f.chordsFit(s.Lo, s.Hi, s.C)) {
			return false
		}
	}
	return true
}

// outlineHullBox returns the corners of the smallest rectangle round a hull,
// counter-clockwise from a corner before a long side, and the rectangle.
func outlineHullBox(hull [][2]float64) ([4][2]float64, Rectangle) {
	var o Outline
	for _, p := range hull {
		o.Steps = append(o.Steps, Step{To: p})
	}
	edges := o.edges()
	b, _ := outlineLeastBox(edges)
	r := b.rectangle(edges)
	s, c := math.Sincos(r.AngleRad)
	at := func(x, y float64) [2]float64 {
		x, y = x*r.LengthMM/2, y*r.WidthMM/2
		return [2]float64{r.CentreMM[0] + x*c - y*s, r.CentreMM[1] + x*s + y*c}
	}
	return [4][2]float64{at(-1, -1), at(1, -1), at(1, 1), at(-1, 1)}, r
}

// outlineExtremes returns the ends of the longest chord of a hull and the points
// farthest from it on either side.
func outlineExtremes(hull [][2]float64) [][2]float64 {
	var a, b [2]float64
	best := 0.0
	for i, p := range hull {
		for _, q := range hull[i+1:] {
			if d := math.Hypot(p[0]-q[0], p[1]-q[1]); d > best {
				a, b, best = p, q, d
			}
		}
	}
	left, right := a, a
	var lo, hi float64
	for _, p := range hull {
		d := (b[0]-a[0])*(p[1]-a[1]) - (b[1]-a[1])*(p[0]-a[0])
		if d > hi {
			hi, left = d, p
		}
		if d < lo {
			lo, right = d, p
		}
	}
	return [][2]float64{a, right, b, left}
}

// breaksAt returns the rising indices of the loop's points nearest to p.
func (f *outlineFitter) breaksAt(p [][2]float64) []int {
	var out []int
	for _, q := range p {
		at, best := 0, math.Inf(1)
		for i, r := range f.L.P {
			if d := math.Hypot(q[0]-r[0], q[1]-r[1]); d < best {
				at, best = i, d
			}
		}
		out = append(out, at)
	}
	return out
}

// polygonOn cuts the loop at its points nearest to the corners.
func (f *outlineFitter) polygonOn(corners [][2]float64) []outlineSeg {
	at := f.breaksAt(corners)
	slices.Sort(at)
	at = slices.Compact(at)
	if len(at) < 3 {
		return nil
	}
	var segs []outlineSeg
	for i, lo := range at {
		hi := at[(i+1)%len(at)]
		if hi <= lo {
			hi += f.L.N
		}
		c, _, ok := f.fitFresh(lo, hi, false)
		if !ok {
			return nil
		}
		segs = append(segs, outlineSeg{Lo: lo, Hi: hi, C: c})
	}
	return segs
}

// slotIn cuts the loop as a slot that fills the rectangle.
func (f *outlineFitter) slotIn(r Rectangle) []outlineSeg {
	s, c := math.Sincos(r.AngleRad)
	a, q := (r.LengthMM-r.WidthMM)/2, r.WidthMM/2
	if a < 3*f.L.Sigma || a < 0.02*r.LengthMM {
		return nil
	}
	at := func(x, y float64) [2]float64 {
		return [2]float64{r.CentreMM[0] + x*c - y*s, r.CentreMM[1] + x*s + y*c}
	}
	brk := f.breaksAt([][2]float64{at(-a, -q), at(a, -q), at(a, q), at(-a, q)})
	var segs []outlineSeg
	round := 0
	for i, lo := range brk {
		hi := brk[(i+1)%4]
		if hi <= lo {
			hi += f.L.N
		}
		seg := outlineSeg{Lo: lo, Hi: hi}
		switch i {
		case 0:
			seg.C = outlineCurve{Q: at(0, -q), Theta: r.AngleRad}
		case 1:
			seg.C = outlineOnCircle(at(a, 0), q, 1, at(a+q, 0))
		case 2:
			seg.C = outlineCurve{Q: at(0, q), Theta: r.AngleRad + math.Pi}
		case 3:
			seg.C = outlineOnCircle(at(-a, 0), q, 1, at(-a-q, 0))
		}
		seg.Arc, seg.Fillet = i%2 == 1, i%2 == 1
		round += hi - lo
		segs = append(segs, seg)
	}
	if round != f.L.N {
		return nil // the loop does not pass the corners once in this order
	}
	return segs
}
