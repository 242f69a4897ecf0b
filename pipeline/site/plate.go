package site

import (
	"errors"
	"math"
)

// BasePlate is a rigid plate on concrete under a column, N, mm, MPa (any consistent
// units): AISC Design Guide 1, 2nd ed. (2006), sections 3.3 and 3.4, strength level.
type BasePlate struct {
	LengthMM     float64 `json:"length_mm"` // in the plane of bending
	WidthMM      float64 `json:"width_mm"`
	RodMM        float64 `json:"rod_mm"` // from the middle to the rods in tension
	EccentricMM  float64 `json:"eccentric_mm"`
	CriticalMM   float64 `json:"critical_mm"` // up to this eccentricity no rod pulls
	BearingMM    float64 `json:"bearing_mm"`  // length of concrete under pressure
	PressureMPa  float64 `json:"pressure_mpa"`
	TensionN     float64 `json:"tension_n"`              // of all rods on that side
	ThicknessMM  float64 `json:"thickness_mm,omitempty"` // that bending asks for
	GivenMM      float64 `json:"given_mm,omitempty"`     // thickness of the piece that is the plate
	needs, gives float64 // of the root: what must not exceed what
}

// rodsPull is what the pressed block has more than the axial force.
func rodsPull(qmax, bearing, p float64) float64 { return qmax*bearing - p }

var errPlateSmall = errors.New("the base plate is too small: no length of concrete balances the moment; make it longer")

// rigidPlate balances an axial force p (pressure positive) and a moment m on a plate
// n × b whose concrete bears fp; f is from its middle to the rods. Without pressure
// (p ≤ 0) the block of concrete has only what the rods pull.
func rigidPlate(p, m, n, b, f, fp float64) (BasePlate, error) {
	qmax := fp * b
	r := BasePlate{LengthMM: n, WidthMM: b, RodMM: f, CriticalMM: n/2 - p/(2*qmax)}
	if p > 0 {
		r.EccentricMM = m / p
	}
	if p > 0 && r.EccentricMM <= r.CriticalMM {
		if p > qmax*n {
			return r, errPlateSmall
		}
		r.BearingMM = n - 2*r.EccentricMM
		r.PressureMPa = p / (b * r.BearingMM)
		return r, nil
	}
	r.needs, r.gives = 2*(m+p*f)/qmax, (f+n/2)*(f+n/2) // 2 P (e + f)/q, with M = P e
	if r.needs > r.gives {
		return r, errPlateSmall
	}
	r.BearingMM = f + n/2 - math.Sqrt(r.gives-r.needs)
	r.TensionN = rodsPull(qmax, r.BearingMM, p)
	r.PressureMPa = fp
	return r, nil
}

// thickness the plate needs beyond a round column of diameter d: bending at 0.8 d on
// the pressed side and at the rods (Design Guide 1, 3.1.2 and 3.4; from memory).
func (r BasePlate) thickness(d, yield float64) float64 {
	out := max(r.LengthMM-0.8*d, 0) / 2
	t := 0.0
	if r.BearingMM >= out {
		t = 1.5 * out * math.Sqrt(r.PressureMPa/yield)
	} else {
		t = 2.11 * math.Sqrt(r.PressureMPa*r.BearingMM*(out-r.BearingMM/2)/yield)
	}
	if arm := r.RodMM - 0.8*d/2; r.TensionN > 0 && arm > 0 {
		t = max(t, 2.11*math.Sqrt(r.TensionN*arm/(r.WidthMM*yield)))
	}
	return t
}

// Of a plate that is to be sized: rods 40 mm within its edge, steps of 25 mm (common
// practice, no source).
const (
	rodEdgeMM   = 40.0
	plateStepMM = 25.0
	plateMostMM = 3000.0
)

// plateFor is the smallest square plate for a column of diameter d under all pairs of
// axial force and moment, thick enough for the worst.
func plateFor(d float64, forces [][2]float64, concreteMPa, yield float64) (BasePlate, error) {
	for n := plateStepMM * math.Ceil((d+4*rodEdgeMM)/plateStepMM); n <= plateMostMM; n += plateStepMM {
		if r, err := worstPlate(n, d, forces, concreteMPa, yield); err == nil {
			return r, nil
		}
	}
	return BasePlate{}, errPlateSmall
}

// worstPlate is a square plate of side n under the pair that pulls the rods most, with
// the greatest thickness that any pair asks for.
func worstPlate(n, d float64, forces [][2]float64, concreteMPa, yield float64) (BasePlate, error) {
	worst := BasePlate{}
	for _, x := range forces {
		r, err := rigidPlate(x[0], x[1], n, n, n/2-rodEdgeMM, bearing(concreteMPa))
		if err != nil {
			return r, err
		}
		r.ThicknessMM = max(r.thickness(d, yield), worst.ThicknessMM)
		if r.TensionN > worst.TensionN || worst.LengthMM == 0 {
			worst = r
		}
		worst.ThicknessMM = r.ThicknessMM
	}
	return worst, nil
}

// bearing is φ 0.85 f'c, φ = 0.65, without the gain of a larger block (Design Guide 1,
// 3.1.1, from memory).
func bearing(concreteMPa float64) float64 { return 0.65 * 0.85 * concreteMPa }
