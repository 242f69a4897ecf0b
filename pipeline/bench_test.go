package pipeline

import (
	"context"
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"pointup/mesh/scanfile"
	"pointup/mesh/synthetic"
	"pointup/pipeline/job"
)

var big = flag.Bool("big", false, "benchmarks: also a million facets")

// benchScan writes a scan of about n facets of four pieces of common kinds, and
// returns its path and its facets.
func benchScan(b *testing.B, n int) (string, int) {
	scene := synthetic.Scene{Name: "four", Pieces: []synthetic.Piece{
		{Name: "tube", Shape: synthetic.Tube{OutsideDiameterMM: 30, InsideDiameterMM: 26, LengthMM: 90}, Pose: synthetic.Upright(0, 0, 45)},
		{Name: "disc", Shape: synthetic.Disc{OutsideDiameterMM: 60, ThicknessMM: 6}, Pose: synthetic.Upright(80, 0, 3)},
		{Name: "plate", Shape: synthetic.Plate{Outline: synthetic.Rectangle(80, 50), ThicknessMM: 5}, Pose: synthetic.Upright(0, 80, 2.5)},
		{Name: "ring", Shape: synthetic.RoundRing{CentrelineDiameterMM: 60, SectionDiameterMM: 10}, Pose: synthetic.Upright(80, 80, 5)},
	}}
	opt := synthetic.DefaultOptions()
	opt.EdgeMM, opt.NoiseMM = 2, 0.02
	for pass := 0; ; pass++ {
		s, err := synthetic.Scan(scene, opt)
		require.NoError(b, err)
		soup := s.Soup("four.stl")
		if pass < 1 { // facets go as the edge to the power -2
			opt.EdgeMM *= math.Sqrt(float64(len(soup.Corners)) / float64(n))
			continue
		}
		path := filepath.Join(b.TempDir(), "four.stl")
		f, err := os.Create(path)
		require.NoError(b, err)
		require.NoError(b, scanfile.WriteSTL(f, "four", soup))
		require.NoError(b, f.Close())
		return path, len(soup.Corners)
	}
}

// eachSize runs a benchmark at three sizes and reports facets a second.
func eachSize(b *testing.B, bench func(b *testing.B, path string)) {
	for _, n := range []int{1e4, 1e5, 1e6} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			if n > 1e5 && !*big {
				b.Skip("ask for it with -big")
			}
			path, faces := benchScan(b, n)
			b.ReportAllocs()
			b.ResetTimer()
			bench(b, path)
			b.ReportMetric(float64(faces)*float64(b.N)/b.Elapsed().Seconds(), "faces/s")
		})
	}
}

// BenchmarkFit times recognition and fit of every piece.
func BenchmarkFit(b *testing.B) {
	j, err := job.ForScan("four.stl", "mm", 10)
	require.NoError(b, err)
	eachSize(b, func(b *testing.B, path string) {
		w, err := measure(context.Background(), j, path, newKeeper("", "", true), nil)
		require.NoError(b, err)
		b.ResetTimer()
		for b.Loop() {
			list, err := w.fitShells(context.Background(), nil)
			if err != nil || len(list) != 4 {
				b.Fatal(err, len(list))
			}
		}
	})
}

// BenchmarkRun times the whole pipeline from file to result.json, no pictures.
func BenchmarkRun(b *testing.B) {
	j, err := job.ForScan("four.stl", "mm", 10)
	require.NoError(b, err)
	dir := b.TempDir()
	eachSize(b, func(b *testing.B, path string) {
		for b.Loop() {
			doc, err := Run(context.Background(), j, path, dir, Options{Version: "bench", Fresh: true}, nil)
			if err != nil || len(doc.Elements) != 4 {
				b.Fatal(err, len(doc.Elements))
			}
		}
	})
}

// BenchmarkRunAgain times a run that takes everything up that was kept.
func BenchmarkRunAgain(b *testing.B) {
	j, err := job.ForScan("four.stl", "mm", 10)
	require.NoError(b, err)
	eachSize(b, func(b *testing.B, path string) {
		dir, opt := b.TempDir(), Options{Version: "bench"}
		_, err := Run(context.Background(), j, path, dir, opt, nil)
		require.NoError(b, err)
		b.ResetTimer()
		for b.Loop() {
			if _, err := Run(context.Background(), j, path, dir, opt, nil); err != nil {
				b.Fatal(err)
			}
		}
	})
}
