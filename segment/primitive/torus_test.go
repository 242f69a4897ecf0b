package primitive

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"pointup/mesh"
	"pointup/mesh/synthetic"
)

// hollowRing is a scan of a hollow ring as one patch: its surface and all of its
// bore, the bore's facets facing into it as where a hole joins the two.
func hollowRing(t *testing.T, p synthetic.Piece, opt synthetic.Options) *Patch {
	soup := soupOf(t, p, opt)
	m, report, err := mesh.Check(context.Background(), soup, mesh.CheckOptions{Unit: "mm"}, nil)
	require.NoError(t, err)
	faces := make([]uint32, len(m.Faces))
	for i := range faces {
		faces[i] = uint32(i)
	}
	return NewPatch(m, faces, report.NoiseMM)
}

// TestHollowRing reads rings whose bore was seen.
func TestHollowRing(t *testing.T) {
	for i, noise := range []float64{.02, .08} {
		shape := synthetic.RoundRing{CentrelineDiameterMM: 60, SectionDiameterMM: 12, SectionBoreMM: 8}
		p := synthetic.Piece{Name: "ring", Shape: shape, Pose: poses()[i+1]}
		opt := scanOptions(1.2)
		opt.NoiseMM = noise
		q := hollowRing(t, p, opt)
		e := Recognise(q, DefaultOptions())
		requireTruth(t, p, e, .5*noise, 0)
	}
}
