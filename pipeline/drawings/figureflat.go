package drawings

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/solid"
	"pointup/pipeline/stock"
)

// bounds is the box of a piece in the frame of its part, by chords of a hundredth
// of its size.
func (p Piece) bounds() (lo, hi r3.Vec) {
	size := r3.Norm(r3.Sub(p.Part.BoxMM[1], p.Part.BoxMM[0]))
	m, err := p.Shape.Mesh(max(size, 1) / 5000)
	if err != nil {
		return lo, hi
	}
	inf := math.Inf(1)
	lo, hi = r3.Vec{X: inf, Y: inf, Z: inf}, r3.Vec{X: -inf, Y: -inf, Z: -inf}
	to := p.local()
	for _, q := range m.Points {
		q = to(q)
		lo = r3.Vec{X: min(lo.X, q.X), Y: min(lo.Y, q.Y), Z: min(lo.Z, q.Z)}
		hi = r3.Vec{X: max(hi.X, q.X), Y: max(hi.Y, q.Y), Z: max(hi.Z, q.Z)}
	}
	return lo, hi
}

// agreed is the part's own size where what is drawn agrees with it to a hundredth,
// so that all tables say the same to the tenth of a mm; else what is drawn.
func (p Piece) agreed(key string, drawn float64) float64 {
	if x, ok := p.Part.Size(key); ok && math.Abs(x-drawn) <= 0.01*x {
		return x
	}
	return drawn
}

// plate is its face, and its edge below or above where it is long.
func (f *figure) plate(p Piece, w writer, third bool) {
	lo, hi := p.bounds()
	second := beside
	if hi.X-lo.X > 1.6*(hi.Y-lo.Y) {
		second = plan
	}
	f.views = aspects(r3.Vec{X: 1}, r3.Vec{Y: 1}, third, front, second)
	f.linear = append(f.linear,
		linear{0, r3.Vec{X: lo.X, Y: lo.Y}, r3.Vec{X: hi.X, Y: lo.Y}, below, w.length(p.agreed("length_mm", hi.X-lo.X))},
		linear{0, r3.Vec{X: lo.X, Y: lo.Y}, r3.Vec{X: lo.X, Y: hi.Y}, left, w.length(p.agreed("width_mm", hi.Y-lo.Y))})
	t, s := w.length(p.agreed("thickness_mm", hi.Z-lo.Z)), below
	if second == plan {
		s = right
	}
	f.linear = append(f.linear, linear{1, r3.Vec{X: hi.X, Y: lo.Y, Z: lo.Z}, r3.Vec{X: hi.X, Y: lo.Y, Z: hi.Z}, s, t})
	f.corners(p, w)
	f.holes(p.Part, w, 0, func(q [2]float64) r3.Vec { return r3.Vec{X: q[0], Y: q[1]} })
	f.placeHoles(p, lo, hi, w)
}

// Holes of a plate are dimensioned from its lower left corner where they are few
// enough, in few enough rows and columns, to be read; else they have a table.
const (
	placedHoles = 12
	placedRows  = 5
)

func (f *figure) placeHoles(p Piece, lo, hi r3.Vec, w writer) {
	var columns, rows []float64
	add := func(list []float64, x float64) []float64 {
		for _, o := range list {
			if math.Abs(o-x) <= max(likeHoleMM, likeHoleShare*(x-lo.X)) {
				return list
			}
		}
		return append(list, x)
	}
	for _, h := range p.Part.Holes {
		columns, rows = add(columns, h.CentreMM[0]), add(rows, h.CentreMM[1])
	}
	if len(p.Part.Holes) > placedHoles || max(len(columns), len(rows)) > placedRows {
		f.remarks = append(f.remarks, "places of holes: see the flat pattern")
		return
	}
	for _, x := range columns {
		f.linear = append(f.linear, linear{0, r3.Vec{X: lo.X, Y: hi.Y}, r3.Vec{X: x, Y: hi.Y}, above, w.length(x - lo.X)})
	}
	for _, y := range rows {
		f.linear = append(f.linear, linear{0, r3.Vec{X: hi.X, Y: lo.Y}, r3.Vec{X: hi.X, Y: y}, right, w.length(y - lo.Y)})
	}
}

// corners names the radii of a plate's outline, at most four different ones.
func (f *figure) corners(p Piece, w writer) {
	seen := map[string]bool{}
	n := len(p.Part.Outline)
	if n < 2 {
		return
	}
	for i, s := range p.Part.Outline {
		if !s.Arc || len(seen) == 4 {
			continue
		}
		c, r, ok := circleThrough(p.Part.Outline[(i+n-1)%n].To, s.Via, s.To)
		if !ok || seen[w.radius(r)] {
			continue
		}
		seen[w.radius(r)] = true
		f.notes = append(f.notes, note{at: r3.Vec{X: s.Via[0], Y: s.Via[1]}, way: r3.Vec{X: s.Via[0] - c[0], Y: s.Via[1] - c[1]}, text: w.radius(r)})
	}
}

// circleThrough is the circle through three points.
func circleThrough(a, b, c [2]float64) (centre [2]float64, radius float64, ok bool) {
	bx, by, cx, cy := b[0]-a[0], b[1]-a[1], c[0]-a[0], c[1]-a[1]
	d := 2 * (bx*cy - by*cx)
	if math.Abs(d) < 1e-9*(cx*cx+cy*cy) {
		return centre, 0, false
	}
	x, y := (cy*(bx*bx+by*by)-by*(cx*cx+cy*cy))/d, (bx*(cx*cx+cy*cy)-cx*(bx*bx+by*by))/d
	return [2]float64{a[0] + x, a[1] + y}, math.Hypot(x, y), true
}

// rolled is seen along its axis, and from outside.
func (f *figure) rolled(p stock.Part, size func(string) float64, w writer, third bool) {
	x, up := sector(size("sweep_deg"))
	f.views = aspects(x, up, third, front, plan)
	inside, t, width := size("inside_diameter_mm"), size("thickness_mm"), size("width_mm")
	ro := inside/2 + t
	f.sweep(0, ro, size("sweep_deg"))
	half := r3.Scale(width/2, r3.Vec{Z: 1})
	edge := r3.Scale(reachOf(size("sweep_deg"), ro), x)
	f.linear = append(f.linear, linear{1, r3.Sub(edge, half), r3.Add(edge, half), right, w.length(width)})
	mid := func(deg, r float64) r3.Vec {
		sin, cos := math.Sincos(deg * math.Pi / 180)
		return r3.Vec{X: r * cos, Y: r * sin}
	}
	q := size("sweep_deg") / 4
	f.notes = append(f.notes,
		note{at: mid(q, inside/2), way: mid(q, -1), text: w.radius(inside/2) + " inside"},
		note{at: mid(2.6*q, ro), way: mid(2.6*q, 1), text: "thickness " + w.length(t)})
	f.axis(1, r3.Scale(-0.5*width, r3.Vec{Z: 1}), r3.Scale(0.5*width, r3.Vec{Z: 1}))
	if len(p.Holes) > holesMost {
		f.hidden = false
	}
	if len(p.Holes) > 0 {
		f.remarks = append(f.remarks, "holes: see the developed pattern")
	}
}

// reachOf is how far an arc about its middle reaches to the side.
func reachOf(sweepDeg, radius float64) float64 {
	if sweepDeg >= 180 {
		return radius
	}
	return radius * math.Sin(sweepDeg*math.Pi/360)
}

// sector is right and up of a view along the axis in which the middle of a sweep
// from u points up.
func sector(sweepDeg float64) (right, up r3.Vec) {
	sin, cos := math.Sincos(sweepDeg * math.Pi / 360)
	return r3.Vec{X: sin, Y: -cos}, r3.Vec{X: cos, Y: sin}
}

// sweep is the angle of a sector from u.
func (f *figure) sweep(view int, radius, sweepDeg float64) {
	f.angles = append(f.angles, angular{view: view, from: r3.Vec{X: 1}, axis: r3.Vec{Z: 1}, radiusMM: radius, sweepRad: sweepDeg * math.Pi / 180, text: angleText(sweepDeg)})
}

// cone stands, the large end down, with its plan.
func (f *figure) cone(p Piece, size func(string) float64, w writer, third bool) {
	to := p.local()
	up := r3.Unit(r3.Sub(to(r3.Vec{Z: 1}), to(r3.Vec{}))) // shapes of cones widen downwards
	foot := to(r3.Vec{})
	f.views = aspects(r3.Vec{X: 1}, up, third, front, plan)
	large, small, h := size("large_diameter_mm"), size("small_diameter_mm"), size("height_mm")
	top := r3.Add(foot, r3.Scale(h, up))
	x := r3.Vec{X: 1}
	at := func(c r3.Vec, d float64) r3.Vec { return r3.Add(c, r3.Scale(d/2, x)) }
	f.linear = append(f.linear, linear{0, at(foot, -large), at(foot, large), below, w.diameter(large)},
		linear{0, at(foot, large), at(top, small), right, w.length(h)})
	if small > 0 {
		f.linear = append(f.linear, linear{0, at(top, -small), at(top, small), above, w.diameter(small)})
	}
	f.axis(0, foot, top)
	f.crossed(1, r3.Vec{}, large/2)
	if t := size("wall_mm"); t > 0 {
		f.remarks = append(f.remarks, "wall "+w.length(t)+", square to the surface")
	}
}

// lump is a freeform piece in its box.
func (f *figure) lump(p Piece, w writer, third bool) {
	f.hidden = false
	f.views = aspects(r3.Vec{X: 1}, r3.Vec{Y: 1}, third, front, beside, plan)
	lo, hi := p.bounds()
	f.overall(lo, hi, w)
	if s, ok := p.Shape.(solid.Facets); ok && s.Open {
		f.remarks = append(f.remarks, "an open skin, as the scan saw it")
	}
}

// overall dimensions the box of three views in parentheses, as what follows from
// others or is for orientation only.
func (f *figure) overall(lo, hi r3.Vec, w writer) {
	f.boxed(0, below, lo, hi, w)
	f.boxed(0, left, lo, hi, w)
	for i, a := range f.views {
		switch a.slot {
		case beside:
			f.boxed(i, below, lo, hi, w)
		case plan:
			f.boxed(i, right, lo, hi, w)
		}
	}
}

// boxed is the extent of the box lo, hi of a part along one axis of a view.
func (f *figure) boxed(n int, s side, lo, hi r3.Vec, w writer) {
	v := f.views[n].view
	b := noBox()
	for k := range 8 {
		q := lo
		if k&1 > 0 {
			q.X = hi.X
		}
		if k&2 > 0 {
			q.Y = hi.Y
		}
		if k&4 > 0 {
			q.Z = hi.Z
		}
		b.take(v.flat(q))
	}
	at := func(x, y float64) r3.Vec { return r3.Add(r3.Scale(x, v.right), r3.Scale(y, v.up)) }
	d := linear{view: n, side: s}
	mm := b.wide()
	switch s {
	case below:
		d.a, d.b = at(b.lo[0], b.lo[1]), at(b.hi[0], b.lo[1])
	case above:
		d.a, d.b = at(b.lo[0], b.hi[1]), at(b.hi[0], b.hi[1])
	case left:
		d.a, d.b, mm = at(b.lo[0], b.lo[1]), at(b.lo[0], b.hi[1]), b.high()
	case right:
		d.a, d.b, mm = at(b.hi[0], b.lo[1]), at(b.hi[0], b.hi[1]), b.high()
	}
	d.text = "(" + w.length(mm) + ")"
	f.linear = append(f.linear, d)
}
