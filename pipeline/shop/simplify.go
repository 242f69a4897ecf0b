package shop

import (
	"fmt"
	"math"

	"pointup/pipeline/job"
	"pointup/pipeline/stock"
)

// Simplification is a way to make a piece: as it is seen, built up, or plain.
type Simplification struct {
	Mark     string
	Way      string  // as seen, built-up or plain
	ChangeMM float64 // of the surface that a visitor sees, at its most
	MassKG   float64 // one piece
	Hours    float64 // cutting, bending and welding of one piece
	Text     string
}

// Simplifications are the ways for pieces that have one that saves: toothed
// wheels, pierced plate, thick solid bars. Who decides sees what each does to the
// look.
func Simplifications(list List, choice stock.Choice, parts []stock.Part, massKG []float64, s job.Shop) []Simplification {
	var out []Simplification
	done := map[string]bool{}
	for _, pick := range choice.Families {
		for _, at := range pick.Members {
			mark := list.Marks[at]
			if done[mark] || massKG[at] == 0 || parts[at].Made {
				continue
			}
			done[mark] = true
			x := seenAs{mark, parts[at], pick.Size, list.hoursOf(mark, s), massKG[at], s}
			if ways := x.ways(); len(ways) > 0 {
				out = append(append(out, Simplification{Mark: mark, Way: "as seen", MassKG: x.massKG, Hours: x.hours, Text: "as the cut list has it"}), ways...)
			}
		}
	}
	return out
}

// seenAs is a piece as the cut list has it.
type seenAs struct {
	mark   string
	part   stock.Part
	size   stock.Size
	hours  float64
	massKG float64
	shop   job.Shop
}

func (x seenAs) ways() []Simplification {
	switch {
	case x.part.Kind == "toothed_wheel":
		return x.wheelWays()
	case len(x.part.Holes) >= 3 && x.size.MassKGM2 > 0:
		return []Simplification{x.unpierced()}
	case x.size.Form == "round" && x.size.ODMM >= hollowMM:
		return []Simplification{x.hollowed()}
	}
	return nil
}

// hollowMM is the diameter from which a solid bar is worth making of tube: common
// practice, no source.
const hollowMM = 40

// hoursOf are the hours of cutting and bending one piece of a mark.
func (l List) hoursOf(mark string, s job.Shop) float64 {
	h := 0.0
	for _, x := range l.Lines {
		if x.Mark == mark {
			h += lineHours(x, s) * float64(x.Quantity) / float64(len(x.Parts))
		}
	}
	return h
}

// lineHours are those of one piece of a line at the job's pace.
func lineHours(l Line, s job.Shop) float64 {
	p := s.Pace
	return l.CutMM/1000/p.CutMH + (float64(l.Pierces)*p.PierceS+float64(l.SawCuts)*p.SawS)/3600 + float64(l.Bends)*p.BendH
}

func cutHours(mm float64, s job.Shop) float64 { return mm / 1000 / s.Pace.CutMH }

func weldHours(kg float64, s job.Shop) float64 { return kg / (s.Pace.DepositionKGH * s.Pace.ArcShare) }

// wheelWays: the rim with its teeth at full thickness on a web of a third of it
// with a hub; or a plain disc midway between tips and roots.
func (x seenAs) wheelWays() []Simplification {
	tip, _ := x.part.Size("tip_diameter_mm")
	root, _ := x.part.Size("root_diameter_mm")
	bore, _ := x.part.Size("bore_diameter_mm")
	t := x.size.ThicknessMM
	f, err := FlatOf(x.part, DefaultFlatOptions())
	if !(tip > root && root > 0 && t > 0) || err != nil {
		return nil
	}
	depth, mean := (tip-root)/2, (tip+root)/2
	plate := func(outer, inner, thick float64) float64 {
		return math.Pi / 4 * (outer*outer - inner*inner) * thick * 1e-9 * weldKGM3
	}
	saved := cutHours(f.Outer.LengthMM()-math.Pi*mean, x.shop)
	out := []Simplification{{Mark: x.mark, Way: "plain", ChangeMM: depth / 2, MassKG: plate(mean, bore, t), Hours: max(0, x.hours-saved),
		Text: fmt.Sprintf("a disc of %.0f mm without teeth: tips lose %.0f mm, gaps fill by as much", mean, depth/2)}}
	rimIn, hub, web := root-2*max(depth, t), max(2*bore, 0.25*root), max(t/3, 6)
	if rimIn <= hub || web > t/2 {
		return out
	}
	circles := 2 * math.Pi * (rimIn + hub) // web, rim and hub are cut along both; welded from both sides
	weld := FilletKG(MinFilletMM(web), circles)
	kg := x.massKG - plate(rimIn, hub, t) + plate(rimIn, hub, web) + weld
	return append(out, Simplification{Mark: x.mark, Way: "built-up", ChangeMM: (t - web) / 2, MassKG: kg, Hours: x.hours + cutHours(circles, x.shop) + weldHours(weld, x.shop),
		Text: fmt.Sprintf("rim %.0f to %.0f mm and hub %.0f mm at %.0f mm, a web of %.0f mm between: its faces lie back by %.0f mm", rimIn, tip, hub, t, web, (t-web)/2)})
}

// unpierced leaves the holes out.
func (x seenAs) unpierced() Simplification {
	area, widest, rim := 0.0, 0.0, 0.0
	for _, h := range x.part.Holes {
		if l, w, err := holeLoop(h); err == nil {
			area, widest, rim = area+l.AreaMM2(), max(widest, w), rim+l.LengthMM()
		}
	}
	saved := cutHours(rim, x.shop) + float64(len(x.part.Holes))*x.shop.Pace.PierceS/3600
	return Simplification{Mark: x.mark, Way: "plain", ChangeMM: widest, MassKG: x.massKG + area*1e-6*x.size.MassKGM2, Hours: max(0, x.hours-saved),
		Text: fmt.Sprintf("without its %d holes of up to %.0f mm: nothing is seen through it", len(x.part.Holes), widest)}
}

// hollowed is a tube of the bar's diameter with a tenth of it as wall, 5 mm at
// least, and its ends closed: the look stays.
func (x seenAs) hollowed() Simplification {
	d := x.size.ODMM
	wall := max(d/10, 5)
	share := 1 - (1-2*wall/d)*(1-2*wall/d)
	weld := FilletKG(MinFilletMM(wall), 2*math.Pi*d)
	return Simplification{Mark: x.mark, Way: "built-up", MassKG: x.massKG*share + weld, Hours: x.hours + weldHours(weld, x.shop),
		Text: fmt.Sprintf("a tube of %.0f mm with a wall of %.0f mm, its ends closed by plates set in and ground: looks the same", d, wall)}
}
