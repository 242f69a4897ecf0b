package synthetic

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// RolledPlate is a plate rolled about z from x counter-clockwise, its mid-width
// at z = 0, its ends radial. Holes are drawn on the mid-surface, developed: u
// along the arc from the start, v along z.
type RolledPlate struct {
	InsideDiameterMM, ThicknessMM, WidthMM, SweepDeg float64
	Holes                                            []Hole
}

// developed returns the length of the mid-surface's arc.
func (r RolledPlate) developed() float64 {
	return (r.InsideDiameterMM + r.ThicknessMM) / 2 * rad(r.SweepDeg)
}

func (r RolledPlate) plan(edgeMM float64) (plan, error) {
	for _, d := range []Dim{{"inside diameter", r.InsideDiameterMM}, {"thickness", r.ThicknessMM}, {"width", r.WidthMM}} {
		if err := positive("rolled plate", d.Key, d.Value); err != nil {
			return plan{}, err
		}
	}
	if err := within("rolled plate", "sweep", r.SweepDeg, 1, 359); err != nil {
		return plan{}, err
	}
	l, w := r.developed(), r.WidthMM/2
	outer, err := loopOf("rolled plate", Polygon([2]float64{0, -w}, [2]float64{l, -w}, [2]float64{l, w}, [2]float64{0, w}))
	if err != nil {
		return plan{}, err
	}
	loops, err := region("rolled plate", outer, r.Holes)
	if err != nil {
		return plan{}, err
	}
	inner, mid := r.InsideDiameterMM/2, (r.InsideDiameterMM+r.ThicknessMM)/2
	n := steps(r.ThicknessMM, edgeMM, 1)
	s := solid{loops: loops, layers: n, place: func(p [2]float64, j int) r3.Vec {
		sn, cs := math.Sincos(p[0] / mid)
		at := inner + r.ThicknessMM*float64(j)/float64(n)
		return r3.Vec{X: at * cs, Y: at * sn, Z: p[1]}
	}}
	out, err := s.plan(min(edgeMM, mid*arcStepMax))
	if err != nil {
		return plan{}, fmt.Errorf("rolled plate: %w", err)
	}
	return out, nil
}

func (r RolledPlate) truth() Truth {
	t := straight("rolled_plate",
		Dim{"inside_diameter_mm", r.InsideDiameterMM},
		Dim{"thickness_mm", r.ThicknessMM},
		Dim{"width_mm", r.WidthMM},
		Dim{"sweep_deg", r.SweepDeg},
		Dim{"hole_count", float64(len(r.Holes))})
	t.Holes = r.Holes
	t.sweepRad, t.developedMM = rad(r.SweepDeg), r.developed()
	return t
}
