package mesh

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// Each defect is made by hand at a known place; the finding has to name it, and
// no other finding may come up.
func TestDefectsAreFound(t *testing.T) {
	corner := func(s *shape, i int) *[3]uint32 { return &s.corners[i] }
	for _, row := range []struct {
		name     string
		make     func() *shape
		code     string
		severity string
		says     string
		where    r3.Vec
		within   float64
	}{
		{"nothing", func() *shape { return box(20, 20, 20, 2) }, "", "", "", r3.Vec{}, 0},
		{"a hole of 8 mm in the top", func() *shape { return box(40, 40, 40, 1).without(r3.Vec{X: 20, Y: 20, Z: 40}, 4) },
			"open-boundary", "warning", "an opening 8.94 mm across, 32 mm round, on the top", r3.Vec{X: 20, Y: 20, Z: 40}, 0.1},
		{"one facet missing", func() *shape { s := box(20, 20, 20, 2); s.corners = s.corners[1:]; return s },
			"open-boundary", "note", "an opening 2.83 mm across, 6.83 mm round", r3.Vec{X: 1, Y: 1}, 0.8},
		{"a facet turned", func() *shape {
			s := box(20, 20, 20, 2)
			c := corner(s, 0)
			c[1], c[2] = c[2], c[1]
			return s
		}, "mixed-winding", "warning", "1 facet was wound against", r3.Vec{X: 1, Y: 1}, 0.8},
		{"all turned", func() *shape { return box(20, 20, 20, 2).inverted() }, "inside-out", "warning", "1 shell faced inwards", r3.Vec{X: 10, Y: 10, Z: 10}, 1e-6},
		{"a second copy", func() *shape { s := box(20, 20, 20, 2); s.corners = append(s.corners, s.corners[7]); return s },
			"duplicate-facets", "note", "1 facet is a second copy", r3.Vec{X: 3.5, Y: 0.5}, 4},
		{"a third copy, turned", func() *shape {
			s := box(20, 20, 20, 2)
			c := s.corners[7]
			s.corners = append(s.corners, c, [3]uint32{c[1], c[0], c[2]})
			return s
		}, "duplicate-facets", "note", "2 facets are second copies and were left out, 1 of them facing the other way", r3.Vec{X: 3.5, Y: 0.5}, 4},
		{"two equal corners", func() *shape {
			s := box(20, 20, 20, 2)
			s.corners = append(s.corners, [3]uint32{s.corners[0][0], s.corners[0][0], s.corners[0][1]})
			return s
		}, "degenerate-facets", "note", "1 facet has no area", r3.Vec{}, 2},
		{"three corners in line", func() *shape {
			s := box(20, 20, 20, 2)
			s.at, s.normal = append(s.at, r3.Vec{X: 7}), append(s.normal, r3.Vec{})
			v := uint32(len(s.at) - 1)
			s.at, s.normal = append(s.at, r3.Vec{X: 5}, r3.Vec{X: 6}), append(s.normal, r3.Vec{}, r3.Vec{})
			s.corners = append(s.corners, [3]uint32{v, v + 1, v + 2})
			return s
		}, "degenerate-facets", "note", "1 facet has no area", r3.Vec{X: 6}, 0.01},
		{"a speck", func() *shape { return box(40, 40, 40, 1).with(box(.2, .2, .2, 1).moved(r3.Vec{X: 60, Y: 5, Z: 5})) },
			"dust", "note", "1 speck of 12 facets in all", r3.Vec{X: 60.1, Y: 5.1, Z: 5.1}, 0.01},
		{"a sliver across the gap", func() *shape {
			s := box(40, 40, 40, 1)
			s.at, s.normal = append(s.at, r3.Vec{Z: 60}, r3.Vec{X: 40, Z: 60}, r3.Vec{X: 20, Y: 0.2, Z: 60}), append(s.normal, r3.Vec{}, r3.Vec{}, r3.Vec{})
			n := uint32(len(s.at))
			s.corners = append(s.corners, [3]uint32{n - 3, n - 2, n - 1})
			return s
		}, "sliver-facets", "note", "the longest 40", r3.Vec{X: 20, Y: 0.07, Z: 60}, 0.01},
	} {
		t.Run(row.name, func(t *testing.T) {
			_, r := checked(t, row.make().soup())
			with := map[string]string{"sliver-facets": "dust"}[row.code] // a lone sliver is dust too
			for _, f := range r.Findings {
				alone := f.Code == row.code || f.Code == with
				require.True(t, alone, f.Code+": "+f.What)
			}
			if row.code == "" {
				require.True(t, r.Watertight)
				return
			}
			f := found(r, row.code)
			require.NotNil(t, f)
			require.Equal(t, row.severity, f.Severity)
			require.Contains(t, f.What, row.says)
			require.NotEmpty(t, f.Advice)
			at := r3.Vec{X: f.WhereMM[0], Y: f.WhereMM[1], Z: f.WhereMM[2]}
			require.LessOrEqual(t, r3.Norm(r3.Sub(at, row.where)), row.within, "at %v", at)
		})
	}
}

func TestOpeningIsMeasured(t *testing.T) {
	// A round hole in a fine sheet's middle: the ring of a 12 mm circle on 0.25 mm
	// facets; a staircase is longer than the circle by up to 4/pi.
	m, r := checked(t, box(24, 24, 8, 0.25).without(r3.Vec{X: 12, Y: 12}, 6.05).soup())
	require.Equal(t, 1, r.BoundaryLoops)
	require.False(t, r.Watertight)
	l := r.Loops[0]
	require.True(t, l.Ring)
	require.InDelta(t, 12, l.SpanMM, 0.5)
	require.InDelta(t, 36*math.Pi, r3.Norm(l.CapMM2), 4)
	require.Less(t, l.CapMM2.Z, 0.)
	require.InDelta(t, 24*24*8, m.Components[0].VolumeMM3, 0.1) // the cap is in the plane of the hole
	require.Contains(t, found(r, "open-boundary").Advice, "rescan the underside: an opening 12")
}

func TestOpeningsInOrderAndSummed(t *testing.T) {
	s := box(60, 60, 10, 1)
	for i := range 25 {
		s.without(r3.Vec{X: 5 + 12*float64(i%5), Y: 5 + 12*float64(i/5), Z: 10}, 1+0.1*float64(i))
	}
	_, r := checked(t, s.soup())
	require.Equal(t, 25, r.BoundaryLoops)
	for i := range r.Loops[1:] {
		require.GreaterOrEqual(t, r.Loops[i].SpanMM, r.Loops[i+1].SpanMM)
	}
	listed, length := 0, 0.0
	for _, f := range r.Findings {
		if f.Code == "open-boundary" {
			listed++
		}
	}
	for _, l := range r.Loops[20:] {
		length += l.LengthMM
	}
	require.Equal(t, 20, listed)
	more := found(r, "open-boundary-more")
	require.Contains(t, more.What, "5 more openings")
	require.Contains(t, more.What, fmt.Sprintf("%s of edge in all", lengthText(length)))
}

// Two holes that meet in one vertex are two, and a facet that hangs on the rim
// by a corner makes none.
func TestOpeningsThatMeet(t *testing.T) {
	s := sheet(12, 12, 1)
	in := func(v, lo float64) bool { return v > lo && v < lo+3 }
	kept := s.corners[:0]
	for _, c := range s.corners {
		g := r3.Scale(1.0/3, r3.Add(s.at[c[0]], r3.Add(s.at[c[1]], s.at[c[2]])))
		if !(in(g.X, 3) && in(g.Y, 3) || in(g.X, 6) && in(g.Y, 6)) {
			kept = append(kept, c)
		}
	}
	s.corners = kept
	n := uint32(len(s.at))
	s.at, s.normal = append(s.at, r3.Vec{X: 13, Y: 12}, r3.Vec{X: 12, Y: 13}), append(s.normal, r3.Vec{Z: 1}, r3.Vec{Z: 1})
	s.corners = append(s.corners, [3]uint32{12*13 + 12, n, n + 1}) // at the corner (12, 12)
	_, r := checked(t, s.soup())
	require.Equal(t, 1, r.DustShells)    // the hanging facet shares no edge
	require.Equal(t, 3, r.BoundaryLoops) // the rim and the two
	require.InDelta(t, 48, r.Loops[0].LengthMM, 1e-9)
	require.InDelta(t, 12, r.Loops[1].LengthMM, 1e-9)
	require.InDelta(t, 12, r.Loops[2].LengthMM, 1e-9)
}

func TestParted(t *testing.T) {
	long := []uint32{1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 2, 11, 12, 13, 11, 14} // 2 to 10 come back to 2: nine edges; 11 to 13 a lobe
	loops := parted(long, true)
	require.Len(t, loops, 2)
	require.Equal(t, []uint32{2, 3, 4, 5, 6, 7, 8, 9, 10}, loops[0].Vertices)
	require.Equal(t, []uint32{1, 2, 11, 12, 13, 11, 14}, loops[1].Vertices)
}

func TestEdgesOfThreeFacets(t *testing.T) {
	// Three sheets of the same size on one line: no dust among them.
	s := sheet(10, 10, 2)
	for _, rad := range []float64{2, 4} {
		s.with(sheet(10, 10, 2).turned(rad, r3.Vec{X: 1}))
	}
	_, r := checked(t, s.soup())
	require.Equal(t, 5, r.NonmanifoldEdges)
	require.Equal(t, 3, r.Shells)
	require.Equal(t, 3, r.BoundaryLoops)
	for _, l := range r.Loops {
		require.InDelta(t, 30, l.LengthMM, 1e-5)
		require.False(t, l.Ring)
	}
	require.Equal(t, "warning", found(r, "nonmanifold-edges").Severity)
}

// A fin on an edge is dust and must not part the two facets under it.
func TestFinDoesNotPartTheSurface(t *testing.T) {
	s := box(20, 20, 20, 2)
	clean, _ := checked(t, box(20, 20, 20, 2).soup())
	c := s.corners[100]
	s.at, s.normal = append(s.at, r3.Add(s.at[c[0]], r3.Vec{X: -.3, Y: -.4, Z: -.5})), append(s.normal, r3.Vec{})
	s.corners = append(s.corners, [3]uint32{c[0], c[1], uint32(len(s.at) - 1)})
	m, r := checked(t, s.soup())
	require.Equal(t, 1, r.NonmanifoldEdges)
	require.Equal(t, 1, r.DustShells)
	require.Equal(t, 1, r.Shells)
	require.Equal(t, 0, r.BoundaryLoops)
	require.False(t, r.Watertight)
	require.Equal(t, "note", found(r, "nonmanifold-edges").Severity)
	pairs := 0
	for f := range uint32(len(m.Faces)) {
		for k := range 3 {
			if _, ok := m.Across(f, k); ok {
				pairs++
			}
		}
	}
	require.Equal(t, 3*len(clean.Faces), pairs)
}

func TestDustLeavesSmallPieces(t *testing.T) {
	plate := func() *shape { return box(200, 200, 5, 5) }
	for _, row := range []struct {
		name  string
		piece *shape
		dust  bool
	}{
		{"washer M3, 7 x 3.2 x 0.5", tube(7, 3.2, 0.5, 0.9), false},
		{"drawn spacer 5 x 5 x 5, 12 facets", box(5, 5, 5, 10), false},
		{"short bar, open at the bottom", tube(4, 1, 12, 1).without(r3.Vec{}, 1.5), false},
		{"octahedron's worth of noise", box(1, 1, 1, 1), true},
		{"ragged rest of a sheet, 6 x 6", sheet(6, 6, 0.5), true},
		{"single facet", &shape{at: []r3.Vec{{}, {X: 5}, {Y: 5}}, normal: make([]r3.Vec, 3), corners: [][3]uint32{{0, 1, 2}}}, true},
	} {
		t.Run(row.name, func(t *testing.T) {
			_, r := checked(t, plate().with(row.piece.moved(r3.Vec{Z: 50})).soup())
			require.Equal(t, row.dust, r.DustShells == 1)
			if row.dust {
				require.InDelta(t, 5, r.MaxMM.Z, 1e-6, "dust must not widen the bounds")
			}
			_, alone := checked(t, row.piece.soup())
			require.Equal(t, 0, alone.DustShells, "what is alone is no dust")
		})
	}
}

// The corners of neighbours differ in the last digits: a text file with four
// decimals after a move by the scanner's software.
func TestWeldWithinTolerance(t *testing.T) {
	s := torus(20, 6, 1).soup()
	loose := Soup{File: s.File}
	for i, c := range s.Corners {
		base := uint32(len(loose.Points))
		for k, v := range c {
			p := s.Points[v]
			p[k] += float32((i*7+k*3)%5) * 1e-4 // up to 0.4 of the tolerance in each axis
			loose.Points = append(loose.Points, p)
		}
		loose.Corners = append(loose.Corners, [3]uint32{base, base + 1, base + 2})
	}
	want, _ := checked(t, s)
	m, r := checked(t, loose)
	require.True(t, r.Watertight)
	require.Equal(t, len(want.Points), len(m.Points))
	require.Equal(t, len(want.Faces), len(m.Faces))
	require.Positive(t, r.WeldedVertices)
	require.True(t, strings.HasSuffix(found(r, "welded-vertices").What, "mm"))
	again, _ := checked(t, shuffled(loose, 9))
	requireSame(t, m, again)
	for i, v := range m.FilePoint {
		require.Less(t, r3.Norm(difference(&loose.Points[i], &m.Points[v])), 2e-3)
	}
}

func TestWeldLeavesWhatIsApart(t *testing.T) {
	// Two open sheets 0.005 edges apart: over the tolerance of 0.001.
	_, r := checked(t, sheet(10, 10, 1).with(sheet(10, 10, 1).moved(r3.Vec{Z: 0.005})).soup())
	require.Zero(t, r.WeldedVertices)
	require.Equal(t, 2, r.Shells)
	// Closed boxes closer than the tolerance have no open edge and stay two.
	_, r = checked(t, box(10, 10, 10, 1).with(box(10, 10, 10, 1).moved(r3.Vec{X: 10.0005})).soup())
	require.Zero(t, r.WeldedVertices)
	require.Equal(t, 2, r.Shells)
}
