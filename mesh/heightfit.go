package mesh

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Terms of a height z(x, y): 1, x, y, x², xy, y², then x³, x²y, xy², y³.
const (
	quadricTerms = 6
	cubicTerms   = 10
)

// heightFit is the least-squares fit of z as a polynomial in x and y, by normal
// equations: coordinates are scaled to the patch, so the condition of a sound
// patch is some 1e3 and the square of it costs half of the digits at worst.
type heightFit struct {
	terms int
	a     [cubicTerms][cubicTerms]float64
	b     [cubicTerms]float64
	rows  [][cubicTerms]float64
}

// solve returns the sum of squared residuals and the greatest curvature at the
// origin. ok is false where the points do not fix the polynomial.
func (q *heightFit) solve(points []r3.Vec, terms int, reach float64) (left, curvature float64, ok bool) {
	if !(reach > 0) || math.IsInf(reach, 0) {
		return 0, 0, false
	}
	*q = heightFit{terms: terms, rows: q.rows[:0]}
	for _, p := range points {
		x, y, z := p.X/reach, p.Y/reach, p.Z/reach
		row := [cubicTerms]float64{1, x, y, x * x, x * y, y * y, x * x * x, x * x * y, x * y * y, y * y * y}
		q.rows = append(q.rows, row)
		for i, w := range row[:terms] {
			for j := range i + 1 {
				q.a[i][j] += w * row[j]
			}
			q.b[i] += w * z
		}
	}
	if !q.factor() {
		return 0, 0, false
	}
	c := q.substitute()
	for i, row := range q.rows {
		r := points[i].Z / reach
		for j := range terms {
			r -= c[j] * row[j]
		}
		left += r * r
	}
	half, spread := c[3]+c[5], math.Hypot(c[3]-c[5], c[4])
	return left * reach * reach, (math.Abs(half) + spread) / reach, true
}

// factor replaces the lower half of a by its Cholesky factor. A pivot under 1e-9
// of its diagonal means points on a curve of the polynomial's
// degree: two lines, too few columns.
func (q *heightFit) factor() bool {
	for j := range q.terms {
		d := q.a[j][j]
		for k := range j {
			d -= q.a[j][k] * q.a[j][k]
		}
		if !(d > 1e-9*q.a[j][j]) {
			return false
		}
		q.a[j][j] = math.Sqrt(d)
		for i := j + 1; i < q.terms; i++ {
			s := q.a[i][j]
			for k := range j {
				s -= q.a[i][k] * q.a[j][k]
			}
			q.a[i][j] = s / q.a[j][j]
		}
	}
	return true
}

func (q *heightFit) substitute() [cubicTerms]float64 {
	c := q.b
	for i := range q.terms {
		for k := range i {
			c[i] -= q.a[i][k] * c[k]
		}
		c[i] /= q.a[i][i]
	}
	for i := q.terms - 1; i >= 0; i-- {
		for k := i + 1; k < q.terms; k++ {
			c[i] -= q.a[k][i] * c[k]
		}
		c[i] /= q.a[i][i]
	}
	return c
}
