package solid

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// dented is a ball of 4n² facets with waves on it.
func dented(n int) Mesh {
	var m Mesh
	m.point(r3.Vec{Z: -100})
	for i := 1; i < n; i++ {
		for j := range 2 * n {
			theta, phi := math.Pi*float64(i)/float64(n), math.Pi*float64(j)/float64(n)
			r := 100 + 5*math.Sin(3*theta)*math.Cos(4*phi)
			m.point(r3.Vec{X: r * math.Sin(theta) * math.Cos(phi), Y: r * math.Sin(theta) * math.Sin(phi), Z: -r * math.Cos(theta)})
		}
	}
	top := m.point(r3.Vec{Z: 100})
	at := func(i, j int) uint32 { return uint32(1 + (i-1)*2*n + j%(2*n)) }
	for j := range 2 * n {
		m.triangle(0, at(1, j+1), at(1, j))
		m.triangle(at(n-1, j), at(n-1, j+1), top)
		for i := 1; i < n-1; i++ {
			m.quad(at(i, j), at(i, j+1), at(i+1, j+1), at(i+1, j))
		}
	}
	return m
}

func BenchmarkThin(b *testing.B) {
	m := dented(200)
	for b.Loop() {
		Thin(m, 3000)
	}
	b.ReportMetric(float64(len(m.Triangles)*b.N)/b.Elapsed().Seconds(), "facets/s")
}
