package fitup

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh/synthetic"
)

// The ideal surfaces are held against meshes that other code makes: each vertex of
// a mesh lies on the shape that is read from the part's numbers. Of wheels only
// tip circle, bore and faces are ideal: their vertices lie on or inside those.
func TestShapesAreThoseOfTheirMeshes(t *testing.T) {
	seen := map[string]int{}
	for seed := range uint64(60) {
		s, err := synthetic.RandomWeld(seed, 2+int(seed)%9)
		require.NoError(t, err)
		for i, p := range s.Pieces {
			shell, err := synthetic.Mesh(p.Shape, 3)
			require.NoError(t, err)
			f := newPose(p.Pose.OriginMM, p.Pose.Axis, p.Pose.Ref)
			at := shell.Points
			for k := range at {
				at[k] = r3.Scale(siteRatio, f.point(at[k]))
			}
			part := truthPart(t, p, i, 0, at)
			b := newBody(part, part, nil)
			require.NotEmpty(t, b.shape.faces, "%s", part.Kind)
			seen[part.Kind+part.Section]++
			far, wheel := 0.0, 0.0
			for _, q := range at {
				d := b.shape.distance(b.at.local(q))
				far, wheel = max(far, math.Abs(d)), max(wheel, d)
			}
			if part.Kind == "toothed_wheel" {
				far = wheel
			}
			assert.Less(t, far, 0.02, "seed %d: %s %v", seed, part.Kind, part.Dims)
		}
	}
	assert.GreaterOrEqual(t, len(seen), 14, "%v", seen)
}
