package rig

import (
	"context"
	"encoding/json"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/job"
)

// pipes is a random connected assembly of pipes, one of them upright, some level.
func pipes(draw *rand.Rand, n int, sides uint32) ([]Body, []Joint) {
	bodies, joints := scattered(draw, n)
	for i := range bodies {
		b := pipe(bodies[i].ID, 60+300*draw.Float64(), 500+3000*draw.Float64(), sides, 20+200*draw.Float64())
		switch draw.IntN(3) {
		case 0:
			b = moved(b, r3.Vec{Y: 1}, -90*deg, bodies[i].CentreMM)
		case 1:
			b = moved(b, r3.Vec{Z: 1}, draw.Float64(), bodies[i].CentreMM)
		default:
			b = moved(b, r3.Vec{X: draw.Float64(), Y: 1, Z: draw.Float64()}, 3*draw.Float64(), bodies[i].CentreMM)
		}
		bodies[i] = b
	}
	return bodies, joints
}

// TestPlansAreFinite: whatever the assembly, a plan is either refused with a reason
// or has numbers only (JSON knows no other), keeps its own limits, and warns.
func TestPlansAreFinite(t *testing.T) {
	draw := rand.New(rand.NewPCG(8, 8))
	lifted := 0
	for range 20 {
		bodies, joints := pipes(draw, 1+draw.IntN(6), 12)
		l, err := ChooseLift(bodies, DefaultLiftOptions())
		if err == nil {
			lifted++
			assert.NotEmpty(t, l.Cautions)
			assert.LessOrEqual(t, l.TiltDeg, 5.0)
			sum := 0.0
			for _, leg := range l.Legs {
				assert.GreaterOrEqual(t, leg.AngleDeg, 30.0)
				sum += leg.TensionN
			}
			assert.GreaterOrEqual(t, sum, l.LoadKG*gravityMS2*(1-1e-9)) // legs pull at least the weight
		} else {
			assert.ErrorIs(t, err, errNoLift)
		}
		u, err := Upend(bodies[:1], 12, DefaultLiftOptions())
		if err == nil && u.Needed {
			assert.LessOrEqual(t, u.Turn.HeadMostKG, bodies[0].MassHighKG*1.1+1e-9)
		}
		s, err := Divide(context.Background(), bodies, joints, envelope(4000, 2000, 2000, 900))
		require.NoError(t, err)
		var route Route
		if s.Sections[0].Rest.LengthMM > 0 {
			w, r := 4000.0, 9000.0
			route, err = Haul(s.Sections[0].Rest, []job.Passage{{WidthMM: &w, RadiusMM: &r}})
			require.NoError(t, err)
		}
		for _, x := range []any{l, u, s, route} {
			_, err := json.Marshal(x)
			require.NoError(t, err)
		}
	}
	t.Logf("%d of 20 lifted from one hook", lifted)
	assert.Greater(t, lifted, 5)
}

// BenchmarkChooseLift is twenty pipes of 48 sides.
func BenchmarkChooseLift(b *testing.B) {
	bodies, _ := pipes(rand.New(rand.NewPCG(1, 1)), 20, 48)
	for b.Loop() {
		if _, err := ChooseLift(bodies, DefaultLiftOptions()); err != nil {
			b.Log(err)
		}
	}
}
