package synthetic

import (
	"cmp"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

func TestTideClock(t *testing.T) {
	scene := TideClock()
	require.GreaterOrEqual(t, len(scene.Pieces), 9)
	s, err := Scan(scene, TideClockOptions())
	require.NoError(t, err)
	assert.Greater(t, len(s.Triangles), 150_000)
	assert.Less(t, len(s.Triangles), 300_000)
	lo, hi := s.Triangles[0][0][2], s.Triangles[0][0][2]
	for _, f := range s.Triangles {
		lo, hi = min(lo, f[0][2]), max(hi, f[0][2])
	}
	assert.InDelta(t, 0, lo, 0.2)
	assert.InDelta(t, 530, hi, 10)
	kinds := map[string]int{}
	for _, tr := range s.Truth {
		kinds[tr.Kind+" "+tr.Section]++
	}
	assert.Equal(t, map[string]int{"plate ": 2, "tube ": 2, "disc ": 1, "ring flat": 1, "ring round": 1, "bar ": 4,
		"toothed_wheel ": 2, "rolled_plate ": 1, "arc ": 1, "arc flat": 1, "coil ": 1, "sphere ": 1, "cone ": 1}, kinds)
}

// TestTideClockApart holds that pieces are apart: no two have vertices within
// 0.09 mm, facets of 3 mm.
func TestTideClockApart(t *testing.T) {
	opt := DefaultOptions()
	opt.EdgeMM = 3
	s, err := Scan(TideClock(), opt)
	require.NoError(t, err)
	soup := s.Soup(TideClockFile)
	piece := make([]int32, len(soup.Points))
	for f, c := range soup.Corners {
		for _, v := range c {
			piece[v] = s.Piece[f]
		}
	}
	order := make([]int, len(soup.Points)) // by height
	for v := range order {
		order[v] = v
	}
	slices.SortFunc(order, func(a, b int) int { return cmp.Compare(soup.Points[a][2], soup.Points[b][2]) })
	const apart = 0.09
	for i, v := range order {
		for _, u := range order[i+1:] {
			p, q := double(soup.Points[v]), double(soup.Points[u])
			if q.Z-p.Z > apart {
				break
			}
			if piece[u] != piece[v] && r3.Norm(r3.Sub(p, q)) < apart {
				require.Fail(t, "too near", "pieces %d and %d at %v", piece[u], piece[v], p)
			}
		}
	}
}

// TestTideClockJob holds that each row's point lies on the piece it names: its
// nearest facet's plane is within 0.01 mm, to which it is printed.
func TestTideClockJob(t *testing.T) {
	job, err := TideClockJob()
	require.NoError(t, err)
	scene := TideClock()
	rows := regexp.MustCompile(`- \{name: ([a-z ]+), at: \[(\S+), (\S+), ([^\s\]]+)\](?:, stock: [^}]+)?\}`).FindAllStringSubmatch(job, -1)
	require.Len(t, rows, len(scene.Pieces))
	assert.Contains(t, job, "expected: "+strconv.Itoa(len(scene.Pieces)))
	assert.Contains(t, job, "file: "+TideClockFile)
	opt := DefaultOptions()
	opt.EdgeMM = markEdgeMM
	s, err := Scan(scene, opt)
	require.NoError(t, err)
	for i, row := range rows {
		assert.Equal(t, scene.Pieces[i].Name, row[1])
		var at [3]float64
		for k := range at {
			at[k], err = strconv.ParseFloat(row[2+k], 64)
			require.NoError(t, err)
		}
		least, on := 1e9, int32(-1)
		for f, tri := range s.Triangles {
			for _, p := range tri {
				if d := r3.Norm(r3.Sub(double(p), vec(at))); d < least {
					least, on = d, s.Piece[f]
				}
			}
		}
		assert.Equal(t, int32(i), on, row[1])
		assert.Less(t, least, 0.01, row[1])
	}
	for _, name := range strings.Fields("mast float") {
		assert.Contains(t, job, "piece: "+name)
	}
}

func BenchmarkTideClock(b *testing.B) {
	facets := 0
	for b.Loop() {
		s, err := Scan(TideClock(), TideClockOptions())
		if err != nil {
			b.Fatal(err)
		}
		facets += len(s.Triangles)
	}
	b.ReportMetric(float64(facets)/b.Elapsed().Seconds(), "facets/s")
}
