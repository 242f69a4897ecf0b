package shop

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/stock"
)

// Body is what a part weighs, 0 where that is not known, and where its centre of
// gravity and points of its surface lie, SITE: corners and points of its edges,
// see PunchPoints.
type Body struct {
	MassKG   float64
	CentreMM r3.Vec
	PointsMM []r3.Vec
}

// checkBodies refuses what is not one finite body a part; who names the stage.
func checkBodies(who string, parts []stock.Part, bodies []Body) error {
	if len(bodies) != len(parts) {
		return fmt.Errorf("%s: %d parts and %d masses: each part needs one", who, len(parts), len(bodies))
	}
	for i, b := range bodies {
		sum := b.MassKG
		for _, q := range append([]r3.Vec{b.CentreMM, parts[i].BoxMM[0]}, b.PointsMM...) {
			sum += math.Abs(q.X) + math.Abs(q.Y) + math.Abs(q.Z)
		}
		if !(b.MassKG >= 0) || math.IsNaN(sum) || math.IsInf(sum, 0) {
			return fmt.Errorf("%s: part %s: mass and points must be finite, mass not negative", who, parts[i].ID)
		}
	}
	return nil
}

// WeldJoint is a place where two parts are to be welded. It is preliminary planning
// for qualified people; JointAssumptions belongs on every page that shows it.
type WeldJoint struct {
	Contact, A, B int    // indices of the contact and its parts
	Kind          string // fillet, flare, groove, edge or point
	LengthMM      float64
	Runs          int    // unbroken parts of the seam
	AtMM          r3.Vec // its middle, SITE
	ThickMM       float64
	LegMM         float64    // least fillet; 0 where there is none or the thickness is not known
	MassKG        float64    // of weld metal
	OpenDeg       [3]float64 // angle between the faces along the seam: least, middle, most
	TightMM       float64    // length where it is under 30°: the toe cannot be welded
	Field         bool       // the parts are of two sections
	Hangs         Hanging
	Remedy        *Remedy // nil where the seam is long enough for what hangs on it
	Seam          []SeamBit
}

// JointOptions set what the metal and its weld may carry.
type JointOptions struct {
	WeldMPa     float64 // least strength of weld metal: FEXX
	YieldMPa    float64 // of the parts, for pins and sleeves
	UseMost     float64 // share of the allowable that dead weight may use
	GroundMM    float64 // what reaches this low stands on the ground
	SeamLeastMM float64 // a shorter seam is a tack
	Section     []int   // of each part; nil: all is welded in the shop
}

// DefaultJointOptions: E70 metal, 70 ksi; A36 steel, 36 ksi. Dead weight may use a
// quarter: wind, people and handling are not in it (common practice, no source).
// A seam of under 1 1/2 in is a tack (least length of an intermittent weld, AWS
// D1.1, from memory).
func DefaultJointOptions() JointOptions {
	return JointOptions{WeldMPa: 482.6, YieldMPa: 248, UseMost: 0.25, GroundMM: 10, SeamLeastMM: 38}
}

// JointAssumptions is what every list of joints rests on.
func JointAssumptions() []string {
	return []string{
		"preliminary planning for qualified people: joints are designed by an engineer",
		"least fillet: AWS D1.1:2025 table 7.7, thinner part, low-hydrogen process",
		"strength: 0.30 FEXX on the throat, line method (AISC Design Guide 29), dead weight alone; wind, people and handling are not in it",
		"where a joint is one of several that hold a piece, it is checked as if it held the piece alone",
		"faces that meet under 30°: the toe cannot be welded and counts nothing (common practice, no source)",
		"groove welds are taken to full penetration; flare welds 5/16 of the smaller radius (AWS D1.1, from memory)",
		"sleeves and pins reach 1.5 diameters into each part at least (common practice, no source)",
	}
}

func (o JointOptions) check(parts int) error {
	switch {
	case !(o.WeldMPa > 0) || !(o.YieldMPa > 0) || math.IsInf(o.WeldMPa+o.YieldMPa, 0):
		return fmt.Errorf("joints: strengths of weld and metal must be over 0 MPa")
	case !(o.UseMost > 0) || o.UseMost > 1:
		return fmt.Errorf("joints: the share that dead weight may use is %g; it must be over 0 and at most 1", o.UseMost)
	case !(o.GroundMM >= 0) || !(o.SeamLeastMM >= 0):
		return fmt.Errorf("joints: lengths must not be negative")
	case o.Section != nil && len(o.Section) != parts:
		return fmt.Errorf("joints: %d sections for %d parts", len(o.Section), parts)
	}
	return nil
}

// Joints makes a joint of every contact, in their order; thickMM is the thickness
// of each part's stock, 0 where it is not known. Errors: options out of range,
// lists of other lengths, a contact that names no part.
func Joints(parts []stock.Part, bodies []Body, thickMM []float64, contacts []stock.Contact, opt JointOptions) ([]WeldJoint, error) {
	if err := opt.check(len(parts)); err != nil {
		return nil, err
	}
	if err := checkBodies("joints", parts, bodies); err != nil {
		return nil, err
	}
	if len(thickMM) != len(parts) {
		return nil, fmt.Errorf("joints: %d parts and %d thicknesses: each part needs one", len(parts), len(thickMM))
	}
	out := make([]WeldJoint, len(contacts))
	for k, c := range contacts {
		if c.A < 0 || c.B < 0 || c.A >= len(parts) || c.B >= len(parts) || c.A == c.B {
			return nil, fmt.Errorf("joints: contact %d names parts %d and %d of %d", k+1, c.A, c.B, len(parts))
		}
		out[k] = jointOf(parts, thickMM, c, opt)
		out[k].Contact = k
	}
	hold := newHolding(parts, bodies, out, opt.GroundMM)
	for k := range out {
		out[k].Hangs = hold.on(k)
		out[k].judge(parts, thickMM, opt)
	}
	return out, nil
}

// jointOf is a contact as a weld, without what hangs on it.
func jointOf(parts []stock.Part, thickMM []float64, c stock.Contact, opt JointOptions) WeldJoint {
	j := WeldJoint{A: c.A, B: c.B, LengthMM: c.LengthMM, ThickMM: thinner(thickMM[c.A], thickMM[c.B]), Seam: bitsOf(c.Seam)}
	for _, s := range c.Seam {
		j.Runs = max(j.Runs, s.Run)
	}
	j.AtMM = middleOf(j.Seam)
	j.OpenDeg, j.TightMM = openness(j.Seam)
	j.Kind = weldKind(parts[c.A], parts[c.B], c, j.OpenDeg[1])
	j.Field = opt.Section != nil && opt.Section[c.A] != opt.Section[c.B]
	j.sized(parts)
	for i, s := range j.Seam {
		j.Seam[i].ThroatMM = j.throat(parts, s)
	}
	return j
}

// weldKind: faces that meet flush are a butt, or where plates lie on each other an
// edge; surfaces that touch along a line while they face each other are a flare.
func weldKind(a, b stock.Part, c stock.Contact, openDeg float64) string {
	switch {
	case c.Kind == "point" || len(c.Seam) < 2:
		return "point"
	case c.Kind == "line":
		return "flare"
	case openDeg < flushDeg:
		return "fillet"
	case layered(a, b):
		return "edge"
	}
	return "groove"
}

// flushDeg is the angle between faces over which they meet flush: the limit of
// skewed fillets, AWS D1.1, from memory.
const flushDeg = 135

// layered says whether two flat parts lie on each other, not side by side.
func layered(a, b stock.Part) bool {
	if !IsFlat(a) || !IsFlat(b) || math.Abs(r3.Dot(a.Frame.Axis, b.Frame.Axis)) < 0.95 {
		return false
	}
	ta, _ := a.Size("thickness_mm")
	tb, _ := b.Size("thickness_mm")
	apart := math.Abs(r3.Dot(r3.Sub(b.Frame.OriginMM, a.Frame.OriginMM), a.Frame.Axis))
	return apart > max(ta, tb)/2
}

// sized gives the joint its leg and weld metal: none for a point, and for parts of
// unknown thickness no leg.
func (j *WeldJoint) sized(parts []stock.Part) {
	if j.ThickMM == 0 || j.Kind == "point" {
		return
	}
	free := max(0, j.LengthMM-j.TightMM)
	switch j.Kind {
	case "groove":
		j.MassKG = GrooveKG(j.ThickMM, j.LengthMM)
	case "flare":
		j.LegMM = math.Sqrt2 * flareMM(parts[j.A], parts[j.B], j.ThickMM)
		j.MassKG = FilletKG(j.LegMM, j.LengthMM)
	default:
		j.LegMM = MinFilletMM(j.ThickMM)
		j.MassKG = FilletKG(j.LegMM, free)
	}
	if j.Kind == "flare" {
		j.TightMM = 0 // its faces close by nature, and it is filled from outside
	}
}

// flareMM is the throat of a flare weld filled flush: 5/16 of the smaller radius,
// at most the thinner part.
func flareMM(a, b stock.Part, thickMM float64) float64 {
	r := math.Inf(1)
	for _, p := range []stock.Part{a, b} {
		if d := roundMM(p); d > 0 {
			r = min(r, d/2)
		}
	}
	return min(thickMM, 5.0/16*r)
}

// roundMM is the diameter of a round section, 0 of other parts.
func roundMM(p stock.Part) float64 {
	for _, key := range []string{"section_diameter_mm", "outside_diameter_mm", "diameter_mm"} {
		if d, ok := p.Size(key); ok {
			return d
		}
	}
	return 0
}

// Thicknesses are those of the parts' stock, 0 where a part has none.
func Thicknesses(parts int, choice stock.Choice) []float64 {
	out := make([]float64, parts)
	for _, pick := range choice.Families {
		for _, at := range pick.Members {
			out[at] = thickMM(pick.Size)
		}
	}
	return out
}
