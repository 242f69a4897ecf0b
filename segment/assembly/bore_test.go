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
	"pointup/segment/primitive"
)

// TestBores: a tube whose rim nobody saw comes as a bar and a bore; the two are a
// tube, of the sizes that were made. A bore beside another bar stays.
func TestBores(t *testing.T) {
	opt := synthetic.DefaultOptions()
	opt.EdgeMM, opt.NoiseMM = 0.7, 0.02
	scan, err := synthetic.Scan(synthetic.Scene{Name: "tube", Pieces: []synthetic.Piece{
		{Name: "tube", Pose: synthetic.Upright(0, 0, 0), Shape: synthetic.Tube{OutsideDiameterMM: 16, InsideDiameterMM: 10, LengthMM: 50}},
		{Name: "bar", Pose: synthetic.Upright(16, 0, 0), Shape: synthetic.Bar{OutsideDiameterMM: 12, LengthMM: 50}},
	}}, opt)
	require.NoError(t, err)
	m, report, err := mesh.Check(context.Background(), scan.Soup("tube.stl"), mesh.CheckOptions{Unit: "mm"}, nil)
	require.NoError(t, err)
	var out, in, bar, all []uint32
	for f, v := range m.Faces {
		all = append(all, uint32(f))
		q := m.At(v[0])
		switch d := math.Hypot(q.X, q.Y); {
		case d > 9.5:
			bar = append(bar, uint32(f))
		case math.Abs(q.Z) > 24:
		case d < 6:
			in = append(in, uint32(f))
		default:
			out = append(out, uint32(f))
		}
	}
	fitted := func(faces []uint32) Piece { return Fit(m, faces, report.NoiseMM, primitive.DefaultOptions()) }
	bore := fitted(in)
	require.Equal(t, "freeform", bore.Element.Kind)
	p := primitive.NewPatch(m, all, report.NoiseMM)
	got := bores(m, p, []Piece{fitted(bar), bore, fitted(out)}, primitive.DefaultOptions())
	require.Equal(t, []string{"bar", "tube"}, kinds(got))
	sizes(t, got[1], map[string]float64{"outside_diameter_mm": 16, "inside_diameter_mm": 10, "wall_mm": 3})
	alone := bores(m, p, []Piece{fitted(bar), bore}, primitive.DefaultOptions())
	assert.Len(t, alone, 2)

	// Nearest first: the bore's facets are 3 mm from the tube's side, those near its
	// ends less from there, and at
	// least 5 mm from the other bar's.
	list := []Piece{fitted(bar), bore, fitted(out)}
	assert.Equal(t, []int{2, 0}, nearest(list, 1, 5))
	assert.InDelta(t, 3, offMM(bore.Patch, &list[2]), 0.2)
}

// TestBoresOfBends: so does a bent tube come as an arc and the bore that is seen from
// one of its ends.
func TestBoresOfBends(t *testing.T) {
	shape := synthetic.Arc{CentrelineDiameterMM: 60, SectionDiameterMM: 9, SectionBoreMM: 6, SweepDeg: 100}
	m, p, got := cutUp(t, []synthetic.Piece{{Name: "bend", Pose: synthetic.Upright(0, 0, 0), Shape: shape}}, 2, func(q r3.Vec) int {
		off, phi := math.Hypot(math.Hypot(q.X, q.Y)-30, q.Z), math.Atan2(q.Y, q.X)*180/math.Pi
		switch {
		case off > 4:
			return 0
		case off < 3.5 && phi > 78 && phi < 99:
			return 1
		}
		return -1
	})
	require.Equal(t, []string{"arc", "freeform"}, kinds(got))
	got = bores(m, p, got, primitive.DefaultOptions())
	require.Equal(t, []string{"arc"}, kinds(got))
	sizes(t, got[0], map[string]float64{"centreline_diameter_mm": 60, "section_diameter_mm": 9, "section_bore_mm": 6})
}
