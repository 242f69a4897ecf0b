package solid

import (
	"bytes"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestVolumes: each shape's own volume is that of the handbook's formula where
// there is one, and its closed mesh encloses nearly as much.
func TestVolumes(t *testing.T) {
	for _, s := range specimens() {
		t.Run(s.name, func(t *testing.T) {
			v := s.shape.VolumeMM3()
			require.Positive(t, v)
			if s.volume > 0 {
				assert.InEpsilon(t, s.volume, v, 1e-8)
			}
			m, err := s.shape.Mesh(0.05)
			require.NoError(t, err)
			require.NoError(t, m.Closed())
			assert.InEpsilon(t, v, m.VolumeMM3(), 0.01)
		})
	}
}

// TestBodiesClosed: every edge of a body is used once in each direction, and ends
// in vertices that lie on its curve's ends.
func TestBodiesClosed(t *testing.T) {
	for _, s := range specimens() {
		t.Run(s.name, func(t *testing.T) {
			b, err := s.shape.Body()
			require.NoError(t, err)
			there, back := make([]int, len(b.Edges)), make([]int, len(b.Edges))
			shells := append([][]Face{b.Faces}, b.Voids...)
			for _, shell := range shells {
				for _, f := range shell {
					for _, l := range f.Loops {
						for _, u := range l {
							if u.Back {
								back[u.Edge]++
							} else {
								there[u.Edge]++
							}
						}
					}
				}
			}
			for i := range b.Edges {
				require.Equal(t, 1, there[i], "edge %d", i)
				require.Equal(t, 1, back[i], "edge %d", i)
			}
		})
	}
}

// TestRefusedSizes: sizes that make no solid are errors, not files.
func TestRefusedSizes(t *testing.T) {
	nan := math.NaN()
	for name, s := range map[string]Shape{
		"no wall":          Tube(100, 100, Cut{}, Cut{Z: 10}),
		"ends change over": Tube(100, 80, Cut{Z: 10}, Cut{}),
		"not a number":     Tube(nan, 0, Cut{}, Cut{Z: 10}),
		"ring into itself": RoundRing{50, 60, 0},
		"turns collide":    Coil{CentrelineMM: 100, SectionMM: 30, PitchMM: 20, Turns: 3},
		"over a turn":      RolledSlab{100, 10, Rectangle(400, 50), nil},
		"no teeth":         Slab(10, Wheel{Teeth: 2, TipMM: 50, RootMM: 40}.Outline()),
	} {
		t.Run(name, func(t *testing.T) {
			_, err := s.Body()
			assert.Error(t, err)
			var out bytes.Buffer
			assert.Error(t, WritePart(&out, "x.step", Piece{Mark: "E01", Frame: World(), Shape: s}))
		})
	}
}

// TestSameBytes: a file does not depend on when it is written.
func TestSameBytes(t *testing.T) {
	var all []Piece
	for _, s := range specimens()[:8] {
		all = append(all, Piece{Mark: "E01", Name: s.name, Frame: World(), Shape: s.shape})
	}
	var a, b bytes.Buffer
	require.NoError(t, WriteAssembly(&a, "x.step", "x", all))
	require.NoError(t, WriteAssembly(&b, "x.step", "x", all))
	assert.Equal(t, a.Bytes(), b.Bytes())
}
