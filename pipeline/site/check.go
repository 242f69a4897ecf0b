package site

import (
	"fmt"
	"math"

	"pointup/pipeline/job"
)

// CheckOptions are loads and habits that the job may set.
type CheckOptions struct {
	ClimbingN   float64
	ReachMM     float64 // up to where people climb
	IceMM       float64
	SoilKPa     float64 // 0: not given, no block is sized
	ConcreteMPa float64 // cylinder strength under the base plates
	FootingMM   float64 // depth of the block
	Friction    float64 // of concrete on soil
	Seismic     float64 // level force over weight, strength level; 0: not given
	Frequencies int
}

// DefaultCheckOptions: 2 kN is the owner's; the rest is common practice, no source.
func DefaultCheckOptions() CheckOptions {
	return CheckOptions{ClimbingN: 2000, ReachMM: 3000, ConcreteMPa: 25, FootingMM: 600, Friction: 0.4, Frequencies: 4}
}

// CheckOptionsOf takes what the job sets.
func CheckOptionsOf(s job.Site) CheckOptions {
	opt := DefaultCheckOptions()
	for _, x := range []struct {
		from *float64
		to   *float64
	}{{s.ClimbingLoadN, &opt.ClimbingN}, {s.IceMM, &opt.IceMM}, {s.SoilBearingKPa, &opt.SoilKPa}} {
		if x.from != nil {
			*x.to = *x.from
		}
	}
	if s.Seismic != nil {
		opt.Seismic = s.Seismic.Coefficient
	}
	return opt
}

// Report is the preliminary check of a work.
type Report struct {
	Preliminary    string        `json:"preliminary"`
	Code           string        `json:"code"`
	Basis          []string      `json:"basis"`
	NotCovered     []string      `json:"not_covered"`
	MassKG         float64       `json:"mass_kg"`
	FrequenciesHz  []float64     `json:"frequencies_hz"`
	Combinations   []Combination `json:"combinations"`
	Wind           Wind          `json:"wind"`
	Climbing       Climbing      `json:"climbing"`
	Transport      Transport     `json:"transport"`
	CriticalFactor float64       `json:"critical_factor,omitempty"` // load that buckles the frame, over the greatest; absent: nothing is pressed
	SecondOrder    float64       `json:"second_order"`              // by which all forces were raised for it
	Members        []Member      `json:"members"`
	Plates         []PlateStrip  `json:"plates"`
	Welds          []Weld        `json:"welds"`
	Feet           []FootCheck   `json:"feet"`
	Base           []BaseForces  `json:"base"` // worst of each combination
	Footing        *Footing      `json:"footing,omitempty"`
	Stages         []Stage       `json:"stages"` // partial builds and lifts
	Wire           Wire          `json:"wire"`
	DeflectionMM   float64       `json:"deflection_mm"` // greatest of all combinations
	DeflectionOf   string        `json:"deflection_of"`
	Utilisation    float64       `json:"utilisation"` // greatest of members and welds
	UtilisationOf  string        `json:"utilisation_of"`
}

// Climbing says where the climbing load was put.
type Climbing struct {
	LoadN float64    `json:"load_n"`
	On    string     `json:"on"`
	AtMM  [3]float64 `json:"at_mm"`
}

// Check runs the whole check. Where forces of the wind are not covered, combinations
// with wind are left out and the report says so.
func Check(s *Structure, metal Metal, p Pressure, opt CheckOptions) (Report, error) {
	r := Report{Preliminary: preliminary, Code: p.Code, MassKG: s.MassKG(), Combinations: Combinations(p, opt), Basis: s.Notes}
	if err := opt.check(); err != nil {
		return r, err
	}
	var err error
	if r.FrequenciesHz, err = s.Frame.FrequenciesHz(opt.Frequencies); err != nil {
		return r, err
	}
	if r.Wind, err = WindOn(s, p, r.FrequenciesHz); err != nil {
		return r, err
	}
	l, err := s.solveLoads(r.Wind, opt)
	if err != nil {
		return r, err
	}
	r.Climbing = Climbing{opt.ClimbingN, l.liveOn, [3]float64{l.liveAt.X, l.liveAt.Y, l.liveAt.Z}}
	r.says(s, p, opt)
	return r, r.judge(s, &l, metal, p, opt)
}

func (o CheckOptions) check() error {
	for _, x := range []struct {
		name  string
		value float64
	}{{"climbing_load", o.ClimbingN}, {"ice", o.IceMM}, {"soil_bearing", o.SoilKPa}, {"seismic", o.Seismic}} {
		if !(x.value >= 0) || math.IsInf(x.value, 0) {
			return fmt.Errorf("site.%s: %g; give a number of 0 or more", x.name, x.value)
		}
	}
	if !(o.ConcreteMPa > 0 && o.FootingMM > 0 && o.Friction > 0 && o.Frequencies > 0) {
		return fmt.Errorf("concrete %g MPa, block %g mm, friction %g, %d frequencies: all must be over 0", o.ConcreteMPa, o.FootingMM, o.Friction, o.Frequencies)
	}
	return nil
}

func (r *Report) says(s *Structure, p Pressure, opt CheckOptions) {
	r.Basis = append(r.Basis, fmt.Sprintf("climbing load %.0f N at the worst place up to %.0f mm for a piece, and at the worst for a weld, straight down", opt.ClimbingN, opt.ReachMM),
		fmt.Sprintf("ice %.1f mm of 900 kg/m³ on all surfaces, those inside tubes too", opt.IceMM),
		"members: greatest normal and shear stress as if at one place (von Mises) against yield, divided by 1.67 in allowable stress",
		"buckling: K = 1 between places that stand without the piece, 2.1 to a free end; "+columnBasis(p),
		"plates: bound by a strip as wide as the seam reaches, that takes the whole moment across the plate and the whole force; it spreads in truth")
	r.NotCovered = append(r.NotCovered, "flexural-torsional and lateral-torsional buckling, fatigue, brittle fracture, walls of tubes pressed in at branches, temperature", "corrosion loss of section")
	for i, x := range s.Pieces {
		if len(s.BeamsOf[i]) == 0 && x.thickMM() == 0 {
			r.NotCovered = append(r.NotCovered, x.name()+": a rigid body in the frame, its own stress is not checked")
		}
	}
	if opt.Seismic > 0 {
		r.Basis = append(r.Basis, fmt.Sprintf("earthquake: %.3g of every weight, level, to %d sides, evenly over the height", opt.Seismic, directions))
		r.NotCovered = append(r.NotCovered, "earthquake: its upward part, overstrength, drift and how the coefficient was found")
	} else {
		r.NotCovered = append(r.NotCovered, "earthquake: site.seismic is not given")
	}
	if r.Wind.Gust == 0 {
		r.NotCovered = append(r.NotCovered, "every combination with wind")
	}
	if opt.SoilKPa == 0 {
		r.NotCovered = append(r.NotCovered, "footing: site.soil_bearing is not given")
	}
}
