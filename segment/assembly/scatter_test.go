package assembly

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pointup/mesh"
	"pointup/mesh/synthetic"
	"pointup/segment/primitive"
	"pointup/segment/surface"
)

// TestScatter holds that white noise is taken as it is, and that noise which
// neighbours share, of which they show a part only, widens what ideal surfaces
// allow for to at least half of it.
func TestScatter(t *testing.T) {
	for _, c := range []struct {
		name              string
		whiteMM, sharedMM float64
	}{{"white", 0.03, 0}, {"shared", 0.004, 0.04}} {
		t.Run(c.name, func(t *testing.T) {
			opt := synthetic.DefaultOptions()
			opt.Seed, opt.EdgeMM, opt.NoiseMM, opt.CorrelatedMM, opt.SmoothMM = 5, 0.6, c.whiteMM, c.sharedMM, 0.9
			s, err := synthetic.Scan(synthetic.Scene{Name: "test", Pieces: []synthetic.Piece{{Name: "plate",
				Shape: synthetic.Plate{Outline: synthetic.Rectangle(60, 40), ThicknessMM: 4}, Pose: synthetic.Upright(0, 0, 0)}}}, opt)
			require.NoError(t, err)
			m, report, err := mesh.Check(context.Background(), s.Soup("test.stl"), mesh.CheckOptions{Unit: "mm"}, nil)
			require.NoError(t, err)
			faces := make([]uint32, len(m.Faces))
			for f := range faces {
				faces[f] = uint32(f)
			}
			p := primitive.NewPatch(m, faces, report.NoiseMM)
			got := scatter(p, surface.FromMesh(p.P, p.N, p.Facet, p.EdgeMM, p.NoiseMM))
			if c.sharedMM == 0 {
				assert.Equal(t, p.NoiseMM, got)
				return
			}
			assert.Greater(t, got, 1.2*p.NoiseMM)
			assert.Greater(t, got, 0.5*c.sharedMM)
			assert.Less(t, got, 2*c.sharedMM)
		})
	}
}
