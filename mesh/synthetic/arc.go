package synthetic

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Arc is a bar or tube bent to a circle about z, centred on the origin, from x
// counter-clockwise; SectionBoreMM is 0 for a solid one. A full turn is a ring.
type Arc struct {
	CentrelineDiameterMM, SectionDiameterMM, SectionBoreMM, SweepDeg float64
}

// FlatArc is a piece of a flat ring about z, from x counter-clockwise, its ends
// radial, its mid-thickness at z = 0.
type FlatArc struct {
	OutsideDiameterMM, InsideDiameterMM, ThicknessMM, SweepDeg float64
}

// Coil is a round bar or tube on a helix about z, its middle at z = 0, starting
// at x, its ends square to the helix.
type Coil struct {
	CentrelineDiameterMM, SectionDiameterMM, SectionBoreMM, PitchMM, Turns float64
	LeftHand                                                               bool
}

func (a Arc) plan(edgeMM float64) (plan, error) {
	loops, err := pipe("arc", "section diameter", a.SectionDiameterMM, "section bore", a.SectionBoreMM)
	if err != nil {
		return plan{}, err
	}
	if err := positive("arc", "centreline diameter", a.CentrelineDiameterMM); err != nil {
		return plan{}, err
	}
	if err := under("arc", "section diameter", a.SectionDiameterMM, "centreline diameter", a.CentrelineDiameterMM); err != nil {
		return plan{}, err
	}
	if err := within("arc", "sweep", a.SweepDeg, 1, 360); err != nil {
		return plan{}, err
	}
	outer := (a.CentrelineDiameterMM + a.SectionDiameterMM) / 2
	return turned(loops, a.CentrelineDiameterMM/2, rad(a.SweepDeg), outer, edgeMM).plan(edgeMM)
}

func (a FlatArc) plan(edgeMM float64) (plan, error) {
	if _, err := pipe("flat arc", "outside diameter", a.OutsideDiameterMM, "inside diameter", a.InsideDiameterMM); err != nil {
		return plan{}, err
	}
	if err := positive("flat arc", "inside diameter", a.InsideDiameterMM); err != nil {
		return plan{}, err
	}
	if err := positive("flat arc", "thickness", a.ThicknessMM); err != nil {
		return plan{}, err
	}
	if err := within("flat arc", "sweep", a.SweepDeg, 1, 359); err != nil {
		return plan{}, err
	}
	return extruded([]loop{sector(a.OutsideDiameterMM/2, a.InsideDiameterMM/2, rad(a.SweepDeg))}, a.ThicknessMM, edgeMM).plan(edgeMM)
}

// sector is a piece of an annulus, counter-clockwise from angle 0.
func sector(outer, inner, sweep float64) loop {
	s, c := math.Sincos(sweep)
	oa, ob := [2]float64{outer, 0}, [2]float64{outer * c, outer * s}
	ia, ib := [2]float64{inner, 0}, [2]float64{inner * c, inner * s}
	return loop{
		{from: ia, to: oa},
		{from: oa, to: ob, radius: outer, sweep: sweep},
		{from: ob, to: ib},
		{from: ib, to: ia, radius: inner, start: sweep, sweep: -sweep},
	}
}

func (c Coil) plan(edgeMM float64) (plan, error) {
	loops, err := pipe("coil", "section diameter", c.SectionDiameterMM, "section bore", c.SectionBoreMM)
	if err != nil {
		return plan{}, err
	}
	if err := positive("coil", "centreline diameter", c.CentrelineDiameterMM); err != nil {
		return plan{}, err
	}
	if err := under("coil", "section diameter", c.SectionDiameterMM, "centreline diameter", c.CentrelineDiameterMM); err != nil {
		return plan{}, err
	}
	if err := positive("coil", "pitch", c.PitchMM); err != nil {
		return plan{}, err
	}
	if c.Turns > 1 {
		// Neighbouring turns are pitch × cosine of the helix angle apart.
		girth := math.Pi * c.CentrelineDiameterMM
		apart := c.PitchMM * girth / math.Hypot(girth, c.PitchMM)
		if err := under("coil", "section diameter", c.SectionDiameterMM, "the distance between turns", apart); err != nil {
			return plan{}, err
		}
	}
	if !(c.Turns >= 0.05 && c.Turns <= 1e4) {
		return plan{}, fmt.Errorf("coil: %g turns; give 0.05 to 10000", c.Turns)
	}
	return c.solid(loops, edgeMM).plan(edgeMM)
}

// solid carries the section along the helix in its own frame: outward from the
// axis, and square to both that and the helix.
func (c Coil) solid(loops []loop, edgeMM float64) solid {
	r, rise := c.CentrelineDiameterMM/2, c.PitchMM/(2*math.Pi)
	turn, hand := 2*math.Pi*c.Turns, 1.0
	if c.LeftHand {
		hand = -1
	}
	n := steps(math.Hypot(r+c.SectionDiameterMM/2, rise)*turn, edgeMM, int(math.Ceil(turn/arcStepMax)))
	l := math.Hypot(r, rise)
	st := make([]station, n+1)
	for j := range st {
		a := turn * (float64(j)/float64(n) - 0.5)
		sn, cs := math.Sincos(a + turn/2)
		sn *= hand
		out := r3.Vec{X: cs, Y: sn}
		tangent := r3.Vec{X: -hand * sn * r / l, Y: hand * cs * r / l, Z: rise / l}
		st[j] = station{r3.Vec{X: r * cs, Y: r * sn, Z: rise * a}, r3.Cross(out, tangent), out}
	}
	return solid{loops: loops, layers: n, place: along(st)}
}

func (a Arc) truth() Truth {
	kind, section := "arc", ""
	if a.SweepDeg >= 360 {
		kind, section = "ring", "round"
	}
	t := straight(kind,
		Dim{"centreline_diameter_mm", a.CentrelineDiameterMM},
		Dim{"section_diameter_mm", a.SectionDiameterMM})
	if a.SectionBoreMM > 0 {
		t.Dimensions = append(t.Dimensions, Dim{"section_bore_mm", a.SectionBoreMM})
	}
	t.Section = section
	if kind == "arc" {
		t.Dimensions = append(t.Dimensions, Dim{"sweep_deg", a.SweepDeg})
		t.sweepRad = rad(a.SweepDeg)
	}
	return t
}

func (a FlatArc) truth() Truth {
	t := straight("arc",
		Dim{"outside_diameter_mm", a.OutsideDiameterMM},
		Dim{"inside_diameter_mm", a.InsideDiameterMM},
		Dim{"thickness_mm", a.ThicknessMM},
		Dim{"sweep_deg", a.SweepDeg})
	t.Section, t.sweepRad = "flat", rad(a.SweepDeg)
	return t
}

func (c Coil) truth() Truth {
	t := straight("coil",
		Dim{"centreline_diameter_mm", c.CentrelineDiameterMM},
		Dim{"section_diameter_mm", c.SectionDiameterMM},
		Dim{"pitch_mm", c.PitchMM},
		Dim{"turns", c.Turns})
	if c.SectionBoreMM > 0 {
		t.Dimensions = append(t.Dimensions, Dim{"section_bore_mm", c.SectionBoreMM})
	}
	t.Hand = "right"
	if c.LeftHand {
		t.Hand = "left"
	}
	return t
}
