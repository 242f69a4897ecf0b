package fit

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

var sink float64 // keeps results in use

// noisy returns n points of f with noise of 0.05 along the normals.
func noisy[F feature[F]](f F, n int, p Patch) (points, normals []r3.Vec) {
	rng := rand.New(rand.NewPCG(1, 1))
	for _, q := range f.Points(n, p) {
		m := f.Normal(q)
		points, normals = append(points, along(q, 0.05*rng.NormFloat64(), m)), append(normals, m)
	}
	return points, normals
}

// benchFit measures a fit from a start that is 1 % off.
func benchFit[F feature[F]](b *testing.B, exact, start F, p Patch, fit func([]r3.Vec, []float64, F) (F, Association, error)) {
	for _, n := range []int{1e3, 1e4, 1e5} {
		points, _ := noisy(exact, n, p)
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				_, a, err := fit(points, nil, start)
				if err != nil {
					b.Fatal(err)
				}
				sink += a.SSQ
			}
			b.ReportMetric(float64(n)*float64(b.N)/b.Elapsed().Seconds(), "points/s")
		})
	}
}

var (
	benchAxis  = unit(r3.Vec{X: 1, Y: 2, Z: 2})
	benchPoint = r3.Vec{X: 3, Y: -4, Z: 7}
)

func BenchmarkFitPlane(b *testing.B) {
	s := Plane{benchPoint, benchAxis}
	benchFit(b, s, s, Patch{LengthMM: 60, WidthMM: 25}, fitPlane)
}

func BenchmarkFitSphere(b *testing.B) {
	benchFit(b, Sphere{benchPoint, 15}, Sphere{benchPoint, 15.2}, Patch{ArcDeg: 150}, FitSphere)
}

func BenchmarkFitCylinder(b *testing.B) {
	benchFit(b, Cylinder{benchPoint, benchAxis, 12}, Cylinder{benchPoint, unit(r3.Vec{X: 1, Y: 2, Z: 2.05}), 12.1}, Patch{ArcDeg: 200, LengthMM: 50}, FitCylinder)
}

func BenchmarkFitCone(b *testing.B) {
	benchFit(b, Cone{benchPoint, benchAxis, 14, 20}, Cone{benchPoint, benchAxis, 14.1, 19}, Patch{ArcDeg: 200, LengthMM: 30}, FitCone)
}

func BenchmarkFitTorus(b *testing.B) {
	benchFit(b, Torus{benchPoint, benchAxis, 30, 6}, Torus{benchPoint, benchAxis, 30.3, 6.1}, Patch{ArcDeg: 200, SectionArcDeg: 360}, FitTorus)
}

func BenchmarkFitHelix(b *testing.B) {
	benchFit(b, Helix{benchPoint, benchAxis, 12, 9, 40, 2}, Helix{benchPoint, benchAxis, 12.1, 9.02, 41, 2.05}, Patch{ArcDeg: 1300, SectionArcDeg: 360}, FitHelix)
}

// The starts look at a sample of 400 points, so that n matters little.
func BenchmarkStart(b *testing.B) {
	run := func(name string, points, normals []r3.Vec, start func(p, n []r3.Vec) error) {
		for _, with := range []bool{true, false} {
			n := normals
			if !with {
				n = nil
			}
			b.Run(fmt.Sprintf("%s/normals=%v", name, with), func(b *testing.B) {
				for b.Loop() {
					if err := start(points, n); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
	p, n := noisy(Cylinder{benchPoint, benchAxis, 12}, 20000, Patch{ArcDeg: 200, LengthMM: 50})
	run("cylinder", p, n, func(p, n []r3.Vec) error { _, err := StartCylinder(p, n); return err })
	p, n = noisy(Cone{benchPoint, benchAxis, 14, 20}, 20000, Patch{ArcDeg: 200, LengthMM: 30})
	run("cone", p, n, func(p, n []r3.Vec) error { _, err := StartCone(p, n); return err })
	p, n = noisy(Torus{benchPoint, benchAxis, 30, 6}, 20000, Patch{ArcDeg: 200, SectionArcDeg: 360})
	run("torus", p, n, func(p, n []r3.Vec) error { _, err := StartTorus(p, n); return err })
	p, n = noisy(Helix{benchPoint, benchAxis, 12, 9, 40, 2}, 20000, Patch{ArcDeg: 1300, SectionArcDeg: 360})
	run("helix", p, n, func(p, n []r3.Vec) error { _, err := StartHelix(p, n); return err })
}

func BenchmarkRobustCylinder(b *testing.B) {
	p, n := noisy(Cylinder{benchPoint, benchAxis, 12}, 20000, Patch{ArcDeg: 200, LengthMM: 50})
	for b.Loop() {
		_, a, _, err := RobustCylinder(p, n, nil)
		if err != nil {
			b.Fatal(err)
		}
		sink += a.SSQ
	}
}
