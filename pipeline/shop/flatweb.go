package shop

import "math"

// web is the least distance between two loops: circles exactly, others between
// their chords. Infinite where there is one loop only.
func (f Flat) web() float64 {
	loops := []Loop{f.Outer}
	for _, o := range f.Openings {
		loops = append(loops, o.Loop)
	}
	lines := make([][][2]float64, len(loops))
	boxes := make([][2][2]float64, len(loops))
	for i, l := range loops {
		lines[i] = l.line()
		lo, hi := l.box()
		boxes[i] = [2][2]float64{lo, hi}
	}
	best := math.Inf(1)
	for i := range loops {
		for k := i + 1; k < len(loops); k++ {
			if i > 0 && apart(boxes[i], boxes[k]) >= best {
				continue
			}
			best = math.Min(best, between(loops[i], loops[k], lines[i], lines[k], best))
		}
	}
	return best
}

// apart is the distance of two rectangles along the axes.
func apart(a, b [2][2]float64) float64 {
	dx := math.Max(0, math.Max(a[0][0]-b[1][0], b[0][0]-a[1][0]))
	dy := math.Max(0, math.Max(a[0][1]-b[1][1], b[0][1]-a[1][1]))
	return math.Hypot(dx, dy)
}

// between is the distance of two loops; best stops the search for what is farther.
func between(a, b Loop, la, lb [][2]float64, best float64) float64 {
	switch {
	case a.RadiusMM > 0 && b.RadiusMM > 0:
		d := math.Hypot(a.CentreMM[0]-b.CentreMM[0], a.CentreMM[1]-b.CentreMM[1])
		return math.Max(0, math.Max(d-a.RadiusMM-b.RadiusMM, math.Max(a.RadiusMM-d-b.RadiusMM, b.RadiusMM-d-a.RadiusMM)))
	case a.RadiusMM > 0:
		return math.Abs(toCircle(lb, a))
	case b.RadiusMM > 0:
		return math.Abs(toCircle(la, b))
	}
	for i, p := range la {
		q := la[(i+1)%len(la)]
		for k, r := range lb {
			s := lb[(k+1)%len(lb)]
			best = math.Min(best, math.Min(math.Min(toChord(r, p, q), toChord(s, p, q)), math.Min(toChord(p, r, s), toChord(q, r, s))))
		}
	}
	return best
}

// toCircle is how far a line stays from a circle's edge, 0 where it crosses it.
func toCircle(line [][2]float64, c Loop) float64 {
	least, most := math.Inf(1), 0.0
	for i, p := range line {
		least = math.Min(least, toChord(c.CentreMM, p, line[(i+1)%len(line)]))
		most = math.Max(most, math.Hypot(p[0]-c.CentreMM[0], p[1]-c.CentreMM[1]))
	}
	return math.Max(0, math.Max(least-c.RadiusMM, c.RadiusMM-most))
}

// toChord is the distance of a point from the line between two others.
func toChord(p, a, b [2]float64) float64 {
	x, y := b[0]-a[0], b[1]-a[1]
	l2 := x*x + y*y
	t := 0.0
	if l2 > 0 {
		t = math.Min(1, math.Max(0, ((p[0]-a[0])*x+(p[1]-a[1])*y)/l2))
	}
	return math.Hypot(p[0]-a[0]-t*x, p[1]-a[1]-t*y)
}
