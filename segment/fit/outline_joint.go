package fit

import "math"

// outlineModel is the outline as a function of parameters: a shift and a turn
// of every line, a shift, a turn and a change of curvature of every arc, the
// place of every fillet between its lines. Lines of one group share the turn.
type outlineModel struct {
	Segs  []outlineSeg
	Balls []outlineBall // of the fillets, at the base
	Par   [][]int       // parameters of each step, in the order above
	N     int           // number of parameters
	Cov   []outlineCov  // blocks of the covariance, in units of the variance
}

type outlineCov struct {
	Par []int
	M   []float64 // len(Par)² row-major
}

// newOutlineModel numbers the parameters; group[k] is the step whose turn step
// k shares, or k.
func newOutlineModel(segs []outlineSeg, group []int) *outlineModel {
	m := &outlineModel{Segs: segs, Balls: make([]outlineBall, len(segs)), Par: make([][]int, len(segs))}
	turn := make([]int, len(segs))
	take := func() int { m.N++; return m.N - 1 }
	for k, s := range segs {
		switch {
		case s.Fillet:
			m.Balls[k], _ = outlineTouching(segs[(k+len(segs)-1)%len(segs)].C, segs[(k+1)%len(segs)].C)
			m.Par[k] = []int{take()}
		case s.Arc:
			m.Par[k] = []int{take(), take(), take()}
		case group[k] != k:
			m.Par[k] = []int{take(), turn[group[k]]}
		default:
			m.Par[k] = []int{take(), take()}
			turn[k] = m.Par[k][1]
		}
	}
	return m
}

func (m *outlineModel) around(k int) (int, int) {
	n := len(m.Segs)
	return (k + n - 1) % n, (k + 1) % n
}

// curves returns the curves at x; x = 0 gives those of Segs.
func (m *outlineModel) curves(x []float64) []outlineCurve {
	out := make([]outlineCurve, len(m.Segs))
	all := make([]int, len(m.Segs))
	for k := range all {
		all[k] = k
	}
	m.place(x, all, out)
	return out
}

// place writes the curves of the steps in part at x to out. A fillet's lines
// are to be in the same part.
func (m *outlineModel) place(x []float64, part []int, out []outlineCurve) {
	for _, k := range part {
		s, p := m.Segs[k], m.Par[k]
		switch {
		case s.Fillet:
		case s.Arc:
			out[k] = s.C.moved(x[p[0]], x[p[1]], x[p[2]])
		default:
			out[k] = s.C.moved(x[p[0]], x[p[1]], 0)
		}
	}
	for _, k := range part {
		if m.Segs[k].Fillet {
			out[k] = m.fillet(k, out, x[m.Par[k][0]])
		}
	}
}

// fillet is the circle between the lines before and after step k whose centre
// has moved by ds along the bisector of the base.
func (m *outlineModel) fillet(k int, c []outlineCurve, ds float64) outlineCurve {
	a, b := m.around(k)
	t, ok := outlineTouching(c[a], c[b])
	base := m.Balls[k]
	old := m.Segs[k].C
	if !ok {
		return old
	}
	p := old.Centre()
	e := base.E
	want := e[0]*p[0] + e[1]*p[1] + ds
	along := e[0]*t.E[0] + e[1]*t.E[1]
	if math.Abs(along) < 0.1 {
		return old
	}
	s := (want - e[0]*t.C0[0] - e[1]*t.C0[1]) / along
	if out, ok := t.curve(s, old.Q); ok {
		return out
	}
	return old
}

// residual writes the derivatives of the distance of p to step k to grad at the
// places of the step's parameters, and returns the distance.
func (m *outlineModel) residual(k int, c []outlineCurve, u [2]float64, p [2]float64, grad func(i int) *float64) float64 {
	s, par := m.Segs[k], m.Par[k]
	if !s.Fillet {
		d, g := c[k].grad(u, p)
		// The shift goes along the normal of the base, not of the turned curve.
		sb, cb := math.Sincos(c[k].Theta - s.C.Theta)
		g[0] = cb*g[0] - sb*c[k].K*g[1]
		for i, j := range par {
			*grad(j) += g[i]
		}
		return d
	}
	ia, ib := m.around(k)
	a, b := c[ia], c[ib]
	ua, ub := a.u(), b.u()
	n1, n2 := [2]float64{ua[1], -ua[0]}, [2]float64{ub[1], -ub[0]}
	mx, my := n1[0]-n2[0], n1[1]-n2[1]
	e, sense := m.Balls[k].E, m.Balls[k].Sense
	o := c[k].Centre()
	x, y := p[0]-o[0], p[1]-o[1]
	l := math.Max(math.Hypot(x, y), 1e-300)
	// The distance is sense·|p-o| - (d1 - n1·o) with d = n·Q; v·do is what a
	// move do of the centre adds. The centre solves (n1-n2)·o = d1-d2, e·o = s.
	vx, vy := n1[0]-sense*x/l, n1[1]-sense*y/l
	det := mx*e[1] - my*e[0]
	perRHS, perS := (vx*e[1]-vy*e[0])/det, (vy*mx-vx*my)/det
	q1 := ua[0]*(a.Q[0]-o[0]) + ua[1]*(a.Q[1]-o[1])
	q2 := ub[0]*(b.Q[0]-o[0]) + ub[1]*(b.Q[1]-o[1])
	ca, cb := math.Cos(a.Theta-m.Segs[ia].C.Theta), math.Cos(b.Theta-m.Segs[ib].C.Theta)
	pa, pb := m.Par[ia], m.Par[ib]
	*grad(pa[0]) += ca * (1 - perRHS)
	*grad(pa[1]) += q1 * (perRHS - 1)
	*grad(pb[0]) += cb * perRHS
	*grad(pb[1]) -= q2 * perRHS
	*grad(par[0]) += perS
	return c[k].Dist(p)
}

// parts splits the steps into sets that share no parameter.
func (m *outlineModel) parts() [][]int {
	n := len(m.Segs)
	root := make([]int, n)
	owner := make([]int, m.N)
	for i := range owner {
		owner[i] = -1
	}
	for k := range root {
		root[k] = k
	}
	find := func(k int) int {
		for root[k] != k {
			root[k] = root[root[k]]
			k = root[k]
		}
		return k
	}
	join := func(a, b int) {
		a, b = find(a), find(b)
		root[max(a, b)] = min(a, b)
	}
	for k, s := range m.Segs {
		for _, p := range m.Par[k] {
			if owner[p] >= 0 {
				join(owner[p], k)
			}
			owner[p] = k
		}
		if s.Fillet {
			a, b := m.around(k)
			join(k, a)
			join(k, b)
		}
	}
	var out [][]int
	at := make([]int, n)
	for k := range root {
		if r := find(k); r == k {
			at[k] = len(out)
			out = append(out, []int{k})
		} else {
			out[at[r]] = append(out[at[r]], k)
		}
	}
	return out
}

// solve moves the parameters of the steps in part to the least sum of squares
// with the weights given, and keeps the covariance; brief where the weights are not the
// last.
func (m *outlineModel) solve(part []int, pts [][]outlinePoint, x []float64, brief bool) error {
	local := make([]int, m.N) // 1 more than the place in par, 0 for none
	var par []int
	for _, k := range part {
		for _, p := range m.Par[k] {
			if local[p] == 0 {
				par = append(par, p)
				local[p] = len(par)
			}
		}
	}
	var who []int
	var flat []outlinePoint
	var weight []float64
	for _, k := range part {
		for _, p := range pts[k] {
			who, flat, weight = append(who, k), append(flat, p), append(weight, p.W/p.Var)
		}
	}
	full := append([]float64(nil), x...)
	c := make([]outlineCurve, len(m.Segs))
	dirs := make([][2]float64, len(m.Segs))
	pr := Problem{N: len(flat), P: len(par), Weight: weight, Brief: brief}
	pr.Prepare = func(at []float64) {
		for i, p := range par {
			full[p] = at[i]
		}
		m.place(full, part, c)
		for _, k := range part {
			dirs[k] = c[k].u()
		}
	}
	pr.Residual = func(at []float64, i int, grad []float64) float64 {
		clear(grad)
		return m.residual(who[i], c, dirs[who[i]], flat[i].P, func(j int) *float64 { return &grad[local[j]-1] })
	}
	start := make([]float64, len(par))
	for i, p := range par {
		start[i] = x[p]
	}
	sol, err := Solve(pr, start)
	if err != nil {
		return err
	}
	for i, p := range par {
		x[p] = sol.X[i]
	}
	m.Cov = append(m.Cov, outlineCov{Par: par, M: sol.Cov})
	return nil
}
