package primitive

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh"
	"pointup/mesh/synthetic"
)

// stepped moves the faces of a scanned wheel to the half thickness that at gives
// for each radius and side.
func stepped(s mesh.Soup, pose synthetic.Pose, thickMM float64, at func(r, side float64) float64) mesh.Soup {
	d := r3.Unit(pose.Axis)
	for i, c := range s.Points {
		q := r3.Sub(r3.Vec{X: float64(c[0]), Y: float64(c[1]), Z: float64(c[2])}, pose.OriginMM)
		h := r3.Dot(q, d)
		if math.Abs(h) < thickMM/2-0.3 {
			continue
		}
		r := r3.Norm(r3.Sub(q, r3.Scale(h, d)))
		side := math.Copysign(1, h)
		v := r3.Scale(side*(at(r, side)-thickMM/2), d)
		s.Points[i] = [3]float32{c[0] + float32(v.X), c[1] + float32(v.Y), c[2] + float32(v.Z)}
	}
	return s
}

// TestSteppedWheel: lands of a hub, a recessed web and a toothed rim, and of a boss
// on one side, come out as they were made, the thickness is the rim's, and what is
// kept of the wheel is as far from any point as the wheel is. A flat one has none.
func TestSteppedWheel(t *testing.T) {
	for name, c := range map[string]struct {
		at   func(r, side float64) float64
		want [][4]float64 // from, to, with the pose's axis, against it
	}{
		"flat": {func(_, _ float64) float64 { return 2 }, nil},
		"web": {func(r, _ float64) float64 {
			switch {
			case r < 11:
				return 3
			case r < 19:
				return 1
			}
			return 2
		}, [][4]float64{{6, 11, 3, 3}, {11, 19, 1, 1}, {19, 28, 2, 2}}},
		"boss": {func(r, side float64) float64 {
			if r < 11 && side > 0 {
				return 3.5
			}
			return 2
		}, [][4]float64{{6, 11, 3.5, 2}, {11, 28, 2, 2}}},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			w := plainWheel()
			p := synthetic.Piece{Name: "wheel", Shape: w, Pose: aslant()}
			patch := patchOf(t, stepped(soupOf(t, p, scanOptions(0.6)), p.Pose, w.ThicknessMM, c.at))
			e := Recognise(patch, DefaultOptions())
			requireTruth(t, p, e, 0.08, 0)
			require.Len(t, e.Lands, len(c.want))
			along := r3.Dot(e.Frame.Axis, p.Pose.Axis) > 0
			for i, l := range e.Lands {
				if !along {
					l.FrontMM, l.BackMM = l.BackMM, l.FrontMM
				}
				assert.InDelta(t, c.want[i][0], l.FromMM, 0.06)
				assert.InDelta(t, c.want[i][1], l.ToMM, 0.06)
				assert.InDelta(t, c.want[i][2], l.FrontMM, 0.01)
				assert.InDelta(t, c.want[i][3], l.BackMM, 0.01)
				assert.Less(t, l.U95MM, 0.01)
			}
			data, err := e.Ideal()
			require.NoError(t, err)
			var back Element
			require.NoError(t, back.SetIdeal(data))
			for i := 0; i < len(patch.P); i += 97 {
				q := r3.Add(patch.P[i], patch.OriginMM)
				require.Equal(t, e.DistanceMM(q), back.DistanceMM(q))
			}
		})
	}
}

// TestDishedFace: a face that slopes from hub to rim is not made of lands.
func TestDishedFace(t *testing.T) {
	var face []faceFacet
	for i := range 2000 {
		r := 5 + 20*float64(i)/2000
		face = append(face, faceFacet{r, 3 - 0.1*r, 2 * math.Pi * r * 0.01})
	}
	_, ok := landBorders(face, 5, 25, 0.5, 0.2)
	assert.False(t, ok)
	for i := range face {
		face[i].h = 2
	}
	b, ok := landBorders(face, 5, 25, 0.5, 0.2)
	assert.True(t, ok)
	assert.Empty(t, b)
}
