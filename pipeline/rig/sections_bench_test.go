package rig

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// pipe is a solid round bar along x with a closed mesh of n sides.
func pipe(id string, d, l float64, n uint32, kg float64) Body {
	b := Body{ID: id, MassKG: kg, MassLowKG: kg * 0.95, MassHighKG: kg * 1.05, CentreMM: r3.Vec{X: l / 2}}
	for i := range n {
		s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		b.Points = append(b.Points, r3.Vec{Y: d / 2 * c, Z: d / 2 * s}, r3.Vec{X: l, Y: d / 2 * c, Z: d / 2 * s})
	}
	b.Points = append(b.Points, r3.Vec{}, r3.Vec{X: l})
	for i := range n {
		p, q, j, k := 2*i, 2*i+1, 2*((i+1)%n), 2*((i+1)%n)+1
		b.Triangles = append(b.Triangles, [3]uint32{p, j, k}, [3]uint32{p, k, q}, [3]uint32{2 * n, j, p}, [3]uint32{2*n + 1, q, k})
	}
	return b
}

// BenchmarkDivide is twelve and thirty pipes of 48 sides.
func BenchmarkDivide(b *testing.B) {
	for _, n := range []int{12, 30} {
		b.Run(fmt.Sprint(n, " pipes"), func(b *testing.B) {
			draw := rand.New(rand.NewPCG(1, 1))
			bodies, joints := scattered(draw, n)
			for i := range bodies {
				bodies[i] = moved(pipe(bodies[i].ID, 60+300*draw.Float64(), 500+3000*draw.Float64(), 48, 40), r3.Vec{X: draw.Float64(), Y: 1, Z: draw.Float64()}, 3*draw.Float64(), bodies[i].CentreMM)
			}
			opt := envelope(6000, 2400, 2400, 400)
			for b.Loop() {
				s, err := Divide(context.Background(), bodies, joints, opt)
				if err != nil {
					b.Fatal(err)
				}
				b.ReportMetric(float64(len(s.Sections)), "sections")
			}
		})
	}
}
