package primitive

import (
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// Element is a patch with the primitive that was fitted to it. Lengths are mm
// at maquette scale in SCAN, angles degrees.
type Element struct {
	Kind    string
	Section string // ring: flat or round
	Hand    string // coil: right or left
	Dims    []Dimension
	Hidden  []string
	Ends    []End
	Form    Form
	Frame   Frame
	Holes   []Hole
	Outline []Step // outer loop, counter-clockwise, in the frame's u, v

	// OutlineU95MM is the half-width of the 95 % interval of each step's place
	// across, at its middle.
	OutlineU95MM []float64

	Segments []Segment   // compound bend: its straights and arcs in order
	Worn     []WornTooth // toothed_wheel: teeth unlike the others
	Lands    []Land      // toothed_wheel: of its faces from the middle outwards, where they are stepped
	Sections []Station   // freeform: outlines along its longest direction
	Whole    bool        // freeform: known to be one piece of metal

	Alternatives []Alternative
	Notes        []string
	Words        []Word // further properties: tooth_form
	Coverage     float64
	RMSMM        float64   // robust, of all vertices
	DeviationMM  []float64 // one a vertex of the patch, + outside; nil for freeform
	Spikes       int       // vertices too far off to be the surface
	FarMM        float64   // the distance past which they are

	solid         solid // nil for freeform
	solidOriginMM r3.Vec
}

// Dimension is one size of an element. U95 is the half-width of its 95 %
// interval, 0 for a count and for a size that has none.
type Dimension struct {
	Key   string
	Value float64
	U95   float64
	Count bool
}

// End is how a straight or bent piece ends: square, mitre, saddle, irregular,
// open or hidden; AngleDeg is the angle from square. The end plane cuts the axis
// or centreline at AtMM and Out is its unit normal away from the piece, in SCAN;
// at an open end it lies across, where the scanned surface ends.
type End struct {
	Kind      string
	AngleDeg  float64
	AtMM, Out r3.Vec
}

// Form is the departure of the real thing from the ideal (ISO 1101 terms);
// negative where it does not apply.
type Form struct{ RoundnessMM, StraightnessMM, FlatnessMM float64 }

// Frame is the element's frame in SCAN, mm.
type Frame struct{ OriginMM, Axis, Ref r3.Vec }

// Segment is a straight (length_mm) or an arc (centreline_diameter_mm, sweep_deg
// and, but for the first arc, turn_deg: the angle from the plane of the arc before
// about the way the piece runs, right-handed). An end leg whose end was not seen
// has no length or sweep.
type Segment struct {
	Kind string // straight or arc
	Dims []Dimension
}

// Step is one step of an outline: a line to To, or an arc through Via.
type Step struct {
	To, Via [2]float64
	Arc     bool
}

// Hole is an opening in a flat or rolled face.
type Hole struct {
	Shape      string // round, slot, diamond, rectangle, other
	CentreMM   [2]float64
	DiameterMM float64    // round
	AcrossMM   [2]float64 // slot, diamond, rectangle: long, short
	AngleDeg   float64
	Outline    []Step // other

	// Half-widths of the 95 % intervals of a round hole, either way along u and v;
	// 0: not known.
	CentreU95MM, DiameterU95MM float64
}

// Alternative is another kind that was tried.
type Alternative struct {
	Kind  string
	RMSMM float64
}

func (e *Element) add(key string, value, u95 float64) {
	e.Dims = append(e.Dims, Dimension{Key: key, Value: value, U95: u95})
}

func (e *Element) count(key string, n int) {
	e.Dims = append(e.Dims, Dimension{Key: key, Value: float64(n), Count: true})
}

func (e *Element) hide(keys ...string) { e.Hidden = append(e.Hidden, keys...) }

// hides tells that all of the sizes are hidden.
func (e *Element) hides(keys ...string) bool {
	return !slices.ContainsFunc(keys, func(key string) bool { return !slices.Contains(e.Hidden, key) })
}

// Dim returns the value of a dimension, 0 and false where it is not given.
func (e *Element) Dim(key string) (float64, bool) {
	for _, d := range e.Dims {
		if d.Key == key {
			return d.Value, true
		}
	}
	return 0, false
}

// Word is a property of an element that is a word: its key and value.
type Word struct{ Key, Text string }
