package stock

import "math"

// polyline follows an outline, arcs in chords of at most 10°.
func polyline(outline []Step) [][2]float64 {
	if len(outline) == 0 {
		return nil
	}
	var out [][2]float64
	from := outline[len(outline)-1].To
	for _, s := range outline {
		if s.Arc {
			out = append(out, chords(from, s.Via, s.To)...)
		}
		out = append(out, s.To)
		from = s.To
	}
	return out
}

// chords returns points on the arc a, via, b between its ends; none where the
// three lie on a line.
func chords(a, via, b [2]float64) [][2]float64 {
	c, r, ok := circleOf(a, via, b)
	if !ok {
		return nil
	}
	angle := func(p [2]float64) float64 { return math.Atan2(p[1]-c[1], p[0]-c[0]) }
	turn := func(x float64) float64 { return math.Mod(math.Mod(x, 2*math.Pi)+2*math.Pi, 2*math.Pi) }
	start := angle(a)
	sweep, mid := turn(angle(b)-start), turn(angle(via)-start)
	if mid > sweep || sweep == 0 {
		sweep -= 2 * math.Pi
	}
	n := int(math.Ceil(math.Abs(sweep) / (10 * math.Pi / 180)))
	var out [][2]float64
	for k := 1; k < n; k++ {
		sin, cos := math.Sincos(start + sweep*float64(k)/float64(n))
		out = append(out, [2]float64{c[0] + r*cos, c[1] + r*sin})
	}
	return out
}

// circleOf is the circle through three points.
func circleOf(a, b, c [2]float64) (centre [2]float64, radius float64, ok bool) {
	bx, by, cx, cy := b[0]-a[0], b[1]-a[1], c[0]-a[0], c[1]-a[1]
	d := 2 * (bx*cy - by*cx)
	if math.Abs(d) < 1e-9*(bx*bx+by*by+cx*cx+cy*cy) {
		return centre, 0, false
	}
	x := (cy*(bx*bx+by*by) - by*(cx*cx+cy*cy)) / d
	y := (bx*(cx*cx+cy*cy) - cx*(bx*bx+by*by)) / d
	return [2]float64{a[0] + x, a[1] + y}, math.Hypot(x, y), true
}

// outlineAreaMM2 is the area within an outline; arcs count in full.
func outlineAreaMM2(outline []Step) float64 {
	if len(outline) == 0 {
		return 0
	}
	sum := 0.0
	from := outline[len(outline)-1].To
	for _, s := range outline {
		sum += (from[0]*s.To[1] - from[1]*s.To[0]) / 2
		if s.Arc {
			sum += segmentAreaMM2(from, s.Via, s.To)
		}
		from = s.To
	}
	return math.Abs(sum)
}

// segmentAreaMM2 lies between an arc and its chord, positive right of the chord,
// which is outside where the outline runs counter-clockwise.
func segmentAreaMM2(a, via, b [2]float64) float64 {
	_, r, ok := circleOf(a, via, b)
	if !ok {
		return 0
	}
	side := (b[0]-a[0])*(via[1]-a[1]) - (b[1]-a[1])*(via[0]-a[0])
	sweep := arcSweep(a, via, b)
	return math.Copysign(r*r/2*(sweep-math.Sin(sweep)), -side)
}

// arcSweep is twice the angle in which the chord is not seen from via: 2π less
// twice the angle at via.
func arcSweep(a, via, b [2]float64) float64 {
	ux, uy, wx, wy := a[0]-via[0], a[1]-via[1], b[0]-via[0], b[1]-via[1]
	at := math.Atan2(math.Abs(ux*wy-uy*wx), ux*wx+uy*wy)
	return 2*math.Pi - 2*at
}

// perimeterMM is the length of an outline.
func perimeterMM(outline []Step) float64 {
	if len(outline) == 0 {
		return 0
	}
	sum := 0.0
	from := outline[len(outline)-1].To
	for _, s := range outline {
		l := math.Hypot(s.To[0]-from[0], s.To[1]-from[1])
		if s.Arc {
			if _, r, ok := circleOf(from, s.Via, s.To); ok {
				l = r * arcSweep(from, s.Via, s.To)
			}
		}
		sum += l
		from = s.To
	}
	return sum
}

// box is a rectangle about points: its longer side lies at angle.
type box struct {
	centre          [2]float64
	longMM, shortMM float64
	angle           float64
}

// boxOf is the rectangle of least area about points that has one of their edges
// as a direction: the least of all (Freeman and Shapira, CACM 18 (1975) 409), if
// edges of the hull are tried; edges of the outline do for sections.
func boxOf(points [][2]float64) box {
	best, least := box{}, math.Inf(1)
	for i, p := range points {
		q := points[(i+1)%len(points)]
		if math.Hypot(q[0]-p[0], q[1]-p[1]) == 0 {
			continue
		}
		b := boxAt(points, math.Atan2(q[1]-p[1], q[0]-p[0]))
		if a := b.longMM * b.shortMM; a < least*(1-1e-9) {
			best, least = b, a
		}
	}
	return best
}

func boxAt(points [][2]float64, angle float64) box {
	sin, cos := math.Sincos(angle)
	lo, hi := [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
	for _, p := range points {
		for k, x := range [2]float64{cos*p[0] + sin*p[1], -sin*p[0] + cos*p[1]} {
			lo[k], hi[k] = min(lo[k], x), max(hi[k], x)
		}
	}
	u, v := (lo[0]+hi[0])/2, (lo[1]+hi[1])/2
	b := box{centre: [2]float64{cos*u - sin*v, sin*u + cos*v}, longMM: hi[0] - lo[0], shortMM: hi[1] - lo[1], angle: angle}
	if b.longMM < b.shortMM {
		b.longMM, b.shortMM, b.angle = b.shortMM, b.longMM, angle+math.Pi/2
	}
	return b
}

// at is a point of the box's own axes, long one first.
func (b box) at(u, v float64) [2]float64 {
	sin, cos := math.Sincos(b.angle)
	return [2]float64{b.centre[0] + cos*u - sin*v, b.centre[1] + sin*u + cos*v}
}

// inside tells whether a point lies within a closed polyline (even-odd rule).
func inside(points [][2]float64, p [2]float64) bool {
	in := false
	for i, a := range points {
		b := points[(i+1)%len(points)]
		if (a[1] > p[1]) != (b[1] > p[1]) && p[0] < a[0]+(p[1]-a[1])/(b[1]-a[1])*(b[0]-a[0]) {
			in = !in
		}
	}
	return in
}
