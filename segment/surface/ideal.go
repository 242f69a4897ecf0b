package surface

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/segment/fit"
)

// Ideal is an ideal surface: one of fit.Plane, fit.Cylinder, fit.Cone,
// fit.Sphere and fit.Torus.
type Ideal interface {
	Distance(p r3.Vec) float64
	Normal(p r3.Vec) r3.Vec
}

// Type names an ideal surface.
func Type(s Ideal) string {
	switch s.(type) {
	case fit.Plane:
		return "plane"
	case fit.Cylinder:
		return "cylinder"
	case fit.Cone:
		return "cone"
	case fit.Sphere:
		return "sphere"
	case fit.Torus:
		return "torus"
	}
	return ""
}

// freedom is the number of parameters of the surface, by which simpler ones are
// preferred.
func freedom(s Ideal) float64 {
	switch s.(type) {
	case fit.Plane:
		return 3
	case fit.Sphere, fit.Cylinder: // a short cylinder is a sphere's belt too, and the likelier metal
		return 5
	case fit.Cone:
		return 6
	}
	return 7
}

// refit associates the same kind of surface with the points from s; ok is false
// where they do not determine it.
func refit(s Ideal, p []r3.Vec) (Ideal, bool) {
	var out Ideal
	var err error
	switch s := s.(type) {
	case fit.Plane:
		var h fit.Plane
		if h, _, err = fit.FitPlane(p, nil); r3.Dot(h.Axis, s.Axis) < 0 { // stays on its side
			h.Axis = r3.Scale(-1, h.Axis)
		}
		out = h
	case fit.Cylinder:
		out, _, err = fit.FitCylinder(p, nil, s)
	case fit.Cone:
		out, _, err = fit.FitCone(p, nil, s)
	case fit.Sphere:
		out, _, err = fit.FitSphere(p, nil, s)
	case fit.Torus:
		out, _, err = fit.FitTorus(p, nil, s)
	}
	return out, err == nil && out != nil
}

// nearby is refit to some hundredth of the noise, at a third of the cost: while a
// surface grows it is fitted again and again, to other points each time.
func nearby(s Ideal, p []r3.Vec) (Ideal, bool) {
	var out Ideal
	var err error
	switch s := s.(type) {
	case fit.Cylinder:
		out, err = fit.NearCylinder(p, s)
	case fit.Cone:
		out, err = fit.NearCone(p, s)
	case fit.Sphere:
		out, err = fit.NearSphere(p, s)
	case fit.Torus:
		out, err = fit.NearTorus(p, s)
	default:
		return refit(s, p)
	}
	return out, err == nil
}

// starts proposes surfaces for a small set of points and normals: the plane,
// the cylinder about the direction that the normals avoid, the sphere where
// they meet, the cone and torus about the axis under which they turn.
func starts(p, n []r3.Vec) []Ideal {
	var out []Ideal
	centre := mean(p)
	if s, ok := startPlane(p, n, centre); ok {
		out = append(out, s)
	}
	if s, ok := startCylinder(p, n, centre); ok {
		out = append(out, s)
	}
	if s, ok := startSphere(p, n, centre); ok {
		out = append(out, s)
	}
	return out
}

// roundStarts proposes cone and torus, which take more points.
func roundStarts(p, n []r3.Vec) []Ideal {
	var out []Ideal
	centre := mean(p)
	if s, ok := startCone(p, n, centre); ok {
		out = append(out, s)
	}
	if s, ok := startTorus(p, n, centre); ok {
		out = append(out, s)
	}
	return out
}

func mean(p []r3.Vec) r3.Vec {
	var c r3.Vec
	for _, q := range p {
		c = r3.Add(c, q)
	}
	return r3.Scale(1/float64(len(p)), c)
}

func startPlane(p, n []r3.Vec, centre r3.Vec) (fit.Plane, bool) {
	var m [6]float64
	for _, q := range p {
		addOuter(&m, r3.Sub(q, centre))
	}
	v := eigen(m)
	axis := v[0]
	s := 0.0
	for _, x := range n {
		s += r3.Dot(x, axis)
	}
	if s < 0 {
		axis = r3.Scale(-1, axis)
	}
	return fit.Plane{Point: centre, Axis: axis}, true
}

// startCylinder takes the axis from the normals, and its place from where they
// meet across it.
func startCylinder(p, n []r3.Vec, centre r3.Vec) (fit.Cylinder, bool) {
	var m [6]float64
	for _, x := range n {
		addOuter(&m, x)
	}
	v := eigen(m)
	d, e1, e2 := v[0], v[1], v[2]
	var a [5]float64
	for i, q := range p {
		q = r3.Sub(q, centre)
		x, y := r3.Dot(q, e1), r3.Dot(q, e2)
		nx, ny := r3.Dot(n[i], e1), r3.Dot(n[i], e2)
		k := x*ny - y*nx
		a[0] += ny * ny
		a[1] -= nx * ny
		a[2] += nx * nx
		a[3] += ny * k
		a[4] -= nx * k
	}
	det := a[0]*a[2] - a[1]*a[1]
	if !(det > 1e-6*(a[0]+a[2])*(a[0]+a[2])) {
		return fit.Cylinder{}, false
	}
	u, w := (a[2]*a[3]-a[1]*a[4])/det, (a[0]*a[4]-a[1]*a[3])/det
	c := r3.Add(centre, r3.Add(r3.Scale(u, e1), r3.Scale(w, e2)))
	r := 0.0
	for _, q := range p {
		r += r3.Norm(r3.Cross(r3.Sub(q, c), d)) / float64(len(p))
	}
	return fit.Cylinder{Point: c, Axis: d, RadiusMM: r}, r > 0
}

// startSphere is the point nearest to all normal lines.
func startSphere(p, n []r3.Vec, centre r3.Vec) (fit.Sphere, bool) {
	var m [6]float64
	var b r3.Vec
	for i, q := range p {
		q = r3.Sub(q, centre)
		addOuter(&m, n[i])
		b = r3.Add(b, r3.Sub(q, r3.Scale(r3.Dot(q, n[i]), n[i])))
	}
	k := float64(len(p))
	a := [6]float64{k - m[0], -m[1], -m[2], k - m[3], -m[4], k - m[5]}
	c, ok := solve3(a, b)
	if !ok {
		return fit.Sphere{}, false
	}
	c = r3.Add(c, centre)
	r := 0.0
	for _, q := range p {
		r += r3.Norm(r3.Sub(q, c)) / k
	}
	return fit.Sphere{Centre: c, RadiusMM: r}, r > 0 && !math.IsNaN(r)
}
