package shop

import (
	"fmt"
	"math"

	"pointup/pipeline/stock"
)

// Forming is what the bender of a bar or tube needs. Lengths run along the
// centreline from one end; spring-back is the bender's: sizes are those of the
// finished piece.
type Forming struct {
	Mark, Name, Kind string
	SectionMM        float64 // outside
	WallMM           float64 // 0 where solid, or not known
	DevelopedMM      float64 // of the centreline
	Steps            []BendStep
	Helix            *Helix
	Checks           []Check
	Notes            []string
}

// BendStep is a straight or an arc in order along the piece.
type BendStep struct {
	Arc                bool
	StartMM, LengthMM  float64 // along the centreline
	RadiusMM, SweepDeg float64 // of the centreline
	TurnDeg            float64 // the plane of this arc against that of the arc before, right-handed about the way along
	ChordMM, RiseMM    float64 // of the checking template on the inside of the bend
}

// Helix is a coil.
type Helix struct {
	CentrelineMM, PitchMM, Turns float64
	Hand                         string
	LeadDeg                      float64 // of the centreline against a plane square to the axis
	TurnMM                       float64 // developed length of one turn
	CurveMM                      float64 // radius of curvature of the centreline
	MandrelMM                    float64 // diameter inside the coil: a mandrel less spring-back
}

// Check is a rule held against a piece.
type Check struct {
	What, Source       string
	ValueMM, LeastMM   float64
	Passed             bool
	KindOfTool, Advice string
}

// templateMM is the chord that checking templates have unless told: what one hand
// holds; common practice, no source.
const templateMM = 600

// FormingOf is that of an arc, a compound bend, a round ring or a coil. chordMM is
// the chord of checking templates, 0 for none. Errors: another kind, or a size
// that is not known.
func FormingOf(p stock.Part, chordMM float64) (Forming, error) {
	f := Forming{Mark: p.ID, Name: p.Name, Kind: p.Kind}
	if !(chordMM >= 0) || math.IsInf(chordMM, 0) {
		return f, fmt.Errorf("%s: a template of %v mm; give a chord of 0 mm or more", p.ID, chordMM)
	}
	s := sizes{part: p}
	f.SectionMM = s.need("section_diameter_mm")
	if bore := s.maybe("section_bore_mm"); bore > 0 {
		f.WallMM = (f.SectionMM - bore) / 2
	}
	switch {
	case p.Kind == "arc" && len(p.Segments) > 0:
		f.segments(p, &s, chordMM)
	case p.Kind == "arc":
		f.arc(s.need("centreline_diameter_mm")/2, s.need("sweep_deg"), 0, chordMM)
	case p.Kind == "ring":
		f.arc(s.need("centreline_diameter_mm")/2, 360, 0, chordMM)
		f.Notes = append(f.Notes, "closed: bend with straight ends to spare, cut, close with one butt weld")
	case p.Kind == "coil":
		f.coil(p, &s)
	default:
		return f, fmt.Errorf("%s: a %s is not bent from bar or tube", p.ID, p.Kind)
	}
	if s.missing != "" {
		return f, fmt.Errorf("%s: no bending data: its %s is not known", p.ID, s.missing)
	}
	f.radii()
	return f, nil
}

func (f *Forming) arc(radius, sweepDeg, turnDeg, chordMM float64) {
	b := BendStep{Arc: true, StartMM: f.DevelopedMM, LengthMM: radius * sweepDeg * math.Pi / 180, RadiusMM: radius, SweepDeg: sweepDeg, TurnDeg: turnDeg}
	inside := radius - f.SectionMM/2
	if whole := 2 * inside * math.Sin(math.Min(sweepDeg, 180)*math.Pi/360); chordMM > 0 && whole > 0 {
		b.ChordMM = math.Min(chordMM, 0.9*whole) // short bends take a shorter one
		b.RiseMM = Rise(inside, b.ChordMM)
	}
	f.Steps = append(f.Steps, b)
	f.DevelopedMM += b.LengthMM
}

// Rise is the height of an arc of a radius over its chord: R − √(R² − c²/4).
func Rise(radiusMM, chordMM float64) float64 {
	return chordMM * chordMM / 4 / (radiusMM + math.Sqrt(math.Max(0, radiusMM*radiusMM-chordMM*chordMM/4)))
}

func (f *Forming) segments(p stock.Part, s *sizes, chordMM float64) {
	for i, g := range p.Segments {
		x := sizes{part: stock.Part{Dims: g.Dims}}
		if g.Kind == "arc" {
			turn, _ := x.part.Size("turn_deg") // either way round
			f.arc(x.need("centreline_diameter_mm")/2, x.need("sweep_deg"), turn, chordMM)
		} else {
			l := x.need("length_mm")
			f.Steps = append(f.Steps, BendStep{StartMM: f.DevelopedMM, LengthMM: l})
			f.DevelopedMM += l
		}
		if x.missing != "" && s.missing == "" {
			s.missing = fmt.Sprintf("%s of segment %d", x.missing, i+1)
		}
	}
	if s.missing == "" {
		f.grips()
	}
}

// gripTimes is the straight that a bender's clamp holds, in diameters: from memory.
const gripTimes = 1.5

// grips says where a straight is too short to be held.
func (f *Forming) grips() {
	for i, b := range f.Steps {
		if b.Arc && i > 0 && f.Steps[i-1].Arc {
			f.Notes = append(f.Notes, fmt.Sprintf("bend %d follows bend %d without a straight: one set of rolls or a compound die", i+1, i))
		}
		if !b.Arc && b.LengthMM < gripTimes*f.SectionMM {
			f.Notes = append(f.Notes, fmt.Sprintf("straight %d of %.1f mm is under %.1f × the diameter: bend it longer and cut, or weld it on", i+1, b.LengthMM, gripTimes))
		}
	}
}

// coil is a helix: a turn is the hypotenuse of girth and pitch, the radius of
// curvature R (1 + (p/2πR)²).
func (f *Forming) coil(p stock.Part, s *sizes) {
	d, pitch, turns := s.need("centreline_diameter_mm"), s.need("pitch_mm"), s.need("turns")
	if s.missing != "" {
		return
	}
	h := Helix{CentrelineMM: d, PitchMM: pitch, Turns: turns, Hand: p.Hand, TurnMM: math.Hypot(math.Pi*d, pitch),
		LeadDeg: math.Atan2(pitch, math.Pi*d) * 180 / math.Pi, MandrelMM: d - f.SectionMM}
	h.CurveMM = d / 2 * (1 + math.Pow(pitch/(math.Pi*d), 2))
	f.Helix, f.DevelopedMM = &h, turns*h.TurnMM
	f.Notes = append(f.Notes, fmt.Sprintf("wound %s-hand on a mandrel of %.1f mm less spring-back, which is the bender's to try", p.Hand, h.MandrelMM))
}

// radii holds each bend against what tube benders and rolls do. No code gives a
// least radius for tube: it hangs on machine, wall and what oval is accepted.
func (f *Forming) radii() {
	least := math.Inf(1)
	for _, b := range f.Steps {
		if b.Arc {
			least = math.Min(least, b.RadiusMM)
		}
	}
	if f.Helix != nil {
		least = f.Helix.CurveMM
	}
	if math.IsInf(least, 1) {
		return
	}
	for _, r := range []struct {
		times          float64
		tool, elseWhat string
	}{
		{5, "three rolls", "take a mandrel bender"},
		{3, "mandrel", "bend it hot, fill it, or weld it of elbows"},
	} {
		f.Checks = append(f.Checks, Check{What: "centreline radius", Source: "rule of thumb, from memory: 5 diameters on three rolls, 3 on a mandrel", KindOfTool: r.tool,
			ValueMM: least, LeastMM: r.times * f.SectionMM, Passed: least >= r.times*f.SectionMM-1e-9, Advice: r.elseWhat})
	}
}

// leastInside is the least inside radius of plate bent cold across the direction
// of rolling, in thicknesses: ASTM A6 table X4.2, group A (ASTM A36): 1.5 at any
// thickness. With the bend line along the rolling it is half as much again.
const (
	leastInside = 1.5
	alongTimes  = 1.5
)

// PlateBend holds an inside radius of plate against that rule.
func PlateBend(insideMM, thicknessMM float64, alongRolling bool) Check {
	times := leastInside
	if alongRolling {
		times *= alongTimes
	}
	return Check{What: "inside radius", Source: "ASTM A6 table X4.2, group A (ASTM A36)", KindOfTool: "press or rolls, cold", ValueMM: insideMM,
		LeastMM: times * thicknessMM, Passed: insideMM >= times*thicknessMM-1e-9, Advice: "bend it hot, or weld it of parts"}
}

// pressTimes is from where on plate is pressed in steps and not rolled: rolls need
// an inside diameter of one and a half times the top roll; the roll that plate of
// a thickness takes is some ten times it. From memory.
const pressTimes = 15

// formingNote says for a rolled plate how it is formed.
func formingNote(insideMM, thicknessMM float64) string {
	c := PlateBend(insideMM, thicknessMM, false)
	switch {
	case !c.Passed:
		return fmt.Sprintf("inside radius %.1f mm is under %.1f mm (%s): %s", insideMM, c.LeastMM, c.Source, c.Advice)
	case 2*insideMM < pressTimes*thicknessMM:
		return fmt.Sprintf("press it in steps: the inside diameter is under %d thicknesses, too tight for most rolls (from memory)", pressTimes)
	}
	return "roll it, bend line across the direction of rolling where the sheet allows it"
}

// BendAllowance is the length of a bend of plate along its neutral line, at K
// thicknesses from the inside, and Deduction what is taken off the sum of the two
// outside lengths; angle in degrees.
func BendAllowance(angleDeg, insideMM, thicknessMM, k float64) float64 {
	return angleDeg * math.Pi / 180 * (insideMM + k*thicknessMM)
}

// Deduction is that of a bend of any angle under 180°: twice the outside setback
// less the allowance.
func Deduction(angleDeg, insideMM, thicknessMM, k float64) float64 {
	setback := math.Tan(angleDeg*math.Pi/360) * (insideMM + thicknessMM)
	return 2*setback - BendAllowance(angleDeg, insideMM, thicknessMM, k)
}
