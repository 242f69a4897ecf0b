package synthetic

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// RolledCone is a plate rolled to a part of a cone about z, narrowing upward,
// from x counter-clockwise, the middle of its section at z = 0. Diameters are
// those of the concave face at its edges, which are square to the faces; its
// ends are radial. SlantMM is the width of the flat blank. Holes are drawn as
// along the arc of mid-width from the start, and up the slope from there; they
// must be small.
type RolledCone struct {
	LargeInsideDiameterMM, SmallInsideDiameterMM, ThicknessMM, SlantMM, SweepDeg float64
	Holes                                                                        []Hole
}

// lean is the sine and cosine of the angle of the faces to z, and the radius of
// the middle of the section.
func (r RolledCone) lean() (sin, cos, mid float64) {
	sin = (r.LargeInsideDiameterMM - r.SmallInsideDiameterMM) / 2 / r.SlantMM
	cos = math.Sqrt(max(1-sin*sin, 0))
	return sin, cos, (r.LargeInsideDiameterMM+r.SmallInsideDiameterMM)/4 + r.ThicknessMM/2*cos
}

func (r RolledCone) plan(edgeMM float64) (plan, error) {
	const name = "rolled cone"
	for _, d := range []Dim{{"large diameter", r.LargeInsideDiameterMM}, {"small diameter", r.SmallInsideDiameterMM}, {"thickness", r.ThicknessMM}, {"slant", r.SlantMM}} {
		if err := positive(name, d.Key, d.Value); err != nil {
			return plan{}, err
		}
	}
	if err := under(name, "small diameter", r.SmallInsideDiameterMM, "large diameter", r.LargeInsideDiameterMM); err != nil {
		return plan{}, err
	}
	if err := within(name, "sweep", r.SweepDeg, 1, 359); err != nil {
		return plan{}, err
	}
	sin, cos, mid := r.lean()
	if !(sin < 0.98) {
		return plan{}, fmt.Errorf("%s: a slant of %g mm does not reach from one edge to the other; make it longer", name, r.SlantMM)
	}
	l, w := mid*rad(r.SweepDeg), r.SlantMM/2
	outer, err := loopOf(name, Polygon([2]float64{0, -w}, [2]float64{l, -w}, [2]float64{l, w}, [2]float64{0, w}))
	if err != nil {
		return plan{}, err
	}
	loops, err := region(name, outer, r.Holes)
	if err != nil {
		return plan{}, err
	}
	n := steps(r.ThicknessMM, edgeMM, 1)
	s := solid{loops: loops, layers: n, place: func(p [2]float64, j int) r3.Vec {
		across := r.ThicknessMM * (float64(j)/float64(n) - 0.5)
		at := mid - p[1]*sin + across*cos
		sn, cs := math.Sincos(p[0] / mid)
		return r3.Vec{X: at * cs, Y: at * sn, Z: p[1]*cos + across*sin}
	}}
	out, err := s.plan(min(edgeMM, mid*arcStepMax))
	if err != nil {
		return plan{}, fmt.Errorf("%s: %w", name, err)
	}
	return out, nil
}

func (r RolledCone) truth() Truth {
	sin, cos, mid := r.lean()
	half := r.SlantMM / 2
	t := straight("rolled_plate",
		Dim{"inside_diameter_mm", (r.LargeInsideDiameterMM + r.SmallInsideDiameterMM) / 2},
		Dim{"thickness_mm", r.ThicknessMM},
		Dim{"width_mm", r.SlantMM * cos},
		Dim{"sweep_deg", r.SweepDeg},
		Dim{"hole_count", float64(len(r.Holes))},
		Dim{"large_inside_diameter_mm", r.LargeInsideDiameterMM},
		Dim{"small_inside_diameter_mm", r.SmallInsideDiameterMM},
		Dim{"slant_mm", r.SlantMM},
		Dim{"developed_large_radius_mm", mid/sin + half},
		Dim{"developed_small_radius_mm", mid/sin - half},
		Dim{"developed_sweep_deg", r.SweepDeg * sin})
	t.Holes = r.Holes
	t.sweepRad, t.developedMM = rad(r.SweepDeg), mid*rad(r.SweepDeg)
	return t
}
