// Package stock takes pieces at full size to metal as it is sold: parts, the
// sizes of published tables, what each choice does to the look, mass.
//
// Everything is in SITE (z up, ground at z = 0) and in mm, degrees, kg.
package stock

import "gonum.org/v1/gonum/spatial/r3"

// Part is one piece of metal at full size. What reading the scan gave and what
// stock makes of it are both lists of parts: a stage takes one and returns
// another, and changes none.
type Part struct {
	ID      string // E01
	Name    string // the user's, may be empty
	Kind    string // of the result: tube, plate …
	Section string // ring: flat or round
	Hand    string // coil: right or left
	Dims    []Dim  // as in the result's full_size
	Hidden  []string
	Ends    []End
	Frame   Frame
	Holes   []Hole
	Outline []Step // plate, profile: outer loop, counter-clockwise in u, v

	Segments []Segment // compound bend, in order
	Lands    []Land    // toothed_wheel with stepped faces, from the middle outwards
	BoxMM    [2]r3.Vec // least and greatest corner along SITE's axes
	AreaMM2  float64   // of scanned surface

	Pin  string // stock that the user named, or empty
	Made bool   // it exists at full size: nothing of it may change
}

// Dim is a size under its key in the result; U95 the half-width of its 95 %
// interval at full size, 0 for a count.
type Dim struct {
	Key   string
	Value float64
	U95   float64
	Count bool
}

// End is how a straight or bent part ends. Out is the unit normal of its end
// plane away from the part and AtMM the point where that plane cuts the axis;
// both are zero where the end is not a plane.
type End struct {
	Kind      string // square, mitre, saddle, irregular, open or hidden
	AngleDeg  float64
	AtMM, Out r3.Vec
	Met       bool // it stands on another part; see MeetEnds
}

// Frame is right-handed: u = Ref, v = Axis × Ref, as the contract of the result
// sets it for each kind.
type Frame struct{ OriginMM, Axis, Ref r3.Vec }

// Point takes u, v and the height along the axis to SITE.
func (f Frame) Point(u, v, h float64) r3.Vec {
	p := r3.Add(f.OriginMM, r3.Scale(u, f.Ref))
	p = r3.Add(p, r3.Scale(v, r3.Cross(f.Axis, f.Ref)))
	return r3.Add(p, r3.Scale(h, f.Axis))
}

// Hole is an opening in a flat or rolled face, in the frame's u, v (rolled: on
// the developed mid-surface).
type Hole struct {
	Shape      string // round, slot, diamond, rectangle or other
	CentreMM   [2]float64
	DiameterMM float64
	AcrossMM   [2]float64 // long, short
	AngleDeg   float64
	Outline    []Step
}

// Step is one step of an outline: a line to To, or an arc through Via.
type Step struct {
	To, Via [2]float64
	Arc     bool
}

// Segment is a straight or an arc of a compound bend.
type Segment struct {
	Kind string // straight or arc
	Dims []Dim
}

// Land is an annulus of a wheel's faces: radii, and how far either face lies from
// the middle of the rim's thickness, along the frame's axis and against it.
type Land struct{ FromMM, ToMM, FrontMM, BackMM float64 }

// Contact is where two parts meet; A < B are indices of parts.
type Contact struct {
	A, B     int
	Kind     string // tube on plate, tube on tube, edge on face, point
	LengthMM float64
	AngleDeg float64 // NaN where the parts have no angle
	GapMM    float64 // negative where they overlap
	Through  bool
	Seam     []SeamAt
}

// SeamAt is one point of a seam with the outward normals of both parts. Run
// counts unbroken parts from 1.
type SeamAt struct {
	Run     int
	PointMM r3.Vec
	A, B    r3.Vec
}

// Relation is something that parts have in common.
type Relation struct {
	Kind, Of string // parallel, perpendicular, coaxial, coplanar, equal, equally_spaced, mirrored, tangent
	Parts    []int
	To       []int // the other side of a perpendicular
	Value    float64
}

// Size returns the value of a dimension, 0 and false where it is not given.
func (p Part) Size(key string) (float64, bool) {
	for _, d := range p.Dims {
		if d.Key == key {
			return d.Value, true
		}
	}
	return 0, false
}

// U95 returns the uncertainty of a dimension, 0 where it is not given.
func (p Part) U95(key string) float64 {
	for _, d := range p.Dims {
		if d.Key == key {
			return d.U95
		}
	}
	return 0
}
