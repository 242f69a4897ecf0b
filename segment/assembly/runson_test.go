package assembly

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/segment/fit"
	"pointup/segment/surface"
)

// TestRunsOn: a rod of 3 mm radius goes on beyond the plane that touches it along; the
// round end of a slot-shaped plate ends there, and a shaft does at its flat.
func TestRunsOn(t *testing.T) {
	for _, c := range []struct {
		name         string
		fromDeg, deg float64 // that the cylinder is seen, from +x on
		planeZ       float64 // above the axis
		lean         float64 // of the plane to the axis
		want         bool
	}{
		{"rod along an edge", 0, 360, 3.1, 0, true},
		{"rod half in a weld", 20, 140, 2.9, 0, true},
		{"round end", 90, 180, 3, 0, false},
		{"shaft with a flat", 130, 280, 2.3, 0, false},
		{"plane above a rod", 0, 360, 4, 0, false},
		{"plane across", 0, 360, 3, 0.5, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			f := &surface.Field{NoiseMM: 0.02}
			rod := surface.Surface{Ideal: fit.Cylinder{Axis: r3.Vec{Y: 1}, RadiusMM: 3}, Convex: true}
			for y := range 20 {
				for d := c.fromDeg; d < c.fromDeg+c.deg; d += 3 {
					sin, cos := math.Sincos(d * math.Pi / 180)
					rod.Points = append(rod.Points, int32(len(f.P)))
					f.P = append(f.P, r3.Vec{X: 3 * cos, Y: float64(y), Z: 3 * sin})
				}
			}
			face := surface.Surface{Ideal: fit.Plane{Point: r3.Vec{X: 5, Y: 4, Z: c.planeZ}, Axis: r3.Unit(r3.Vec{Y: c.lean, Z: 1})}, Convex: true}
			r := rounds{f: f, found: []surface.Surface{face, rod}, seen: map[int]*[runsOnSector]bool{}}
			assert.Equal(t, c.want, r.runsOn(0, 1, r3.Vec{X: 0.3, Y: 4, Z: 2.98}))
			assert.False(t, r.runsOn(1, 0, r3.Vec{Y: 4, Z: 3}), "a plane is not round")
		})
	}
}
