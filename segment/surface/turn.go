package surface

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/segment/fit"
)

// startCone takes the axis from the normals, which make one angle with it, and
// the apex from where the tangent planes meet.
func startCone(p, n []r3.Vec, centre r3.Vec) (fit.Cone, bool) {
	m := mean(n)
	var c [6]float64
	for _, x := range n {
		addOuter(&c, r3.Sub(x, m))
	}
	axis := eigen(c)[0]
	var a [6]float64
	var b r3.Vec
	for i, q := range p {
		q = r3.Sub(q, centre)
		addOuter(&a, n[i])
		b = r3.Add(b, r3.Scale(r3.Dot(q, n[i]), n[i]))
	}
	apex, ok := solve3(a, b)
	if !ok {
		return fit.Cone{}, false
	}
	if r3.Dot(apex, axis) > 0 { // the axis opens from the apex towards the points
		axis = r3.Scale(-1, axis)
	}
	lean := 0.0
	for _, x := range n {
		lean += math.Abs(r3.Dot(x, axis)) / float64(len(n))
	}
	half := math.Asin(min(lean, 1))
	along := -r3.Dot(apex, axis)
	if !(half > 0.02) || !(half < 1.5) || !(along > 0) {
		return fit.Cone{}, false
	}
	at := r3.Add(centre, r3.Add(apex, r3.Scale(along, axis)))
	return fit.Cone{Point: at, Axis: axis, RadiusMM: along * math.Tan(half), HalfAngleDeg: half * 180 / math.Pi}, true
}

// startTorus takes the axis from the turn under which the points slide in
// themselves (a linear complex of the normals: Pottmann and Randrup, Computing
// 60 (1998) 307), reweighted by the speed of the turn, and the section from
// where the normals meet in the half-plane through the axis.
func startTorus(p, n []r3.Vec, centre r3.Vec) (fit.Torus, bool) {
	w := make([]float64, len(p))
	for i := range w {
		w[i] = 1
	}
	var axis, at r3.Vec
	for round := 0; round < 5; round++ {
		var ok bool
		if axis, at, ok = turn(p, n, w, centre); !ok {
			return fit.Torus{}, false
		}
		size := 0.0
		for _, q := range p {
			size = max(size, r3.Norm(r3.Sub(q, at)))
		}
		for i, q := range p {
			v := r3.Cross(axis, r3.Sub(q, at))
			w[i] = 1 / max(r3.Norm2(v), 1e-4*size*size)
		}
	}
	var a [5]float64
	for i, q := range p {
		d := r3.Sub(q, at)
		h := r3.Dot(d, axis)
		out := r3.Sub(d, r3.Scale(h, axis))
		rho := r3.Norm(out)
		if rho == 0 {
			continue
		}
		nr, nh := r3.Dot(n[i], out)/rho, r3.Dot(n[i], axis)
		k := rho*nh - h*nr
		a[0] += nh * nh
		a[1] -= nr * nh
		a[2] += nr * nr
		a[3] += nh * k
		a[4] -= nr * k
	}
	det := a[0]*a[2] - a[1]*a[1]
	if !(det > 1e-7*(a[0]+a[2])*(a[0]+a[2])) {
		return fit.Torus{}, false
	}
	rc, hc := (a[2]*a[3]-a[1]*a[4])/det, (a[0]*a[4]-a[1]*a[3])/det
	c := r3.Add(at, r3.Scale(hc, axis))
	r := 0.0
	for _, q := range p {
		d := r3.Sub(q, c)
		h := r3.Dot(d, axis)
		rho := math.Sqrt(max(r3.Norm2(d)-h*h, 0))
		r += math.Hypot(rho-rc, h) / float64(len(p))
	}
	return fit.Torus{Centre: c, Axis: axis, RadiusMM: rc, SectionRadiusMM: r}, rc > r && r > 0
}

// turn is the axis of the least-squares turn, without pitch.
func turn(p, n []r3.Vec, w []float64, centre r3.Vec) (axis, at r3.Vec, ok bool) {
	var nn, mm [6]float64
	var mn [9]float64 // Σ m nᵀ, row-major
	for i, q := range p {
		m := r3.Cross(r3.Sub(q, centre), n[i])
		s := math.Sqrt(w[i])
		addOuter(&nn, r3.Scale(s, n[i]))
		addOuter(&mm, r3.Scale(s, m))
		a, b := [3]float64{m.X, m.Y, m.Z}, [3]float64{n[i].X, n[i].Y, n[i].Z}
		for j := range a {
			for k := range b {
				mn[3*j+k] += w[i] * a[j] * b[k]
			}
		}
	}
	tr := nn[0] + nn[3] + nn[5]
	nn[0], nn[3], nn[5] = nn[0]+1e-9*tr, nn[3]+1e-9*tr, nn[5]+1e-9*tr
	var col [3]r3.Vec // nn⁻¹ times row j of mn
	for j := range col {
		if col[j], ok = solve3(nn, r3.Vec{X: mn[3*j], Y: mn[3*j+1], Z: mn[3*j+2]}); !ok {
			return axis, at, false
		}
	}
	entry := func(j, k int) float64 {
		return mn[3*j]*col[k].X + mn[3*j+1]*col[k].Y + mn[3*j+2]*col[k].Z
	}
	s := [6]float64{mm[0] - entry(0, 0), mm[1] - entry(0, 1), mm[2] - entry(0, 2), mm[3] - entry(1, 1), mm[4] - entry(1, 2), mm[5] - entry(2, 2)}
	axis = eigen(s)[0]
	u := r3.Scale(-1, r3.Add(r3.Scale(axis.X, col[0]), r3.Add(r3.Scale(axis.Y, col[1]), r3.Scale(axis.Z, col[2]))))
	return axis, r3.Add(centre, r3.Cross(axis, u)), true
}
