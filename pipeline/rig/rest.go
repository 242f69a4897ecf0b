package rig

import (
	"cmp"
	"math"
	"slices"
	"sync"

	"gonum.org/v1/gonum/spatial/r3"
)

// Rest is a way a load lies on a level bed, on a face of its hull.
type Rest struct {
	DownDir, AlongDir           r3.Vec // in SITE: what points down and along the bed as it lies
	LengthMM, WidthMM, HeightMM float64
	TipDeg                      float64 // least lean of the bed at which it tips over an edge, over the range of its centre of gravity; 0 or less: it can tip as it lies
}

// resting is a Rest before its box is laid.
type resting struct {
	down   r3.Vec
	u, v   r3.Vec // level, u × v = -down
	tip    float64
	area   float64 // of support
	height float64
	plan   func() [][2]float64 // hull seen from above
}

// restings are all stable ways to lie: the likely centre of gravity is over the
// polygon on which the hull stands. Widest support first. places are those of
// the centre of gravity, the likely one first.
func restings(o outline, places []r3.Vec) []resting {
	var out []resting
	eachRest(o, places, func(r resting) bool {
		out = append(out, r)
		return true
	})
	slices.SortStableFunc(out, func(a, b resting) int { return cmp.Compare(b.area, a.area) })
	return out
}

// eachRest calls do with every stable way to lie, until it returns false.
func eachRest(o outline, places []r3.Vec, do func(resting) bool) {
	var done []r3.Vec
	size2 := 0.0
	for _, p := range o.points {
		size2 = max(size2, r3.Norm2(r3.Sub(p, o.points[0])))
	}
	size := math.Sqrt(size2)
	for _, f := range o.faces {
		if f.normal == (r3.Vec{}) || slices.ContainsFunc(done, func(n r3.Vec) bool { return r3.Norm2(r3.Sub(n, f.normal)) < sameFaceRad*sameFaceRad }) {
			continue
		}
		done = append(done, f.normal)
		if r, ok := restOn(f.normal, o.points, size, places); ok && !do(r) {
			return
		}
	}
}

// sameFaceRad: triangles that differ by less are one face; a thousandth of it is
// what rounding does to a triangle as thin as 1:1000.
const sameFaceRad = 1e-6

// restOn is the way to lie on a face of the hull of points, whose size is that from the
// first to the farthest.
func restOn(down r3.Vec, points []r3.Vec, size float64, places []r3.Vec) (resting, bool) {
	r := resting{down: down, u: r3.Unit(square(down))}
	r.v = r3.Cross(r.u, down)
	low, high := math.Inf(-1), math.Inf(1)
	for _, p := range points {
		d := r3.Dot(p, down)
		low, high = max(low, d), min(high, d)
	}
	var under [][2]float64
	for _, p := range points {
		if r3.Dot(p, down) > low-1e-6*size {
			under = append(under, r.flat(p))
		}
	}
	support := flatHull(under)
	if len(support) < 3 {
		return r, false
	}
	r.height, r.area, r.tip = low-high, areaOf(support), math.Inf(1)
	within := inside(support)
	for i, c := range places {
		tip := math.Atan2(within(r.flat(c)), low-r3.Dot(c, down)) / deg
		if i == 0 && !(tip > 0) {
			return r, false
		}
		r.tip = min(r.tip, tip)
	}
	flat := r // as it is now
	r.plan = sync.OnceValue(func() [][2]float64 {
		all := make([][2]float64, len(points))
		for i, p := range points {
			all[i] = flat.flat(p)
		}
		return flatHull(all)
	})
	return r, true
}

func (r resting) flat(p r3.Vec) [2]float64 { return [2]float64{r3.Dot(p, r.u), r3.Dot(p, r.v)} }

// square is a direction at right angles to n, the same for the same n: of the axes
// the one least along it, made square.
func square(n r3.Vec) r3.Vec {
	e := r3.Vec{X: 1}
	if math.Abs(n.Y) < math.Abs(n.X)-1e-9 {
		e = r3.Vec{Y: 1}
	}
	if math.Abs(n.Z) < min(math.Abs(n.X), math.Abs(n.Y))-1e-9 {
		e = r3.Vec{Z: 1}
	}
	return r3.Sub(e, r3.Scale(r3.Dot(e, n), n))
}

// inside tells of points how far they lie within a convex polygon, less than 0 outside.
func inside(polygon [][2]float64) func(c [2]float64) float64 {
	side := make([]float64, len(polygon))
	for i, a := range polygon {
		b := polygon[(i+1)%len(polygon)]
		side[i] = math.Hypot(b[0]-a[0], b[1]-a[1])
	}
	return func(c [2]float64) float64 {
		d := math.Inf(1)
		for i, a := range polygon {
			d = min(d, turnOf(a, polygon[(i+1)%len(polygon)], c)/side[i])
		}
		return d
	}
}

func areaOf(polygon [][2]float64) float64 {
	sum := 0.0
	for i, a := range polygon {
		b := polygon[(i+1)%len(polygon)]
		sum += a[0]*b[1] - a[1]*b[0]
	}
	return sum / 2
}

// laid is a resting in its smallest rectangle turned by an angle.
func (r resting) laid(a float64) Rest {
	l, w := extents(r.plan(), a)
	if w > l {
		a += math.Pi / 2
		l, w = w, l
	}
	along := r3.Add(r3.Scale(math.Cos(a), r.u), r3.Scale(math.Sin(a), r.v))
	return Rest{r.down, along, l, w, r.height, r.tip}
}

// extents are those along and across a direction.
func extents(polygon [][2]float64, a float64) (along, across float64) {
	c, s := math.Cos(a), math.Sin(a)
	lo, hi := [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
	for _, p := range polygon {
		q := [2]float64{c*p[0] + s*p[1], c*p[1] - s*p[0]}
		for k := range 2 {
			lo[k], hi[k] = min(lo[k], q[k]), max(hi[k], q[k])
		}
	}
	return hi[0] - lo[0], hi[1] - lo[1]
}

// smallest is the angle of the rectangle of least area round a convex polygon: one
// of its sides lies on the polygon's (H. Freeman and R. Shapira, CACM 18, 1975, 409).
func smallest(polygon [][2]float64) float64 {
	best, least := 0.0, math.Inf(1)
	for _, a := range sidesOf(polygon) {
		if l, w := extents(polygon, a); l*w < least*(1-1e-12) {
			best, least = a, l*w
		}
	}
	return best
}

// fitting is an angle at which a convex polygon lies within a rectangle, length
// along the angle. Between two angles at which a side of either lies along the
// polygon's, both extents are concave, so that where it fits at all it fits at
// such an angle or where an extent equals the rectangle's; all these are tried.
func fitting(polygon [][2]float64, length, width float64) (float64, bool) {
	sides := sidesOf(polygon)
	for i, a := range sides {
		b := math.Pi / 2
		if i+1 < len(sides) {
			b = sides[i+1]
		}
		for _, quarter := range []float64{0, math.Pi / 2} {
			for _, at := range append(crossings(polygon, a+quarter, b+quarter, length, width), a+quarter, b+quarter) {
				if l, w := extents(polygon, at); l <= length*(1+1e-12) && w <= width*(1+1e-12) {
					return at, true
				}
			}
		}
	}
	return 0, false
}

// sidesOf are the directions of a polygon's sides, taken into a quarter turn and
// sorted; 0 is always there.
func sidesOf(polygon [][2]float64) []float64 {
	out := []float64{0}
	for i, p := range polygon {
		q := polygon[(i+1)%len(polygon)]
		a := math.Mod(math.Atan2(q[1]-p[1], q[0]-p[0])+2*math.Pi, math.Pi/2)
		out = append(out, a)
	}
	slices.Sort(out)
	return out
}

// crossings are the angles between a and b at which the extent along is length or
// that across is width: there each is d·cos(angle - way) of two fixed corners.
func crossings(polygon [][2]float64, a, b, length, width float64) []float64 {
	var out []float64
	for k, limit := range [2]float64{length, width} {
		way := (a+b)/2 + float64(k)*math.Pi/2
		p, q := ends(polygon, way)
		x, y := q[0]-p[0], q[1]-p[1]
		d := math.Hypot(x, y)
		if d <= limit {
			continue
		}
		at, off := math.Atan2(y, x)-float64(k)*math.Pi/2, math.Acos(limit/d)
		for _, t := range [2]float64{at - off, at + off} {
			t += 2 * math.Pi * math.Round(((a+b)/2-t)/(2*math.Pi))
			if t > a && t < b {
				out = append(out, t)
			}
		}
	}
	return out
}

// ends are the corners farthest back and forth along a direction.
func ends(polygon [][2]float64, a float64) (back, forth [2]float64) {
	c, s := math.Cos(a), math.Sin(a)
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, p := range polygon {
		d := c*p[0] + s*p[1]
		if d < lo {
			lo, back = d, p
		}
		if d > hi {
			hi, forth = d, p
		}
	}
	return back, forth
}

// Envelope is what the vehicle and the road leave for a load.
type Envelope struct{ LengthMM, WidthMM, HeightMM, MassKG float64 }

// restIn is the first way to lie, widest support first, whose box is within the
// envelope.
func (e Envelope) restIn(o outline, places []r3.Vec) (Rest, bool) {
	for _, r := range restings(o, places) {
		if a, ok := e.holds(r); ok {
			return r.laid(a), true
		}
	}
	return Rest{}, false
}

// hasRest tells whether there is one.
func (e Envelope) hasRest(o outline, places []r3.Vec) bool {
	found := false
	eachRest(o, places, func(r resting) bool {
		_, found = e.holds(r)
		return !found
	})
	return found
}

// holds is an angle at which a way to lie is within the envelope: that of its
// smallest rectangle where it does.
func (e Envelope) holds(r resting) (float64, bool) {
	if r.height > e.HeightMM*(1+1e-12) {
		return 0, false
	}
	a := smallest(r.plan())
	if x := r.laid(a); x.LengthMM <= e.LengthMM*(1+1e-12) && x.WidthMM <= e.WidthMM*(1+1e-12) {
		return a, true
	}
	return fitting(r.plan(), e.LengthMM, e.WidthMM)
}

// lowestRest is the flattest way to lie of what fits nowhere.
func lowestRest(o outline, places []r3.Vec) (Rest, bool) {
	all := restings(o, places)
	if len(all) == 0 {
		return Rest{}, false
	}
	r := slices.MinFunc(all, func(a, b resting) int { return cmp.Compare(a.height, b.height) })
	return r.laid(smallest(r.plan())), true
}
