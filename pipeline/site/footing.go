package site

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// BaseForces are what the whole puts on the ground in one combination, about the
// middle of the feet.
type BaseForces struct {
	Combination string   `json:"combination"`
	TowardsDeg  *float64 `json:"towards_deg,omitempty"` // of the wind; nil: without
	DownN       float64  `json:"down_n"`
	ShearN      float64  `json:"shear_n"`
	MomentXNMM  float64  `json:"moment_x_nmm"`
	MomentYNMM  float64  `json:"moment_y_nmm"`
	OverturnNMM float64  `json:"overturning_nmm"`
	shear       r3.Vec
	dead        float64
	stability   bool
}

// Footing is a square block of plain concrete under the middle of the feet, the
// smallest in steps of 50 mm that does.
type Footing struct {
	SideMM      float64 `json:"side_mm"`
	DepthMM     float64 `json:"depth_mm"`
	MassKG      float64 `json:"mass_kg"`
	PressureKPa float64 `json:"pressure_kpa"` // worst
	LimitKPa    float64 `json:"limit_kpa"`
	Overturning float64 `json:"overturning,omitempty"` // resisting over overturning, least of the stability combinations, at least 1; absent: none tips it
	Sliding     float64 `json:"sliding,omitempty"`     // friction over shear, least, at least 1; absent: none pushes it
	Friction    float64 `json:"friction"`
	Basis       string  `json:"basis"`
}

// concreteKGM3 is plain concrete, 145 lb/ft³ (materials.csv).
const concreteKGM3 = 2300.0

// Steps and bounds of the block; its edge lies 150 mm outside the feet (common
// practice, no source).
const (
	footingStepMM = 50.0
	footingMostMM = 20e3
	footingEdgeMM = 150.0
)

// footCentre is the middle of the box round the feet, on the ground.
func (s *Structure) footCentre() r3.Vec {
	lo, hi := s.footBox()
	return r3.Vec{X: (lo.X + hi.X) / 2, Y: (lo.Y + hi.Y) / 2}
}

func (s *Structure) footBox() (lo, hi r3.Vec) {
	lo, hi = r3.Vec{X: math.Inf(1), Y: math.Inf(1)}, r3.Vec{X: math.Inf(-1), Y: math.Inf(-1)}
	for _, f := range s.Feet {
		lo.X, lo.Y = min(lo.X, f.LowMM.X), min(lo.Y, f.LowMM.Y)
		hi.X, hi.Y = max(hi.X, f.HighMM.X), max(hi.Y, f.HighMM.Y)
	}
	return lo, hi
}

// baseForces adds up the reactions and turns them round.
func (s *Structure) baseForces(c Combination, towardsDeg *float64, x Solution) BaseForces {
	var sum Wrench
	centre := s.footCentre()
	for _, f := range s.Feet {
		sum = sum.plus(x.Reactions[f.Support].about(f.AtMM, centre))
	}
	f, m := sum.ForceN, sum.MomentNMM
	return BaseForces{Combination: c.Name, TowardsDeg: towardsDeg, DownN: f.Z, ShearN: math.Hypot(f.X, f.Y), MomentXNMM: -m.X, MomentYNMM: -m.Y,
		OverturnNMM: math.Hypot(m.X, m.Y), shear: r3.Vec{X: -f.X, Y: -f.Y}, dead: c.Dead, stability: c.Against}
}

var errFooting = errors.New("no block up to 20 m does: look at the soil's bearing and at the load")

// footing sizes the block. soilKPa over 0.
func (s *Structure) footing(all []BaseForces, soilKPa float64, opt CheckOptions) (Footing, error) {
	lo, hi := s.footBox()
	least := max(hi.X-lo.X, hi.Y-lo.Y) + 2*footingEdgeMM
	for b := footingStepMM * math.Ceil(least/footingStepMM); b <= footingMostMM; b += footingStepMM {
		f := Footing{SideMM: b, DepthMM: opt.FootingMM, MassKG: concreteKGM3 * 1e-9 * b * b * opt.FootingMM, LimitKPa: soilKPa, Friction: opt.Friction,
			Overturning: math.Inf(1), Sliding: math.Inf(1),
			Basis: fmt.Sprintf("rigid block on soil without tension, eccentricities of both sides added; friction %.2f and the block's depth are common practice, no source; earth beside it not counted", opt.Friction)}
		ok := true
		for _, x := range all {
			ok = f.bears(x) && ok
		}
		if ok && f.PressureKPa <= soilKPa && f.Overturning >= 1 && f.Sliding >= 1 {
			for _, x := range []*float64{&f.Overturning, &f.Sliding} {
				if math.IsInf(*x, 1) {
					*x = 0
				}
			}
			return f, nil
		}
	}
	return Footing{}, errFooting
}

// bears adds one combination; false where the block is lifted or the force leaves it.
func (f *Footing) bears(x BaseForces) bool {
	n := x.DownN + x.dead*f.MassKG*gravityMS2
	if !(n > 0) {
		return false
	}
	mx, my := x.MomentXNMM-x.shear.Y*f.DepthMM, x.MomentYNMM+x.shear.X*f.DepthMM
	e := (math.Abs(mx) + math.Abs(my)) / n
	f.PressureKPa = max(f.PressureKPa, 1000*soilPressure(n, e, f.SideMM))
	if x.stability {
		if e > 0 {
			f.Overturning = min(f.Overturning, f.SideMM/2/e)
		}
		if x.ShearN > 0 {
			f.Sliding = min(f.Sliding, f.Friction*n/x.ShearN)
		}
	}
	return e < f.SideMM/2
}

// soilPressure under a square of side b, N/mm²: trapezium while the force is within the
// middle third, else the triangle that balances it; infinite outside the square.
func soilPressure(n, e, b float64) float64 {
	switch {
	case e <= b/6:
		return n / (b * b) * (1 + 6*e/b)
	case e < b/2:
		return 2 * n / (3 * b * (b/2 - e))
	}
	return math.Inf(1)
}
