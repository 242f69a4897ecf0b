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
	terms  int
	column [cubicTerms][patchMost]float64 // each term at every point
	height [patchMost]float64
	a      [cubicTerms][cubicTerms]float64 // the lower half is used
	b      [cubicTerms]float64
}

// solve returns the sum of squared residuals and the greatest curvature at the
// origin. ok is false where the points, patchMost at most, do not fix the
// polynomial.
func (q *heightFit) solve(points []r3.Vec, terms int, reach float64) (left, curvature float64, ok bool) {
	if !(reach > 0) || math.IsInf(reach, 0) {
		return 0, 0, false
	}
	q.terms = terms
	q.fill(points, reach)
	q.multiply(len(points))
	if !q.factor() {
		return 0, 0, false
	}
	c := q.b
	q.substitute(&c)
	for p, r := range q.height[:len(points)] {
		for j := range terms {
			r -= c[j] * q.column[j][p]
		}
		left += r * r
	}
	half, spread := c[3]+c[5], math.Hypot(c[3]-c[5], c[4])
	return left * reach * reach, (math.Abs(half) + spread) / reach, true
}

// fill writes the terms and heights of points.
func (q *heightFit) fill(points []r3.Vec, reach float64) {
	for i, p := range points {
		x, y := p.X/reach, p.Y/reach
		row := [cubicTerms]float64{1, x, y, x * x, x * y, y * y, x * x * x, x * x * y, x * y * y, y * y * y}
		for j := range row {
			q.column[j][i] = row[j]
		}
		q.height[i] = p.Z / reach
	}
}

// multiply makes the normal equations of the first n rows.
func (q *heightFit) multiply(n int) {
	for i := range q.terms {
		for j := 0; j <= i; j += sumsAtOnce {
			q.sums(q.column[i][:n], j, &q.a[i])
		}
	}
	for j := 0; j < q.terms; j += sumsAtOnce {
		q.sums(q.height[:n], j, &q.b)
	}
}

// sumsAtOnce is how many sums keep an adder busy, whose answer takes three or four
// cycles, and stay in registers. It divides cubicTerms.
const sumsAtOnce = 5

// sums writes the products of w and the columns from j on to their places.
func (q *heightFit) sums(w []float64, j int, to *[cubicTerms]float64) {
	n := len(w)
	a, b, c, d, e := q.column[j][:n], q.column[j+1][:n], q.column[j+2][:n], q.column[j+3][:n], q.column[j+4][:n]
	var sa, sb, sc, sd, se float64
	for p, x := range w {
		sa += x * a[p]
		sb += x * b[p]
		sc += x * c[p]
		sd += x * d[p]
		se += x * e[p]
	}
	to[j], to[j+1], to[j+2], to[j+3], to[j+4] = sa, sb, sc, sd, se
}

// factor replaces the lower half of a by its Cholesky factor. A pivot under 1e-9
// of its diagonal means points on a curve of the polynomial's
// degree: two lines, too few columns.
func (q *heightFit) factor() bool {
	for j := range q.terms {
		pivot := q.a[j][:j+1]
		d := pivot[j]
		for _, x := range pivot[:j] {
			d -= x * x
		}
		if !(d > 1e-9*pivot[j]) {
			return false
		}
		pivot[j] = math.Sqrt(d)
		for i := j + 1; i < q.terms; i++ {
			row := q.a[i][:j+1]
			s := row[j]
			for k, x := range pivot[:j] {
				s -= row[k] * x
			}
			row[j] = s / pivot[j]
		}
	}
	return true
}

// substitute replaces the right side c by the solution.
func (q *heightFit) substitute(c *[cubicTerms]float64) {
	for i := range q.terms {
		s := c[i]
		for k := range i {
			s -= q.a[i][k] * c[k]
		}
		c[i] = s / q.a[i][i]
	}
	for i := q.terms - 1; i >= 0; i-- {
		s := c[i]
		for k := i + 1; k < q.terms; k++ {
			s -= q.a[k][i] * c[k]
		}
		c[i] = s / q.a[i][i]
	}
}
