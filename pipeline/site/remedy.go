package site

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Remedy is what takes a weld's utilisation to 1 or under; either will do. Sizes are for
// the forces as they are: what is added weighs something too.
type Remedy struct {
	WallMM      float64 `json:"wall_mm"`             // thickness of both parts that takes a fillet of the leg it needs
	Gussets     int     `json:"gussets,omitempty"`   // two in the plane of the worst bending, or four square to each other; absent: none up to three widths of the seam does
	GussetMM    float64 `json:"gusset_mm,omitempty"` // of each, along each part
	GussetThick float64 `json:"gusset_thickness_mm,omitempty"`
	Words       string  `json:"words"`
}

// Steps in which a remedy is looked for (common practice, no source).
const (
	wallStepMM   = 0.5
	gussetStepMM = 10.0
)

// remedies go through the combinations once more for the welds and pieces that are
// over 1, and for joints without a seam.
func (r *Report) remedies(s *Structure, l *loads, lines []weldLine, metal Metal, p Pressure) {
	over := map[int][]Wrench{}
	l.each(r.Combinations, func(_ Combination, _ *float64, x Solution) {
		for i, w := range r.Welds {
			if w.Utilisation > 1 || lines[i].lengthMM == 0 {
				over[i] = append(over[i], x.Links[s.Joints[i].Link])
			}
		}
	})
	for i := range r.Welds {
		w, all := &r.Welds[i], over[i]
		switch {
		case len(all) == 0:
		case lines[i].lengthMM == 0:
			w.RingMM = ring(all, filletMPa(p)*throat*w.LegLeastMM)
			w.Basis = "no seam was found: not checked; a ring of the least leg has to have the diameter that is given, or sleeve or pin has to carry it"
		default:
			w.Needs = w.remedy(s.Joints[i], all, filletMPa(p))
		}
	}
	for i, m := range r.Members {
		if m.use() > 1 {
			r.Members[i].Needs = s.heavier(m, metal)
		}
	}
}

// ring is the least diameter of a weld all round that carries forces and moments at
// its middle, F/πd + 4M/πd² at most nPerMM.
func ring(all []Wrench, nPerMM float64) float64 {
	d := 0.0
	for _, w := range all {
		f, m := r3.Norm(w.ForceN), r3.Norm(w.MomentNMM)
		d = max(d, (f+math.Sqrt(f*f+16*math.Pi*nPerMM*m))/(2*math.Pi*nPerMM))
	}
	return d
}

// remedy of a weld that is over 1 under any of its wrenches.
func (w Weld) remedy(j Joint, all []Wrench, mpa float64) *Remedy {
	line := newWeldLine(j.Seam)
	out := &Remedy{WallMM: wallStepMM * math.Ceil(w.LegMM/wallStepMM)}
	out.Words = fmt.Sprintf("both walls at least %.1f mm with a fillet of that leg, or a butt weld through the wall that an engineer sizes", out.WallMM)
	worst := all[0]
	for _, x := range all {
		if a, _ := line.peak(x, j.AtMM); a >= w.NPerMM*(1-1e-9) {
			worst = x
		}
	}
	for _, count := range []int{2, 4} {
		for g := gussetStepMM; g <= 3*line.acrossMM(); g += gussetStepMM {
			if line.carries(all, j, mpa*throat*w.ThinMM, line.gussets(worst, j.AtMM, count, g, w.ThinMM)) {
				out.Gussets, out.GussetMM, out.GussetThick = count, g, w.ThinMM
				out.Words += fmt.Sprintf("; or %d gussets of %.0f mm round it, one in the plane of the worst bending, %.0f mm along each part, fillets of %.0f mm on both faces", count, w.ThinMM, g, w.ThinMM)
				return out
			}
		}
	}
	return out
}

// carries says that the line with more runs stays under a force a millimetre.
func (w weldLine) carries(all []Wrench, j Joint, nPerMM float64, more [][]r3.Vec) bool {
	with := newWeldLine(append([][]r3.Vec{j.Seam}, more...)...)
	for _, x := range all {
		if f, _ := with.peak(x, j.AtMM); f > nPerMM {
			return false
		}
	}
	return true
}

func (w weldLine) acrossMM() float64 {
	most := 0.0
	for _, p := range w.points {
		most = max(most, 2*r3.Norm(r3.Sub(p, w.centre)))
	}
	return most
}

// gussets are the welds of two plates on opposite sides of the seam, or of four, that stand
// outwards from it, the first in the plane in which a wrench bends: two runs each,
// on both faces.
func (w weldLine) gussets(load Wrench, at r3.Vec, count int, lengthMM, thickMM float64) [][]r3.Vec {
	m := load.about(at, w.centre).MomentNMM
	flat := w.normal()
	m = r3.Sub(m, r3.Scale(r3.Dot(m, flat), flat))
	if r3.Norm(m) == 0 {
		return nil
	}
	out, side := r3.Unit(r3.Cross(flat, m)), r3.Unit(m)
	var runs [][]r3.Vec
	for k := range count {
		if k == 2 {
			out, side = side, out
		}
		out = r3.Scale(-1, out)
		edge := 0.0
		for _, p := range w.points {
			edge = max(edge, r3.Dot(r3.Sub(p, w.centre), out))
		}
		for _, face := range []float64{thickMM / 2, -thickMM / 2} {
			from := r3.Add(w.centre, r3.Add(r3.Scale(edge, out), r3.Scale(face, side)))
			runs = append(runs, []r3.Vec{from, r3.Add(from, r3.Scale(lengthMM, out))})
		}
	}
	return runs
}

// heavier says what section a piece over 1 needs: of a tube the wall at the same
// outside diameter that takes the stress to 1, else how much more section modulus.
func (s *Structure) heavier(m Member, metal Metal) string {
	x := s.Model.Beams[s.BeamsOf[m.piece][0]].Section
	p, more := s.Pieces[m.piece], m.use()
	if od := p.Size.ODMM; x.Round && od > 0 && p.Size.WallDesignMM > 0 {
		for t := p.Size.WallDesignMM; t < od/2; t += wallStepMM {
			if metal.round(od, od-2*t).WyMM3 >= more*x.WyMM3 {
				return fmt.Sprintf("a wall of %.1f mm at the same outside diameter, or a larger section", t)
			}
		}
	}
	return fmt.Sprintf("%.2f times its section modulus, a stronger grade, or another support", more)
}
