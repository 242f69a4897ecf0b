package primitive

import "gonum.org/v1/gonum/spatial/r3"

func inflation(pts []r3.Vec, res []float64, edge float64) float64 { return 1 }
