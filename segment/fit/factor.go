package fit

import "math"

// Where a pivot of the normal equations has lost all but normalLost of its
// diagonal, six of sixteen digits are gone and the end is done in QR form.
// qrLost is where QR form has none left to give: 1e-9 of a column leaves the
// covariance, its square, at the last digit of float64.
const (
	normalLost = 1e-6
	qrLost     = 1e-9
)

// covariance returns the inverse of JᵀWJ at the minimum, polishing x first
// where the normal equations are poor.
func (s *search) covariance() ([]float64, error) {
	p := s.p
	copy(s.l, s.a)
	if cholesky(s.l, p) && s.kept() > normalLost {
		return inverse(s.l, p), nil
	}
	r, ok := s.polish()
	if !ok {
		return nil, ErrSingular
	}
	for i := 0; i < p; i++ { // Rᵀ is the Cholesky factor of JᵀWJ
		for j := 0; j <= i; j++ {
			s.l[i*p+j] = r[j*(p+1)+i]
		}
	}
	return inverse(s.l, p), nil
}

// kept is the smallest share of a diagonal that is left in its pivot.
func (s *search) kept() float64 {
	least := 1.0
	for j := 0; j < s.p; j++ {
		d := s.l[j*s.p+j]
		least = math.Min(least, d*d/s.a[j*s.p+j])
	}
	return least
}

// polish takes up to three Gauss-Newton steps in QR form and returns the last
// triangle, p rows of p+1 columns, the last one Qᵀr.
func (s *search) polish() ([]float64, bool) {
	p := s.p
	r := s.pr.triangle(s.x)
	for range 3 {
		if !wellPosed(r, p) {
			return nil, false
		}
		for i := p - 1; i >= 0; i-- {
			v := -r[i*(p+1)+p]
			for j := i + 1; j < p; j++ {
				v -= r[i*(p+1)+j] * s.d[j]
			}
			s.d[i] = v / r[i*(p+1)+i]
		}
		for j := range s.d {
			s.xt[j] = s.x[j] + s.d[j]
		}
		t := s.pr.normal(s.xt, s.at, s.gt, s.grad)
		if !(t < s.ssq) {
			break
		}
		copy(s.x, s.xt)
		s.ssq = t
		r = s.pr.triangle(s.x)
	}
	return r, wellPosed(r, p)
}

// wellPosed refuses a pivot that has lost all but qrLost of its column.
func wellPosed(r []float64, p int) bool {
	for j := 0; j < p; j++ {
		sum := 0.0
		for i := 0; i <= j; i++ {
			sum += r[i*(p+1)+j] * r[i*(p+1)+j]
		}
		if !(math.Abs(r[j*(p+1)+j]) > qrLost*math.Sqrt(sum)) {
			return false
		}
	}
	return true
}

// triangle returns R and Qᵀr of the QR decomposition of √W(J|r), built from
// blocks of 64 rows so that the memory does not grow with n.
func (pr Problem) triangle(x []float64) []float64 {
	const block = 64
	p, c := pr.P, pr.P+1
	m := make([]float64, (p+block)*c)
	if pr.Prepare != nil {
		pr.Prepare(x)
	}
	rows := p
	for i := 0; i < pr.N; i++ {
		w := 1.0
		if pr.Weight != nil {
			if w = math.Sqrt(pr.Weight[i]); w == 0 {
				continue
			}
		}
		row := m[rows*c : rows*c+c]
		row[p] = pr.Residual(x, i, row[:p:p])
		for k := range row {
			row[k] *= w
		}
		if rows++; rows == p+block {
			householder(m, rows, c, p)
			rows = p
		}
	}
	householder(m, rows, c, p)
	return m[:p*c]
}

// householder makes the first p columns of the rows×c matrix m upper
// triangular by reflections from the left.
func householder(m []float64, rows, c, p int) {
	for j := 0; j < p; j++ {
		norm := 0.0
		for i := j; i < rows; i++ {
			norm += m[i*c+j] * m[i*c+j]
		}
		if norm = math.Sqrt(norm); norm == 0 {
			continue
		}
		if m[j*c+j] > 0 {
			norm = -norm
		}
		m[j*c+j] -= norm // column j now holds the reflector v
		vv := -norm * m[j*c+j]
		for k := j + 1; k < c; k++ {
			dot := 0.0
			for i := j; i < rows; i++ {
				dot += m[i*c+j] * m[i*c+k]
			}
			dot /= vv
			for i := j; i < rows; i++ {
				m[i*c+k] -= dot * m[i*c+j]
			}
		}
		m[j*c+j] = norm
		for i := j + 1; i < rows; i++ {
			m[i*c+j] = 0
		}
	}
}

// cholesky factors the lower triangle of the row-major p×p matrix a in place.
func cholesky(a []float64, p int) bool {
	for j := 0; j < p; j++ {
		d := a[j*p+j]
		for k := 0; k < j; k++ {
			d -= a[j*p+k] * a[j*p+k]
		}
		if !(d > 0) {
			return false
		}
		d = math.Sqrt(d)
		a[j*p+j] = d
		for i := j + 1; i < p; i++ {
			s := a[i*p+j]
			for k := 0; k < j; k++ {
				s -= a[i*p+k] * a[j*p+k]
			}
			a[i*p+j] = s / d
		}
	}
	return true
}

// cholSolve solves L Lᵀ x = b in place.
func cholSolve(l []float64, p int, b []float64) {
	for i := 0; i < p; i++ {
		for k := 0; k < i; k++ {
			b[i] -= l[i*p+k] * b[k]
		}
		b[i] /= l[i*p+i]
	}
	for i := p - 1; i >= 0; i-- {
		for k := i + 1; k < p; k++ {
			b[i] -= l[k*p+i] * b[k]
		}
		b[i] /= l[i*p+i]
	}
}

// inverse returns (L Lᵀ)⁻¹, row-major p×p.
func inverse(l []float64, p int) []float64 {
	inv, col := make([]float64, p*p), make([]float64, p)
	for j := 0; j < p; j++ {
		clear(col)
		col[j] = 1
		cholSolve(l, p, col)
		for i := 0; i < p; i++ {
			inv[i*p+j] = col[i]
		}
	}
	return inv
}
