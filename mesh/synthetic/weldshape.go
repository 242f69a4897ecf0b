package synthetic

import (
	"math"
	"math/rand/v2"
)

// foundShapes are pieces of found metal with how often they turn up, sizes as
// they lie about in a workshop's scrap, at a scale of about 1:12.
var foundShapes = []struct {
	name  string
	often int
	make  func(r *rand.Rand) Shape
}{
	{"tube", 12, func(r *rand.Rand) Shape {
		d := between(r, 8, 32)
		return Tube{OutsideDiameterMM: d, InsideDiameterMM: d - 2*between(r, 1.2, min(3.2, d/4)), LengthMM: between(r, max(d, 22), 85)}
	}},
	{"bar", 12, func(r *rand.Rand) Shape {
		d := between(r, 3.5, 12)
		return Bar{OutsideDiameterMM: d, LengthMM: between(r, 4*d, 30+6*d)}
	}},
	{"disc", 6, func(r *rand.Rand) Shape {
		d := between(r, 15, 42)
		return Disc{OutsideDiameterMM: d, ThicknessMM: between(r, 2, min(7, d/3))}
	}},
	{"ring", 8, func(r *rand.Rand) Shape {
		d := between(r, 18, 66)
		return Ring{OutsideDiameterMM: d, InsideDiameterMM: math.Round(d*(4+3.5*r.Float64())) / 10, ThicknessMM: between(r, 2.5, min(7, d/4))}
	}},
	{"hoop", 6, func(r *rand.Rand) Shape {
		s := between(r, 3, 7)
		return RoundRing{CentrelineDiameterMM: between(r, 5*s, 5*s+30), SectionDiameterMM: s}
	}},
	{"plate", 10, func(r *rand.Rand) Shape { return foundPlate(r) }},
	{"screen", 2, func(r *rand.Rand) Shape { return foundScreen(r) }},
	{"wheel", 8, func(r *rand.Rand) Shape { return foundWheel(r) }},
	{"arc", 7, func(r *rand.Rand) Shape {
		s := between(r, 4, 9)
		a := Arc{CentrelineDiameterMM: between(r, 7*s, 7*s+50), SectionDiameterMM: s, SweepDeg: between(r, 60, 200)}
		if s > 7 && r.IntN(2) == 0 {
			a.SectionBoreMM = s - 2*between(r, 1.1, 1.6)
		}
		return a
	}},
	{"rolled plate", 6, func(r *rand.Rand) Shape { return foundRolled(r) }},
	{"flat arc", 2, func(r *rand.Rand) Shape {
		d := between(r, 40, 80)
		return FlatArc{OutsideDiameterMM: d, InsideDiameterMM: d - 2*between(r, 6, 12), ThicknessMM: between(r, 2.5, 5), SweepDeg: between(r, 70, 200)}
	}},
	{"bend", 3, func(r *rand.Rand) Shape {
		s := between(r, 5, 9)
		return Bent{SectionDiameterMM: s, Legs: []Bend{{LengthMM: between(r, 12, 30)}, {RadiusMM: between(r, 2.5*s, 4*s), AngleDeg: between(r, 50, 140)}, {LengthMM: between(r, 12, 30)}}}
	}},
	{"profile", 4, func(r *rand.Rand) Shape { return foundProfile(r) }},
	{"ball", 2, func(r *rand.Rand) Shape { return Sphere{DiameterMM: between(r, 12, 28)} }},
	{"cone", 2, func(r *rand.Rand) Shape {
		d := between(r, 14, 30)
		return Cone{LargeDiameterMM: d, SmallDiameterMM: math.Round(d*(3+4*r.Float64())) / 10, HeightMM: between(r, 15, 40)}
	}},
	{"coil", 1, func(r *rand.Rand) Shape {
		s := between(r, 2.5, 4)
		return Coil{CentrelineDiameterMM: between(r, 5*s, 8*s), SectionDiameterMM: s, PitchMM: between(r, 2*s, 3*s), Turns: between(r, 2, 4)}
	}},
}

// foundShape draws one.
func foundShape(r *rand.Rand) (name string, s Shape) {
	all := 0
	for _, f := range foundShapes {
		all += f.often
	}
	k := r.IntN(all)
	for _, f := range foundShapes {
		if k -= f.often; k < 0 {
			return f.name, f.make(r)
		}
	}
	return "", nil
}

func foundPlate(r *rand.Rand) Plate {
	l, w, t := between(r, 25, 75), between(r, 14, 50), between(r, 1.6, 5)
	l, w = max(l, w), min(l, w)
	p := Plate{Outline: Rectangle(l, w), ThicknessMM: t}
	switch r.IntN(6) {
	case 0: // cut to an L
		p.Outline = Polygon([2]float64{-l / 2, -w / 2}, [2]float64{l / 2, -w / 2}, [2]float64{l / 2, 0}, [2]float64{0, 0}, [2]float64{0, w / 2}, [2]float64{-l / 2, w / 2})
	case 1: // with a corner off
		p.Outline = Polygon([2]float64{-l / 2, -w / 2}, [2]float64{l / 2, -w / 2}, [2]float64{l / 2, w / 6}, [2]float64{l / 5, w / 2}, [2]float64{-l / 2, w / 2})
	case 2, 3:
		if w > 22 { // holes in the corners
			d := between(r, 4, 7)
			for k := range 4 {
				x, y := l/2-1.6*d, w/2-1.6*d
				if k%2 == 1 {
					x = -x
				}
				if k/2 == 1 {
					y = -y
				}
				p.Holes = append(p.Holes, RoundHole(x, y, d))
			}
		}
	}
	return p
}

func foundScreen(r *rand.Rand) Plate {
	pitch := between(r, 6, 8)
	nx, ny := 4+r.IntN(4), 3+r.IntN(2)
	p := Plate{Outline: Rectangle(float64(nx+1)*pitch, float64(ny+1)*pitch), ThicknessMM: between(r, 1.8, 3)}
	for i := range nx {
		for j := range ny {
			p.Holes = append(p.Holes, RoundHole((float64(i)-float64(nx-1)/2)*pitch, (float64(j)-float64(ny-1)/2)*pitch, 0.55*pitch))
		}
	}
	return p
}

func foundWheel(r *rand.Rand) ToothedWheel {
	n := 9 + r.IntN(34)
	pitch := between(r, 5.5, 8.5)
	tip := math.Round(float64(n)*pitch/math.Pi*10) / 10
	if tip > 95 {
		n = int(95 * math.Pi / pitch)
		tip = 95
	}
	h := between(r, 0.55*pitch, 0.8*pitch)
	w := ToothedWheel{ToothCount: n, TipDiameterMM: tip, RootDiameterMM: tip - 2*h, ThicknessMM: between(r, 3, 7), Teeth: StraightTeeth()}
	if r.IntN(5) > 0 {
		w.BoreDiameterMM = math.Round((tip-2*h)*(2+4*r.Float64())) / 10
	}
	return w
}

func foundRolled(r *rand.Rand) RolledPlate {
	p := RolledPlate{InsideDiameterMM: between(r, 32, 80), ThicknessMM: between(r, 1.6, 3.2), WidthMM: between(r, 12, 26), SweepDeg: between(r, 60, 170)}
	if r.IntN(2) == 0 {
		pitch := 7.0
		nx, ny := int(p.developed()/pitch)-1, int(p.WidthMM/pitch)-1
		for i := range max(nx, 0) {
			for j := range max(ny, 0) {
				p.Holes = append(p.Holes, RoundHole(p.developed()/2+(float64(i)-float64(nx-1)/2)*pitch, (float64(j)-float64(ny-1)/2)*pitch, 3.6))
			}
		}
	}
	return p
}

func foundProfile(r *rand.Rand) Profile {
	a, l := between(r, 10, 22), between(r, 30, 75)
	t := between(r, 1.8, 3)
	switch r.IntN(5) {
	case 0:
		return Profile{Section: Angle(a, a, t), LengthMM: l}
	case 1:
		return Profile{Section: Channel(a+6, a/2+2, t, t), LengthMM: l}
	case 2:
		return Profile{Section: Tee(a, a, t, t), LengthMM: l}
	case 3:
		return Profile{Section: Hexagon(between(r, 7, 14)), LengthMM: l}
	}
	return Box(a, a, t, l)
}
