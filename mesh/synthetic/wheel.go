package synthetic

import (
	"fmt"
	"math"
)

// ToothedWheel is a disc or ring about z with teeth, tooth 0 centred on x.
// BoreDiameterMM is 0 for none.
type ToothedWheel struct {
	ToothCount                                                 int
	TipDiameterMM, RootDiameterMM, BoreDiameterMM, ThicknessMM float64
	Teeth                                                      Teeth
	Holes                                                      []Hole
	Faults                                                     []ToothFault
}

// Teeth is the form of teeth. With SeatDiameterMM 0 the flanks are straight,
// and the tip land and the bottom land take the given shares of the pitch. Else
// each bottom is a round seat for a roller of that diameter, reaching SeatDeg to
// either side of its lowest point, its flanks tangent to it.
type Teeth struct {
	TipShare, BottomShare   float64
	SeatDiameterMM, SeatDeg float64
}

// StraightTeeth have flanks that leave a quarter of the pitch at the tip and
// three tenths at the bottom.
func StraightTeeth() Teeth { return Teeth{TipShare: 0.25, BottomShare: 0.3} }

// RollerTeeth have seats for rollers of that diameter.
func RollerTeeth(rollerMM float64) Teeth { return Teeth{SeatDiameterMM: rollerMM, SeatDeg: 60} }

// ToothFault is what use has done to one tooth: WornMM off its height, LeanMM
// of its tip along the rim, counter-clockwise; or broken off at the bottom.
type ToothFault struct {
	Tooth          int
	WornMM, LeanMM float64
	Missing        bool
}

// BoltCircle returns round holes spaced evenly on a circle, the first on x.
func BoltCircle(count int, circleMM, holeMM float64) []Hole {
	out := make([]Hole, count)
	for i := range out {
		a := 2 * math.Pi * float64(i) / float64(count)
		out[i] = RoundHole(circleMM/2*cosine(a), circleMM/2*sine(a), holeMM)
	}
	return out
}

// Spokes returns the windows that leave spokes of the given width, the first
// spoke on x, between two circles.
func Spokes(count int, outerMM, innerMM, spokeMM float64) []Hole {
	out := make([]Hole, count)
	p := 2 * math.Pi / float64(count)
	edge := func(r float64) float64 { return math.Asin(min(1, spokeMM/(2*r))) }
	at := func(r, a float64) (x, y float64) { return r * cosine(a), r * sine(a) }
	o, i := outerMM/2, innerMM/2
	for k := range out {
		ix, iy := at(i, edge(i))
		ox, oy := at(o, edge(o))
		mx, my := at(o, p/2)
		ex, ey := at(o, p-edge(o))
		nx, ny := at(i, p-edge(i))
		vx, vy := at(i, p/2)
		out[k] = Hole{Shape: "other", AngleDeg: deg(p * float64(k)),
			Outline: []Step{Line(ox, oy), ArcVia(mx, my, ex, ey), Line(nx, ny), ArcVia(vx, vy, ix, iy)}}
	}
	return out
}

func (w ToothedWheel) plan(edgeMM float64) (plan, error) {
	rim, err := w.rim()
	if err != nil {
		return plan{}, err
	}
	loops, err := region("wheel", rim, w.Holes)
	if err != nil {
		return plan{}, err
	}
	if w.BoreDiameterMM != 0 {
		bore, err := pipe("wheel", "root diameter", w.RootDiameterMM, "bore diameter", w.BoreDiameterMM)
		if err != nil {
			return plan{}, err
		}
		loops = append(loops, bore[1])
	}
	out, err := extruded(loops, w.ThicknessMM, edgeMM).plan(edgeMM)
	if err != nil {
		return plan{}, fmt.Errorf("wheel: %w", err)
	}
	return out, nil
}

// flank is one side of a tooth in the frame of its centre line: where it
// leaves the bottom, at negative y, and the unit direction in which it rises.
type flank struct{ foot, rise [2]float64 }

func (w ToothedWheel) check() error {
	for _, d := range []Dim{{"tip diameter", w.TipDiameterMM}, {"root diameter", w.RootDiameterMM}, {"thickness", w.ThicknessMM}} {
		if err := positive("wheel", d.Key, d.Value); err != nil {
			return err
		}
	}
	if w.ToothCount < 3 || w.ToothCount > 10000 {
		return fmt.Errorf("wheel: %d teeth; give 3 to 10000", w.ToothCount)
	}
	t := w.Teeth
	if t.SeatDiameterMM != 0 {
		if err := within("wheel", "seat", t.SeatDeg, 10, 85); err != nil {
			return err
		}
		return positive("wheel", "seat diameter", t.SeatDiameterMM)
	}
	if !(t.TipShare > 0 && t.BottomShare > 0 && t.TipShare+t.BottomShare < 1) {
		return fmt.Errorf("wheel: tip and bottom take %g and %g of the pitch; give two shares over 0 whose sum is under 1", t.TipShare, t.BottomShare)
	}
	return under("wheel", "root diameter", w.RootDiameterMM, "tip diameter", w.TipDiameterMM)
}

func (w ToothedWheel) flank() flank {
	p := 2 * math.Pi / float64(w.ToothCount)
	tip, root := w.TipDiameterMM/2, w.RootDiameterMM/2
	if w.Teeth.SeatDiameterMM == 0 {
		a, b := -(1-w.Teeth.BottomShare)/2*p, -w.Teeth.TipShare/2*p
		foot := [2]float64{root * math.Cos(a), root * math.Sin(a)}
		dx, dy := tip*math.Cos(b)-foot[0], tip*math.Sin(b)-foot[1]
		l := math.Hypot(dx, dy)
		return flank{foot, [2]float64{dx / l, dy / l}}
	}
	r, s, c := w.Teeth.SeatDiameterMM/2, sine(rad(w.Teeth.SeatDeg)), cosine(rad(w.Teeth.SeatDeg))
	// In the frame of the seat's own centre line, half a pitch back.
	foot := [2]float64{root + r - r*c, r * s}
	sp, cp := math.Sincos(-p / 2)
	turn := func(q [2]float64) [2]float64 { return [2]float64{cp*q[0] - sp*q[1], sp*q[0] + cp*q[1]} }
	return flank{turn(foot), turn([2]float64{s, c})}
}

// at returns the point of the flank at a distance from the wheel's axis.
func (f flank) at(radius float64) [2]float64 {
	b := f.foot[0]*f.rise[0] + f.foot[1]*f.rise[1]
	c := f.foot[0]*f.foot[0] + f.foot[1]*f.foot[1] - radius*radius
	s := -b + math.Sqrt(max(0, b*b-c))
	return [2]float64{f.foot[0] + s*f.rise[0], f.foot[1] + s*f.rise[1]}
}

// stub is the share of its height that a broken tooth keeps.
const stub = 0.05

// tips returns each tooth's outer radius, and the lean of its tip in radians.
func (w ToothedWheel) tips(foot float64) (radius, lean []float64, err error) {
	tip := w.TipDiameterMM / 2
	radius, lean = make([]float64, w.ToothCount), make([]float64, w.ToothCount)
	for k := range radius {
		radius[k] = tip
	}
	for _, f := range w.Faults {
		if f.Tooth < 0 || f.Tooth >= w.ToothCount {
			return nil, nil, fmt.Errorf("wheel: fault on tooth %d of %d; teeth count from 0", f.Tooth, w.ToothCount)
		}
		radius[f.Tooth] = tip - f.WornMM
		if f.Missing {
			radius[f.Tooth] = foot + stub*(tip-foot)
		}
		if !(f.WornMM >= 0 && radius[f.Tooth] > foot) {
			return nil, nil, fmt.Errorf("wheel: tooth %d is worn by %g mm; give less than its height, %g mm", f.Tooth, f.WornMM, tip-foot)
		}
		lean[f.Tooth] = f.LeanMM / radius[f.Tooth]
		if !(math.Abs(lean[f.Tooth]) < math.Pi/float64(w.ToothCount)) {
			return nil, nil, fmt.Errorf("wheel: tooth %d leans by %g mm; give less than half a pitch", f.Tooth, f.LeanMM)
		}
	}
	return radius, lean, nil
}

// rim returns the toothed outline, counter-clockwise from tooth 0: up its near
// flank, along its tip, down its far flank, along the bottom after it.
func (w ToothedWheel) rim() (loop, error) {
	if err := w.check(); err != nil {
		return nil, err
	}
	f := w.flank()
	foot := math.Hypot(f.foot[0], f.foot[1])
	if !(f.foot[1] < 0 && f.at(w.TipDiameterMM / 2)[1] < 0 && foot < w.TipDiameterMM/2) {
		return nil, fmt.Errorf("wheel: %d teeth of this form do not fit between root and tip diameter; take fewer, or smaller seats", w.ToothCount)
	}
	radius, lean, err := w.tips(foot)
	if err != nil {
		return nil, err
	}
	p := 2 * math.Pi / float64(w.ToothCount)
	polar := func(r, a float64) [2]float64 { return [2]float64{r * math.Cos(a), r * math.Sin(a)} }
	half := math.Atan2(-f.foot[1], f.foot[0]) // of the tooth at its foot
	out := make(loop, 0, 4*w.ToothCount)
	for k, r := range radius {
		mid := p * float64(k)
		top := f.at(r)
		land := math.Atan2(-top[1], top[0])
		a, b := polar(foot, mid-half), polar(r, mid-land+lean[k])
		c, d := polar(r, mid+land+lean[k]), polar(foot, mid+half)
		out = append(out, edge{from: a, to: b},
			edge{from: b, to: c, radius: r, start: mid - land + lean[k], sweep: 2 * land},
			edge{from: c, to: d},
			w.bottom(d, polar(foot, mid+p-half), mid+p/2, half))
	}
	return out, nil
}

// bottom is the edge between two teeth, its middle at angle mid.
func (w ToothedWheel) bottom(from, to [2]float64, mid, half float64) edge {
	p := 2 * math.Pi / float64(w.ToothCount)
	e := edge{from: from, to: to, radius: w.RootDiameterMM / 2, start: mid - p/2 + half, sweep: p - 2*half}
	if r := w.Teeth.SeatDiameterMM / 2; r > 0 {
		at := w.RootDiameterMM/2 + r
		seat := rad(w.Teeth.SeatDeg)
		e.centre = [2]float64{at * math.Cos(mid), at * math.Sin(mid)}
		e.radius, e.start, e.sweep = r, mid+math.Pi+seat, -2*seat
	}
	return e
}

func (w ToothedWheel) truth() Truth {
	t := straight("toothed_wheel",
		Dim{"tooth_count", float64(w.ToothCount)},
		Dim{"tip_diameter_mm", w.TipDiameterMM},
		Dim{"root_diameter_mm", w.RootDiameterMM})
	if w.BoreDiameterMM > 0 {
		t.Dimensions = append(t.Dimensions, Dim{"bore_diameter_mm", w.BoreDiameterMM})
	}
	t.Dimensions = append(t.Dimensions, Dim{"thickness_mm", w.ThicknessMM})
	t.Holes = w.Holes
	return t
}
