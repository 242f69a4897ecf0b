package mesh

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Measure is what can be summed over a set of facets.
type Measure struct {
	Facets     int
	AreaMM2    float64
	VolumeMM3  float64 // signed, positive where the set is closed and faces out
	CentroidMM r3.Vec  // of the surface; the box's middle where there is no area
	MinMM      r3.Vec
	MaxMM      r3.Vec
}

// Measure returns area, enclosed volume, centroid and box of a set of facets.
// The volume of an open set is that of the cone over it from the set's first
// vertex. An empty set gives zeros.
func (m *Mesh) Measure(faces []uint32) Measure {
	if len(faces) == 0 {
		return Measure{}
	}
	s, origin := newSums(), m.Points[m.Faces[faces[0]][0]]
	for _, f := range faces {
		s.add(m, f, origin)
	}
	return s.measure(m, origin)
}

// Bounds returns the box of all components that are not dust.
func (m *Mesh) Bounds() (minMM, maxMM r3.Vec) {
	s := newSums()
	for i := range m.Components {
		if c := &m.Components[i]; !c.Dust {
			s.stretch(array(c.MinMM))
			s.stretch(array(c.MaxMM))
		}
	}
	return r3.Vec{X: s.min[0], Y: s.min[1], Z: s.min[2]}, r3.Vec{X: s.max[0], Y: s.max[1], Z: s.max[2]}
}

// sums adds up facets in file units, relative to an origin near them so that
// no digits are lost on a part far from zero.
type sums struct {
	facets   int
	first    uint32
	area2    float64 // twice
	volume6  float64 // six times
	moment   [3]float64
	min, max [3]float64
}

func newSums() sums {
	inf := math.Inf(1)
	return sums{min: [3]float64{inf, inf, inf}, max: [3]float64{-inf, -inf, -inf}}
}

func (s *sums) add(m *Mesh, f uint32, origin [3]float32) {
	t := &m.Faces[f]
	p, q, r := &m.Points[t[0]], &m.Points[t[1]], &m.Points[t[2]]
	a, b, c := difference(p, &origin), difference(q, &origin), difference(r, &origin)
	n := r3.Cross(difference(q, p), difference(r, p))
	w := math.Sqrt(r3.Norm2(n))
	if s.facets == 0 {
		s.first = f
	}
	s.facets++
	s.area2 += w
	s.volume6 += r3.Dot(a, n)
	s.moment[0] += w * (a.X + b.X + c.X)
	s.moment[1] += w * (a.Y + b.Y + c.Y)
	s.moment[2] += w * (a.Z + b.Z + c.Z)
	for k := range 3 {
		s.widen(k, p[k])
		s.widen(k, q[k])
		s.widen(k, r[k])
	}
}

// widen takes a coordinate into the box; plain comparisons, for none is NaN.
func (s *sums) widen(k int, x float32) {
	if x := float64(x); x < s.min[k] {
		s.min[k] = x
	}
	if x := float64(x); x > s.max[k] {
		s.max[k] = x
	}
}

// join takes the sums over later facets in.
func (s *sums) join(o *sums) {
	if s.facets == 0 {
		s.first = o.first
	}
	s.facets += o.facets
	s.area2 += o.area2
	s.volume6 += o.volume6
	for k := range 3 {
		s.moment[k] += o.moment[k]
		s.min[k] = min(s.min[k], o.min[k])
		s.max[k] = max(s.max[k], o.max[k])
	}
}

func (s *sums) stretch(p [3]float64) {
	for k := range 3 {
		s.min[k] = min(s.min[k], p[k])
		s.max[k] = max(s.max[k], p[k])
	}
}

func (s *sums) measure(m *Mesh, origin [3]float32) Measure {
	u := m.UnitMM
	lo := r3.Vec{X: s.min[0] * u, Y: s.min[1] * u, Z: s.min[2] * u}
	hi := r3.Vec{X: s.max[0] * u, Y: s.max[1] * u, Z: s.max[2] * u}
	centre := r3.Scale(0.5, r3.Add(lo, hi))
	if s.area2 > 0 {
		at := func(k int) float64 { return (float64(origin[k]) + s.moment[k]/(3*s.area2)) * u }
		centre = r3.Vec{X: at(0), Y: at(1), Z: at(2)}
	}
	return Measure{Facets: s.facets, AreaMM2: s.area2 / 2 * u * u, VolumeMM3: s.volume6 / 6 * u * u * u,
		CentroidMM: centre, MinMM: lo, MaxMM: hi}
}

// VertexAreas returns the area that each of points stands for in the given
// facets, mm²: a third of every facet round it. points holds their vertices,
// rising.
func (m *Mesh) VertexAreas(faces, points []uint32) []float64 {
	if len(points) == 0 {
		return nil
	}
	low := points[0]
	share := Large[float64](int(points[len(points)-1]-low) + 1)
	third := m.UnitMM * m.UnitMM / 6
	for _, f := range faces {
		t := &m.Faces[f]
		p := &m.Points[t[0]]
		a := third * math.Sqrt(r3.Norm2(r3.Cross(difference(&m.Points[t[1]], p), difference(&m.Points[t[2]], p))))
		share[t[0]-low] += a
		share[t[1]-low] += a
		share[t[2]-low] += a
	}
	out := Large[float64](len(points))
	for i, v := range points {
		out[i] = share[v-low]
	}
	return out
}
