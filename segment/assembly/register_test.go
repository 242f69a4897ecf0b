package assembly

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh"
	"pointup/mesh/synthetic"
	"pointup/segment"
	"pointup/segment/primitive"
)

// viewOf scans a piece and reads it.
func viewOf(t *testing.T, p synthetic.Piece, opt synthetic.Options) View {
	ctx := context.Background()
	s, err := synthetic.Scan(synthetic.Scene{Name: "view", Pieces: []synthetic.Piece{p}}, opt)
	require.NoError(t, err)
	m, report, err := mesh.Check(ctx, s.Soup("view.stl"), mesh.CheckOptions{Unit: "mm"}, nil)
	require.NoError(t, err)
	scaled, _, err := mesh.Scale(m, mesh.ScaleOptions{From: mesh.FromRatio, Ratio: 1, Up: "+z"})
	require.NoError(t, err)
	parts, _, err := segment.Split(ctx, scaled, segment.DefaultOptions(), nil)
	require.NoError(t, err)
	patch := primitive.NewPatch(m, parts.Shells[0].Faces, report.NoiseMM)
	e := primitive.Recognise(patch, primitive.DefaultOptions())
	return View{&e, patch}
}

// TestRegister lays a finer scan, in another place and turned over, onto a coarse
// one. The motion is known from the two poses; it must come out within a twentieth
// of the coarse scan's facet, where the shape tells it: a plain tube may turn about
// its axis, so its ends' middles are held instead.
func TestRegister(t *testing.T) {
	here := synthetic.Pose{OriginMM: r3.Vec{X: 12, Y: -7, Z: 40}, Axis: r3.Vec{X: 0.3, Y: -0.8, Z: 0.52}, Ref: r3.Vec{X: 1, Y: 0.4, Z: 0.1}}
	there := synthetic.Pose{OriginMM: r3.Vec{X: -60, Y: 25, Z: 3}, Axis: r3.Vec{X: -0.9, Y: 0.1, Z: -0.3}, Ref: r3.Vec{X: 0.2, Y: 1, Z: 0.6}}
	for _, c := range []struct {
		name  string
		shape synthetic.Shape
		free  bool // turns about its axis
		gaps  int
		mm    float64
	}{
		{"plate with a hole", synthetic.Plate{Outline: synthetic.Rectangle(60, 36), ThicknessMM: 4, Holes: []synthetic.Hole{synthetic.RoundHole(18, 6, 9)}}, false, 0, .07},
		{"mitred tube", synthetic.Tube{OutsideDiameterMM: 20, InsideDiameterMM: 16, LengthMM: 50, Ends: [2]synthetic.End{{MitreDeg: 30, AzimuthDeg: 40}, {}}}, false, 2, .5}, // only the end's 2 % of the surface tells the turn
		{"tube", synthetic.Tube{OutsideDiameterMM: 20, InsideDiameterMM: 16, LengthMM: 50}, true, 0, .07},
		{"wheel with a missing tooth", synthetic.ToothedWheel{ToothCount: 14, TipDiameterMM: 56, RootDiameterMM: 46, BoreDiameterMM: 12, ThicknessMM: 4, Teeth: synthetic.StraightTeeth(),
			Faults: []synthetic.ToothFault{{Tooth: 3, Missing: true}}, Holes: []synthetic.Hole{synthetic.RoundHole(14, 0, 6)}}, false, 0, .07},
		{"arc", synthetic.Arc{CentrelineDiameterMM: 80, SectionDiameterMM: 8, SweepDeg: 140}, false, 0, .07},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			coarse, fine := synthetic.DefaultOptions(), synthetic.DefaultOptions()
			coarse.Seed, coarse.EdgeMM, coarse.NoiseMM = 3, 1.4, 0.05
			fine.Seed, fine.EdgeMM, fine.NoiseMM, fine.Gaps = 4, 0.7, 0.01, c.gaps
			whole := viewOf(t, synthetic.Piece{Name: "whole", Shape: c.shape, Pose: here}, coarse)
			part := viewOf(t, synthetic.Piece{Name: "part", Shape: c.shape, Pose: there}, fine)
			r, ok := Register(part, whole)
			require.True(t, ok)
			assert.InDelta(t, math.Hypot(0.05, 0.01), r.RMSMM, 0.03)
			assert.Greater(t, r.Share, 0.85)
			want := onto(frameOf(there), frameOf(here))
			for _, q := range []r3.Vec{{}, {X: 20}, {Y: 20}, {Z: 15}} {
				q = r3.Add(there.OriginMM, q)
				d := r3.Norm(r3.Sub(want.At(q), r.At(q)))
				if c.free {
					axis := r3.Unit(here.Axis)
					q = r3.Add(there.OriginMM, r3.Scale(25, r3.Unit(there.Axis)))
					d = min(r3.Norm(r3.Sub(want.At(q), r.At(q))), r3.Norm(r3.Sub(r3.Sub(want.At(q), r3.Scale(50, axis)), r.At(q))))
				}
				assert.Less(t, d, c.mm, "%v", q)
			}
			for i, a := range r.Turn {
				for k, b := range r.Turn {
					id := 0.0
					if i == k {
						id = 1
					}
					assert.InDelta(t, id, r3.Dot(a, b), 1e-9)
				}
			}
		})
	}
}

func frameOf(p synthetic.Pose) primitive.Frame {
	d := r3.Unit(p.Axis)
	return primitive.Frame{OriginMM: p.OriginMM, Axis: d, Ref: r3.Unit(r3.Sub(p.Ref, r3.Scale(r3.Dot(p.Ref, d), d)))}
}

// TestRegisterRefuses holds that another piece is not taken for the same, and
// that nothing is no panic.
func TestRegisterRefuses(t *testing.T) {
	opt := synthetic.DefaultOptions()
	opt.EdgeMM, opt.NoiseMM = 1.5, 0.02
	pose := synthetic.Upright(0, 0, 0)
	whole := viewOf(t, synthetic.Piece{Name: "whole", Shape: synthetic.Tube{OutsideDiameterMM: 20, InsideDiameterMM: 16, LengthMM: 50}, Pose: pose}, opt)
	part := viewOf(t, synthetic.Piece{Name: "part", Shape: synthetic.Tube{OutsideDiameterMM: 26, InsideDiameterMM: 20, LengthMM: 50}, Pose: pose}, opt)
	_, ok := Register(part, whole)
	assert.False(t, ok)
	_, ok = Register(View{&primitive.Element{}, &primitive.Patch{}}, whole)
	assert.False(t, ok)
}
