package synthetic

import (
	"fmt"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// Truth is what a perfect reading of a piece would say: kind, dimensions and
// element frame, under the keys of the result document.
type Truth struct {
	Name       string `json:"name"`
	Kind       string `json:"kind"`
	Section    string `json:"section,omitempty"` // ring: flat or round
	Hand       string `json:"hand,omitempty"`    // coil: right or left
	Dimensions []Dim  `json:"dimensions"`
	Ends       []End  `json:"ends,omitempty"`       // start, end along Axis; straight sections only
	Holes      []Hole `json:"holes,omitempty"`      // in the element frame; rolled plate: developed
	Outline    []Step `json:"outline_mm,omitempty"` // plate: outer loop; profile: section's outer loop; counter-clockwise
	Bends      []Bend `json:"bends,omitempty"`      // compound bend: its legs in order

	OriginMM r3.Vec `json:"origin_mm"` // element frame, scene coordinates
	Axis     r3.Vec `json:"axis"`      // its largest component is positive
	Ref      r3.Vec `json:"ref"`       // u

	sweepRad    float64 // over 0: Ref is to the start of a sweep this long
	developedMM float64 // over 0: holes are drawn on a development this long
}

// Dim is one dimension; the key carries its unit.
type Dim struct {
	Key   string  `json:"key"`
	Value float64 `json:"value"`
}

// End is how a straight piece ends: the angle between the end plane's normal
// and the axis, and the direction, from x towards y, in which the end plane
// rises along the axis.
type End struct {
	MitreDeg   float64 `json:"angle_deg"`
	AzimuthDeg float64 `json:"azimuth_deg"`
}

// Value returns the dimension of that key.
func (t Truth) Value(key string) (value float64, ok bool) {
	for _, d := range t.Dimensions {
		if d.Key == key {
			return d.Value, true
		}
	}
	return 0, false
}

// TruthOf returns what a piece is, in scene coordinates.
func TruthOf(p Piece) (Truth, error) {
	f, err := p.Pose.frame()
	if err != nil {
		return Truth{}, fmt.Errorf("%s: %w", p.Name, err)
	}
	if p.Shape == nil {
		return Truth{}, fmt.Errorf("%s: piece has no shape; give it one", p.Name)
	}
	t := p.Shape.truth()
	t.Name = p.Name
	t.OriginMM, t.Axis, t.Ref = f.at(t.OriginMM), f.turn(t.Axis), f.turn(t.Ref)
	if negative(t.Axis) {
		t = t.reversed()
	}
	return t, nil
}

// negative says that the component largest in magnitude is under 0; of equal
// ones the first counts.
func negative(a r3.Vec) bool {
	big := a.X
	for _, c := range []float64{a.Y, a.Z} {
		if c*c > big*big*(1+1e-9) {
			big = c
		}
	}
	return big < 0
}

// reversed turns the element frame about u, so that axis and v change sign.
// A sweep then starts at its other end.
func (t Truth) reversed() Truth {
	if t.sweepRad > 0 {
		v := r3.Cross(t.Axis, t.Ref)
		t.Ref = r3.Add(r3.Scale(cosine(t.sweepRad), t.Ref), r3.Scale(sine(t.sweepRad), v))
	}
	t.Axis = r3.Scale(-1, t.Axis)
	if t.developedMM > 0 { // u runs back from the other end
		t.Holes = turnedHoles(t.Holes, t.developedMM)
	} else {
		t.Holes = mirroredHoles(t.Holes)
	}
	t.Outline = mirroredOutline(t.Outline)
	if len(t.Ends) == 2 {
		t.Ends = []End{turnedEnd(t.Ends[1]), turnedEnd(t.Ends[0])}
	}
	return t
}

// turnedHoles turns a development by half a turn about its middle.
func turnedHoles(holes []Hole, lengthMM float64) []Hole {
	out := slices.Clone(holes)
	for i := range out {
		out[i].CentreMM = [2]float64{lengthMM - out[i].CentreMM[0], -out[i].CentreMM[1]}
		out[i].AngleDeg += 180
	}
	return out
}

// turnedEnd is an end seen from the axis the other way: v has changed sign, and
// what rose now falls.
func turnedEnd(e End) End {
	return End{MitreDeg: e.MitreDeg, AzimuthDeg: 180 - e.AzimuthDeg}
}

func mirroredHoles(holes []Hole) []Hole {
	out := make([]Hole, len(holes))
	for i, h := range holes {
		h.CentreMM[1] = -h.CentreMM[1]
		h.AngleDeg = -h.AngleDeg
		h.Outline = mirroredOutline(h.Outline)
		out[i] = h
	}
	return out
}

// mirroredOutline changes v's sign and goes round the other way, so that the
// loop stays counter-clockwise.
func mirroredOutline(outline []Step) []Step {
	out := backwards(outline)
	for i := range out {
		out[i].To[1], out[i].Via[1] = -out[i].To[1], -out[i].Via[1]
	}
	return out
}

// backwards goes round a closed outline the other way.
func backwards(outline []Step) []Step {
	n := len(outline)
	out := make([]Step, n)
	for i := range outline {
		from := outline[(2*n-2-i)%n]
		s := outline[n-1-i]
		out[i] = Step{To: from.To, Via: s.Via, Arc: s.Arc}
	}
	return out
}
