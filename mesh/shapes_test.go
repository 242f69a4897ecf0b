package mesh

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r3"
)

// The shapes below are grids rolled to a surface: cheap, closed, outward wound,
// every vertex with its normal so that noise can be put along it.

// shape is a soup in the making.
type shape struct {
	at, normal []r3.Vec
	corners    [][3]uint32
}

// grid adds an n by k grid of vertices, closed in either direction where asked,
// two facets a cell, wound with du × dv.
func (s *shape) grid(n, k int, closeU, closeV bool, point func(i, j int) (at, normal r3.Vec)) {
	base := uint32(len(s.at))
	for i := range n {
		for j := range k {
			p, q := point(i, j)
			s.at, s.normal = append(s.at, p), append(s.normal, q)
		}
	}
	id := func(i, j int) uint32 { return base + uint32(i%n*k+j%k) }
	cells := func(n int, closed bool) int {
		if closed {
			return n
		}
		return n - 1
	}
	for i := range cells(n, closeU) {
		for j := range cells(k, closeV) {
			a, b, c, d := id(i, j), id(i+1, j), id(i+1, j+1), id(i, j+1)
			if (i+j)%2 == 0 { // no grain in the diagonals
				s.corners = append(s.corners, [3]uint32{a, b, c}, [3]uint32{a, c, d})
			} else {
				s.corners = append(s.corners, [3]uint32{a, b, d}, [3]uint32{b, c, d})
			}
		}
	}
}

// torus is closed: ring radius big, section radius small, facets of edge mm.
func torus(big, small, edge float64) *shape {
	s := &shape{}
	n, k := int(2*math.Pi*big/edge), int(2*math.Pi*small/edge)
	s.grid(n, k, true, true, func(i, j int) (r3.Vec, r3.Vec) {
		sa, ca := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		sb, cb := math.Sincos(2 * math.Pi * float64(j) / float64(k))
		q := r3.Vec{X: ca * cb, Y: sa * cb, Z: sb}
		return r3.Add(r3.Scale(big, r3.Vec{X: ca, Y: sa}), r3.Scale(small, q)), q
	})
	return s
}

// tube is closed: outside, one end, inside, other end, all one grid round the
// section.
func tube(outside, inside, long, edge float64) *shape {
	var rim [][4]float64 // radius, height, and the normal's
	side := func(n int, from, to, q [2]float64) {
		for i := range n {
			t := float64(i) / float64(n)
			rim = append(rim, [4]float64{from[0] + t*(to[0]-from[0]), from[1] + t*(to[1]-from[1]), q[0], q[1]})
		}
	}
	ro, ri := outside/2, inside/2
	along, wall := max(2, int(long/edge)), max(2, int((ro-ri)/edge))
	side(along, [2]float64{ro, 0}, [2]float64{ro, long}, [2]float64{1, 0})
	side(wall, [2]float64{ro, long}, [2]float64{ri, long}, [2]float64{0, 1})
	side(along, [2]float64{ri, long}, [2]float64{ri, 0}, [2]float64{-1, 0})
	side(wall, [2]float64{ri, 0}, [2]float64{ro, 0}, [2]float64{0, -1})
	n := int(math.Pi * outside / edge)
	s := &shape{}
	s.grid(n, len(rim), true, true, func(i, j int) (r3.Vec, r3.Vec) {
		sa, ca := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		r := rim[j]
		return r3.Vec{X: r[0] * ca, Y: r[0] * sa, Z: r[1]}, r3.Vec{X: r[2] * ca, Y: r[2] * sa, Z: r[3]}
	})
	return s
}

// box is closed, six grids whose rims coincide.
func box(x, y, z, edge float64) *shape {
	s := &shape{}
	o := r3.Vec{}
	u, v, w := r3.Vec{X: x}, r3.Vec{Y: y}, r3.Vec{Z: z}
	for _, f := range [][3]r3.Vec{{o, v, u}, {w, u, v}, {o, u, w}, {v, w, u}, {o, w, v}, {u, v, w}} {
		n, k := 1+max(1, int(math.Round(r3.Norm(f[1])/edge))), 1+max(1, int(math.Round(r3.Norm(f[2])/edge)))
		q := r3.Unit(r3.Cross(f[1], f[2]))
		s.grid(n, k, false, false, func(i, j int) (r3.Vec, r3.Vec) {
			a, b := float64(i)/float64(n-1), float64(j)/float64(k-1)
			return r3.Add(f[0], r3.Add(r3.Scale(a, f[1]), r3.Scale(b, f[2]))), q
		})
	}
	return s
}

// sheet is one side of a plate, open all round, facing +z.
func sheet(x, y, edge float64) *shape {
	s := &shape{}
	n, k := 1+int(math.Round(x/edge)), 1+int(math.Round(y/edge))
	s.grid(n, k, false, false, func(i, j int) (r3.Vec, r3.Vec) {
		return r3.Vec{X: x * float64(i) / float64(n-1), Y: y * float64(j) / float64(k-1)}, r3.Vec{Z: 1}
	})
	return s
}

func (s *shape) moved(d r3.Vec) *shape {
	for i := range s.at {
		s.at[i] = r3.Add(s.at[i], d)
	}
	return s
}

// turned rotates by an angle about an axis through the origin.
func (s *shape) turned(rad float64, axis r3.Vec) *shape {
	r := r3.NewRotation(rad, axis)
	for i := range s.at {
		s.at[i], s.normal[i] = r.Rotate(s.at[i]), r.Rotate(s.normal[i])
	}
	return s
}

func (s *shape) inverted() *shape {
	for i, c := range s.corners {
		s.corners[i] = [3]uint32{c[0], c[2], c[1]}
	}
	return s
}

func (s *shape) with(others ...*shape) *shape {
	for _, o := range others {
		base := uint32(len(s.at))
		s.at, s.normal = append(s.at, o.at...), append(s.normal, o.normal...)
		for _, c := range o.corners {
			s.corners = append(s.corners, [3]uint32{base + c[0], base + c[1], base + c[2]})
		}
	}
	return s
}

// noisy moves each vertex along its normal by white noise; vertices at one place
// move together.
func (s *shape) noisy(sigma float64, seed uint64) *shape {
	r := rand.New(rand.NewPCG(seed, 1))
	moved := map[r3.Vec]r3.Vec{}
	for i, p := range s.at {
		if _, ok := moved[p]; !ok {
			moved[p] = r3.Add(p, r3.Scale(sigma*r.NormFloat64(), s.normal[i]))
		}
		s.at[i] = moved[p]
	}
	return s
}

// without drops the facets whose centre is within radius of p.
func (s *shape) without(p r3.Vec, radius float64) *shape {
	kept := s.corners[:0]
	for _, c := range s.corners {
		centre := r3.Scale(1.0/3, r3.Add(s.at[c[0]], r3.Add(s.at[c[1]], s.at[c[2]])))
		if r3.Norm(r3.Sub(centre, p)) > radius {
			kept = append(kept, c)
		}
	}
	s.corners = kept
	return s
}

// soup joins equal points, as a reader does.
func (s *shape) soup() Soup {
	out := Soup{File: "shape.stl"}
	seen := map[[3]float32]uint32{}
	for _, c := range s.corners {
		var t [3]uint32
		for k, v := range c {
			p := [3]float32{float32(s.at[v].X), float32(s.at[v].Y), float32(s.at[v].Z)}
			i, ok := seen[p]
			if !ok {
				i = uint32(len(out.Points))
				seen[p] = i
				out.Points = append(out.Points, p)
			}
			t[k] = i
		}
		out.Corners = append(out.Corners, t)
	}
	return out
}

// shuffled puts triangles, corners and points in another order.
func shuffled(s Soup, seed uint64) Soup {
	r := rand.New(rand.NewPCG(seed, 2))
	to := r.Perm(len(s.Points))
	out := Soup{File: s.File, Points: make([][3]float32, len(s.Points)), Corners: make([][3]uint32, 0, len(s.Corners))}
	for i, p := range s.Points {
		out.Points[to[i]] = p
	}
	for _, i := range r.Perm(len(s.Corners)) {
		c := s.Corners[i]
		k := r.IntN(3)
		out.Corners = append(out.Corners, [3]uint32{uint32(to[c[k]]), uint32(to[c[(k+1)%3]]), uint32(to[c[(k+2)%3]])})
	}
	return out
}
