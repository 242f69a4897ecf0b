package report

import (
	"bytes"
	"compress/flate"
	"encoding/base64"
	"encoding/binary"
	"encoding/json"
	"io"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestSceneComesBack unpacks a scene by the description of code alone: every triangle
// is there with its piece, its corners within half a step, its deviations to 1/127 of
// the range.
func TestSceneComesBack(t *testing.T) {
	s := sampleArt().Scene
	text, err := s.code()
	require.NoError(t, err)
	packed, err := base64.StdEncoding.DecodeString(text)
	require.NoError(t, err)
	raw, err := io.ReadAll(flate.NewReader(bytes.NewReader(packed)))
	require.NoError(t, err)
	n := binary.LittleEndian.Uint32(raw)
	var head sceneHead
	require.NoError(t, json.Unmarshal(raw[4:4+n], &head))
	require.Equal(t, []string{"E01", "E02"}, head.IDs)
	require.Equal(t, s.ScanFromSite, head.ScanFromSite)
	body := bytes.NewReader(raw[4+n:])
	for k, l := range head.Layers {
		want := s.Layers[k]
		require.Equal(t, [][2]int{{1, 12}, {2, 12}}, l.Runs)
		var corner []int
		met := 0
		for range 3 * len(want.Triangles) {
			back, err := binary.ReadUvarint(body)
			require.NoError(t, err)
			corner = append(corner, met-int(back))
			if back == 0 {
				met++
			}
		}
		points := make([][3]float64, l.Points)
		var q [3]int64
		for i := range points {
			for a := range q {
				d, err := binary.ReadVarint(body)
				require.NoError(t, err)
				q[a] += d
				points[i][a] = head.LoMM[a] + head.StepMM*float64(q[a])
			}
		}
		off := make([]byte, l.Points)
		if l.Deviation {
			_, err := io.ReadFull(body, off)
			require.NoError(t, err)
		}
		for i, c := range corner {
			v := want.Triangles[i/3][i%3]
			for a := range q {
				require.InDelta(t, want.Points[v][a], points[c][a], 0.51*head.StepMM)
			}
			if d := want.DeviationMM; d != nil && math.IsNaN(float64(d[v])) {
				require.Equal(t, byte(0x80), off[c])
			} else if d != nil {
				require.InDelta(t, d[v], s.RangeMM*float64(int8(off[c]))/127, s.RangeMM/127)
			}
		}
	}
	require.Zero(t, body.Len())
}

func TestSceneRefuses(t *testing.T) {
	s := sampleArt().Scene
	s.Layers[1].Points[3][1] = float32(math.Inf(1))
	_, err := s.code()
	require.ErrorContains(t, err, "layer fitted")
	s = sampleArt().Scene
	s.Layers[2].Piece[5] = 9
	_, err = s.code()
	require.ErrorContains(t, err, "piece 9 of 2")
}
