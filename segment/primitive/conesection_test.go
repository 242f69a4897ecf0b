package primitive

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pointup/mesh/synthetic"
)

// TestRolledCone reads plates rolled to parts of cones over size, facets, noise
// and pose.
func TestRolledCone(t *testing.T) {
	for i, c := range []struct {
		shape       synthetic.RolledCone
		edge, noise float64
	}{
		{synthetic.RolledCone{LargeInsideDiameterMM: 100, SmallInsideDiameterMM: 60, ThicknessMM: 3, SlantMM: 50, SweepDeg: 150}, 1.5, .02},
		{synthetic.RolledCone{LargeInsideDiameterMM: 80, SmallInsideDiameterMM: 70, ThicknessMM: 2, SlantMM: 40, SweepDeg: 100}, 1.2, .05},
		{synthetic.RolledCone{LargeInsideDiameterMM: 90, SmallInsideDiameterMM: 30, ThicknessMM: 3, SlantMM: 40, SweepDeg: 270}, 1.2, .03},
		{synthetic.RolledCone{LargeInsideDiameterMM: 100, SmallInsideDiameterMM: 60, ThicknessMM: 3, SlantMM: 50, SweepDeg: 150,
			Holes: []synthetic.Hole{synthetic.RoundHole(40, 5, 8), synthetic.RoundHole(80, -6, 6)}}, 1, .02},
		{synthetic.RolledCone{LargeInsideDiameterMM: 120, SmallInsideDiameterMM: 100, ThicknessMM: 4, SlantMM: 60, SweepDeg: 60}, 1.5, .02},
	} {
		t.Run(fmt.Sprint(c), func(t *testing.T) {
			t.Parallel()
			p := synthetic.Piece{Name: "cone", Shape: c.shape, Pose: poses()[i%3]}
			opt := scanOptions(c.edge)
			opt.NoiseMM = c.noise
			e := recognised(t, p, opt)
			require.Equal(t, "rolled_plate", e.Kind, "%v", e.Dims)
			requireWithin(t, p, e, 1.8)
			requireFrame(t, p, e, 10*c.noise, 0.01)
			want, err := synthetic.TruthOf(p)
			require.NoError(t, err)
			require.Len(t, e.Holes, len(want.Holes))
			for _, h := range want.Holes {
				near, across := math.Inf(1), 0.0
				for _, g := range e.Holes {
					if d := math.Hypot(g.CentreMM[0]-h.CentreMM[0], g.CentreMM[1]-h.CentreMM[1]); d < near {
						near, across = d, g.DiameterMM
					}
				}
				// Drawn on a development that is true at mid-width only.
				assert.InDelta(t, h.DiameterMM, across, .06*h.DiameterMM)
				assert.Less(t, near, .3)
			}
		})
	}
}

// TestRolledNotCone holds a plate rolled to a cylinder apart from one rolled to a
// cone.
func TestRolledNotCone(t *testing.T) {
	p := synthetic.Piece{Name: "rolled", Shape: synthetic.RolledPlate{InsideDiameterMM: 80, ThicknessMM: 3, WidthMM: 40, SweepDeg: 140}, Pose: aslant()}
	opt := scanOptions(1.5)
	e := recognised(t, p, opt)
	require.Equal(t, "rolled_plate", e.Kind)
	_, cone := e.Dim("slant_mm")
	require.False(t, cone)
}
