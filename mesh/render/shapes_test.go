package render

import "math"

// model gathers test shapes; every one becomes an element of its own.
type model struct {
	points  [][3]float32
	faces   [][3]uint32
	element []uint32
	last    uint32
}

// patch adds a grid of nu x nv cells, closed along u, f from [0,1]².
func (m *model) patch(nu, nv int, f func(u, v float64) [3]float64) {
	base := uint32(len(m.points))
	for j := range nv + 1 {
		for i := range nu {
			q := f(float64(i)/float64(nu), float64(j)/float64(nv))
			m.points = append(m.points, [3]float32{float32(q[0]), float32(q[1]), float32(q[2])})
		}
	}
	for j := range uint32(nv) {
		for i := range uint32(nu) {
			a, b := base+j*uint32(nu)+i, base+j*uint32(nu)+(i+1)%uint32(nu)
			m.faces = append(m.faces, [3]uint32{a, b, b + uint32(nu)}, [3]uint32{a, b + uint32(nu), a + uint32(nu)})
			m.element = append(m.element, m.last, m.last)
		}
	}
}

// revolve turns a closed profile (r, z) about the axis through at along dir.
func (m *model) revolve(at, dir [3]float64, n int, profile ...[2]float64) {
	m.last++
	a, b := across(dir)
	profile = append(profile, profile[0])
	m.patch(n, len(profile)-1, func(u, v float64) [3]float64 {
		q := profile[int(math.Round(v*float64(len(profile)-1)))]
		s, c := math.Sincos(2 * math.Pi * u)
		return lift(at, a, b, dir, q[0]*c, q[0]*s, q[1])
	})
}

// fine cuts each side of a profile into n.
func fine(n int, profile ...[2]float64) [][2]float64 {
	var out [][2]float64
	for i, p := range profile {
		q := profile[(i+1)%len(profile)]
		for k := range n {
			t := float64(k) / float64(n)
			out = append(out, [2]float64{p[0] + t*(q[0]-p[0]), p[1] + t*(q[1]-p[1])})
		}
	}
	return out
}

func (m *model) tube(at, dir [3]float64, outer, inner, length float64, n int) {
	m.revolve(at, dir, n, fine(n/2, [2]float64{outer, 0}, [2]float64{outer, length}, [2]float64{inner, length}, [2]float64{inner, 0})...)
}

func (m *model) torus(at, dir [3]float64, big, small float64, n int) {
	var p [][2]float64
	for k := range n / 3 {
		s, c := math.Sincos(2 * math.Pi * float64(k) / float64(n/3))
		p = append(p, [2]float64{big + small*c, small * s})
	}
	m.revolve(at, dir, n, p...)
}

func (m *model) ball(at [3]float64, radius float64, n int) {
	var p [][2]float64
	for k := range n + 1 {
		s, c := math.Sincos(math.Pi * float64(k) / float64(n))
		p = append(p, [2]float64{radius*s + 1e-9, -radius * c})
	}
	m.revolve(at, [3]float64{0, 0, 1}, n, p...)
}

// block adds a box with its own corners, so that its edges are sharp.
func (m *model) block(lo, hi [3]float64) {
	m.last++
	base := uint32(len(m.points))
	for k := range 8 {
		var q [3]float32
		for a := range 3 {
			q[a] = float32(lo[a])
			if k>>a&1 == 1 {
				q[a] = float32(hi[a])
			}
		}
		m.points = append(m.points, q)
	}
	for _, f := range [][3]uint32{{0, 2, 3}, {0, 3, 1}, {4, 5, 7}, {4, 7, 6}, {0, 1, 5}, {0, 5, 4}, {2, 6, 7}, {2, 7, 3}, {0, 4, 6}, {0, 6, 2}, {1, 3, 7}, {1, 7, 5}} {
		m.faces = append(m.faces, [3]uint32{base + f[0], base + f[1], base + f[2]})
		m.element = append(m.element, m.last)
	}
}

func (m *model) piece(ratio float64) Piece {
	return Piece{Points: m.points, Faces: m.faces, Element: m.element, Site: [12]float64{ratio, 0, 0, 0, 0, ratio, 0, 0, 0, 0, ratio, 0}}
}

func across(d [3]float64) (a, b [3]float64) {
	ref := [3]float64{1, 0, 0}
	if math.Abs(d[0]) > 0.8 {
		ref = [3]float64{0, 1, 0}
	}
	b = unit(cross(d, ref))
	return cross(b, d), b
}

func lift(o, a, b, c [3]float64, x, y, z float64) [3]float64 {
	for k := range 3 {
		o[k] += x*a[k] + y*b[k] + z*c[k]
	}
	return o
}

// station is a small sculpture for the tests: a base, two masts, rings, a
// wheel, a ball, a strut; about 340 units high. n sets how finely.
func station(n int) *model {
	m := &model{}
	up := [3]float64{0, 0, 1}
	m.block([3]float64{-120, -80, 0}, [3]float64{120, 80, 8})
	m.tube([3]float64{-70, 0, 8}, up, 14, 10, 300, n)
	m.tube([3]float64{60, 20, 8}, up, 10, 7, 190, n)
	m.torus([3]float64{-70, 0, 250}, unit([3]float64{0.35, -0.9, 0.25}), 70, 5, n)
	m.torus([3]float64{-70, 0, 250}, unit([3]float64{-0.6, -0.7, -0.2}), 56, 4, n)
	m.revolve([3]float64{60, 20, 150}, unit([3]float64{0.2, -1, 0.1}), n, fine(n/6, [2]float64{62, -4}, [2]float64{62, 4}, [2]float64{18, 4}, [2]float64{18, -4})...)
	m.ball([3]float64{60, 20, 212}, 20, n)
	m.tube([3]float64{-70, 0, 60}, unit([3]float64{130, 20, 60}), 6, 0.01, 145, n)
	return m
}
