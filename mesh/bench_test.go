package mesh

import (
	"context"
	"fmt"
	"testing"
)

// benchSoup is a torus of about n facets.
func benchSoup(n int) Soup {
	// 2 facets a cell, cells of edge 1: n = 2 (2 pi)² R r with R = 4 r.
	small := 1.0
	for 2*39.478*4*small*small < float64(n) {
		small *= 1.01
	}
	return shuffledLightly(torus(4*small, small, 1).noisy(0.03, 7).soup())
}

// shuffledLightly moves the facets about in blocks, as the tiles of a scanner
// do.
func shuffledLightly(s Soup) Soup {
	const block = 1000
	out := s
	out.Corners = nil
	for start := range 7 {
		for b := start; b*block < len(s.Corners); b += 7 {
			out.Corners = append(out.Corners, s.Corners[b*block:min(len(s.Corners), (b+1)*block)]...)
		}
	}
	return out
}

func BenchmarkCheck(b *testing.B) {
	for _, n := range []int{1e4, 1e5, 1e6} {
		s := benchSoup(n)
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				m, _, err := Check(context.Background(), s, CheckOptions{Unit: "mm"}, nil)
				if err != nil || len(m.Faces) != len(s.Corners) {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(len(s.Corners))*float64(b.N)/b.Elapsed().Seconds(), "faces/s")
		})
	}
}
