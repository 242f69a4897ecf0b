package assembly

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// spaced finds equal pieces at equal steps along a line or round a circle.
func (r *relating) spaced() []Relation {
	var out []Relation
	for _, s := range r.same {
		if len(s) < 3 || len(s) > 200 {
			continue
		}
		within := 0.0
		for _, i := range s {
			within = max(within, 2*max(r.f[i].placeMM, r.endMM(i)))
		}
		order, step, residual := r.alongLine(s)
		// Each piece beyond the second has three coordinates to agree in.
		chance := math.Pow(2*within/r.spanMM, 3*float64(len(s)-2))
		if residual <= within && chance <= chanceShare {
			out = append(out, Relation{Kind: "equally_spaced", Of: "line", Bodies: order, Value: step, Residual: residual, Within: within, Unit: "mm", Chance: chance})
			continue
		}
		// Round a circle the first three pieces set plane, centre and size, but for
		// their two angles.
		order, step, residual = r.roundCircle(s)
		chance = math.Pow(2*within/r.spanMM, 2+3*float64(len(s)-3))
		if residual <= within && chance <= chanceShare {
			out = append(out, Relation{Kind: "equally_spaced", Of: "circle", Bodies: order, Value: step, Residual: residual, Within: within, Unit: "mm", Chance: chance})
		}
	}
	return out
}

// endMM is how well the middle of a piece is placed along its length.
func (r *relating) endMM(i int) float64 {
	for _, d := range r.f[i].b.e.Dims {
		if d.Key == "length_mm" || d.Key == "height_mm" {
			return d.U95 / 2 * math.Sqrt2
		}
	}
	return 0
}

// alongLine orders the bodies along the line of their origins: the least-squares
// places at one step, and the largest departure from them.
func (r *relating) alongLine(s []int) (order []int, step, residual float64) {
	var far [2]int
	most := -1.0
	for a, i := range s {
		for _, j := range s[a+1:] {
			if d := r3.Norm(r3.Sub(r.f[i].at, r.f[j].at)); d > most {
				most, far = d, [2]int{i, j}
			}
		}
	}
	e := unit(r3.Sub(r.f[far[1]].at, r.f[far[0]].at))
	order = slices.Clone(s)
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(r3.Dot(r.f[a].at, e), r3.Dot(r.f[b].at, e)) })
	n := float64(len(order))
	var mean, slope r3.Vec
	for _, i := range order {
		mean = r3.Add(mean, r3.Scale(1/n, r.f[i].at))
	}
	for k, i := range order {
		slope = r3.Add(slope, r3.Scale((float64(k)-(n-1)/2)*12/(n*(n*n-1)), r.f[i].at))
	}
	for k, i := range order {
		want := r3.Add(mean, r3.Scale(float64(k)-(n-1)/2, slope))
		residual = max(residual, r3.Norm(r3.Sub(r.f[i].at, want)))
	}
	return order, r3.Norm(slope), residual
}

// roundCircle orders the bodies round the mean of their origins: equal steps of a
// full turn.
func (r *relating) roundCircle(s []int) (order []int, stepDeg, residual float64) {
	n := float64(len(s))
	var mean r3.Vec
	for _, i := range s {
		mean = r3.Add(mean, r3.Scale(1/n, r.f[i].at))
	}
	u := r3.Sub(r.f[s[0]].at, mean)
	var axis r3.Vec
	for _, i := range s[1:] { // the pair that spans the plane best
		if c := r3.Cross(u, r3.Sub(r.f[i].at, mean)); r3.Norm(c) > r3.Norm(axis) {
			axis = c
		}
	}
	if r3.Norm(axis) == 0 {
		return s, 0, math.Inf(1)
	}
	axis = unit(axis)
	e1 := unit(u)
	e2 := r3.Cross(axis, e1)
	angle := func(i int) float64 {
		w := r3.Sub(r.f[i].at, mean)
		return math.Atan2(r3.Dot(w, e2), r3.Dot(w, e1))
	}
	order = slices.Clone(s)
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(angle(a), angle(b)) })
	step := 2 * math.Pi / n
	radius, sin, cos := 0.0, 0.0, 0.0
	for k, i := range order {
		radius += r3.Norm(r3.Sub(r.f[i].at, mean)) / n
		x, y := math.Sincos(angle(i) - float64(k)*step)
		sin, cos = sin+x, cos+y
	}
	start := math.Atan2(sin, cos)
	for k, i := range order {
		x, y := math.Sincos(start + float64(k)*step)
		want := r3.Add(mean, r3.Add(r3.Scale(radius*y, e1), r3.Scale(radius*x, e2)))
		residual = max(residual, r3.Norm(r3.Sub(r.f[i].at, want)))
	}
	return order, deg(step), residual
}

// mirrorMost bounds the number of equal pieces that are tried for mirror images.
const mirrorMost = 60

// mirrored finds planes about which equal pieces are mirror images: at least two
// pairs about one plane, or a pair and a piece whose own middle plane or axis
// lies in it.
func (r *relating) mirrored() []Relation {
	var out []Relation
	type plane struct{ n, at r3.Vec }
	var tried []plane
	for _, s := range r.same {
		if len(s) > mirrorMost {
			continue
		}
		for a, i := range s {
			for _, j := range s[a+1:] {
				w := r3.Sub(r.f[j].at, r.f[i].at)
				p := plane{unit(w), r3.Scale(0.5, r3.Add(r.f[i].at, r.f[j].at))}
				apart := r3.Norm(w)
				if apart < 20*(r.f[i].placeMM+r.f[j].placeMM) || len(tried) > 400 {
					continue
				}
				known := slices.ContainsFunc(tried, func(q plane) bool {
					return math.Abs(r3.Dot(q.n, p.n)) > 1-1e-6 && math.Abs(r3.Dot(r3.Sub(q.at, p.at), p.n)) < 0.1
				})
				if known {
					continue
				}
				tried = append(tried, p)
				if x, ok := r.about(p.n, p.at); ok {
					out = append(out, x)
				}
			}
		}
	}
	return out
}

// about collects what is mirrored about a plane.
func (r *relating) about(n, at r3.Vec) (Relation, bool) {
	x := Relation{Kind: "mirrored", Of: "plane", Unit: "mm", AtMM: at, Normal: n}
	pairs, on := 0, 0
	chance := 1.0
	used := make([]bool, len(r.f))
	for _, s := range r.same {
		if len(s) > mirrorMost {
			continue
		}
		for a, i := range s {
			for _, j := range s[a+1:] {
				if used[i] || used[j] {
					continue
				}
				image := r3.Sub(r.f[i].at, r3.Scale(2*r3.Dot(r3.Sub(r.f[i].at, at), n), n))
				d, within := r3.Norm(r3.Sub(image, r.f[j].at)), 2*joint(max(r.f[i].placeMM, r.endMM(i)), max(r.f[j].placeMM, r.endMM(j)))
				axis := r3.Sub(r.f[i].axis, r3.Scale(2*r3.Dot(r.f[i].axis, n), n))
				if d > within || r3.Norm(r3.Cross(axis, r.f[j].axis)) > joint(r.f[i].tilt, r.f[j].tilt) {
					continue
				}
				used[i], used[j] = true, true
				pairs++
				if pairs > 1 {
					chance *= math.Pow(2*within/r.spanMM, 3)
				}
				x.Bodies = append(x.Bodies, i, j)
				x.Residual, x.Within = max(x.Residual, d), max(x.Within, within)
			}
		}
	}
	for i, f := range r.f {
		if used[i] || f.axis == (r3.Vec{}) {
			continue
		}
		d, within := math.Abs(r3.Dot(r3.Sub(f.at, at), n)), 2*f.placeMM
		c := math.Abs(r3.Dot(f.axis, n))
		if d <= within && (c < f.tilt*2 || c > math.Cos(2*f.tilt)) {
			x.Bodies = append(x.Bodies, i)
			on++
			chance *= 2 * within / r.spanMM * float64(len(r.f))
			x.Residual, x.Within = max(x.Residual, d), max(x.Within, within)
		}
	}
	slices.Sort(x.Bodies)
	x.Chance = min(chance, 1)
	return x, pairs > 0 && pairs+on > 1 && chance <= chanceShare
}
