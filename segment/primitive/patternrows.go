package primitive

import (
	"math"
)

// latticePattern tells whether the holes stand on a lattice of rows, and which.
// Where few holes may be read both as a ring and as a lattice, a ring is meant on
// a round piece and from five holes on.
func latticePattern(holes []Hole, edge [][2]float64, round bool) (Pattern, bool) {
	n := len(holes)
	if n < 4 || round && n < 7 {
		return Pattern{}, false
	}
	if n > 4 && n < 60 {
		if _, ring := ringPattern(holes); ring {
			return Pattern{}, false
		}
	}
	pts := make([][2]float64, n)
	for i, h := range holes {
		pts[i] = h.CentreMM
	}
	l, ok := latticeOf(pts)
	short := hypot(l.a[0], l.a[1])
	if !ok || l.n < 4 || round && float64(l.n) < 0.9*float64(n) || l.n < 6 && l.rmsMM > 0.03*short {
		return Pattern{}, false
	}
	var in []Hole
	for i, h := range holes {
		if l.in[i] {
			in = append(in, h)
		}
	}
	p := Pattern{Holes: l.n, CentresMM: short, ScatterMM: l.rmsMM}
	p.Hole, p.HoleU95 = medianHole(in)
	r := l.arrange(&p)
	if !p.places(&l, r, pts, edge) {
		return Pattern{}, false
	}
	p.OpenPercent = openMeasured(&p, in)
	p.FormulaPercent = openFormula(&p)
	if l.row {
		p.AcrossMM, p.OpenPercent, p.FormulaPercent = 0, 0, 0
	}
	return p, true
}

// Angle and share within which a lattice is taken for one of the trade's.
const (
	latticeDeg  = 4
	latticeLike = 0.03
)

// arrange names the arrangement and returns the unit vector along its rows: of
// the directions that the arrangement allows, the one nearest to u or v, and u
// before v.
func (l *lattice) arrange(p *Pattern) [2]float64 {
	la, lb := hypot(l.a[0], l.a[1]), hypot(l.b[0], l.b[1])
	dot := l.a[0]*l.b[0] + l.a[1]*l.b[1]
	cell := math.Abs(cross2(l.a, l.b))
	sum, diff := [2]float64{l.a[0] + l.b[0], l.a[1] + l.b[1]}, [2]float64{l.a[0] - l.b[0], l.a[1] - l.b[1]}
	like := max(latticeLike, 2*l.rmsMM/(la*math.Sqrt(float64(max(l.n, 1)))))
	tilt := math.Asin(math.Min(math.Abs(dot)/(la*lb), 1)) * 180 / math.Pi // from square
	equal := lb < (1+like)*la
	var way [][2]float64
	switch {
	case l.row:
		p.Arrangement, way = "row", [][2]float64{l.a}
	case tilt < latticeDeg && equal && offAxis(l.a) > 35:
		p.Arrangement, way = "staggered_45", [][2]float64{sum, diff}
	case tilt < latticeDeg:
		p.Arrangement, way = "rectangular", [][2]float64{l.a, l.b}
		if equal {
			p.Arrangement = "square"
		}
	case equal && math.Abs(tilt-30) < latticeDeg:
		p.Arrangement, way = "staggered_60", [][2]float64{l.a, l.b, sum}
		if dot > 0 {
			way[2] = diff
		}
	case equal:
		p.Arrangement, way = "staggered", [][2]float64{sum, diff}
	case math.Abs(math.Abs(dot)-la*la/2) < like*la*la:
		w := [2]float64{2*l.b[0] - math.Copysign(1, dot)*l.a[0], 2*l.b[1] - math.Copysign(1, dot)*l.a[1]}
		p.Arrangement, way = "staggered", [][2]float64{l.a, w}
	default:
		p.Arrangement, way = "oblique", [][2]float64{l.a, l.b}
	}
	best := way[0]
	for _, w := range way[1:] {
		if rank := func(v [2]float64) float64 { return offAxis(v) + 0.01*offU(v) }; rank(w) < rank(best) {
			best = w
		}
	}
	p.AlongMM = hypot(best[0], best[1])
	p.AcrossMM = cell / p.AlongMM
	p.AngleDeg = math.Atan2(best[1], best[0]) * 180 / math.Pi // of a line: over -90 to 90
	switch {
	case p.AngleDeg > 90+1e-6:
		p.AngleDeg -= 180
	case p.AngleDeg <= -90+1e-6:
		p.AngleDeg += 180
	}
	return [2]float64{best[0] / p.AlongMM, best[1] / p.AlongMM}
}

// offU is the angle of a line along v from u, 0 to 90 degrees.
func offU(v [2]float64) float64 {
	return math.Atan2(math.Abs(v[1]), math.Abs(v[0])) * 180 / math.Pi
}

// offAxis is its angle from u or v, whichever is nearer.
func offAxis(v [2]float64) float64 { return math.Min(offU(v), 90-offU(v)) }

// places counts rows and columns and finds the places without a hole. The field
// is the rectangle of rows and columns that holds the pattern, cut by the piece's
// outline; where over 15 % of it would lack, the field has another shape and is
// the least convex one.
func (p *Pattern) places(l *lattice, r [2]float64, pts, edge [][2]float64) bool {
	along := func(q [2]float64) float64 { return (q[0]-l.o[0])*r[0] + (q[1]-l.o[1])*r[1] }
	across := func(q [2]float64) float64 { return (q[1]-l.o[1])*r[0] - (q[0]-l.o[0])*r[1] }
	lo, hi := [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
	taken := map[[2]int]bool{}
	var there [][2]float64
	for k, q := range pts {
		if !l.in[k] {
			continue
		}
		taken[l.place[k]] = true
		there = append(there, q)
		for i, x := range [2]float64{along(q), across(q)} {
			lo[i], hi[i] = min(lo[i], x), max(hi[i], x)
		}
	}
	slack := [2]float64{0.25 * p.AlongMM, 0.25 * p.AcrossMM}
	sites, ok := l.within(r, [2]float64{lo[0] - slack[0], lo[1] - slack[1]}, [2]float64{hi[0] + slack[0], hi[1] + slack[1]})
	if !ok {
		return false
	}
	keep := func(holds func([2]float64) bool) {
		var left [][2]int
		for _, s := range sites {
			if taken[s] || holds(l.at(s[0], s[1])) {
				left = append(left, s)
			}
		}
		sites = left
	}
	if len(edge) > 2 {
		half := math.Sqrt(p.Hole.areaMM2()/math.Pi) + 0.05*p.CentresMM
		keep(func(q [2]float64) bool { return insideChain(q, edge) && chainDistance(q, edge) > half })
	}
	if float64(l.n) < 0.85*float64(len(sites)) {
		hull := convexHull(there)
		keep(func(q [2]float64) bool {
			return insideChain(q, hull) || chainDistance(q, hull) < 0.1*p.CentresMM
		})
	}
	if len(sites) == 0 || float64(l.n) < latticeFilled*float64(len(sites)) {
		return false
	}
	rows := map[int]int{}
	spread, middle := [2]float64{}, [2]float64{(lo[0] + hi[0]) / 2, (lo[1] + hi[1]) / 2}
	for _, s := range sites {
		q := l.at(s[0], s[1])
		row := int(math.Round((across(q) - lo[1]) / p.AcrossMM))
		rows[row]++
		p.Columns = max(p.Columns, rows[row])
		if !taken[s] {
			p.MissingMM = append(p.MissingMM, q)
			continue
		}
		spread[0] += sq((along(q) - middle[0]) / p.AlongMM)
		spread[1] += sq((across(q) - middle[1]) / p.AcrossMM)
	}
	p.Rows = len(rows)
	if l.row {
		spread[1] = spread[0]
	}
	p.PitchU95 = 1.96 * l.rmsMM / math.Sqrt2 / math.Sqrt(max(min(spread[0], spread[1]), 0.5))
	p.CentreMM = [2]float64{l.o[0] + middle[0]*r[0] - middle[1]*r[1], l.o[1] + middle[0]*r[1] + middle[1]*r[0]}
	return true
}

func sq(x float64) float64 { return x * x }

// within lists the places in a rectangle along r, in rising order.
func (l *lattice) within(r, lo, hi [2]float64) ([][2]int, bool) {
	d := cross2(l.a, l.b)
	from, to := [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
	for k := 0; k < 4; k++ {
		x, y := lo[0], lo[1]
		if k&1 == 1 {
			x = hi[0]
		}
		if k&2 == 2 {
			y = hi[1]
		}
		v := [2]float64{x*r[0] - y*r[1], x*r[1] + y*r[0]}
		for i, s := range [2]float64{cross2(v, l.b) / d, cross2(l.a, v) / d} {
			from[i], to[i] = min(from[i], s), max(to[i], s)
		}
	}
	if l.row {
		from[1], to[1] = 0, 0
	}
	if !((to[0]-from[0]+1)*(to[1]-from[1]+1) < 10*latticeMost) {
		return nil, false
	}
	var out [][2]int
	for j := int(math.Floor(from[1])); j <= int(math.Ceil(to[1])); j++ {
		for i := int(math.Floor(from[0])); i <= int(math.Ceil(to[0])); i++ {
			q := l.at(i, j)
			x := (q[0]-l.o[0])*r[0] + (q[1]-l.o[1])*r[1]
			y := (q[1]-l.o[1])*r[0] - (q[0]-l.o[0])*r[1]
			if x >= lo[0] && x <= hi[0] && y >= lo[1] && y <= hi[1] {
				out = append(out, [2]int{i, j})
			}
		}
	}
	return out, true
}
