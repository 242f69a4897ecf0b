package primitive

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pointup/mesh"
	"pointup/mesh/synthetic"
)

// TestConfusions holds pieces that look like another kind apart from it.
func TestConfusions(t *testing.T) {
	for _, c := range []specimen{
		{"torus, not cylinder: wide ring of thin section", synthetic.RoundRing{CentrelineDiameterMM: 120, SectionDiameterMM: 5}, 1.4, .03, 0},
		{"torus, not cylinder: tight ring of thick section", synthetic.RoundRing{CentrelineDiameterMM: 24, SectionDiameterMM: 12}, 1, .03, 0},
		{"bar, not shallow arc", synthetic.Bar{OutsideDiameterMM: 6, LengthMM: 60}, 1, .03, 0},
		{"tube with thin wall, not bar", synthetic.Tube{OutsideDiameterMM: 12, InsideDiameterMM: 11, LengthMM: 40}, 1, .03, 0},
		{"thick disc, not bar", synthetic.Disc{OutsideDiameterMM: 24, ThicknessMM: 11}, 1.2, .03, 0},
		{"short bar, not disc", synthetic.Bar{OutsideDiameterMM: 24, LengthMM: 14}, 1.2, .03, 0},
		{"short tube, not ring", synthetic.Tube{OutsideDiameterMM: 24, InsideDiameterMM: 18, LengthMM: 14}, 1, .03, 0},
		{"narrow ring, not tube", synthetic.Ring{OutsideDiameterMM: 40, InsideDiameterMM: 34, ThicknessMM: 18}, 1.4, .03, 0},
		{"plate, not ring: square with a round hole", synthetic.Plate{Outline: synthetic.Rectangle(40, 40), Holes: []synthetic.Hole{synthetic.RoundHole(0, 0, 20)}, ThicknessMM: 3}, 1.2, .06, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			p := synthetic.Piece{Name: c.name, Shape: c.shape, Pose: aslant()}
			requireTruth(t, p, recognised(t, p, scanOptions(c.edgeMM)), c.mm, c.deg)
		})
	}
}

// partly is a scan of an upright tube of which only some facets were seen: keep
// gets the greatest radius and height of each.
func partly(t *testing.T, shape synthetic.Tube, edgeMM float64, keep func(radius, z float64) bool) mesh.Soup {
	soup := soupOf(t, synthetic.Piece{Name: "tube", Shape: shape, Pose: synthetic.Upright(0, 0, 0)}, scanOptions(edgeMM))
	var kept [][3]uint32
	for _, c := range soup.Corners {
		radius, z := 0.0, 0.0
		for _, v := range c {
			p := soup.Points[v]
			radius, z = max(radius, math.Hypot(float64(p[0]), float64(p[1]))), max(z, math.Abs(float64(p[2])))
		}
		if keep(radius, z) {
			kept = append(kept, c)
		}
	}
	soup.Corners = kept
	return soup
}

// TestBoreSeenFromTheEnds reads a tube whose bore was seen a few millimetres
// deep, as scanners see it: it is a tube, and its bore is measured.
func TestBoreSeenFromTheEnds(t *testing.T) {
	shape := synthetic.Tube{OutsideDiameterMM: 20, InsideDiameterMM: 15, LengthMM: 50}
	e := read(t, partly(t, shape, 1.2, func(r, z float64) bool { return r > 8 || z > 20 }))
	requireTruth(t, synthetic.Piece{Shape: shape, Pose: synthetic.Upright(0, 0, 0)}, e, 0.03, 0)
}

// TestCappedTubeIsBar reads a tube of which neither bore nor ends were seen: no
// more than a bar is known, and the note says so.
func TestCappedTubeIsBar(t *testing.T) {
	shape := synthetic.Tube{OutsideDiameterMM: 20, InsideDiameterMM: 15, LengthMM: 50}
	e := read(t, partly(t, shape, 1.2, func(r, z float64) bool { return r > 9.7 && z < 24.9 }))
	require.Equal(t, "bar", e.Kind)
	od, _ := e.Dim("outside_diameter_mm")
	assert.InDelta(t, 20, od, 0.02)
	assert.Contains(t, e.Notes, "hollow: unknown")
	assert.Equal(t, []string{"length_mm"}, e.Hidden)
	require.Len(t, e.Ends, 2)
	for k, end := range e.Ends { // 50 mm long about the origin, of which it sees all but 0.1 mm at each end
		sign := float64(2*k - 1)
		assert.Equal(t, "open", end.Kind)
		assert.InDelta(t, sign, end.Out.Z, 1e-6)
		assert.InDelta(t, sign*24.9, end.AtMM.Z, 1.2) // a facet
	}
}
