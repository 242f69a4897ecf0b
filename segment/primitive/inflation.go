package primitive

import (
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/segment/fit"
)

// inflation is how much the correlation of a surface's residuals inflates the
// variance of what is estimated from them; see fit.Inflation.
func inflation(pts []r3.Vec, res []float64, edgeMM float64) float64 {
	return fit.Inflation(pts, res, edgeMM)
}
