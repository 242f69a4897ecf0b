package shop

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/stock"
)

// Saddle is the cut of a round branch that ends on a round header.
//
// With R and r the radii of header and branch, b the angle between their axes, o
// how far they miss each other, t the station round the branch, the branch's edge
// is w from the header's axis along its own:
//
//	w = (√(R² − (r sin t + o)²) − r cos t cos b) / sin b
//
// and on the unrolled header the hole's edge lies w cos b − r cos t sin b along and
// R asin((r sin t + o)/R) round it. Both are the same curve in space, so both have
// its length. The formula is the standard one of pipe branches; the derivation by
// the two cylinders is ours.
type Saddle struct {
	Branch, Header     string
	BranchMM, HeaderMM float64 // outside diameters
	CutMM              float64 // diameter of the branch's face that meets the header: outside, or bore
	AngleDeg           float64 // between the axes, 90 or less
	OffsetMM           float64 // of the axes
	Stations           []SaddleStation
	PatternMM          float64 // length of the pattern's curve
	HoleMM             float64 // girth of the hole in the header
	SharpDeg           float64 // least angle between the two faces outside
	SharpAt            []int   // stations where a weld does not reach the root
	ZeroWay            r3.Vec  // where station 1 is, from the branch's axis, SITE
	Notes              []string
}

// SaddleStation is one generator of the branch. The branch's edge reaches DropMM
// farther towards the header than at its shortest generator.
type SaddleStation struct {
	Number            int
	TurnDeg           float64
	GirthMM           float64 // round the branch, outside
	FromAxisMM        float64 // from the header's axis along the branch: w
	DropMM            float64 // greatest w less w
	FaceDeg           float64 // between the faces of both, outside the branch
	HoleAlong, HoleMM float64 // on the unrolled header: along it, and round it
}

// SaddleOptions: how many stations, and which of the branch's faces meets the
// header.
type SaddleOptions struct {
	Stations int  // 16 or 32
	Bore     bool // the bore's edge seats on the header, not the outside
}

// DefaultSaddleOptions are 16 stations of the outside: a branch set on without a
// bevel.
func DefaultSaddleOptions() SaddleOptions { return SaddleOptions{Stations: 16} }

// sharpDeg is the angle between faces under which a weld does not reach the root:
// common practice, no source.
const sharpDeg = 30

// saddle is the geometry in numbers: radii, angle, offset.
type saddle struct{ R, r, sinB, cosB, o float64 }

func (s saddle) w(t float64) float64 {
	y := s.r*math.Sin(t) + s.o
	return (math.Sqrt(math.Max(0, s.R*s.R-y*y)) - s.r*math.Cos(t)*s.cosB) / s.sinB
}

// hole is the edge on the unrolled header: along it and round it.
func (s saddle) hole(t float64) (along, round float64) {
	y := (s.r*math.Sin(t) + s.o) / s.R
	return s.w(t)*s.cosB - s.r*math.Cos(t)*s.sinB, s.R * math.Asin(math.Max(-1, math.Min(1, y)))
}

// faceDeg is the angle between the branch's wall and the header's face: that of
// their outward normals, taken from 180°.
func (s saddle) faceDeg(t float64) float64 {
	sin, cos := math.Sincos(t)
	y := s.r*sin + s.o
	z := math.Sqrt(math.Max(0, s.R*s.R-y*y))
	dot := (cos*s.cosB*z + sin*y) / s.R // header (0, y, z)/R; branch cos t (−sin b, 0, cos b) + sin t (0, 1, 0)
	return math.Acos(math.Max(-1, math.Min(1, -dot))) * 180 / math.Pi
}

// curveSteps chords measure both curves: their error is (2π/n)²/24, 4e-9.
const curveSteps = 20000

// lengths are those of the pattern's curve and of the hole's, each in its own
// coordinates.
func (s saddle) lengths() (pattern, hole float64) {
	w, step := s.w(0), 2*math.Pi/curveSteps
	along, round := s.hole(0)
	for i := 1; i <= curveSteps; i++ {
		t := step * float64(i)
		w1 := s.w(t)
		along1, round1 := s.hole(t)
		pattern += math.Hypot(s.r*step, w1-w)
		hole += math.Hypot(along1-along, round1-round)
		w, along, round = w1, along1, round1
	}
	return pattern, hole
}

// SaddleAt is the cut for two diameters, an angle and an offset. Errors: sizes
// that make no saddle; a branch that is wider than the header where it meets it;
// under 15°, where the saddle is longer than four diameters.
func SaddleAt(headerMM, branchMM, boreMM, angleDeg, offsetMM float64, opt SaddleOptions) (Saddle, error) {
	out := Saddle{BranchMM: branchMM, HeaderMM: headerMM, CutMM: branchMM, AngleDeg: angleDeg, OffsetMM: offsetMM}
	if opt.Bore {
		out.CutMM = boreMM
	}
	s := saddle{R: headerMM / 2, r: out.CutMM / 2, o: offsetMM}
	s.sinB, s.cosB = math.Sincos(angleDeg * math.Pi / 180)
	if angleDeg == 90 {
		s.cosB = 0
	}
	switch {
	case opt.Stations != 16 && opt.Stations != 32:
		return out, fmt.Errorf("saddle: %d stations; give 16 or 32", opt.Stations)
	case !(s.R > 0 && s.r > 0 && branchMM >= out.CutMM) || math.IsInf(s.R+s.r+math.Abs(s.o), 0) || math.IsNaN(s.o):
		return out, fmt.Errorf("saddle: diameters of %g and %g mm, %g mm apart, make none", headerMM, out.CutMM, offsetMM)
	case !(angleDeg >= 15 && angleDeg <= 90):
		return out, fmt.Errorf("saddle: axes at %.2f°; give 15° to 90°", angleDeg)
	case s.r+math.Abs(s.o) > s.R*(1+1e-9):
		return out, fmt.Errorf("saddle: a branch of %.1f mm, %.1f mm off the axis, reaches past a header of %.1f mm: fit it by hand", out.CutMM, math.Abs(offsetMM), headerMM)
	}
	out.stations(s, opt.Stations)
	out.PatternMM, out.HoleMM = s.lengths()
	return out, nil
}

// stations fills the table; the greatest w is looked for more closely than it has
// stations.
func (x *Saddle) stations(s saddle, n int) {
	most := math.Inf(-1)
	for i := range 32 * n {
		most = math.Max(most, s.w(2*math.Pi*float64(i)/float64(32*n)))
	}
	x.SharpDeg = math.Inf(1)
	for i := range n {
		t := 2 * math.Pi * float64(i) / float64(n)
		a := SaddleStation{Number: i + 1, TurnDeg: 360 * float64(i) / float64(n), GirthMM: x.BranchMM / 2 * t, FromAxisMM: s.w(t), DropMM: most - s.w(t), FaceDeg: s.faceDeg(t)}
		a.HoleAlong, a.HoleMM = s.hole(t)
		x.Stations = append(x.Stations, a)
		x.SharpDeg = math.Min(x.SharpDeg, a.FaceDeg)
		if a.FaceDeg < sharpDeg {
			x.SharpAt = append(x.SharpAt, a.Number)
		}
	}
	if len(x.SharpAt) > 0 {
		x.Notes = append(x.Notes, fmt.Sprintf("at stations %v the faces meet at %.1f° or more: under %d° a weld does not reach the root (common practice, no source); leave it, or seal it", x.SharpAt, x.SharpDeg, sharpDeg))
	}
}

// SaddleOf is the cut of a branch where it meets a header, from their places.
// Errors as SaddleAt, or parts that are not round and straight.
func SaddleOf(branch, header stock.Part, opt SaddleOptions) (Saddle, error) {
	b, h := axisOf(branch), axisOf(header)
	out := Saddle{Branch: branch.ID, Header: header.ID}
	if b.outside == 0 || h.outside == 0 {
		return out, fmt.Errorf("%s on %s: a saddle is of two straight round pieces", branch.ID, header.ID)
	}
	z, way := b.from(h) // away from the header
	x := h.way
	if r3.Dot(x, way) < 0 {
		x = r3.Scale(-1, x)
	}
	cos := r3.Dot(x, way)
	y := r3.Cross(z, x)
	deg := math.Atan2(r3.Norm(r3.Cross(x, way)), cos) * 180 / math.Pi
	deg = math.Min(deg, 90)
	s, err := SaddleAt(h.outside, b.outside, b.bore, deg, r3.Dot(r3.Sub(b.at, h.at), y), opt)
	if err != nil {
		return out, fmt.Errorf("%s on %s: %w", branch.ID, header.ID, err)
	}
	s.Branch, s.Header = branch.ID, header.ID
	sin := math.Sqrt(math.Max(0, 1-cos*cos))
	s.ZeroWay = r3.Sub(r3.Scale(cos, z), r3.Scale(sin, x))
	for _, e := range branch.Ends {
		if (e.Kind == "square" || e.Kind == "mitre") && e.Out != (r3.Vec{}) && r3.Dot(e.Out, way) < 0 {
			s.Notes = append(s.Notes, "on the maquette this end is a plane, "+e.Kind+": cut it so, or saddle it to close the gap")
		}
	}
	s.Notes = append(s.Notes, "station 1 is on the side of the obtuse angle; seen from the header along the branch, stations run counter-clockwise")
	return s, nil
}

// axis of a straight round piece.
type axis struct {
	at, way       r3.Vec
	outside, bore float64
	ends          [2]r3.Vec
}

func axisOf(p stock.Part) axis {
	a := axis{at: p.Frame.OriginMM, way: p.Frame.Axis}
	if p.Kind != "tube" && p.Kind != "bar" {
		return a
	}
	s := sizes{part: p}
	a.outside, a.bore = s.maybe("outside_diameter_mm"), s.maybe("inside_diameter_mm")
	half := s.maybe("length_mm") / 2
	if half == 0 { // it may be a header, but ends nowhere
		half = math.NaN()
	}
	a.ends = [2]r3.Vec{r3.Sub(a.at, r3.Scale(half, a.way)), r3.Add(a.at, r3.Scale(half, a.way))}
	return a
}

// off is how far a point lies from the axis.
func (a axis) off(p r3.Vec) float64 { return r3.Norm(r3.Cross(r3.Sub(p, a.at), a.way)) }

// from is the branch's way from the end that is nearer to the header's axis, and
// the part of it that is square to that axis, as unit vectors.
func (a axis) from(h axis) (square, way r3.Vec) {
	way = a.way
	if h.off(a.ends[1]) < h.off(a.ends[0]) {
		way = r3.Scale(-1, way)
	}
	square = r3.Sub(way, r3.Scale(r3.Dot(way, h.way), h.way))
	if n := r3.Norm(square); n > 1e-9 {
		square = r3.Scale(1/n, square)
	}
	return square, way
}

// SaddlesOf are the saddles of all contacts in which a round piece ends on another
// one; why says of which none could be made.
func SaddlesOf(parts []stock.Part, contacts []stock.Contact, opt SaddleOptions) (saddles []Saddle, why []error) {
	for _, c := range contacts {
		i, k, ok := branchOf(parts, c)
		if !ok || parts[i].Made {
			continue
		}
		s, err := SaddleOf(parts[i], parts[k], opt)
		if err != nil {
			why = append(why, err)
			continue
		}
		saddles = append(saddles, s)
	}
	return saddles, why
}

// branchOf tells which of two pieces ends on the other: the one with an end within
// one and a half radii of the other's axis; of two, the thinner.
func branchOf(parts []stock.Part, c stock.Contact) (branch, header int, ok bool) {
	if c.Through {
		return 0, 0, false
	}
	best := math.Inf(1)
	for _, x := range [2][2]int{{c.A, c.B}, {c.B, c.A}} {
		b, h := axisOf(parts[x[0]]), axisOf(parts[x[1]])
		if b.outside == 0 || h.outside == 0 || r3.Norm(r3.Cross(b.way, h.way)) < steepMost {
			continue
		}
		if math.Min(h.off(b.ends[0]), h.off(b.ends[1])) < 0.75*h.outside && b.outside < best {
			branch, header, ok, best = x[0], x[1], true, b.outside
		}
	}
	return branch, header, ok
}
