package synthetic

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Bend is one leg of a bent piece: straight where LengthMM is set, else an arc
// of the given centreline radius and angle. TurnDeg turns the plane of this
// and later arcs about the way the piece runs.
type Bend struct {
	LengthMM float64 `json:"length_mm,omitempty"`
	RadiusMM float64 `json:"centreline_radius_mm,omitempty"`
	AngleDeg float64 `json:"sweep_deg,omitempty"`
	TurnDeg  float64 `json:"turn_deg,omitempty"`
}

// Bent is a round bar or tube of straight and bent legs. It starts at the
// origin along z; its first arc bends towards x. SectionBoreMM is 0 for solid.
type Bent struct {
	SectionDiameterMM, SectionBoreMM float64
	Legs                             []Bend
}

func (b Bent) plan(edgeMM float64) (plan, error) {
	loops, err := pipe("bent piece", "section diameter", b.SectionDiameterMM, "section bore", b.SectionBoreMM)
	if err != nil {
		return plan{}, err
	}
	if len(b.Legs) == 0 || len(b.Legs) > 1000 {
		return plan{}, errors.New("bent piece: give 1 to 1000 legs")
	}
	for _, l := range b.Legs {
		if err := l.check(b.SectionDiameterMM); err != nil {
			return plan{}, err
		}
	}
	st, _ := b.walk(edgeMM)
	return solid{loops: loops, layers: len(st) - 1, place: along(st)}.plan(edgeMM)
}

func (l Bend) check(sectionMM float64) error {
	if l.LengthMM != 0 {
		return positive("bent piece", "straight leg", l.LengthMM)
	}
	if err := positive("bent piece", "bend radius", l.RadiusMM); err != nil {
		return err
	}
	if err := within("bent piece", "turn", l.TurnDeg, -360, 360); err != nil {
		return err
	}
	if err := under("bent piece", "half the section", sectionMM/2, "the bend radius", l.RadiusMM); err != nil {
		return err
	}
	return within("bent piece", "bend", l.AngleDeg, 1, 359)
}

// bow is where a leg bends: its centre, axis, and direction to its start.
type bow struct{ centre, axis, ref r3.Vec }

// walk returns the stations of the whole piece, and the bow of each arc. The
// section is carried along without twist.
func (b Bent) walk(edgeMM float64) (st []station, bows []bow) {
	o, x, y, t := r3.Vec{}, r3.Vec{X: 1}, r3.Vec{Y: 1}, r3.Vec{Z: 1}
	st = append(st, station{o, x, y})
	var turn float64
	for _, l := range b.Legs {
		turn += rad(l.TurnDeg)
		if l.LengthMM != 0 {
			n := steps(l.LengthMM, edgeMM, 1)
			for j := range n {
				st = append(st, station{r3.Add(o, r3.Scale(l.LengthMM*float64(j+1)/float64(n), t)), x, y})
			}
			o = st[len(st)-1].o
			bows = append(bows, bow{})
			continue
		}
		in := r3.Add(r3.Scale(cosine(turn), x), r3.Scale(sine(turn), y)) // towards the centre
		axis := r3.Cross(t, in)
		c := r3.Add(o, r3.Scale(l.RadiusMM, in))
		bows = append(bows, bow{c, axis, r3.Scale(-1, in)})
		angle := rad(l.AngleDeg)
		n := steps((l.RadiusMM+b.SectionDiameterMM/2)*angle, edgeMM, int(math.Ceil(angle/arcStepMax)))
		for j := range n {
			r := r3.NewRotation(angle*float64(j+1)/float64(n), axis)
			st = append(st, station{r3.Add(c, r.Rotate(r3.Sub(o, c))), r.Rotate(x), r.Rotate(y)})
		}
		r := r3.NewRotation(angle, axis)
		o, x, y, t = st[len(st)-1].o, r.Rotate(x), r.Rotate(y), r.Rotate(t)
	}
	return st, bows
}

// truth is that of the longest arc, with the legs; of a piece without an arc,
// a bar or tube.
func (b Bent) truth() Truth {
	longest, most, whole := -1, 0.0, 0.0
	for i, l := range b.Legs {
		whole += l.LengthMM
		if a := l.RadiusMM * l.AngleDeg; l.LengthMM == 0 && a > most*(1+1e-9) {
			longest, most = i, a
		}
	}
	if longest < 0 {
		t := Bar{b.SectionDiameterMM, whole, [2]End{}}.truth()
		if b.SectionBoreMM > 0 {
			t = Tube{b.SectionDiameterMM, b.SectionBoreMM, whole, [2]End{}}.truth()
		}
		t.OriginMM = r3.Vec{Z: whole / 2}
		return t
	}
	l := b.Legs[longest]
	t := Arc{2 * l.RadiusMM, b.SectionDiameterMM, b.SectionBoreMM, l.AngleDeg}.truth()
	_, bows := b.walk(math.Inf(1))
	t.OriginMM, t.Axis, t.Ref = bows[longest].centre, bows[longest].axis, bows[longest].ref
	t.Bends = b.Legs
	return t
}
