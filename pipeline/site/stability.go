package site

import (
	"fmt"
	"math"
)

// Buckling is a piece pressed along its line, at its worst.
type Buckling struct {
	LengthMM    float64  `json:"length_mm"` // that nothing holds from the side
	Factor      float64  `json:"factor"`    // K: effective over that length
	Slenderness float64  `json:"slenderness"`
	ResistN     float64  `json:"resistance_n"` // to compression alone
	PressN      float64  `json:"press_n"`      // greatest along the piece
	BendingNMM  float64  `json:"bending_nmm"`  // greatest along the piece
	Utilisation float64  `json:"utilisation"`
	Combination string   `json:"combination,omitempty"`
	TowardsDeg  *float64 `json:"towards_deg,omitempty"`
	column      column
}

// Wall is how slender the wall of a hollow or thin section is against the most at which it
// does not buckle by itself before it yields.
type Wall struct {
	What  string  `json:"what"`
	Ratio float64 `json:"ratio"`
	Limit float64 `json:"limit"`
	Basis string  `json:"basis"`
}

// column is what a piece may carry in compression.
type column struct {
	asce                bool
	area, i, wy, wz, fy float64
	round               bool
	slender             float64 // L/r about the soft axis
	elastic             float64 // Euler's stress, MPa
}

func newColumn(x Section, u unbraced, metal Metal, asce bool) column {
	i := min(x.IyMM4, x.IzMM4)
	slender := u.effectiveMM() / math.Sqrt(i/x.AreaMM2)
	return column{asce: asce, area: x.AreaMM2, i: i, wy: x.WyMM3, wz: x.WzMM3, fy: metal.YieldMPa, round: x.Round, slender: slender,
		elastic: math.Pi * math.Pi * metal.ElasticMPa / max(slender*slender, 1e-9)}
}

// resistN is the design resistance: AISC 360 E3 over Ω = 1.67, or EN 1993-1-1 6.3.1 with
// curve c (α = 0.49), the lowest of hollow and solid sections, γM1 = 1.
func (c column) resistN() float64 {
	if c.asce {
		return c.area * criticalMPa(c.fy, c.elastic) / omega
	}
	return c.area * c.fy * reduction(math.Sqrt(c.fy/c.elastic), 0.49)
}

// omega is Ω of AISC 360 in allowable stress, yielding and flexural buckling.
const omega = 1.67

// criticalMPa is F_cr of AISC 360-16 E3-2 and E3-3, the border Fy/Fe = 2.25.
func criticalMPa(fy, fe float64) float64 {
	if fy/fe <= 2.25 {
		return fy * math.Pow(0.658, fy/fe)
	}
	return 0.877 * fe
}

// reduction is χ of EN 1993-1-1 6.3.1.2.
func reduction(slender, alpha float64) float64 {
	phi := 0.5 * (1 + alpha*(slender-0.2) + slender*slender)
	return min(1/(phi+math.Sqrt(max(phi*phi-slender*slender, 0))), 1)
}

// use is the utilisation under a compression with bending: AISC 360 H1-1a and b with the
// elastic moment Fy W; EN 1993-1-1 6.61 and 6.62 with annex B's factors of elastic
// sections and C_m = 1, both taken on the weaker axis (annex B from memory).
func (c column) use(press, my, mz float64) float64 {
	n := press / c.resistN()
	bend := my/(c.wy*c.fy) + mz/(c.wz*c.fy)
	if c.round {
		bend = math.Hypot(my, mz) / (c.wy * c.fy)
	}
	switch {
	case !c.asce:
		return n + bend*(1+0.6*min(math.Sqrt(c.fy/c.elastic), 1)*n)
	case n >= 0.2:
		return n + 8.0/9*bend*omega
	}
	return n/2 + bend*omega
}

// buckling prepares a piece with beams.
func (s *Structure) buckling(piece int, metal Metal, asce bool) Buckling {
	u := s.unbracedOf(piece)
	c := newColumn(s.Model.Beams[s.BeamsOf[piece][0]].Section, u, metal, asce)
	return Buckling{LengthMM: u.lengthMM, Factor: u.factor, Slenderness: c.slender, ResistN: c.resistN(), column: c}
}

func (b *Buckling) worse(s *Structure, piece int, sum Combination, towards *float64, x Solution) {
	press, my, mz := 0.0, 0.0, 0.0
	for _, i := range s.BeamsOf[piece] {
		for _, w := range []Wrench{x.Beams[i].A, x.Beams[i].B} {
			press = max(press, -w.ForceN.X)
			my, mz = max(my, math.Abs(w.MomentNMM.Y)), max(mz, math.Abs(w.MomentNMM.Z))
		}
	}
	if press == 0 {
		return // it only pulls
	}
	if u := b.column.use(press, my, mz); u > b.Utilisation {
		b.Utilisation, b.Combination, b.TowardsDeg = u, sum.Name, towards
		b.PressN, b.BendingNMM = press, math.Hypot(my, mz)
	}
}

// wallOf compares the wall of a piece with the limit in even compression; nil of a
// solid section.
func (p Piece) wallOf(metal Metal, asce bool) *Wall {
	t, d := p.Size.WallDesignMM, p.Size.ODMM
	if given, ok := p.Part.Size("wall_mm"); t == 0 && ok {
		t = given
	}
	if d == 0 {
		d = p.widthMM()
	}
	w := Wall{}
	eps2, ef := 235/metal.YieldMPa, metal.ElasticMPa/metal.YieldMPa
	switch {
	case p.rounded() && t > 0 && d > 0:
		w = Wall{What: "D/t", Ratio: d / t, Limit: 90 * eps2, Basis: "EN 1993-1-1 table 5.2, class 3"}
		if asce {
			w.Limit, w.Basis = 0.11*ef, "AISC 360 table B4.1a, case 9"
		}
	case p.Size.HeightMM > 0 && p.Size.WidthMM > 0 && t > 0:
		flat := max(p.Size.HeightMM, p.Size.WidthMM)/t - 3
		w = Wall{What: "flat side over t", Ratio: flat, Limit: 42 * math.Sqrt(eps2), Basis: "EN 1993-1-1 table 5.2, class 3"}
		if asce {
			w.Limit, w.Basis = 1.40*math.Sqrt(ef), "AISC 360 table B4.1a, case 6"
		}
	case p.Size.Form == "angle" && p.Size.ThicknessMM > 0:
		w = Wall{What: "leg over t", Ratio: max(p.Size.HeightMM, p.Size.WidthMM) / p.Size.ThicknessMM, Limit: 15 * math.Sqrt(eps2), Basis: "EN 1993-1-1 table 5.2, class 3"}
		if asce {
			w.Limit, w.Basis = 0.45*math.Sqrt(ef), "AISC 360 table B4.1a, case 3"
		}
	default:
		return nil
	}
	return &w
}

// slenderMost is the slenderness beyond which AISC 360 E2's note advises against a
// pressed member.
const slenderMost = 200.0

// slenderShare of its resistance is what a piece that hangs or lies is pressed by now and
// then (common practice, no source).
const slenderShare = 0.05

// flagged are what the walls and the slenderness of pieces ask for.
func (r *Report) flagged() {
	for _, m := range r.Members {
		if w := m.Wall; w != nil && w.Ratio > w.Limit {
			r.NotCovered = append(r.NotCovered, fmt.Sprintf("%s: its wall is slender, %s %.0f over %.0f (%s): it may buckle locally before it yields, which is not checked", m.ID, w.What, w.Ratio, w.Limit, w.Basis))
		}
		if b := m.Buckling; b.Slenderness > slenderMost && b.PressN > slenderShare*b.ResistN {
			r.NotCovered = append(r.NotCovered, fmt.Sprintf("%s: slenderness %.0f is over %.0f, the most that is advised for a pressed member (AISC 360 E2)", m.ID, b.Slenderness, slenderMost))
		}
	}
}

// columnBasis names the rules that a column is held to.
func columnBasis(p Pressure) string {
	if p.asce() {
		return "AISC 360 E3 over 1.67, with bending H1-1 and the elastic moment"
	}
	return "EN 1993-1-1 6.3.1, curve c, with bending 6.61 and 6.62 and annex B's factors of elastic sections (annex B from memory), γM1 1.0"
}

// sway finds the factor that buckles the frame under its greatest compressions and, where
// it is under 10, raises all forces by 1/(1 − 1/α): EN 1993-1-1 5.2.1 and 5.2.2, from
// memory. Allowable-stress loads count 1.6 times (AISC 360 C2.1).
func (r *Report) sway(s *Structure, l *loads, p Pressure) error {
	alpha, err := s.Frame.criticalFactor(s.squeezed(l, r.Combinations))
	if err != nil || math.IsInf(alpha, 1) {
		r.SecondOrder = 1
		return err
	}
	if p.asce() {
		alpha /= 1.6
	}
	r.CriticalFactor, r.SecondOrder = alpha, 1
	switch {
	case alpha <= 1:
		return fmt.Errorf("the frame buckles as a whole: %.2f of its greatest load is enough; make what is pressed stouter", alpha)
	case alpha < swayLess:
		r.SecondOrder = 1 / (1 - 1/alpha)
		l.raised = r.SecondOrder
	}
	if alpha < swayMost {
		r.NotCovered = append(r.NotCovered, fmt.Sprintf("second order: the frame buckles at %.1f times its greatest load, under %.0f: all forces were raised, but it has to be solved on its bent shape", alpha, swayMost))
	}
	return nil
}

// Where the second order may be left out, and where raising the first order does.
const (
	swayLess = 10.0
	swayMost = 3.0
)
