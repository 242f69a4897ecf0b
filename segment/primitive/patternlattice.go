package primitive

import (
	"cmp"
	"math"
	"slices"
)

// lattice is o + i a + j b with a, b reduced: |a| ≤ |b|, the angle between them
// 60 to 120 degrees. A row has no b.
type lattice struct {
	o, a, b [2]float64
	row     bool
	place   [][2]int // of each point
	in      []bool   // whether the point stands on it
	n       int      // how many do
	rmsMM   float64
}

// Bounds of what counts as a lattice, as shares of its shorter pitch: over a
// tenth of rms scatter neighbours could change places with noise.
const (
	latticeSlack   = 0.2
	latticeScatter = 0.1
	latticeShare   = 0.7  // least share of the like holes on it
	latticeFilled  = 0.55 // least share of its places that are taken
	latticeMost    = 20000
)

// latticeOf finds the lattice of points: the vectors between neighbours that
// many pairs have in common make the base; places are counted from point to
// point, then the lattice is fitted by least squares and the counting repeated.
func latticeOf(pts [][2]float64) (lattice, bool) {
	var l lattice
	if len(pts) < 4 || len(pts) > latticeMost {
		return l, false
	}
	near := neighbours(pts)
	if !l.base(pts, near) {
		return l, false
	}
	if !l.walk(pts, near) {
		return l, false
	}
	for pass := 0; pass < 4; pass++ {
		if !l.solve(pts) {
			return l, false
		}
		l.count(pts)
	}
	l.reduce()
	l.count(pts)
	short := hypot(l.a[0], l.a[1])
	return l, float64(l.n) >= latticeShare*float64(len(pts)) && l.rmsMM < latticeScatter*short
}

// neighbours lists for every point the eight nearest others, by cells of about
// two points each.
func neighbours(pts [][2]float64) [][]int {
	lo, hi := pts[0], pts[0]
	for _, q := range pts {
		for k := range q {
			lo[k], hi[k] = min(lo[k], q[k]), max(hi[k], q[k])
		}
	}
	wide, high := hi[0]-lo[0], hi[1]-lo[1]
	cell := max(math.Sqrt(2*wide*high/float64(len(pts))), 2*max(wide, high)/float64(len(pts)), 1e-9)
	at := func(q [2]float64) [2]int { return [2]int{int((q[0] - lo[0]) / cell), int((q[1] - lo[1]) / cell)} }
	cells := map[[2]int][]int{}
	for i, q := range pts {
		cells[at(q)] = append(cells[at(q)], i)
	}
	out := make([][]int, len(pts))
	for i, q := range pts {
		c := at(q)
		var list []int
		for ring := 2; ring <= 8 && len(list) < 9; ring *= 2 {
			list = list[:0]
			for x := c[0] - ring; x <= c[0]+ring; x++ {
				for y := c[1] - ring; y <= c[1]+ring; y++ {
					list = append(list, cells[[2]int{x, y}]...)
				}
			}
		}
		out[i] = nearest8(pts, i, list)
	}
	return out
}

// nearest8 lists the eight of list nearest to point i, nearest first; of equal
// ones the lower stands first.
func nearest8(pts [][2]float64, i int, list []int) []int {
	var out []int
	var far []float64
	for _, j := range list {
		d := hypot(pts[j][0]-pts[i][0], pts[j][1]-pts[i][1])
		if j == i || len(out) == 8 && d > far[7] {
			continue
		}
		k := len(out)
		for k > 0 && (d < far[k-1] || d == far[k-1] && j < out[k-1]) {
			k--
		}
		out, far = slices.Insert(out, k, j), slices.Insert(far, k, d)
		if len(out) > 8 {
			out, far = out[:8], far[:8]
		}
	}
	return out
}

// base gathers the vectors to neighbours, either sense as one, in clusters and
// takes the shortest two that are not along one line and have a good number.
func (l *lattice) base(pts [][2]float64, near [][]int) bool {
	var gap []float64
	for i, list := range near {
		if len(list) > 0 {
			gap = append(gap, hypot(pts[list[0]][0]-pts[i][0], pts[list[0]][1]-pts[i][1]))
		}
	}
	reach := latticeSlack * median(gap)
	if !(reach > 0) {
		return false
	}
	type cluster struct {
		sum [2]float64
		n   float64
	}
	var all []cluster
	for i, list := range near {
		for _, j := range list {
			v := [2]float64{pts[j][0] - pts[i][0], pts[j][1] - pts[i][1]}
			if v[0] < -reach || math.Abs(v[0]) <= reach && v[1] < 0 {
				v = [2]float64{-v[0], -v[1]}
			}
			if hypot(v[0], v[1]) > 40*reach {
				continue
			}
			best, least := -1, reach
			for k, c := range all {
				if d := hypot(c.sum[0]/c.n-v[0], c.sum[1]/c.n-v[1]); d < least {
					best, least = k, d
				}
			}
			if best < 0 {
				if len(all) >= 400 {
					continue
				}
				all = append(all, cluster{})
				best = len(all) - 1
			}
			all[best].sum[0] += v[0]
			all[best].sum[1] += v[1]
			all[best].n++
		}
	}
	most := 0.0
	for _, c := range all {
		most = max(most, c.n)
	}
	var v [][2]float64
	for _, c := range all {
		if c.n >= 0.3*most {
			v = append(v, [2]float64{c.sum[0] / c.n, c.sum[1] / c.n})
		}
	}
	slices.SortStableFunc(v, func(a, b [2]float64) int {
		return cmp.Compare(hypot(a[0], a[1]), hypot(b[0], b[1]))
	})
	l.a, l.row = v[0], true
	for _, w := range v[1:] {
		if math.Abs(cross2(l.a, w)) > 0.4*hypot(l.a[0], l.a[1])*hypot(w[0], w[1]) {
			l.b, l.row = w, false
			break
		}
	}
	if l.row {
		l.b = [2]float64{-l.a[1], l.a[0]}
	}
	return true
}

// walk counts places from point to neighbour; the largest connected set counts.
func (l *lattice) walk(pts [][2]float64, near [][]int) bool {
	best := 0
	seen := make([]bool, len(pts))
	for s := range pts {
		if seen[s] {
			continue
		}
		place := make([][2]int, len(pts))
		in := make([]bool, len(pts))
		seen[s], in[s] = true, true
		queue := []int{s}
		for k := 0; k < len(queue); k++ {
			i := queue[k]
			for _, j := range near[i] {
				if seen[j] {
					continue
				}
				x, y, ok := l.steps([2]float64{pts[j][0] - pts[i][0], pts[j][1] - pts[i][1]})
				if ok && (x != 0 || y != 0) && abs(x) <= 2 && abs(y) <= 2 {
					seen[j], in[j] = true, true
					place[j] = [2]int{place[i][0] + x, place[i][1] + y}
					queue = append(queue, j)
				}
			}
		}
		if len(queue) > best {
			best = len(queue)
			l.place, l.in, l.n = place, in, len(queue)
		}
	}
	return best >= 3
}

// steps is v in whole steps of the base; ok where it comes close.
func (l *lattice) steps(v [2]float64) (i, j int, ok bool) {
	d := cross2(l.a, l.b)
	if d == 0 {
		return 0, 0, false
	}
	x, y := cross2(v, l.b)/d, cross2(l.a, v)/d
	if math.Abs(x) > 1e6 || math.Abs(y) > 1e6 {
		return 0, 0, false
	}
	i, j = int(math.Round(x)), int(math.Round(y))
	ru := (x-float64(i))*l.a[0] + (y-float64(j))*l.b[0]
	rv := (x-float64(i))*l.a[1] + (y-float64(j))*l.b[1]
	return i, j, hypot(ru, rv) < latticeSlack*hypot(l.a[0], l.a[1])
}

// solve fits origin and base to the places by least squares. A row keeps its
// second vector square to the first.
func (l *lattice) solve(pts [][2]float64) bool {
	p := 3
	if l.row {
		p = 2
	}
	m := make([]float64, p*p)
	var r [2][3]float64
	for k, q := range pts {
		if !l.in[k] {
			continue
		}
		g := [3]float64{1, float64(l.place[k][0]), float64(l.place[k][1])}
		for i := 0; i < p; i++ {
			for j := 0; j < p; j++ {
				m[i*p+j] += g[i] * g[j]
			}
			r[0][i] += g[i] * q[0]
			r[1][i] += g[i] * q[1]
		}
	}
	inv := invert(m, p)
	if inv == nil {
		return false
	}
	var x [2][3]float64
	for c := range x {
		for i := 0; i < p; i++ {
			for j := 0; j < p; j++ {
				x[c][i] += inv[i*p+j] * r[c][j]
			}
			if math.IsNaN(x[c][i]) || math.IsInf(x[c][i], 0) {
				return false
			}
		}
	}
	l.o, l.a = [2]float64{x[0][0], x[1][0]}, [2]float64{x[0][1], x[1][1]}
	l.b = [2]float64{x[0][2], x[1][2]}
	if l.row {
		l.b = [2]float64{-l.a[1], l.a[0]}
	}
	return math.Abs(cross2(l.a, l.b)) > 1e-12
}

// count gives every point its place, one point a place, the nearest.
func (l *lattice) count(pts [][2]float64) {
	l.n = 0
	ss := 0.0
	owner := map[[2]int]int{}
	off := func(k int) float64 {
		q := l.at(l.place[k][0], l.place[k][1])
		return hypot(pts[k][0]-q[0], pts[k][1]-q[1])
	}
	for k, q := range pts {
		i, j, ok := l.steps([2]float64{q[0] - l.o[0], q[1] - l.o[1]})
		l.place[k], l.in[k] = [2]int{i, j}, ok && (!l.row || j == 0)
		if !l.in[k] {
			continue
		}
		if other, twice := owner[l.place[k]]; twice {
			if off(other) <= off(k) {
				l.in[k] = false
				continue
			}
			l.in[other] = false
		}
		owner[l.place[k]] = k
	}
	for k := range pts {
		if l.in[k] {
			l.n++
			ss += off(k) * off(k)
		}
	}
	free := max(2*l.n-6, 1)
	l.rmsMM = math.Sqrt(ss / float64(free) * 2)
}

func (l *lattice) at(i, j int) [2]float64 {
	x, y := float64(i), float64(j)
	return [2]float64{l.o[0] + x*l.a[0] + y*l.b[0], l.o[1] + x*l.a[1] + y*l.b[1]}
}

// reduce makes the base the two shortest vectors (Lagrange's reduction).
func (l *lattice) reduce() {
	if l.row {
		return
	}
	for k := 0; k < 50; k++ {
		if hypot(l.b[0], l.b[1]) < hypot(l.a[0], l.a[1]) {
			l.a, l.b = l.b, l.a
		}
		m := math.Round((l.a[0]*l.b[0] + l.a[1]*l.b[1]) / (l.a[0]*l.a[0] + l.a[1]*l.a[1]))
		if m == 0 {
			return
		}
		l.b[0] -= m * l.a[0]
		l.b[1] -= m * l.a[1]
	}
}

func cross2(a, b [2]float64) float64 { return a[0]*b[1] - a[1]*b[0] }

func abs(x int) int {
	if x < 0 {
		return -x
	}
	return x
}
