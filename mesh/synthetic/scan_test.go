package synthetic

import (
	"bytes"
	"crypto/sha256"
	"math"
	"runtime"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// everything asks for all that a scanner does at once.
func everything() Options {
	opt := DefaultOptions()
	opt.Seed, opt.NoiseMM, opt.CorrelatedMM, opt.WavinessMM, opt.RoundingMM = 7, 0.03, 0.02, 0.02, 0.3
	opt.Spikes, opt.DustBlobs, opt.Gaps, opt.Flipped, opt.Slivers, opt.Degenerate, opt.Doubled = 5, 6, 3, 20, 10, 8, 9
	opt.Shuffled, opt.KeepShare = true, 0.7
	return opt
}

func pair() Scene {
	return Scene{Name: "pair", Pieces: []Piece{
		{Name: "tube", Shape: Tube{OutsideDiameterMM: 20, InsideDiameterMM: 16, LengthMM: 40}, Pose: Along(r3.Vec{X: 50}, r3.Vec{X: 1, Y: 2, Z: -3}),
			Form: Form{OvalityMM: 0.2, BowMM: 0.3, Dents: []Dent{{r3.Vec{X: 10}, r3.Vec{X: -1}, 0.5, 3}}}},
		{Name: "plate", Shape: octagonPlate(), Pose: Upright(-30, 10, 5), Form: Form{WarpMM: 0.2}},
	}}
}

func TestScanSameBytes(t *testing.T) {
	take := func() [32]byte {
		s, err := Scan(pair(), everything())
		require.NoError(t, err)
		return sha256.Sum256(s.STL())
	}
	want := take()
	assert.Equal(t, want, take())
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	assert.Equal(t, want, take(), "on one core")
}

func TestScanSeed(t *testing.T) {
	opt := everything()
	a, err := Scan(pair(), opt)
	require.NoError(t, err)
	opt.Seed++
	b, err := Scan(pair(), opt)
	require.NoError(t, err)
	assert.NotEqual(t, a.STL(), b.STL())
}

// TestScanPieceAlone holds that a piece's noise does not depend on what follows.
func TestScanPieceAlone(t *testing.T) {
	opt := DefaultOptions()
	opt.NoiseMM, opt.CorrelatedMM, opt.WavinessMM = 0.03, 0.02, 0.02
	both, err := Scan(pair(), opt)
	require.NoError(t, err)
	first, err := Scan(Scene{Pieces: pair().Pieces[:1]}, opt)
	require.NoError(t, err)
	assert.Equal(t, first.Triangles, both.Triangles[:len(first.Triangles)])
}

func TestScanCounts(t *testing.T) {
	clean, err := Scan(pair(), DefaultOptions())
	require.NoError(t, err)
	opt := DefaultOptions()
	opt.DustBlobs, opt.Slivers, opt.Degenerate, opt.Doubled = 6, 10, 8, 9
	s, err := Scan(pair(), opt)
	require.NoError(t, err)
	// An octahedron has 8 facets; a split edge makes two more.
	assert.Len(t, s.Triangles, len(clean.Triangles)+6*8+10*2+8+9)
	require.Len(t, s.Piece, len(s.Triangles))
	require.Len(t, s.Patch, len(s.Triangles))
	dust := 0
	for _, p := range s.Piece {
		if p == -1 {
			dust++
		}
	}
	assert.Equal(t, 48, dust)
	empty := 0
	for _, f := range s.Triangles {
		if r3.Norm(areaVector(f)) == 0 {
			empty++
		}
	}
	assert.Equal(t, 8, empty)
}

func TestScanGaps(t *testing.T) {
	opt := DefaultOptions()
	opt.GapMM = 5
	scene := Scene{Pieces: []Piece{{Shape: Plate{Rectangle(100, 100), nil, 2}, Pose: Upright(0, 0, 0)}}}
	area := func() (sum float64) {
		s, err := Scan(scene, opt)
		require.NoError(t, err)
		for _, f := range s.Triangles {
			sum += r3.Norm(areaVector(f))
		}
		return sum
	}
	whole, most := area(), 0.0
	opt.Gaps = 1
	for opt.Seed = range 6 { // some may lie over the plate's edge
		most = max(most, whole-area())
	}
	assert.InDelta(t, math.Pi*25, most, 8) // one side only, to half a facet round the rim
}

// TestDustOutward holds that blobs are closed and wound outward.
func TestDustOutward(t *testing.T) {
	s := octahedron(stream(1, 0, useDust), r3.Vec{X: 5, Y: 6, Z: 7}, 2)
	watertight(t, s)
	assert.InEpsilon(t, 4.0/3*8, s.VolumeMM3(), 1e-12) // 4/3 r³
}

func TestSliversStayWatertight(t *testing.T) {
	s, err := Mesh(octagonPlate(), 1)
	require.NoError(t, err)
	volume, faces := s.VolumeMM3(), len(s.Faces)
	shells := []Shell{s}
	opt := DefaultOptions()
	opt.Slivers = 200
	slivered(shells, opt)
	watertight(t, shells[0])
	assert.Len(t, shells[0].Faces, faces+400)
	assert.InEpsilon(t, volume, shells[0].VolumeMM3(), 1e-12)
}

func TestDecimated(t *testing.T) {
	for _, shape := range []Shape{octagonPlate(), Tube{OutsideDiameterMM: 20, InsideDiameterMM: 16, LengthMM: 30}, RoundRing{40, 8, 0}} {
		s, err := Mesh(shape, 1)
		require.NoError(t, err)
		d := decimated(Shell{append([]r3.Vec(nil), s.Points...), append([][3]uint32(nil), s.Faces...), s.Patch}, 0.3)
		watertight(t, d)
		assert.InEpsilon(t, 0.3*float64(len(s.Faces)), float64(len(d.Faces)), 0.01)
		assert.InEpsilon(t, s.VolumeMM3(), d.VolumeMM3(), 0.01)
	}
}

func TestStreamIsScan(t *testing.T) {
	opt := DefaultOptions()
	opt.NoiseMM, opt.CorrelatedMM, opt.RoundingMM = 0.03, 0.02, 0.2
	s, err := Scan(pair(), opt)
	require.NoError(t, err)
	var out bytes.Buffer
	n, err := Stream(&out, pair(), opt)
	require.NoError(t, err)
	assert.Len(t, s.Triangles, n)
	assert.Equal(t, s.STL(), out.Bytes())
	assert.Len(t, out.Bytes(), 84+50*n)
	opt.Spikes = 1
	_, err = Stream(&out, pair(), opt)
	require.ErrorIs(t, err, errStream)
}

func TestBig(t *testing.T) {
	for _, want := range []int{30000, 200000} {
		var out bytes.Buffer
		n, err := Big(&out, want)
		require.NoError(t, err)
		assert.InEpsilon(t, want, n, 0.03)
		assert.Equal(t, 84+50*n, out.Len())
	}
	_, err := Big(nil, 100)
	require.ErrorContains(t, err, "give 20000 to")
}

// TestSoup holds that welding by bit pattern gives closed shells: Euler's
// V - E + F is 2 less two a hole, and E is 3F/2.
func TestSoup(t *testing.T) {
	s, err := Scan(pair(), DefaultOptions())
	require.NoError(t, err)
	soup := s.Soup("pair.stl")
	require.Len(t, soup.Corners, len(s.Triangles))
	tube, plate := 0, 2-2*4
	assert.Equal(t, tube+plate, len(soup.Points)-len(soup.Corners)/2)
	for f, c := range soup.Corners {
		for k := range 3 {
			require.Equal(t, s.Triangles[f][k], soup.Points[c[k]])
		}
	}
	assert.Len(t, soup.SHA256, 64)
}

func TestScanRefused(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(*Scene, *Options)
		says   string
	}{
		{"no edge", func(_ *Scene, o *Options) { o.EdgeMM = 0 }, "edge length"},
		{"NaN noise", func(_ *Scene, o *Options) { o.NoiseMM = math.NaN() }, "noise is NaN"},
		{"keep none", func(_ *Scene, o *Options) { o.KeepShare = 0 }, "keeps a share of 0"},
		{"many", func(_ *Scene, o *Options) { o.Spikes = -1 }, "-1 spikes; give 0 to"},
		{"all gaps", func(_ *Scene, o *Options) { o.Gaps = 1e6 }, "gaps; give 0 to 1000"},
		{"no pose", func(s *Scene, _ *Options) { s.Pieces[1].Pose = Pose{} }, `piece 2, "plate": pose`},
		{"ref along axis", func(s *Scene, _ *Options) { s.Pieces[0].Pose.Ref = s.Pieces[0].Pose.Axis }, "no frame"},
		{"no shape", func(s *Scene, _ *Options) { s.Pieces[0].Shape = nil }, "no shape"},
		{"wild dent", func(s *Scene, _ *Options) { s.Pieces[0].Form.Dents[0].Inward = r3.Vec{} }, "dent"},
	} {
		t.Run(c.name, func(t *testing.T) {
			scene, opt := pair(), DefaultOptions()
			c.change(&scene, &opt)
			_, err := Scan(scene, opt)
			require.ErrorContains(t, err, c.says)
		})
	}
	s, err := Scan(Scene{}, everything())
	require.NoError(t, err)
	assert.Empty(t, s.Triangles)
}
