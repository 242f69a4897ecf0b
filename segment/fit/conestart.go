package fit

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// StartCone returns a cone near which most of points lie, though up to a third
// are elsewhere. Cones are tried through three tangent planes (normals nil or
// one a point, either way round) and over a hemisphere of axes, with fixed
// seeds; the best few are fitted and the best of those is returned.
func StartCone(points, normals []r3.Vec) (Cone, error) {
	s, err := newSample(points, normals, 6)
	if err != nil {
		return Cone{}, err
	}
	var all []Cone
	if s.normal != nil {
		all = s.conesFromNormals()
	}
	for _, a := range s.scan(coneFinder()) {
		all = append(all, a.cone())
	}
	f, err := chooseStart(s, all, coarse(coneKind()))
	return coneKind().out(f, &s.cloud), err
}

func (a roundAxis) cone() Cone {
	return Cone{a.point, a.axis, a.radius, math.Atan(a.tangent) * 180 / math.Pi}
}

// conesFromNormals takes 100 triples: their tangent planes meet in the apex,
// and the axis makes equal angles with the directions to the three points.
func (s *sample) conesFromNormals() []Cone {
	var all []Cone
	for _, m := range s.motions() {
		if a, ok := s.shadowCone(m.axis, s.ids()); ok {
			all = append(all, a.cone())
		}
	}
	for range 100 {
		ids := [3]int{s.draw(), s.draw(), s.draw()}
		ls := newLinear(3)
		for _, i := range ids {
			n := s.normal[i]
			ls.add(r3.Dot(n, s.at[i]), n.X, n.Y, n.Z)
		}
		x, ok := ls.solve()
		if !ok {
			continue
		}
		apex := r3.Vec{X: x[0], Y: x[1], Z: x[2]}
		var g [3]r3.Vec
		for k, i := range ids {
			g[k] = unit(r3.Sub(s.at[i], apex))
		}
		axis := unit(r3.Cross(r3.Sub(g[1], g[0]), r3.Sub(g[2], g[0])))
		cos := r3.Dot(axis, g[0])
		if cos < 0 {
			axis, cos = r3.Scale(-1, axis), -cos
		}
		if !(cos > 0.01) || cos >= 1 {
			continue
		}
		h := -r3.Dot(apex, axis) // from the apex to beside the centroid
		half := math.Acos(cos)
		if r := h * math.Tan(half); r > 0 && r < flatLimit {
			all = append(all, Cone{along(apex, h, axis), axis, r, half * 180 / math.Pi})
		}
	}
	return all
}

// coneFinder looks for cones.
func coneFinder() axisFinder {
	return axisFinder{
		draw: 6,
		find: (*sample).shadowCone,
		deviation: func(a roundAxis, q r3.Vec) float64 {
			h, rho, _ := split(r3.Sub(q, a.point), a.axis)
			return (rho - a.radius - h*a.tangent) / math.Sqrt(1+a.tangent*a.tangent)
		},
	}
}

// shadowCone solves u²+v² = 2c·(u,v) + k + m h + g h², the cone about the axis
// (c, d) with all coefficients free, over the points of ids.
func (s *sample) shadowCone(d r3.Vec, ids []int) (roundAxis, bool) {
	e, f := Frame(d)
	ls := newLinear(5)
	for _, i := range ids {
		u, v, h := r3.Dot(s.at[i], e), r3.Dot(s.at[i], f), r3.Dot(s.at[i], d)
		ls.add(u*u+v*v, 2*u, 2*v, 1, h, h*h)
	}
	x, ok := ls.solve()
	if !ok {
		return roundAxis{}, false
	}
	r := math.Sqrt(x[2] + x[0]*x[0] + x[1]*x[1])
	a := roundAxis{point: along(r3.Scale(x[0], e), x[1], f), axis: d, radius: r, tangent: x[3] / (2 * r)}
	return a, r > 0 && r < flatLimit && math.Abs(a.tangent) < 100
}

// RobustCone fits the cone to the points that lie near it and tells which do.
// normals may be nil.
func RobustCone(points, normals []r3.Vec, weight []float64) (Cone, Association, []bool, error) {
	start, err := StartCone(points, normals)
	if err != nil {
		return Cone{}, Association{}, nil, err
	}
	return Robust(points, weight, start, FitCone)
}
