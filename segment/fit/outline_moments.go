package fit

import "math"

// outlineMoments are the weighted moments of points: W, x, y, xx, xy, yy, xz,
// yz, zz and z with z = x²+y².
type outlineMoments [10]float64

func (m *outlineMoments) add(p [2]float64, w float64) {
	x, y := p[0], p[1]
	z := x*x + y*y
	m[0] += w
	m[1] += w * x
	m[2] += w * y
	m[3] += w * x * x
	m[4] += w * x * y
	m[5] += w * y * y
	m[6] += w * x * z
	m[7] += w * y * z
	m[8] += w * z * z
	m[9] += w * z
}

// lineSSQ is the sum of squared orthogonal distances to the best line.
func (m *outlineMoments) lineSSQ() float64 {
	w := m[0]
	if w <= 0 {
		return 0
	}
	mx, my := m[1]/w, m[2]/w
	xx, xy, yy := m[3]-mx*m[1], m[4]-mx*m[2], m[5]-my*m[2]
	d := math.Hypot(xx-yy, 2*xy)
	s := xx + yy + d
	if s <= 0 {
		return 0
	}
	// The small eigenvalue as determinant over the large one loses no digits.
	return math.Max(0, 2*(xx*yy-xy*xy)/s)
}

// circle returns the circle of Taubin's fit (1991, IEEE PAMI 13) and its sum of
// squared distances to first order; ok is false for points on a line.
func (m *outlineMoments) circle() (cx, cy, r, ssq float64, ok bool) {
	n := m[0]
	if n <= 0 {
		return
	}
	mx, my := m[1]/n, m[2]/n
	xx, xy, yy := m[3]/n-mx*mx, m[4]/n-mx*my, m[5]/n-my*my
	// Moments about the mean; q is the mean square distance.
	q := xx + yy
	m2 := mx*mx + my*my
	z0 := m[9] / n
	// z' = z - 2 m·p + m²; its products are expanded from the plain moments.
	xz := m[6]/n - 2*mx*(m[3]/n) - 2*my*(m[4]/n) + m2*mx - mx*(z0-2*m2+m2)
	yz := m[7]/n - 2*mx*(m[4]/n) - 2*my*(m[5]/n) + m2*my - my*(z0-2*m2+m2)
	zz := m[8]/n + 4*mx*mx*(m[3]/n) + 8*mx*my*(m[4]/n) + 4*my*my*(m[5]/n) + m2*m2 -
		4*mx*(m[6]/n) - 4*my*(m[7]/n) + 2*m2*z0 - 4*m2*m2
	return outlineTaubin(n, mx, my, xx, xy, yy, xz, yz, zz, q)
}

func outlineTaubin(n, mx, my, xx, xy, yy, xz, yz, zz, q float64) (cx, cy, r, ssq float64, ok bool) {
	cov := xx*yy - xy*xy
	a3 := 4 * q
	a2 := -3*q*q - zz
	a1 := zz*q + 4*cov*q - xz*xz - yz*yz - q*q*q
	a0 := xz*xz*yy + yz*yz*xx - zz*cov - 2*xz*yz*xy + q*q*cov
	x := 0.0
	for range 12 {
		f := a0 + x*(a1+x*(a2+x*a3))
		g := a1 + x*(2*a2+x*3*a3)
		if g == 0 {
			break
		}
		next := x - f/g
		if math.Abs(next-x) < 1e-9*q || math.IsNaN(next) || next < 0 {
			break
		}
		x = next
	}
	det := x*x - x*q + cov
	if math.Abs(det) < 1e-14*q*q || q <= 0 {
		return
	}
	a := (xz*(yy-x) - yz*xy) / det / 2
	b := (yz*(xx-x) - xz*xy) / det / 2
	r2 := a*a + b*b + q
	f := zz - q*q - 4*a*xz - 4*b*yz + 4*a*a*xx + 4*b*b*yy + 8*a*b*xy
	return a + mx, b + my, math.Sqrt(r2), math.Max(0, n*f/(4*r2)), true
}

// outlineSums holds prefix moments of a loop that starts at point 0 and ends at
// point N, which is point 0 again.
type outlineSums struct {
	l   *outlineLoop
	pre []outlineMoments
}

func newOutlineSums(l *outlineLoop) *outlineSums {
	s := &outlineSums{l: l, pre: make([]outlineMoments, l.N+2)}
	for i := 0; i <= l.N; i++ {
		s.pre[i+1] = s.pre[i]
		s.pre[i+1].add(l.at(i), l.W[i%l.N])
	}
	return s
}

// between returns the moments of the points a to b, both included.
func (s *outlineSums) between(a, b int, m *outlineMoments) {
	p, q := &s.pre[a], &s.pre[b+1]
	for i := range m {
		m[i] = q[i] - p[i]
	}
}

// circleSSQ is the circle's sum of squares of the points a to b. Few points are
// summed about their own middle, where prefix sums would cancel.
func (s *outlineSums) circleSSQ(a, b int, m *outlineMoments) (r, ssq float64, ok bool) {
	if b-a < 40 {
		o := s.l.at((a + b) / 2)
		var d outlineMoments
		for i := a; i <= b; i++ {
			p := s.l.at(i)
			d.add([2]float64{p[0] - o[0], p[1] - o[1]}, s.l.W[i%s.l.N])
		}
		_, _, r, ssq, ok = d.circle()
		return
	}
	_, _, r, ssq, ok = m.circle()
	return
}
