package mesh

import (
	"context"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

func checked(t *testing.T, s Soup) (*Mesh, Report) {
	t.Helper()
	m, r, err := Check(context.Background(), s, CheckOptions{Unit: "mm", Up: "+z", LoopsMost: 20}, nil)
	require.NoError(t, err)
	return m, r
}

func found(r Report, code string) *Finding {
	for i := range r.Findings {
		if r.Findings[i].Code == code {
			return &r.Findings[i]
		}
	}
	return nil
}

// messy has every defect at once.
func messy() Soup {
	s := tube(20, 14, 30, 4).with(
		torus(15, 4, 3).moved(r3.Vec{X: 60}).inverted(),
		box(10, 20, 30, 2.5).moved(r3.Vec{Y: 50}).without(r3.Vec{X: 10, Y: 60, Z: 15}, 4),
		box(.3, .3, .3, 1).moved(r3.Vec{Z: -40}),
	).noisy(0.02, 3)
	s.corners = append(s.corners, s.corners[10], s.corners[20], [3]uint32{5, 5, 6}, [3]uint32{s.corners[30][0], s.corners[30][2], s.corners[30][1]})
	c := s.corners[100]
	s.corners[100] = [3]uint32{c[0], c[2], c[1]}
	s.at, s.normal = append(s.at, r3.Vec{X: 12, Z: 30}), append(s.normal, r3.Vec{})
	s.corners = append(s.corners, [3]uint32{0, 1, uint32(len(s.at) - 1)}) // a fin
	return s.soup()
}

// requireSame holds two meshes against each other, but for what the order in the
// file may change. Its message is short: meshes are long.
func requireSame(t require.TestingT, want, got *Mesh) {
	require.True(t, slices.Equal(want.Points, got.Points), "points")
	require.True(t, slices.Equal(want.Faces, got.Faces), "faces")
	require.True(t, slices.Equal(want.ComponentOf, got.ComponentOf), "labels")
	require.True(t, slices.Equal(want.at, got.at), "adjacency")
	require.Equal(t, want.Components, got.Components)
	require.Equal(t, want.FileFacets, got.FileFacets)
}

func TestOrderInFileDoesNotMatter(t *testing.T) {
	s := messy()
	want, report := checked(t, s)
	for seed := range uint64(12) {
		m, r := checked(t, shuffled(s, seed))
		requireSame(t, want, m)
		require.Equal(t, report, r)
	}
}

func TestSourceAndFilePoint(t *testing.T) {
	s := shuffled(messy(), 5)
	m, r := checked(t, s)
	require.Len(t, m.FilePoint, len(s.Points))
	require.Equal(t, len(s.Corners), len(m.Faces)+r.DegenerateFacets+r.DuplicateFacets)
	for i, v := range m.FilePoint {
		require.Equal(t, s.Points[i], m.Points[v])
	}
	used := map[uint32]bool{}
	for f, src := range m.Source {
		require.False(t, used[src])
		used[src] = true
		c := s.Corners[src]
		want := []uint32{m.FilePoint[c[0]], m.FilePoint[c[1]], m.FilePoint[c[2]]}
		got := slices.Clone(m.Faces[f][:])
		slices.Sort(want)
		slices.Sort(got)
		require.Equal(t, want, got)
	}
}

func TestCanonicalOrder(t *testing.T) {
	m, _ := checked(t, messy())
	require.True(t, slices.IsSortedFunc(m.Points, func(a, b [3]float32) int { return comparePoints(a, b, 0) }))
	require.True(t, slices.IsSortedFunc(m.Faces, func(a, b [3]uint32) int { return slices.Compare(a[:], b[:]) }))
	for _, f := range m.Faces {
		require.Less(t, f[0], min(f[1], f[2]))
	}
}

func TestSignOfZero(t *testing.T) {
	zero := float32(math.Copysign(0, -1))
	s := Soup{Points: [][3]float32{{0, 0, 0}, {1, 0, 0}, {0, 1, 0}, {zero, zero, 0}, {0, zero, 1}},
		Corners: [][3]uint32{{0, 2, 1}, {3, 1, 4}, {0, 4, 2}, {1, 2, 4}}}
	m, r := checked(t, s)
	require.Len(t, m.Points, 4)
	require.True(t, r.Watertight)
	for _, p := range m.Points {
		for _, x := range p {
			require.False(t, math.Signbit(float64(x)))
		}
	}
}

func TestRigidMotionLeavesCountsAndNoise(t *testing.T) {
	base := func() *shape { return tube(24, 16, 50, 1).with(torus(30, 5, 1).moved(r3.Vec{X: 80})).noisy(0.05, 11) }
	_, want := checked(t, base().soup())
	for _, rad := range []float64{0.3, 1.1, 2.9} {
		_, got := checked(t, base().turned(rad, r3.Vec{X: 1, Y: 2, Z: -1}).moved(r3.Vec{X: 300, Y: -40}).soup())
		require.Equal(t, []int{want.Triangles, want.Vertices, want.Shells, want.BoundaryLoops, want.NonmanifoldEdges},
			[]int{got.Triangles, got.Vertices, got.Shells, got.BoundaryLoops, got.NonmanifoldEdges})
		require.InEpsilon(t, want.EdgeMedianMM, got.EdgeMedianMM, 1e-3)
		require.InEpsilon(t, want.NoiseMM, got.NoiseMM, 0.03) // two samples of 8000 patches
	}
}

func TestReversedWindingIsRepaired(t *testing.T) {
	hollow := func() *shape {
		return box(30, 30, 30, 3).with(box(10, 10, 10, 2).moved(r3.Vec{X: 10, Y: 10, Z: 10}).inverted(), torus(20, 5, 2).moved(r3.Vec{X: 70}))
	}
	want, r := checked(t, hollow().soup())
	require.NotNil(t, found(r, "cavity"))
	require.Nil(t, found(r, "inside-out"))
	got, r := checked(t, hollow().inverted().soup())
	requireSame(t, want, got)
	require.NotNil(t, found(r, "inside-out"))
	volumes := []float64{}
	for _, c := range got.Components {
		volumes = append(volumes, c.VolumeMM3)
	}
	slices.Sort(volumes)
	require.InDelta(t, -1000, volumes[0], 1e-6) // the hollow, 10³
	require.InDelta(t, 27000, volumes[2], 1e-6) // the box, 30³
	require.Greater(t, volumes[1], 9000.)       // the torus, 2 pi² 20 25 less its facets
}

func TestOpenScanInsideOutIsTurned(t *testing.T) {
	open := func() *shape { return box(40, 30, 20, 2).without(r3.Vec{X: 20, Y: 15}, 8) }
	want, _ := checked(t, open().soup())
	got, r := checked(t, open().inverted().soup())
	requireSame(t, want, got)
	require.Equal(t, "underside", side(r.Loops[0].CapMM2, "+z"))
}

// The inside of a tube, scanned without its ends, faces its axis and is right.
func TestInsideOfTubeStays(t *testing.T) {
	s := &shape{}
	s.grid(30, 40, true, false, func(i, j int) (r3.Vec, r3.Vec) {
		sa, ca := math.Sincos(2 * math.Pi * float64(i) / 30)
		return r3.Vec{X: 5 * ca, Y: -5 * sa, Z: float64(j)}, r3.Vec{X: -ca, Y: sa}
	})
	outer := &shape{}
	outer.grid(40, 40, true, false, func(i, j int) (r3.Vec, r3.Vec) {
		sa, ca := math.Sincos(2 * math.Pi * float64(i) / 40)
		return r3.Vec{X: 7 * ca, Y: 7 * sa, Z: float64(j)}, r3.Vec{X: ca, Y: sa}
	})
	m, r := checked(t, s.with(outer).soup())
	require.Equal(t, 2, r.Shells)
	require.Nil(t, found(r, "inside-out"))
	require.Equal(t, 4, r.BoundaryLoops)
	for _, c := range m.Components {
		inner := c.MaxMM.X < 6
		require.Equal(t, inner, c.VolumeMM3 < 0)
	}
}

func TestMoebiusBand(t *testing.T) {
	s := &shape{}
	const n = 60
	s.grid(n, 5, false, false, func(i, j int) (r3.Vec, r3.Vec) {
		a, w := 2*math.Pi*float64(i)/n, float64(j)-2
		sa, ca := math.Sincos(a)
		sh, ch := math.Sincos(a / 2)
		return r3.Vec{X: (20 + w*ch) * ca, Y: (20 + w*ch) * sa, Z: w * sh}, r3.Vec{}
	})
	for j := range uint32(4) { // sewn with a half turn
		a, b := (n-1)*5+j, uint32(4-j)
		s.corners = append(s.corners, [3]uint32{a, b, b - 1}, [3]uint32{a, b - 1, a + 1})
	}
	_, r := checked(t, s.soup())
	require.Equal(t, 1, r.Shells)
	require.Equal(t, 1, r.BoundaryLoops)
	require.NotNil(t, found(r, "one-sided"))
}

// TestWeakSeam: two boxes that meet along an edge, of which only a top and an
// underside were seen beside it, over 4 mm: these run against each other, and neither
// box is inside out. A patch that was turned in the file has long such seams.
func TestWeakSeam(t *testing.T) {
	s := box(20, 20, 20, 1).with(box(20, 20, 20, 1).moved(r3.Vec{X: 20, Z: 20}))
	at := func(q [3]uint32) (c r3.Vec, on int) {
		for _, v := range q {
			p := s.at[v]
			c = r3.Add(c, r3.Scale(1.0/3, p))
			if p.X == 20 && p.Z == 20 {
				on++
			}
		}
		return c, on
	}
	s.corners = slices.DeleteFunc(s.corners, func(q [3]uint32) bool {
		c, on := at(q)
		return on > 0 && !(math.Abs(c.Z-20) < 1e-9 && c.Y > 8 && c.Y < 12)
	})
	m, r := checked(t, s.soup())
	require.Equal(t, 1, r.Shells)
	require.Zero(t, r.RewoundFacets)
	require.InDelta(t, 16000, m.Components[0].VolumeMM3, 200) // openings are capped from their centres

	for i, q := range s.corners {
		if c, _ := at(q); math.Abs(c.Z) < 1e-9 && c.X > 5 && c.X < 15 && c.Y > 5 && c.Y < 15 {
			s.corners[i][1], s.corners[i][2] = q[2], q[1]
		}
	}
	_, r = checked(t, s.soup())
	require.Equal(t, 200, r.RewoundFacets)
}

func TestRefusals(t *testing.T) {
	nan, inf := float32(math.NaN()), float32(math.Inf(-1))
	one := [][3]uint32{{0, 1, 2}}
	for _, row := range []struct {
		name string
		soup Soup
		opt  CheckOptions
		says string
	}{
		{"no facet", Soup{File: "a.stl"}, CheckOptions{}, "a.stl: no facet has any area"},
		{"NaN", Soup{Points: [][3]float32{{0, 0, 0}, {nan, 0, 0}, {0, 1, 0}}, Corners: one}, CheckOptions{}, "point 1 is not finite"},
		{"infinite", Soup{Points: [][3]float32{{0, 0, 0}, {1, 0, 0}, {0, inf, 0}}, Corners: one}, CheckOptions{}, "point 2 is not finite"},
		{"index", Soup{Points: [][3]float32{{0, 0, 0}}, Corners: one}, CheckOptions{}, "facet 0: vertex 2 of 1"},
		{"one line", Soup{Points: [][3]float32{{0, 0, 0}, {1, 1, 1}, {3, 3, 3}}, Corners: one}, CheckOptions{}, "no facet has any area"},
		{"one point", Soup{Points: [][3]float32{{1, 1, 1}}, Corners: [][3]uint32{{0, 0, 0}}}, CheckOptions{}, "no facet has any area"},
		{"unit", box(1, 1, 1, 1).soup(), CheckOptions{Unit: "furlong"}, `unit "furlong" is not known`},
		{"up", box(1, 1, 1, 1).soup(), CheckOptions{Up: "z"}, `up "z"`},
	} {
		t.Run(row.name, func(t *testing.T) {
			_, _, err := Check(context.Background(), row.soup, row.opt, nil)
			require.ErrorContains(t, err, row.says)
		})
	}
}

func TestCancelled(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, _, err := Check(ctx, box(1, 1, 1, 1).soup(), CheckOptions{Unit: "mm"}, nil)
	require.ErrorIs(t, err, context.Canceled)
}

func TestUnitIsGuessed(t *testing.T) {
	for _, row := range []struct {
		name     string
		diagonal float64
		unit     string
		severity string
		says     string
	}{
		{"a piece in mm", 300, "mm", "note", "300 mm across"},
		{"a piece in m", 0.1, "m", "note", "100 mm across"},
		{"m or ft", 0.3, "m", "warning", "it could also be ft (91.4 mm across)"},
		{"in or cm", 10, "in", "warning", "it could also be cm (100 mm across)"},
		{"a house in mm", 9000, "mm", "warning", "no unit makes it a tabletop piece"},
	} {
		t.Run(row.name, func(t *testing.T) {
			side := row.diagonal / math.Sqrt(3)
			_, r, err := Check(context.Background(), box(side, side, side, side).soup(), CheckOptions{}, nil)
			require.NoError(t, err)
			require.True(t, r.UnitGuessed)
			require.Equal(t, row.unit, r.Unit)
			require.Equal(t, row.severity, r.Findings[0].Severity)
			require.Contains(t, r.Findings[0].What, row.says)
		})
	}
}

func TestStagesAreTold(t *testing.T) {
	var heard []string
	_, _, err := Check(context.Background(), box(9, 9, 9, 3).soup(), CheckOptions{Unit: "mm"}, func(stage string, done, total int64) {
		require.LessOrEqual(t, done, total)
		heard = append(heard, stage)
	})
	require.NoError(t, err)
	require.Equal(t, "check: weld, check: connect, check: wind, check: noise, check", strings.Join(heard, ", "))
}

func FuzzCheck(f *testing.F) {
	f.Add([]byte("000100010001111000"))
	f.Add([]byte("L\xf4\xf4\xf4\xf4\xf4\xcc\xcc0")) // edges longer than a float32 holds
	f.Add([]byte{0, 0, 0, 9, 0, 0, 0, 9, 0, 0, 0, 9, 9, 0, 0, 0, 9, 0, 0, 0, 9})
	f.Fuzz(func(t *testing.T, data []byte) {
		s := Soup{}
		seen := map[[3]float32]uint32{}
		for i := 0; i+9 <= len(data) && i < 9*400; i += 9 {
			var c [3]uint32
			for k := range c {
				p := [3]float32{coordinate(data[i+3*k]), coordinate(data[i+3*k+1]), coordinate(data[i+3*k+2])}
				v, ok := seen[p]
				if !ok {
					v = uint32(len(s.Points))
					seen[p], s.Points = v, append(s.Points, p)
				}
				c[k] = v
			}
			s.Corners = append(s.Corners, c)
		}
		m, r, err := Check(context.Background(), s, CheckOptions{LoopsMost: 3}, nil)
		m2, r2, err2 := Check(context.Background(), shuffled(s, 1), CheckOptions{LoopsMost: 3}, nil)
		require.Equal(t, err == nil, err2 == nil)
		if err != nil {
			return
		}
		requireSame(t, m, m2)
		require.Equal(t, r, r2)
		total := 0
		for _, c := range m.Components {
			total += c.Facets
		}
		require.Equal(t, len(m.Faces), total)
	})
}

// coordinate makes few values, so that facets meet, and some hostile ones.
func coordinate(b byte) float32 {
	switch {
	case b < 0xf0:
		return float32(b % 6)
	case b < 0xf4:
		return float32(b%6) + 1e-6
	case b < 0xf8:
		return math.MaxFloat32
	case b < 0xfc:
		return math.SmallestNonzeroFloat32
	}
	return -float32(b & 1)
}
