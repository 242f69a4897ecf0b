package report

import "math"

// Distances that the layout of the diagram aims at, in its units.
const (
	linkLong   = 150.0
	rowStretch = 1.25 // boxes are wider than high
	laySteps   = 500
	layMost    = 300 // elements that are laid out by springs; more go on a circle
)

// layOut places n boxes so that distances on the sheet follow the number of
// contacts between them (stress by Kamada and Kawai 1989, lowered one box at a
// time to the mean of where the others want it, after Gansner and others 2004),
// then pushes boxes apart. It starts from a circle, so that the same links give
// the same sheet.
func layOut(n int, links [][2]int, wide []float64) [][2]float64 {
	at := make([][2]float64, n)
	for i := range at {
		s, c := math.Sincos(2*math.Pi*float64(i)/float64(max(n, 1)) + 0.3)
		r := linkLong * max(1, float64(n)/6)
		at[i] = [2]float64{r * c, r * s}
	}
	if n < 2 || n > layMost {
		return at
	}
	hops := hopsOf(n, links)
	for range laySteps {
		for i := range at {
			var sum [2]float64
			weight := 0.0
			for j := range at {
				if j == i {
					continue
				}
				want := linkLong * hops[i][j]
				dx, dy := at[i][0]-at[j][0], at[i][1]-at[j][1]
				l := max(math.Hypot(dx, dy), 1e-6)
				w := 1 / (want * want)
				sum[0] += w * (at[j][0] + dx/l*want)
				sum[1] += w * (at[j][1] + dy/l*want)
				weight += w
			}
			at[i] = [2]float64{sum[0] / weight, sum[1] / weight}
		}
	}
	level(at)
	pushApart(at, wide)
	return at
}

// hopsOf is the number of contacts on the way from each element to each other;
// for those that nothing joins, a little more than the longest way.
func hopsOf(n int, links [][2]int) [][]float64 {
	h := make([][]float64, n)
	for i := range h {
		h[i] = make([]float64, n)
		for j := range h[i] {
			h[i][j] = math.Inf(1)
		}
		h[i][i] = 0
	}
	for _, l := range links {
		h[l[0]][l[1]], h[l[1]][l[0]] = 1, 1
	}
	far := 1.0
	for k := range n {
		for i := range n {
			for j := range n {
				h[i][j] = min(h[i][j], h[i][k]+h[k][j])
			}
		}
	}
	for i := range n {
		for j := range n {
			if !math.IsInf(h[i][j], 1) {
				far = max(far, h[i][j])
			}
		}
	}
	for i := range n {
		for j := range n {
			if math.IsInf(h[i][j], 1) {
				h[i][j] = far + 0.5
			}
		}
	}
	return h
}

// level turns the layout so that its longest way lies across the sheet.
func level(at [][2]float64) {
	var mx, my, xx, yy, xy float64
	n := float64(len(at))
	for _, p := range at {
		mx, my = mx+p[0]/n, my+p[1]/n
	}
	for _, p := range at {
		x, y := p[0]-mx, p[1]-my
		xx, yy, xy = xx+x*x, yy+y*y, xy+x*y
	}
	s, c := math.Sincos(-0.5 * math.Atan2(2*xy, xx-yy))
	for i, p := range at {
		x, y := p[0]-mx, p[1]-my
		at[i] = [2]float64{rowStretch * (c*x - s*y), s*x + c*y}
	}
}

// pushApart moves boxes that overlap apart, by the shorter way.
func pushApart(at [][2]float64, wide []float64) {
	const room = 26 // for the number between two boxes
	for range 200 {
		still := true
		for i := range at {
			for j := i + 1; j < len(at); j++ {
				dx, dy := at[j][0]-at[i][0], at[j][1]-at[i][1]
				ox := (wide[i]+wide[j])/2 + room - math.Abs(dx)
				oy := boxHigh + room - math.Abs(dy)
				if ox <= 0 || oy <= 0 {
					continue
				}
				still = false
				if ox < oy {
					m := math.Copysign(ox/2+0.5, dx)
					at[i][0], at[j][0] = at[i][0]-m, at[j][0]+m
				} else {
					m := math.Copysign(oy/2+0.5, dy)
					at[i][1], at[j][1] = at[i][1]-m, at[j][1]+m
				}
			}
		}
		if still {
			return
		}
	}
}
