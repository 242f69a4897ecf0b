package synthetic

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Spiral is a bar wound about z on a spiral of Archimedes, which may rise: its
// centreline starts StartDiameterMM across at x, in the plane z = 0, and with
// each turn goes out by GrowthMM and up by RiseMM. The section is a rectangle of
// WidthMM along z and ThicknessMM across where these are set, else round;
// SectionBoreMM is 0 for a solid one. Its ends are square.
type Spiral struct {
	StartDiameterMM, GrowthMM, RiseMM, Turns float64
	SectionDiameterMM, SectionBoreMM         float64
	WidthMM, ThicknessMM                     float64
}

func (s Spiral) plan(edgeMM float64) (plan, error) {
	loops, err := s.section()
	if err != nil {
		return plan{}, err
	}
	if err := under("spiral", "the section", s.acrossMM(), "the start's diameter", s.StartDiameterMM); err != nil {
		return plan{}, err
	}
	if !(s.Turns >= 0.05 && s.Turns <= 1e3) {
		return plan{}, fmt.Errorf("spiral: %g turns; give 0.05 to 1000", s.Turns)
	}
	if !(s.GrowthMM >= 0 && s.RiseMM >= 0) {
		return plan{}, fmt.Errorf("spiral: growth %g mm, rise %g mm a turn; give 0 or more", s.GrowthMM, s.RiseMM)
	}
	if s.Turns > 1 {
		if err := under("spiral", "the section", s.acrossMM(), "the distance between turns", math.Hypot(s.GrowthMM, s.RiseMM)); err != nil {
			return plan{}, err
		}
	}
	return s.solid(loops, edgeMM).plan(edgeMM)
}

func (s Spiral) acrossMM() float64 {
	if s.WidthMM > 0 {
		return s.ThicknessMM
	}
	return s.SectionDiameterMM
}

func (s Spiral) section() ([]loop, error) {
	if s.WidthMM == 0 {
		return pipe("spiral", "section diameter", s.SectionDiameterMM, "section bore", s.SectionBoreMM)
	}
	if err := positive("spiral", "width", s.WidthMM); err != nil {
		return nil, err
	}
	if err := positive("spiral", "thickness", s.ThicknessMM); err != nil {
		return nil, err
	}
	l, err := loopOf("spiral", Rectangle(s.WidthMM, s.ThicknessMM))
	return []loop{l}, err
}

// solid carries the section along in the frame that lies outward and square to
// the way.
func (s Spiral) solid(loops []loop, edgeMM float64) solid {
	turn := 2 * math.Pi * s.Turns
	most := s.StartDiameterMM/2 + s.GrowthMM*s.Turns + s.acrossMM()/2
	n := steps(most*turn, edgeMM, int(math.Ceil(turn/arcStepMax)))
	st := make([]station, n+1)
	for j := range st {
		a := turn * float64(j) / float64(n)
		sn, cs := math.Sincos(a)
		r := s.StartDiameterMM/2 + s.GrowthMM*s.Turns*float64(j)/float64(n)
		out, round := r3.Vec{X: cs, Y: sn}, r3.Vec{X: -sn, Y: cs}
		way := r3.Add(r3.Scale(r, round), r3.Add(r3.Scale(s.GrowthMM/(2*math.Pi), out), r3.Vec{Z: s.RiseMM / (2 * math.Pi)}))
		way = r3.Unit(way)
		across := r3.Unit(r3.Sub(out, r3.Scale(r3.Dot(out, way), way)))
		o := r3.Add(r3.Scale(r, out), r3.Vec{Z: s.RiseMM * s.Turns * float64(j) / float64(n)})
		st[j] = station{o, r3.Cross(across, way), across}
	}
	return solid{loops: loops, layers: n, place: along(st)}
}

// truth is that it is none of the kinds.
func (s Spiral) truth() Truth { return straight("freeform") }

// LengthMM is the length of the centreline: in the plane the integral of
// √(r² + b²) over the angle, by Simpson's rule.
func (s Spiral) LengthMM() float64 {
	const n = 2000
	turn := 2 * math.Pi * s.Turns
	b, rise := s.GrowthMM/(2*math.Pi), s.RiseMM/(2*math.Pi)
	at := func(i int) float64 {
		return math.Hypot(s.StartDiameterMM/2+b*turn*float64(i)/n, math.Hypot(b, rise))
	}
	sum := at(0) + at(n)
	for i := 1; i < n; i++ {
		sum += float64(2+2*(i%2)) * at(i)
	}
	return sum * turn / n / 3
}
