package synthetic

import (
	"fmt"
	"io"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// BigScene returns eight separate round pieces, and options that mesh them into
// about the given number of facets, within some 2 %, with noise of 0.02 mm. For
// benchmarks: pieces whose facets are nearly all in regular strips, quickly made.
func BigScene(facets int) (Scene, Options, error) {
	scene := Scene{Name: "eight pieces"}
	for i, s := range []Shape{
		Tube{OutsideDiameterMM: 30, InsideDiameterMM: 26, LengthMM: 90},
		Bar{OutsideDiameterMM: 16, LengthMM: 90},
		RoundRing{CentrelineDiameterMM: 70, SectionDiameterMM: 12},
		Sphere{DiameterMM: 50},
		Arc{CentrelineDiameterMM: 70, SectionDiameterMM: 14, SectionBoreMM: 10, SweepDeg: 200},
		Coil{CentrelineDiameterMM: 50, SectionDiameterMM: 6, PitchMM: 14, Turns: 4},
		Cone{LargeDiameterMM: 60, SmallDiameterMM: 30, HeightMM: 60, WallMM: 3},
		Bent{SectionDiameterMM: 10, Legs: []Bend{{LengthMM: 40}, {RadiusMM: 25, AngleDeg: 90}, {LengthMM: 30}}},
	} {
		at := r3.Vec{X: 120 * float64(i%4), Y: 120 * float64(i/4), Z: 60}
		scene.Pieces = append(scene.Pieces, Piece{Name: fmt.Sprintf("piece %d", i+1), Shape: s,
			Pose: Along(at, r3.Vec{X: float64(i), Y: 3, Z: 10})})
	}
	opt := DefaultOptions()
	opt.NoiseMM = 0.02
	if facets < 20000 || facets > facetsMax/2 {
		return scene, opt, fmt.Errorf("big scene: %d facets; give 20000 to %d", facets, facetsMax/2)
	}
	opt.EdgeMM = 2
	for range 3 { // facets go as the edge to the power -2; rounding up to whole facets is what is left
		n := 0
		for _, p := range scene.Pieces {
			q, err := planOf(p.Shape, opt.EdgeMM)
			if err != nil {
				return scene, opt, err
			}
			n += q.facets
		}
		opt.EdgeMM *= math.Sqrt(float64(n) / float64(facets))
	}
	return scene, opt, nil
}

// Big writes the scan of BigScene as binary STL, one piece in memory at a time,
// and returns the number of facets.
func Big(w io.Writer, facets int) (int, error) {
	scene, opt, err := BigScene(facets)
	if err != nil {
		return 0, err
	}
	return Stream(w, scene, opt)
}
