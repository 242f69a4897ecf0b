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
	return opt
}

// Report is the preliminary check of a work.
type Report struct {
	Preliminary   string        `json:"preliminary"`
	Code          string        `json:"code"`
	Basis         []string      `json:"basis"`
	NotCovered    []string      `json:"not_covered"`
	MassKG        float64       `json:"mass_kg"`
	FrequenciesHz []float64     `json:"frequencies_hz"`
	Combinations  []Combination `json:"combinations"`
	Wind          Wind          `json:"wind"`
	Climbing      Climbing      `json:"climbing"`
	Transport     Transport     `json:"transport"`
	Members       []Member      `json:"members"`
	Welds         []Weld        `json:"welds"`
	Feet          []FootCheck   `json:"feet"`
	Base          []BaseForces  `json:"base"` // worst of each combination
	Footing       *Footing      `json:"footing,omitempty"`
	DeflectionMM  float64       `json:"deflection_mm"` // greatest of all combinations
	DeflectionOf  string        `json:"deflection_of"`
	Utilisation   float64       `json:"utilisation"` // greatest of members and welds
	UtilisationOf string        `json:"utilisation_of"`
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
	r := Report{Preliminary: preliminary, Code: p.Code, MassKG: s.MassKG(), Combinations: Combinations(p), Basis: s.Notes}
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
	r.says(s, opt)
	r.judge(s, &l, metal, p, opt)
	return r, nil
}

func (o CheckOptions) check() error {
	for _, x := range []struct {
		name  string
		value float64
	}{{"climbing_load", o.ClimbingN}, {"ice", o.IceMM}, {"soil_bearing", o.SoilKPa}} {
		if !(x.value >= 0) || math.IsInf(x.value, 0) {
			return fmt.Errorf("site.%s: %g; give a number of 0 or more", x.name, x.value)
		}
	}
	if !(o.ConcreteMPa > 0 && o.FootingMM > 0 && o.Friction > 0 && o.Frequencies > 0) {
		return fmt.Errorf("concrete %g MPa, block %g mm, friction %g, %d frequencies: all must be over 0", o.ConcreteMPa, o.FootingMM, o.Friction, o.Frequencies)
	}
	return nil
}

func (r *Report) says(s *Structure, opt CheckOptions) {
	r.Basis = append(r.Basis, fmt.Sprintf("climbing load %.0f N at the worst place up to %.0f mm, straight down", opt.ClimbingN, opt.ReachMM),
		fmt.Sprintf("ice %.1f mm of 900 kg/m³ on all surfaces, those inside tubes too", opt.IceMM),
		"members: greatest normal and shear stress as if at one place (von Mises) against yield, divided by 1.67 in allowable stress")
	r.NotCovered = append(r.NotCovered, "buckling, fatigue, brittle fracture, local bending of walls and plates, temperature", "earthquake: the job has no coefficient",
		"lifting poses", "corrosion loss of section")
	for i, p := range s.Pieces {
		if len(s.BeamsOf[i]) == 0 {
			r.NotCovered = append(r.NotCovered, p.name()+": a rigid body in the frame, its own stress is not checked")
		}
	}
	if r.Wind.Gust == 0 {
		r.NotCovered = append(r.NotCovered, "every combination with wind")
	}
	if opt.SoilKPa == 0 {
		r.NotCovered = append(r.NotCovered, "footing: site.soil_bearing is not given")
	}
}
