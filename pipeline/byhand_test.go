package pipeline

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"pointup/mesh/synthetic"
	"pointup/pipeline/job"
)

// TestTrustedHandsScaleTheWork: a bar of 30 mm that is 30.3 mm by hand makes the work
// 1 % larger, its deviation too; what the scan measured stays.
func TestTrustedHandsScaleTheWork(t *testing.T) {
	bar := synthetic.Piece{Name: "bar", Shape: synthetic.Bar{OutsideDiameterMM: 10, LengthMM: 30}, Pose: synthetic.Upright(0, 0, 15)}
	run := func(more string) *work {
		j, err := job.Parse("few.yaml", []byte("job: 1\nscan: {file: few.stl, unit: mm}\nenlarge: {ratio: 10, trust: by_hand}\n"+more))
		require.NoError(t, err)
		w, err := measure(context.Background(), j, scanned(t, func(float32) bool { return false }, bar), newKeeper("", "", true), nil)
		require.NoError(t, err)
		return w
	}
	plain, trusted := run(""), run("by_hand: [{piece: E01, dimension: length, value: 30.3 mm, u95: 0.01 mm}]\n")
	require.InEpsilon(t, 1.01, trusted.scaled.Ratio/plain.scaled.Ratio, 1e-3)
	a, b := plain.elements[0], trusted.elements[0]
	require.Equal(t, a.Dims, b.Dims)
	require.InEpsilon(t, trusted.scaled.Ratio/plain.scaled.Ratio, b.deviation.rmsMM/a.deviation.rmsMM, 1e-3)
}
