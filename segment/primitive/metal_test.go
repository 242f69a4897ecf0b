package primitive

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh/synthetic"
)

// TestRealTubes reads tubes that are not round, straight or whole: each stays a
// tube, with the diameter of its least-squares circle (ISO 14405-1), and form
// says how far it is off.
func TestRealTubes(t *testing.T) {
	ideal := synthetic.Tube{OutsideDiameterMM: 24, InsideDiameterMM: 20, LengthMM: 45}
	for _, c := range []struct {
		name                string
		form                synthetic.Form
		roundness, straight float64 // what form should say, mm; 0: not held
		mm                  float64
	}{
		{"bowed", synthetic.Form{BowMM: 0.3}, 0, 0.3, .05},
		{"dented", synthetic.Form{Dents: []synthetic.Dent{{AtMM: r3.Vec{X: 12}, Inward: r3.Vec{X: -1}, DepthMM: 1.2, SpreadMM: 3}}}, 0, 0, .05},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			p := synthetic.Piece{Name: c.name, Shape: ideal, Pose: aslant(), Form: c.form}
			e := recognised(t, p, scanOptions(1.8))
			require.Equal(t, "tube", e.Kind)
			requireTruth(t, p, e, c.mm, 0)
			if c.roundness > 0 {
				assert.InDelta(t, c.roundness, e.Form.RoundnessMM, 0.4*c.roundness)
			}
			if c.straight > 0 {
				assert.InDelta(t, c.straight, e.Form.StraightnessMM, 0.4*c.straight)
			}
		})
	}
}

// TestEnds holds the kinds of ends: square and mitred, low end first.
func TestEnds(t *testing.T) {
	shape := synthetic.Tube{OutsideDiameterMM: 20, InsideDiameterMM: 16, LengthMM: 50, Ends: [2]synthetic.End{{MitreDeg: 25, AzimuthDeg: 70}, {}}}
	p := synthetic.Piece{Name: "mitred", Shape: shape, Pose: synthetic.Upright(1, 2, 3)}
	e := recognised(t, p, scanOptions(1.2))
	require.Len(t, e.Ends, 2)
	assert.Equal(t, "mitre", e.Ends[0].Kind)
	assert.InDelta(t, 25, e.Ends[0].AngleDeg, 0.2)
	assert.Equal(t, "square", e.Ends[1].Kind)
	assert.InDelta(t, 0, e.Ends[1].AngleDeg, 0.2)

	// The planes: z = 25 mm about the origin of the pose, the lower turned by 25°.
	for k, end := range e.Ends {
		assert.InDelta(t, 0, r3.Norm(r3.Sub(end.AtMM, r3.Vec{X: 1, Y: 2, Z: 3 + float64(50*k-25)})), 0.05)
		assert.InDelta(t, float64(2*k-1)*math.Cos(float64(1-k)*25*math.Pi/180), end.Out.Z, 0.002)
		assert.InDelta(t, 1, r3.Norm(end.Out), 1e-12)
	}
	assert.InDelta(t, math.Tan(70*math.Pi/180), e.Ends[0].Out.Y/e.Ends[0].Out.X, 0.05)
}

// TestNothing holds that a patch without facets is freeform and no panic.
func TestNothing(t *testing.T) {
	assert.Equal(t, "freeform", Recognise(&Patch{}, DefaultOptions()).Kind)
}
