package stock

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"gonum.org/v1/gonum/spatial/r3"
)

// A tube that stands on a plate shows one open end, not two; a seam along its side
// or round a quarter of the end covers none.
func TestMeetEnds(t *testing.T) {
	post := tube("E01", 100, 9, 600)
	post.Ends = []End{{Kind: "square", AtMM: r3.Vec{}, Out: r3.Vec{Z: -1}}, {Kind: "square", AtMM: r3.Vec{Z: 600}, Out: r3.Vec{Z: 1}}}
	parts := []Part{post, plate("E02", 12, 400, 300)}
	round := func(deg, z float64) Contact {
		c := Contact{A: 0, B: 1}
		for k := range 72 {
			if s, x := math.Sincos(float64(k) * 5 * math.Pi / 180); float64(k)*5 < deg {
				c.Seam = append(c.Seam, SeamAt{Run: 1, PointMM: r3.Vec{X: 50 * x, Y: 50 * s, Z: z}})
			}
		}
		return c
	}
	for _, r := range []struct {
		name string
		c    Contact
		met  [2]bool
		ends float64 // open ones
	}{
		{"all round", round(360, 0.5), [2]bool{true, false}, 1},
		{"most of it", round(200, 0.5), [2]bool{true, false}, 1},
		{"a quarter", round(90, 0.5), [2]bool{false, false}, 2},
		{"through a collar half-way", round(360, 300), [2]bool{false, false}, 2},
		{"the other end", round(360, 600), [2]bool{false, true}, 1},
	} {
		got := MeetEnds(parts, []Contact{r.c})
		assert.Equal(t, r.met, [2]bool{got[0].Ends[0].Met, got[0].Ends[1].Met}, r.name)
		assert.False(t, parts[0].Ends[0].Met, "the parts given are left alone")
		c := &choosing{parts: got}
		assert.Equal(t, int(r.ends), c.seenEnds(Families(got, nil)[0]), r.name)
	}
	both := MeetEnds(parts, []Contact{round(360, 0), round(360, 600)})
	assert.Equal(t, 0, (&choosing{parts: both}).seenEnds(Families(both, nil)[0]), "nothing is seen of a tube between two plates")
}
