package result

import (
	"bytes"
	"encoding/json"
)

// Outline is a closed loop, counter-clockwise, of straight steps and three-point
// arcs; it starts where its last step ends.
type Outline []Step

// Step goes to a point, straight or as an arc through Via.
type Step struct {
	To  [2]MM  `json:"to"`
	Via *[2]MM `json:"via,omitempty"`
}

// Holes are the holes of a plate, disc, ring or wheel.
type Holes []Hole

// Hole is one hole: a round one has a diameter; a slot, diamond or rectangle has
// AcrossMM, long and short, and the angle of the long one against u; any other an
// outline.
type Hole struct {
	Shape      string  `json:"shape"` // round, slot, diamond, rectangle or other
	CentreMM   [2]MM   `json:"centre_mm"`
	DiameterMM *MM     `json:"diameter_mm,omitempty"`
	AcrossMM   *[2]MM  `json:"across_mm,omitempty"`
	AngleDeg   *Deg    `json:"angle_deg,omitempty"`
	OutlineMM  Outline `json:"outline_mm,omitempty"`
}

// Segments are the straights and bends of a compound bend, in order.
type Segments []Segment

// Segment is a straight with its length, or an arc with the diameter of its
// centreline, its sweep, and the turn of its plane against that of the arc before.
type Segment struct {
	Kind                 string `json:"kind"` // straight or arc
	LengthMM             *MM    `json:"length_mm,omitempty"`
	CentrelineDiameterMM *MM    `json:"centreline_diameter_mm,omitempty"`
	SweepDeg             *Deg   `json:"sweep_deg,omitempty"`
	TurnDeg              *Deg   `json:"turn_deg,omitempty"`
}

func (o Outline) suits(key string) bool  { return MM(0).suits(key) }
func (h Holes) suits(key string) bool    { return bare(key) }
func (s Segments) suits(key string) bool { return bare(key) }

func (o Outline) MarshalJSON() ([]byte, error)  { return List[Step](o).MarshalJSON() }
func (h Holes) MarshalJSON() ([]byte, error)    { return List[Hole](h).MarshalJSON() }
func (s Segments) MarshalJSON() ([]byte, error) { return List[Segment](s).MarshalJSON() }

func (o Outline) times(k float64) Value { return o.scaled(k) }

func (o Outline) scaled(k float64) Outline {
	if o == nil {
		return nil
	}
	out := make(Outline, len(o))
	for i, s := range o {
		out[i] = Step{To: *pair(&s.To, k), Via: pair(s.Via, k)}
	}
	return out
}

func (h Holes) times(k float64) Value {
	out := make(Holes, len(h))
	for i, x := range h {
		x.CentreMM = *pair(&x.CentreMM, k)
		x.DiameterMM, x.AcrossMM, x.OutlineMM = length(x.DiameterMM, k), pair(x.AcrossMM, k), x.OutlineMM.scaled(k)
		out[i] = x
	}
	return out
}

func (s Segments) times(k float64) Value {
	out := make(Segments, len(s))
	for i, x := range s {
		x.LengthMM, x.CentrelineDiameterMM = length(x.LengthMM, k), length(x.CentrelineDiameterMM, k)
		out[i] = x
	}
	return out
}

// length multiplies a length that may be absent.
func length(x *MM, k float64) *MM {
	if x == nil {
		return nil
	}
	return new(MM(float64(*x) * k))
}

// pair multiplies two lengths that may be absent.
func pair(p *[2]MM, k float64) *[2]MM {
	if p == nil {
		return nil
	}
	return &[2]MM{MM(float64(p[0]) * k), MM(float64(p[1]) * k)}
}

// structure reads a list or an object under a key that is known here; anything
// else is kept as it is.
func structure(key string, raw json.RawMessage) (Value, error) {
	switch key {
	case "holes":
		return decoded[Holes](raw)
	case "segments":
		return decoded[Segments](raw)
	case "outline_mm", "section_mm":
		return decoded[Outline](raw)
	case "pattern":
		return decoded[Pattern](raw)
	case "bolt_circle":
		return decoded[BoltCircle](raw)
	case "worn_teeth":
		return decoded[WornTeeth](raw)
	case "chains":
		return decoded[Chains](raw)
	case "sections":
		return decoded[Sections](raw)
	case "lands":
		return decoded[Lands](raw)
	}
	return Raw(bytes.Clone(raw)), nil
}

func decoded[T Value](raw json.RawMessage) (Value, error) {
	var v T
	err := json.Unmarshal(raw, &v)
	return v, err
}
