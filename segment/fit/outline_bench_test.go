package fit

import (
	"math/rand/v2"
	"testing"
)

// A loop of 2000 points is to take under 50 ms: a plate carries a hundred holes.
func BenchmarkFitOutline(b *testing.B) {
	opt := DefaultOutlineOptions()
	for _, c := range []struct {
		name string
		o    Outline
		n    int
	}{
		{"rectangle-2000", truthOutline([][2]float64{{0, 0}, {90, 0}, {90, 50}, {0, 50}}, nil), 2000},
		{"rounded-2000", truthOutline([][2]float64{{0, 0}, {90, 0}, {90, 50}, {0, 50}}, []float64{6, 6, 6, 6}), 2000},
		{"circle-2000", Outline{Steps: []Step{{To: [2]float64{-40, 0}, Via: [2]float64{0, 40}, Arc: true}, {To: [2]float64{40, 0}, Via: [2]float64{0, -40}, Arc: true}}}, 2000},
		{"hole-16", Outline{Steps: []Step{{To: [2]float64{-3, 0}, Via: [2]float64{0, 3}, Arc: true}, {To: [2]float64{3, 0}, Via: [2]float64{0, -3}, Arc: true}}}, 16},
		{"rounded-5000", truthOutline([][2]float64{{0, 0}, {90, 0}, {90, 50}, {0, 50}}, []float64{6, 6, 6, 6}), 5000},
	} {
		b.Run(c.name, func(b *testing.B) {
			pts := scanOutline(c.o, c.o.Perimeter()/float64(c.n), 0.02, 0, rand.New(rand.NewPCG(1, 1)))
			for b.Loop() {
				if _, err := FitOutline(pts, nil, nil, opt); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(c.n)*float64(b.N)/b.Elapsed().Seconds(), "points/s")
		})
	}
}
