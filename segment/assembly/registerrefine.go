package assembly

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"
)

// off is the mean distance of points from the nearest facet of the whole, none
// over a twentieth of its size, that much where it faces another way: how bad a
// start is.
func (t *facetTree) off(points []oriented, g Rigid) float64 {
	sum := 0.0
	for _, q := range points {
		v, far := t.nearest(g.At(q.p))
		if r3.Dot(g.Dir(q.n), t.normal(v)) < 0.5 {
			far = t.size / 20
		}
		sum += min(far, t.size/20)
	}
	return sum / float64(max(len(points), 1))
}

// refine turns and moves until the points lie best on the whole's surface, from
// a wide reach to the last one.
func (t *facetTree) refine(points []oriented, g Rigid, reach float64) Registration {
	wide := max(t.size/20, 4*reach)
	r := Registration{Rigid: g, RMSMM: math.Inf(1)}
	for step := range registerSteps {
		near := t.matches(points, r.Rigid, wide, reach)
		if len(near) < 12 {
			return Registration{Rigid: g, RMSMM: math.Inf(1), cost: math.Inf(1)}
		}
		move, turned := solveMotion(near, t.centre)
		r.Rigid, r.Steps = move.after(r.Rigid), step+1
		if wide = max(0.7*wide, 2*reach); wide <= 2*reach && turned < 1e-7*t.size {
			break
		}
	}
	near := t.matches(points, r.Rigid, 2*reach, reach)
	ss := 0.0
	for _, m := range near {
		ss += m.d * m.d
	}
	r.cost = ss + float64(len(points)-len(near))*4*reach*reach
	r.Share = float64(len(near)) / float64(max(len(points), 1))
	r.RMSMM = math.Sqrt(ss / float64(max(len(near), 1)))
	return r
}

// match is a point that lies near the whole: where, and its distance d along the
// whole's normal there.
type match struct {
	at, n r3.Vec
	d     float64
}

// matches pairs points with the nearest facet that faces the same way, within
// wide of it; once wide has come down to the scans' own reach, those over three
// robust deviations off are left out.
func (t *facetTree) matches(points []oriented, g Rigid, wide, reach float64) []match {
	var out []match
	var off []float64
	for _, q := range points {
		at, n := g.At(q.p), g.Dir(q.n)
		v, far := t.nearest(at)
		if far > wide+t.edge || r3.Dot(n, t.normal(v)) < 0.7 {
			continue
		}
		m := match{at, t.normal(v), r3.Dot(r3.Sub(at, t.point(v)), t.normal(v))}
		out, off = append(out, m), append(off, math.Abs(m.d))
	}
	if len(off) == 0 {
		return nil
	}
	slices.Sort(off)
	gate := max(4.5*off[len(off)/2], 1e-6*t.size)
	if wide <= 2*reach {
		gate = min(gate, wide)
	}
	return slices.DeleteFunc(out, func(m match) bool { return math.Abs(m.d) > gate })
}

// solveMotion is the small motion that least squares the distances: turn about
// the centre and shift; what no point determines stays as it is. turned is how far
// it moves a point as far from the centre as it is wide.
func solveMotion(near []match, centre r3.Vec) (g Rigid, moved float64) {
	a, b := mat.NewSymDense(6, nil), mat.NewVecDense(6, nil)
	size := 0.0
	for _, m := range near {
		size = max(size, r3.Norm(r3.Sub(m.at, centre)))
	}
	size = max(size, 1e-9)
	for _, m := range near {
		c := r3.Scale(1/size, r3.Cross(r3.Sub(m.at, centre), m.n))
		row := [6]float64{c.X, c.Y, c.Z, m.n.X, m.n.Y, m.n.Z}
		for i := range row {
			b.SetVec(i, b.AtVec(i)-row[i]*m.d)
			for j := i; j < 6; j++ {
				a.SetSym(i, j, a.At(i, j)+row[i]*row[j])
			}
		}
	}
	var eig mat.EigenSym
	var x [6]float64
	if eig.Factorize(a, true) {
		var vec mat.Dense
		eig.VectorsTo(&vec)
		value := eig.Values(nil)
		for k, l := range value {
			if l < 1e-4*value[5] { // free to slide or turn
				continue
			}
			s := 0.0
			for i := range x {
				s += vec.At(i, k) * b.AtVec(i)
			}
			for i := range x {
				x[i] += s / l * vec.At(i, k)
			}
		}
	}
	w := r3.Scale(1/size, r3.Vec{X: x[0], Y: x[1], Z: x[2]})
	shift := r3.Vec{X: x[3], Y: x[4], Z: x[5]}
	g = rotation(w)
	g.ShiftMM = r3.Add(shift, r3.Sub(centre, g.Dir(centre)))
	return g, r3.Norm(w)*size + r3.Norm(shift)
}

// rotation turns by the vector's length about it (Rodrigues).
func rotation(w r3.Vec) Rigid {
	angle := r3.Norm(w)
	k := r3.Vec{}
	if angle > 0 {
		k = r3.Scale(1/angle, w)
	}
	sin, cos := math.Sincos(angle)
	row := func(e r3.Vec) r3.Vec {
		// R^T e: turned the other way about
		return r3.Add(r3.Scale(cos, e), r3.Add(r3.Scale(-sin, r3.Cross(k, e)), r3.Scale((1-cos)*r3.Dot(k, e), k)))
	}
	return Rigid{Turn: [3]r3.Vec{row(r3.Vec{X: 1}), row(r3.Vec{Y: 1}), row(r3.Vec{Z: 1})}}
}

// after is g done after h.
func (g Rigid) after(h Rigid) Rigid {
	var out Rigid
	for i, r := range g.Turn {
		out.Turn[i] = r3.Add(r3.Scale(r.X, h.Turn[0]), r3.Add(r3.Scale(r.Y, h.Turn[1]), r3.Scale(r.Z, h.Turn[2])))
	}
	out.ShiftMM = g.At(h.ShiftMM)
	return out
}
