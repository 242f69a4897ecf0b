package fit

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// HalfWidth returns half the width of the interval that holds a quantity of
// gradient g in the parameters with the given probability: that of the normal
// distributions of all cases in their shares, widened as Student's t for the
// degrees of freedom.
func (d Doubt) HalfWidth(g []float64, probability float64) float64 {
	white := quadratic(d.white, g)
	fields := make([]float64, len(d.field))
	for k, m := range d.field {
		fields[k] = math.Max(quadratic(m, g), 0)
	}
	sd, most := make([]float64, len(d.cases)), 0.0
	for i, c := range d.cases {
		v := white
		if c.field >= 0 {
			v += c.strength * fields[c.field]
		}
		sd[i] = math.Sqrt(math.Max(c.scale*v, 0))
		most = math.Max(most, sd[i])
	}
	if !(most > 0) {
		return 0
	}
	low, high := 0.0, 10*most
	for range 50 {
		u, inside := (low+high)/2, 0.0
		for i, c := range d.cases {
			if sd[i] > 0 {
				inside += c.weight * math.Erf(u/(sd[i]*math.Sqrt2))
			} else {
				inside += c.weight
			}
		}
		if inside < probability {
			low = u
		} else {
			high = u
		}
	}
	free := math.Max(d.free, 3)
	tail := (1 + probability) / 2
	return high * distuv.StudentsT{Mu: 0, Sigma: 1, Nu: free}.Quantile(tail) / distuv.UnitNormal.Quantile(tail)
}

func quadratic(m, g []float64) float64 {
	p, sum := len(g), 0.0
	for i, a := range g {
		for j, b := range g {
			sum += a * m[i*p+j] * b
		}
	}
	return sum
}

func addSquare(m, g []float64, w float64) {
	p := len(g)
	for i, a := range g {
		if a != 0 {
			for j, b := range g {
				m[i*p+j] += w * a * b
			}
		}
	}
}

// sandwich is a·m·a, all p×p, a symmetric.
func sandwich(a, m []float64, p int) []float64 { return product(product(a, m, p), a, p) }

func product(a, b []float64, p int) []float64 {
	out := make([]float64, p*p)
	for i := range p {
		for k := range p {
			if x := a[i*p+k]; x != 0 {
				for j := range p {
					out[i*p+j] += x * b[k*p+j]
				}
			}
		}
	}
	return out
}
