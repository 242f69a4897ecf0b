package report

import (
	"encoding/xml"
	"errors"
	"io"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/job"
	"pointup/pipeline/result"
)

// boxScene is a box of stock, 2000 × 1000 × 500 mm, on the ground.
func boxScene() *Scene {
	l := Layer{Name: "stock"}
	for i := range 8 {
		l.Points = append(l.Points, [3]float32{2000 * float32(i&1), 1000 * float32(i>>1&1), 500 * float32(i>>2)})
	}
	for _, q := range [][4]uint32{{0, 2, 3, 1}, {4, 5, 7, 6}, {0, 1, 5, 4}, {2, 6, 7, 3}, {0, 4, 6, 2}, {1, 3, 7, 5}} {
		l.Triangles = append(l.Triangles, [3]uint32{q[0], q[1], q[2]}, [3]uint32{q[0], q[2], q[3]})
		l.Piece = append(l.Piece, 1, 1)
	}
	return &Scene{Pieces: []ScenePiece{{ID: "E01"}}, Layers: []Layer{l}}
}

// TestWiresOfABox: of its 18 edges the six diagonals lie in flat faces; from the
// front the four that run away from the reader are points, eight are left.
func TestWiresOfABox(t *testing.T) {
	w := wiresOf(boxScene())
	require.Len(t, w.edges, 18)
	v := looking{r3.Vec{X: 1}, r3.Vec{Z: 1}}
	path := w.path([]string{"E01"}, v, func(x, y float64) (float64, float64) { return x, -y })
	assert.Equal(t, 8, strings.Count(path, "M"))
	assert.Empty(t, w.path(nil, v, func(x, y float64) (float64, float64) { return x, y }))
	lo, hi := w.span([]string{"E01"}, v)
	assert.Equal(t, [2]float64{0, 0}, lo)
	assert.Equal(t, [2]float64{2000, 500}, hi)
	assert.Empty(t, wiresOf(nil).edges)
}

// TestPosesAreDrawn: a section lies on its side in the envelope, the lift has its
// legs; both are whole XML with no number that is none, and say who plans.
func TestPosesAreDrawn(t *testing.T) {
	doc := result.Document{Job: job.Job{Haul: &job.Haul{EnvelopeMM: &[3]float64{6000, 2400, 2500}}}}
	doc.Sections = &result.Haul{Sections: result.List[result.Load]{{Elements: result.List[string]{"E01"}, LengthMM: 2000, WidthMM: 500, HeightMM: 1000,
		Down: &result.Vector{0, 1, 0}, Along: &result.Vector{1, 0, 0}}, {Elements: result.List[string]{"E01"}, Why: "too long"}}}
	leg := func(x, y result.MM) result.Leg {
		return result.Leg{Element: "E01", AtMM: result.Point{x, y, 500}, LengthMM: 1700, AngleDeg: 60, TensionN: 4000}
	}
	doc.Rig = &result.Rig{Lifts: result.List[result.Lift]{{Of: "E01", LoadKG: 900, HookMM: &result.Point{1000, 500, 2000}, Legs: result.List[result.Leg]{leg(0, 0), leg(2000, 0), leg(1000, 1000)}},
		{Of: "section 1", LoadKG: 900, HookMM: &result.Point{1000, 500, 2000}, Legs: result.List[result.Leg]{leg(0, 0), leg(2000, 0)}}}}
	list := withPoses([]part{{ID: "weights"}, {ID: "sections"}, {ID: "site"}}, doc, boxScene())
	require.Len(t, list[0].Drawings, 1)
	require.Len(t, list[1].Drawings, 1)
	require.Empty(t, list[2].Drawings)
	assert.Equal(t, 3, strings.Count(string(list[0].Drawings[0].SVG), `stroke-width="1.6"`), "three legs")
	assert.Contains(t, list[0].Drawings[0].Caption, "1700 mm at 60° with 4.0 kN")
	assert.Contains(t, list[1].Drawings[0].Caption, "2000 × 500 × 1000 mm")
	for _, d := range []drawing{list[0].Drawings[0], list[1].Drawings[0]} {
		assert.Contains(t, d.Caption, "a competent person")
		assert.NotRegexp(t, `NaN|Inf`, string(d.SVG))
		for dec := xml.NewDecoder(strings.NewReader(string(d.SVG))); ; {
			if _, err := dec.Token(); errors.Is(err, io.EOF) {
				break
			} else {
				require.NoError(t, err)
			}
		}
	}
}
