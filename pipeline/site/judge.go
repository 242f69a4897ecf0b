package site

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Member is a piece at its worst.
type Member struct {
	ID          string   `json:"id"`
	StressMPa   float64  `json:"stress_mpa"`
	AllowMPa    float64  `json:"allow_mpa"`
	Utilisation float64  `json:"utilisation"`
	Combination string   `json:"combination"`
	TowardsDeg  *float64 `json:"towards_deg,omitempty"` // of the wind; nil: without
	AxialN      float64  `json:"axial_n"`               // tension positive
	ShearN      float64  `json:"shear_n"`
	TorqueNMM   float64  `json:"torque_nmm"`
	BendingNMM  float64  `json:"bending_nmm"`
	Buckling    Buckling `json:"buckling"`
	Wall        *Wall    `json:"wall,omitempty"` // local slenderness; absent: a solid section
	Needs       string   `json:"needs,omitempty"`
	piece       int
}

// use is the greater of stress and buckling.
func (m Member) use() float64 { return max(m.Utilisation, m.Buckling.Utilisation) }

// Weld is a joint at its worst.
type Weld struct {
	A           string   `json:"a"`
	B           string   `json:"b"`
	LengthMM    float64  `json:"length_mm"`
	NPerMM      float64  `json:"n_per_mm"`
	LegMM       float64  `json:"leg_mm"`       // that carries it
	LegLeastMM  float64  `json:"leg_least_mm"` // AWS D1.1 table 7.7
	ThinMM      float64  `json:"thin_mm"`      // thinner part: leg against which utilisation counts
	Utilisation float64  `json:"utilisation"`
	TwistNMM    float64  `json:"twist_nmm,omitempty"` // that a straight run does not carry
	RingMM      float64  `json:"ring_mm,omitempty"`   // where no seam was found: diameter of a weld round the place that carries it with the least leg
	Needs       *Remedy  `json:"needs,omitempty"`     // what takes it under 1
	Combination string   `json:"combination,omitempty"`
	TowardsDeg  *float64 `json:"towards_deg,omitempty"`
	Basis       string   `json:"basis"`
}

// FootCheck is a foot at its worst, and the plate that it asks for.
type FootCheck struct {
	ID      string     `json:"id"`
	AtMM    [3]float64 `json:"at_mm"`
	DownN   [2]float64 `json:"down_n"` // least, greatest; under 0 it is lifted
	ShearN  float64    `json:"shear_n"`
	BendNMM float64    `json:"bending_nmm"`
	Plate   *BasePlate `json:"plate,omitempty"`
	Rods    *Rods      `json:"rods,omitempty"`
	Basis   string     `json:"basis"`
	WhyNot  string     `json:"why_not,omitempty"`
}

// judge goes through all combinations.
func (r *Report) judge(s *Structure, l *loads, metal Metal, p Pressure, opt CheckOptions) error {
	allow := metal.allowMPa(p)
	lines := s.weldLines()
	r.Members, r.Welds = s.members(metal, p), s.welds(lines)
	if err := r.sway(s, l, p); err != nil {
		return err
	}
	plates := s.plateStrips(allow)
	var base []BaseForces
	l.each(r.Combinations, func(c Combination, towards *float64, x Solution) {
		base = append(base, s.baseForces(c, towards, x))
		for i := range r.Members {
			r.Members[i].worse(s, c, towards, x)
		}
		for i := range r.Welds {
			r.Welds[i].worse(s.Joints[i], lines[i], filletMPa(p), c, towards, x)
		}
		for i := range plates {
			plates[i].worse(s, c, towards, x)
		}
		for n, v := range x.ShiftMM {
			if d := r3.Norm(v); d > r.DeflectionMM {
				r.DeflectionMM, r.DeflectionOf = d, s.Model.Nodes[n].Of
			}
		}
	})
	r.Plates = worstPlates(plates)
	r.remedies(s, l, lines, metal, p)
	r.transport(s, l, lines, metal, p)
	r.Base = worstBase(base)
	r.foundation(s, base, opt)
	r.feet(s, l, metal, p, opt)
	r.Wire = s.wire(r, l, allow)
	r.flagged()
	r.sum()
	return nil
}

// allowMPa is the stress that a member may have: yield, in allowable stress over Ω.
func (m Metal) allowMPa(p Pressure) float64 {
	if p.asce() {
		return m.YieldMPa / omega
	}
	return m.YieldMPa
}

// members are the pieces with beams, in their order.
func (s *Structure) members(metal Metal, p Pressure) []Member {
	out := []Member{}
	for i, x := range s.Pieces {
		if len(s.BeamsOf[i]) > 0 {
			out = append(out, Member{ID: x.Part.ID, AllowMPa: metal.allowMPa(p), Buckling: s.buckling(i, metal, p.asce()), Wall: x.wallOf(metal, p.asce()), piece: i})
		}
	}
	return out
}

func (m *Member) worse(s *Structure, c Combination, towards *float64, x Solution) {
	m.Buckling.worse(s, m.piece, c, towards, x)
	for _, i := range s.BeamsOf[m.piece] {
		b := s.Model.Beams[i]
		for _, w := range []Wrench{x.Beams[i].A, x.Beams[i].B} {
			if stress := b.Section.stress(w); stress > m.StressMPa {
				m.StressMPa, m.Utilisation, m.Combination, m.TowardsDeg = stress, stress/m.AllowMPa, c.Name, towards
				m.AxialN, m.ShearN = w.ForceN.X, math.Hypot(w.ForceN.Y, w.ForceN.Z)
				m.TorqueNMM, m.BendingNMM = w.MomentNMM.X, math.Hypot(w.MomentNMM.Y, w.MomentNMM.Z)
			}
		}
	}
}

func (s *Structure) welds(lines []weldLine) []Weld {
	out := []Weld{}
	for i, j := range s.Joints {
		thin := min(s.Pieces[j.A].thinMM(), s.Pieces[j.B].thinMM())
		w := Weld{A: s.Pieces[j.A].Part.ID, B: s.Pieces[j.B].Part.ID, LengthMM: lines[i].lengthMM,
			Basis: "elastic line method along the whole seam, fillet of E70 metal, leg up to the thinner part"}
		if !math.IsInf(thin, 1) {
			w.ThinMM, w.LegLeastMM = thin, leastLegMM(thin)
		}
		if w.LengthMM == 0 {
			w.Basis = "no seam was found: not checked"
		}
		out = append(out, w)
	}
	return out
}

func (w *Weld) worse(j Joint, line weldLine, mpa float64, c Combination, towards *float64, x Solution) {
	if line.lengthMM == 0 {
		return
	}
	f, twist := line.peak(x.Links[j.Link], j.AtMM)
	w.TwistNMM = max(w.TwistNMM, twist)
	if f <= w.NPerMM {
		return
	}
	w.NPerMM, w.LegMM, w.Combination, w.TowardsDeg = f, filletLegMM(f, mpa), c.Name, towards
	if w.ThinMM > 0 {
		w.Utilisation = w.LegMM / w.ThinMM
	}
}

// thinMM is the thickness that a weld meets; infinite where it is not known.
func (p Piece) thinMM() float64 {
	if p.Size.WallDesignMM > 0 {
		return p.Size.WallDesignMM
	}
	for _, key := range []string{"wall_mm", "thickness_mm"} {
		if t, ok := p.Part.Size(key); ok && t > 0 {
			return t
		}
	}
	if p.Size.ThicknessMM > 0 {
		return p.Size.ThicknessMM
	}
	if p.Part.Kind == "bar" || p.Part.Kind == "arc" || p.Part.Kind == "ring" || p.Part.Kind == "coil" {
		if d := p.widthMM(); d > 0 {
			return d
		}
	}
	return math.Inf(1)
}

// Transport is the worst of the work upright on its feet while a vehicle brakes,
// starts or turns. It is not part of the greatest utilisation: a work may travel lying.
type Transport struct {
	Utilisation   float64 `json:"utilisation"`
	UtilisationOf string  `json:"utilisation_of"`
	Basis         string  `json:"basis"`
}

// brakingG is the share of gravity that a load takes forwards on a road, here to every
// side (EN 12195-1, from memory).
const brakingG = 0.8

func (r *Report) transport(s *Structure, l *loads, lines []weldLine, metal Metal, p Pressure) {
	members, welds := s.members(metal, p), s.welds(lines)
	for _, x := range l.braking {
		c := Combination{Name: "1 g down, 0.8 g across"}
		sum := l.dead.plus(x)
		for i := range members {
			members[i].worse(s, c, nil, sum)
		}
		for i := range welds {
			welds[i].worse(s.Joints[i], lines[i], filletMPa(p), c, nil, sum)
		}
	}
	worst := Report{Members: members, Welds: welds}
	worst.sum()
	r.Transport = Transport{worst.Utilisation, worst.UtilisationOf, "upright, held at its feet, 1 g down and 0.8 g to each of four sides (EN 12195-1, from memory); lying on supports or tied down elsewhere is not covered"}
}

// worstBase keeps of each combination the side with the largest overturning moment.
func worstBase(all []BaseForces) []BaseForces {
	var out []BaseForces
	for _, b := range all {
		if n := len(out); n > 0 && out[n-1].Combination == b.Combination {
			if b.OverturnNMM > out[n-1].OverturnNMM {
				out[n-1] = b
			}
			continue
		}
		out = append(out, b)
	}
	return out
}

func (r *Report) foundation(s *Structure, base []BaseForces, opt CheckOptions) {
	if opt.SoilKPa == 0 {
		return
	}
	f, err := s.footing(base, opt.SoilKPa, opt)
	if err != nil {
		r.NotCovered = append(r.NotCovered, "footing: "+err.Error())
		return
	}
	r.Footing = &f
}

// feet sizes a base plate under every upright round foot.
func (r *Report) feet(s *Structure, l *loads, metal Metal, p Pressure, opt CheckOptions) {
	sums := strengthSums(p, opt)
	for _, f := range s.Feet {
		out := FootCheck{ID: s.Pieces[f.Piece].Part.ID, AtMM: [3]float64{f.AtMM.X, f.AtMM.Y, f.AtMM.Z}, DownN: [2]float64{math.Inf(1), math.Inf(-1)},
			Basis: fmt.Sprintf("AISC Design Guide 1, 2nd ed., rigid plate, concrete %.0f MPa", opt.ConcreteMPa)}
		var forces [][2]float64
		l.each(sums, func(_ Combination, _ *float64, x Solution) {
			w := x.Reactions[f.Support]
			bend := math.Hypot(w.MomentNMM.X, w.MomentNMM.Y)
			out.DownN[0], out.DownN[1] = min(out.DownN[0], w.ForceN.Z), max(out.DownN[1], w.ForceN.Z)
			out.ShearN, out.BendNMM = max(out.ShearN, math.Hypot(w.ForceN.X, w.ForceN.Y)), max(out.BendNMM, bend)
			forces = append(forces, [2]float64{w.ForceN.Z, bend})
		})
		plate, err := s.plateOf(f, forces, metal, opt)
		if err != nil {
			out.WhyNot = err.Error()
		} else {
			out.Plate = &plate
			out.Rods, err = rodsFor(plate, out.ShearN, out.DownN[0], p, opt)
			if err != nil {
				out.WhyNot = err.Error()
			}
		}
		r.Feet = append(r.Feet, out)
	}
}

var (
	errFootNotRound = errors.New("its foot is neither round nor a flat plate with a round piece on it: the plate is not sized")
	errFootSmall    = errors.New("the plate that it stands on is too small for anchors at its edge to balance the moment; make it larger")
)

// plateOf checks the plate that a work stands on, as a square of its smaller side, or
// sizes one for a round foot.
func (s *Structure) plateOf(f Foot, forces [][2]float64, metal Metal, opt CheckOptions) (BasePlate, error) {
	piece := s.Pieces[f.Piece]
	if d := piece.widthMM(); piece.rounded() && d > 0 {
		return plateFor(d, forces, opt.ConcreteMPa, metal.YieldMPa)
	}
	n, column := piece.flatSideMM(), s.columnOn(f.Piece)
	if n == 0 || column == 0 {
		return BasePlate{}, errFootNotRound
	}
	plate, err := worstPlate(n, column, forces, opt.ConcreteMPa, metal.YieldMPa)
	if err != nil {
		return plate, errFootSmall
	}
	plate.GivenMM, _ = piece.Part.Size("thickness_mm")
	return plate, nil
}

// flatSideMM is the side of the square in a plate or disc that lies flat; 0 of others.
func (p Piece) flatSideMM() float64 {
	if math.Abs(p.Part.Frame.Axis.Z) < 0.99 { // tilted by more than 8°
		return 0
	}
	switch p.Part.Kind {
	case "plate":
		w, _ := p.Part.Size("width_mm")
		return w
	case "disc":
		d, _ := p.Part.Size("outside_diameter_mm")
		return d / math.Sqrt2
	}
	return 0
}

// columnOn is the diameter of the largest round piece on a plate.
func (s *Structure) columnOn(plate int) float64 {
	d := 0.0
	for _, j := range s.Joints {
		other := j.A + j.B - plate
		if (j.A == plate || j.B == plate) && s.Pieces[other].rounded() {
			d = max(d, s.Pieces[other].widthMM())
		}
	}
	return d
}

// twistLeastNMM: 1 N·m is less than any weld has left.
const twistLeastNMM = 1000.0

// sum takes the greatest utilisation.
func (r *Report) sum() {
	for _, m := range r.Members {
		if m.use() > r.Utilisation {
			r.Utilisation, r.UtilisationOf = m.use(), m.ID
		}
	}
	for _, w := range r.Welds {
		if w.Utilisation > r.Utilisation {
			r.Utilisation, r.UtilisationOf = w.Utilisation, w.A+"–"+w.B
		}
		if w.TwistNMM > twistLeastNMM {
			r.NotCovered = append(r.NotCovered, fmt.Sprintf("%s–%s: one straight run; up to %.0f N·m about it are carried by nothing in this method: weld both sides", w.A, w.B, w.TwistNMM/1000))
		}
	}
}
