package primitive

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
)

// aslant is a pose along no coordinate direction: a mistake in a frame's sign
// shows.
func aslant() synthetic.Pose {
	return synthetic.Pose{OriginMM: r3.Vec{X: 31, Y: -17, Z: 44}, Axis: r3.Vec{X: 0.3, Y: -0.8, Z: 0.52}, Ref: r3.Vec{X: 1, Y: 0.4, Z: 0.1}}
}

// scanOptions asks for the noise of a good hand-held scanner.
func scanOptions(edgeMM float64) synthetic.Options {
	opt := synthetic.DefaultOptions()
	opt.Seed, opt.EdgeMM, opt.NoiseMM, opt.Shuffled = 11, edgeMM, 0.02, true
	return opt
}

// soupOf scans one piece.
func soupOf(t require.TestingT, p synthetic.Piece, opt synthetic.Options) mesh.Soup {
	s, err := synthetic.Scan(synthetic.Scene{Name: "test", Pieces: []synthetic.Piece{p}}, opt)
	require.NoError(t, err)
	return s.Soup("test.stl")
}

// patchOf takes a scan of one piece through checking, scaling and splitting.
func patchOf(t require.TestingT, soup mesh.Soup) *Patch {
	m, s, noiseMM := shellOf(t, soup)
	return NewPatch(m, s.Faces, noiseMM)
}

// shellOf is patchOf up to the largest shell, with the noise of the scan.
func shellOf(t require.TestingT, soup mesh.Soup) (m *mesh.Mesh, shell segment.Shell, noiseMM float64) {
	ctx := context.Background()
	m, report, err := mesh.Check(ctx, soup, mesh.CheckOptions{Unit: "mm"}, nil)
	require.NoError(t, err)
	s, _, err := mesh.Scale(m, mesh.ScaleOptions{From: mesh.FromRatio, Ratio: 10, Up: "+z"})
	require.NoError(t, err)
	parts, _, err := segment.Split(ctx, s, segment.DefaultOptions(), nil)
	require.NoError(t, err)
	require.NotEmpty(t, parts.Shells)
	return m, parts.Shells[0], report.NoiseMM
}

func recognised(t require.TestingT, p synthetic.Piece, opt synthetic.Options) Element {
	return Recognise(patchOf(t, soupOf(t, p, opt)), DefaultOptions())
}

// requireTruth holds that e is what p is: kind, section, hand, and every
// dimension of the truth within mm (lengths), deg (angles) and turns; counts
// exact.
func requireTruth(t require.TestingT, p synthetic.Piece, e Element, mm, deg float64) {
	want, err := synthetic.TruthOf(p)
	require.NoError(t, err)
	require.Equal(t, want.Kind, e.Kind, "%v", e.Dims)
	require.Equal(t, want.Section, e.Section)
	require.Equal(t, want.Hand, e.Hand)
	require.Empty(t, e.Hidden)
	for _, d := range want.Dimensions {
		got, ok := e.Dim(d.Key)
		require.True(t, ok, "%s is missing", d.Key)
		bound := mm
		switch d.Key {
		case "sweep_deg":
			bound = deg
		case "turns":
			bound = deg / 360
		case "tooth_count", "hole_count":
			bound = 0
		}
		assert.InDelta(t, d.Value, got, bound, "%s", d.Key)
	}
	for _, d := range e.Dims {
		require.False(t, math.IsNaN(d.Value) || math.IsNaN(d.U95) || math.IsInf(d.U95, 0), "%v", d)
		if !d.Count {
			assert.Positive(t, d.U95, "%s", d.Key)
		}
	}
}

// requireFrame holds that the frame is right-handed with the axis' largest
// component positive, and within mm and rad of the truth's. Where the contract
// ties u to nothing on the piece, it is the scan axis least along the axis.
func requireFrame(t *testing.T, p synthetic.Piece, e Element, mm, rad float64) {
	want, err := synthetic.TruthOf(p)
	require.NoError(t, err)
	f := e.Frame
	assert.InDelta(t, 1, r3.Norm(f.Axis), 1e-9)
	assert.InDelta(t, 1, r3.Norm(f.Ref), 1e-9)
	assert.InDelta(t, 0, r3.Dot(f.Axis, f.Ref), 1e-9)
	big := f.Axis.X
	for _, c := range []float64{f.Axis.Y, f.Axis.Z} {
		if math.Abs(c) > math.Abs(big) {
			big = c
		}
	}
	assert.Positive(t, big, "axis %v", f.Axis)
	assert.InDelta(t, 0, r3.Norm(r3.Sub(want.OriginMM, f.OriginMM)), mm, "origin %v, not %v", f.OriginMM, want.OriginMM)
	assert.InDelta(t, 0, r3.Norm(r3.Cross(want.Axis, f.Axis)), rad, "axis %v, not %v", f.Axis, want.Axis)
	switch e.Kind {
	case "arc", "rolled_plate":
		assert.InDelta(t, 0, r3.Norm(r3.Sub(want.Ref, f.Ref)), rad, "ref %v, not %v", f.Ref, want.Ref)
	case "toothed_wheel": // to a tooth, any
		n, _ := e.Dim("tooth_count")
		v := r3.Cross(want.Axis, want.Ref)
		turn := math.Atan2(r3.Dot(f.Ref, v), r3.Dot(f.Ref, want.Ref)) * n / (2 * math.Pi)
		assert.InDelta(t, math.Round(turn), turn, rad*n/(2*math.Pi), "tooth")
	default:
		assert.InDelta(t, 0, r3.Norm(r3.Sub(leastAlong(f.Axis), f.Ref)), 1e-9, "ref %v", f.Ref)
	}
}

// leastAlong is the coordinate direction least parallel to a, made square to it.
func leastAlong(a r3.Vec) r3.Vec {
	u := r3.Vec{X: 1}
	if math.Abs(a.Y) < math.Abs(a.X) {
		u = r3.Vec{Y: 1}
	}
	if math.Abs(a.Z) < min(math.Abs(a.X), math.Abs(a.Y)) {
		u = r3.Vec{Z: 1}
	}
	return r3.Unit(r3.Sub(u, r3.Scale(r3.Dot(u, a), a)))
}
