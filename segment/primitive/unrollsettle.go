package primitive

import "math"

// settle moves the flat points so that facets keep their shapes as well as they
// can: in turns, each facet's best turn, then the places that fit all turns best
// (a Laplace system, by conjugate gradients).
func (s *bentSheet) settle(passes int) {
	n := len(s.flat)
	rows := s.laplacian()
	for range passes {
		s.turns()
		var b [2][]float64
		b[0], b[1] = make([]float64, n), make([]float64, n)
		for f, t := range s.facet {
			sin, cos := math.Sincos(s.turn[f])
			for k := range t {
				i, j := t[k], t[(k+1)%3]
				dx, dy := s.rest[f][(k+1)%3][0]-s.rest[f][k][0], s.rest[f][(k+1)%3][1]-s.rest[f][k][1]
				w := s.cot[f][k]
				x, y := w*(cos*dx-sin*dy), w*(sin*dx+cos*dy)
				b[0][j], b[0][i] = b[0][j]+x, b[0][i]-x
				b[1][j], b[1][i] = b[1][j]+y, b[1][i]-y
			}
		}
		moved := 0.0
		for c := range b {
			x := make([]float64, n)
			for v := range x {
				x[v] = s.flat[v][c]
			}
			rows.solve(x, b[c])
			for v := range x {
				moved = max(moved, math.Abs(x[v]-s.flat[v][c]))
				s.flat[v][c] = x[v]
			}
		}
		if lo, hi := s.box(); moved < 1e-5*(hi[0]-lo[0]+hi[1]-lo[1]) {
			break
		}
	}
	s.turns()
}

// turns are the best ones of each facet: the turn of the weighted edges together.
func (s *bentSheet) turns() {
	for f, t := range s.facet {
		var dot, cross float64
		for k := range t {
			r, q := s.rest[f][k], s.rest[f][(k+1)%3]
			a, b := s.flat[t[k]], s.flat[t[(k+1)%3]]
			ux, uy, vx, vy := q[0]-r[0], q[1]-r[1], b[0]-a[0], b[1]-a[1]
			w := s.cot[f][k]
			dot += w * (ux*vx + uy*vy)
			cross += w * (ux*vy - uy*vx)
		}
		s.turn[f] = math.Atan2(cross, dot)
	}
}

// weights are a symmetric matrix by rows, the diagonal apart.
type weights struct {
	diagonal []float64
	row      [][]weightTo
}

type weightTo struct {
	v int32
	w float64
}

func (s *bentSheet) laplacian() weights {
	m := weights{make([]float64, len(s.at)), make([][]weightTo, len(s.at))}
	for f, t := range s.facet {
		for k := range t {
			i, j, w := t[k], t[(k+1)%3], s.cot[f][k]
			m.diagonal[i] += w
			m.diagonal[j] += w
			m.row[i] = append(m.row[i], weightTo{j, w})
			m.row[j] = append(m.row[j], weightTo{i, w})
		}
	}
	return m
}

// solve finds x with Lx = b by conjugate gradients with the diagonal taken out,
// from where x is. Sums of b are zero, so that it does not matter that L has no
// inverse: x keeps its mean.
func (m weights) solve(x, b []float64) {
	n := len(x)
	r, z, p, q := make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
	times := func(in, out []float64) {
		for i := range out {
			sum := m.diagonal[i] * in[i]
			for _, e := range m.row[i] {
				sum -= e.w * in[e.v]
			}
			out[i] = sum
		}
	}
	times(x, q)
	rz, first := 0.0, 0.0
	for i := range r {
		r[i] = b[i] - q[i]
		z[i] = r[i] / m.diagonal[i]
		p[i] = z[i]
		rz += r[i] * z[i]
		first += b[i] * b[i] / m.diagonal[i]
	}
	for range 200 {
		if rz <= 1e-14*first {
			return
		}
		times(p, q)
		pq := 0.0
		for i := range p {
			pq += p[i] * q[i]
		}
		a, last := rz/pq, rz
		rz = 0
		for i := range x {
			x[i] += a * p[i]
			r[i] -= a * q[i]
			z[i] = r[i] / m.diagonal[i]
			rz += r[i] * z[i]
		}
		for i := range p {
			p[i] = z[i] + rz/last*p[i]
		}
	}
}

// strain is the greatest stretch or squeeze of the middle surface, averaged over
// neighbours until the noise of single facets is gone.
func (s *bentSheet) strain(passes int) float64 {
	e := make([][3]float64, len(s.facet)) // xx, yy, xy in the flat
	for f, t := range s.facet {
		r := s.rest[f]
		sin, cos := math.Sincos(s.turn[f])
		turned := func(q [2]float64) [2]float64 { return [2]float64{cos*q[0] - sin*q[1], sin*q[0] + cos*q[1]} }
		a, b := turned(r[1]), turned(r[2]) // corner 0 is the origin of both
		o := s.flat[t[0]]
		x := [2]float64{s.flat[t[1]][0] - o[0], s.flat[t[1]][1] - o[1]}
		y := [2]float64{s.flat[t[2]][0] - o[0], s.flat[t[2]][1] - o[1]}
		det := a[0]*b[1] - b[0]*a[1]
		fxx, fxy := (x[0]*b[1]-y[0]*a[1])/det, (y[0]*a[0]-x[0]*b[0])/det
		fyx, fyy := (x[1]*b[1]-y[1]*a[1])/det, (y[1]*a[0]-x[1]*b[0])/det
		e[f] = [3]float64{fxx - 1, fyy - 1, (fxy + fyx) / 2}
	}
	for range passes {
		out := make([][3]float64, len(e))
		for f := range e {
			sum, w := e[f], s.mm2[f]
			for c := range sum {
				sum[c] *= w
			}
			for _, g := range s.next[f] {
				if g >= 0 {
					w += s.mm2[g]
					for c := range sum {
						sum[c] += s.mm2[g] * e[g][c]
					}
				}
			}
			for c := range sum {
				out[f][c] = sum[c] / w
			}
		}
		e = out
	}
	most := 0.0
	for _, x := range e {
		mid, half := (x[0]+x[1])/2, hypot((x[0]-x[1])/2, x[2])
		most = max(most, math.Abs(mid)+half)
	}
	return most
}
