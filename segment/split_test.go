package segment

import (
	"context"
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"pointup/mesh"
)

// bench is a soup in the making: boxes and rolled grids.
type bench struct {
	points  [][3]float32
	corners [][3]uint32
	seen    map[[3]float32]uint32
}

func (b *bench) vertex(p r3.Vec) uint32 {
	q := [3]float32{float32(p.X), float32(p.Y), float32(p.Z)}
	if b.seen == nil {
		b.seen = map[[3]float32]uint32{}
	}
	v, ok := b.seen[q]
	if !ok {
		v = uint32(len(b.points))
		b.seen[q], b.points = v, append(b.points, q)
	}
	return v
}

// box adds a closed box of 12 facets.
func (b *bench) box(x, y, z, dx, dy, dz float64) *bench {
	var v [8]uint32
	for i := range v {
		v[i] = b.vertex(r3.Vec{X: x + dx*float64(i&1), Y: y + dy*float64(i>>1&1), Z: z + dz*float64(i>>2)})
	}
	for _, q := range [][4]int{{0, 2, 3, 1}, {4, 5, 7, 6}, {0, 1, 5, 4}, {2, 6, 7, 3}, {0, 4, 6, 2}, {1, 3, 7, 5}} {
		b.corners = append(b.corners, [3]uint32{v[q[0]], v[q[1]], v[q[2]]}, [3]uint32{v[q[0]], v[q[2]], v[q[3]]})
	}
	return b
}

// ring adds a torus of 2 n k facets about the z axis through (x, 0, 0).
func (b *bench) ring(x, big, small float64, n, k int) *bench {
	at := func(i, j int) uint32 {
		sa, ca := math.Sincos(2 * math.Pi * float64(i%n) / float64(n))
		sb, cb := math.Sincos(2 * math.Pi * float64(j%k) / float64(k))
		return b.vertex(r3.Vec{X: x + (big+small*cb)*ca, Y: (big + small*cb) * sa, Z: small * sb})
	}
	for i := range n {
		for j := range k {
			p, q, r, s := at(i, j), at(i+1, j), at(i+1, j+1), at(i, j+1)
			b.corners = append(b.corners, [3]uint32{p, q, r}, [3]uint32{p, r, s})
		}
	}
	return b
}

func (b *bench) scaled(t require.TestingT) mesh.Scaled {
	m, _, err := mesh.Check(context.Background(), mesh.Soup{File: "bench.stl", Points: b.points, Corners: b.corners}, mesh.CheckOptions{Unit: "mm"}, nil)
	require.NoError(t, err)
	s, _, err := mesh.Scale(m, mesh.ScaleOptions{From: mesh.FromRatio, Ratio: 10, Up: "+z"})
	require.NoError(t, err)
	return s
}

func split(t require.TestingT, s mesh.Scaled) (Parts, []mesh.Finding) {
	parts, findings, err := Split(context.Background(), s, DefaultOptions(), nil)
	require.NoError(t, err)
	return parts, findings
}

// requirePartition holds that each facet is in one place and that Points are
// what Faces use.
func requirePartition(t require.TestingT, s mesh.Scaled, parts Parts) {
	owner := make([]int, len(s.Faces))
	lists := append([]Shell{{Faces: parts.Dust}}, parts.Shells...)
	for i, shell := range lists {
		require.True(t, slices.IsSorted(shell.Faces))
		for _, f := range shell.Faces {
			require.Zero(t, owner[f], "facet %d is in two places", f)
			owner[f] = i + 1
		}
	}
	require.NotContains(t, owner, 0)
	for _, shell := range parts.Shells {
		var want []uint32
		for _, f := range shell.Faces {
			want = append(want, s.Faces[f][:]...)
		}
		slices.Sort(want)
		require.Equal(t, slices.Compact(want), shell.Points)
	}
}

func TestSplitOrderAndMeasures(t *testing.T) {
	b := (&bench{}).box(0, 0, 5, 1, 1, 1).box(10, 0, 7, 4, 4, 4).box(20, 0, 9, 2, 2, 2)
	s := b.scaled(t)
	parts, findings := split(t, s)
	require.Empty(t, findings)
	require.Len(t, parts.Shells, 3)
	requirePartition(t, s, parts)
	for i, want := range []struct {
		area   float64
		centre r3.Vec
		lowest float64 // over the ground, which is the small box's bottom
	}{{96, r3.Vec{X: 12, Y: 2, Z: 9}, 2}, {24, r3.Vec{X: 21, Y: 1, Z: 10}, 4}, {6, r3.Vec{X: .5, Y: .5, Z: 5.5}, 0}} {
		got := parts.Shells[i]
		require.InDelta(t, want.area, got.AreaMM2, 1e-9)
		require.InDelta(t, 0, r3.Norm(r3.Sub(want.centre, got.CentroidMM)), 1e-9)
		require.InDelta(t, want.lowest, got.LowestMM, 1e-9)
		require.Len(t, got.Points, 8)
		a := s.Measure(got.Faces)
		require.InDelta(t, math.Pow(math.Sqrt(want.area/6), 3), a.VolumeMM3, 1e-9)
	}
}

func TestShellsThatTouchStayTwo(t *testing.T) {
	for name, at := range map[string]r3.Vec{"point": {X: 4, Y: 4, Z: 4}, "edge": {X: 4, Y: 4}} {
		t.Run(name, func(t *testing.T) {
			b := (&bench{}).box(0, 0, 0, 4, 4, 4).box(at.X, at.Y, at.Z, 4, 4, 4)
			s := b.scaled(t)
			parts, _ := split(t, s)
			require.Len(t, parts.Shells, 2)
			requirePartition(t, s, parts)
			require.Less(t, parts.Shells[0].Faces[0], parts.Shells[1].Faces[0], "equal areas: by lowest facet")
			for _, shell := range parts.Shells {
				require.Len(t, shell.Faces, 12)
				require.Len(t, shell.Points, 8)
			}
		})
	}
}

func TestDustIsSetAsideAndSaid(t *testing.T) {
	b := (&bench{}).box(0, 0, 0, 90, 90, 90).box(100, 0, -50, .1, .1, .1).box(0, 100, -70, .2, .2, .2)
	s := b.scaled(t)
	parts, findings, err := Split(context.Background(), s, Options{DustListed: 1}, nil)
	require.NoError(t, err)
	require.Len(t, parts.Shells, 1)
	require.Len(t, parts.Dust, 24)
	require.InDelta(t, 6*(.01+.04), parts.DustAreaMM2, 1e-5)
	require.InDelta(t, 0, parts.Shells[0].LowestMM, 1e-9, "the ground is not that of dust")
	requirePartition(t, s, parts)
	require.Equal(t, "dust-unassigned", findings[0].Code)
	require.Equal(t, "dust-speck", findings[1].Code)
	require.InDelta(t, -69.9, findings[1].WhereMM[2], 1e-4)
	require.Len(t, findings, 2)
}

func TestSplitIsAPartition(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		b := &bench{}
		for range rapid.IntRange(1, 12).Draw(rt, "boxes") {
			at := rapid.IntRange(0, 6) // on a grid, so that points, edges and sides meet
			size := rapid.SampledFrom([]float64{0.01, 1, 2})
			b.box(float64(at.Draw(rt, "x")), float64(at.Draw(rt, "y")), float64(at.Draw(rt, "z")), size.Draw(rt, "dx"), size.Draw(rt, "dy"), size.Draw(rt, "dz"))
		}
		s := b.scaled(rt)
		parts, _ := split(rt, s)
		requirePartition(rt, s, parts)
		require.True(rt, slices.IsSortedFunc(parts.Shells, func(a, b Shell) int {
			switch {
			case a.AreaMM2 > b.AreaMM2 || a.AreaMM2 == b.AreaMM2 && a.Faces[0] < b.Faces[0]:
				return -1
			}
			return 1
		}))
	})
}

func TestSplitRefusals(t *testing.T) {
	_, _, err := Split(context.Background(), mesh.Scaled{}, DefaultOptions(), nil)
	require.ErrorContains(t, err, "no mesh")
	s := (&bench{}).box(0, 0, 0, 1, 1, 1).scaled(t)
	_, _, err = Split(context.Background(), s, Options{DustListed: -1}, nil)
	require.ErrorContains(t, err, "-1 specks")
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, _, err = Split(ctx, s, DefaultOptions(), nil)
	require.ErrorIs(t, err, context.Canceled)
}

func BenchmarkSplit(b *testing.B) {
	for _, n := range []int{1e4, 1e5, 1e6} {
		k := int(math.Sqrt(float64(n) / 16))
		s := (&bench{}).ring(0, 40, 10, 4*k, k).ring(200, 40, 10, 4*k, k).scaled(b)
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				parts, _, err := Split(context.Background(), s, DefaultOptions(), nil)
				if err != nil || len(parts.Shells) != 2 {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(len(s.Faces))*float64(b.N)/b.Elapsed().Seconds(), "faces/s")
		})
	}
}
