package site

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/stock"
)

// line is a piece as a chain of beams: points along its centreline, closed where the
// last joins the first.
type line struct {
	points  []r3.Vec
	closed  bool
	section Section
	up      r3.Vec                 // of the section's y, the same everywhere, or
	upAt    func(at r3.Vec) r3.Vec // by place, where it turns with the line
	rough   string                 // what is not as the piece is
}

// A turn has 36 beams: a ring's deflection is then 0.6 % off (TestRing). A straight
// piece has 4, for its mass and for loads between its joints.
const (
	beamsTurn     = 36
	beamsStraight = 4
)

// flatBar is how many widths long a plate is that counts as a beam: under that its
// ends hold it more than its own bending does (common practice, no source).
const flatBar = 6.0

// slenderRing is how many radial widths the mean diameter of a flat ring has that
// counts as a bent beam; under that it is a rigid plate (common practice, no source).
const slenderRing = 5.0

// lineOf is the centreline of a piece, nil where the piece is a rigid body. The
// error says which size is not known.
func (m Metal) lineOf(p Piece) (*line, error) {
	x := measured{part: p.Part}
	var l *line
	var err error
	switch p.Part.Kind {
	case "tube", "bar":
		l = straight(p.Part, x.size("length_mm"))
		l.section = m.round(x.size("outside_diameter_mm"), bore(p, x.part, "inside_diameter_mm"))
	case "profile":
		l = straight(p.Part, x.size("length_mm"))
		l.section, l.up, err = m.profile(p)
	case "plate":
		length, width, t := x.size("length_mm"), x.size("width_mm"), x.size("thickness_mm")
		if length < flatBar*width {
			return nil, x.err()
		}
		l = straight(stock.Part{Frame: stock.Frame{OriginMM: p.Part.Frame.OriginMM, Axis: p.Part.Frame.Ref}}, length)
		l.section, l.up = m.flat(t, width), p.Part.Frame.Axis
	case "ring", "arc", "coil":
		l = m.bent(p, &x)
	}
	if err == nil {
		err = x.err()
	}
	if err != nil {
		return nil, fmt.Errorf("%s: %w", p.name(), err)
	}
	return l, nil
}

// measured remembers which size is not known.
type measured struct {
	part    stock.Part
	unknown string
}

func (m *measured) size(key string) float64 {
	x, ok := m.part.Size(key)
	if !ok || !(x > 0) || math.IsInf(x, 0) {
		m.unknown = key
	}
	return x
}

func (m *measured) err() error {
	if m.unknown == "" {
		return nil
	}
	return fmt.Errorf("its %s is not known; say it in pieces.rows or choose its stock", m.unknown)
}

// bore counts on the design wall of stock, where one is known.
func bore(p Piece, part stock.Part, key string) float64 {
	inside, _ := part.Size(key)
	if od := p.Size.ODMM; p.Size.WallDesignMM > 0 && od > 0 {
		return max(od-2*p.Size.WallDesignMM, 0)
	}
	return inside
}

func straight(p stock.Part, length float64) *line {
	l := &line{}
	for i := range beamsStraight + 1 {
		l.points = append(l.points, p.Frame.Point(0, 0, length*(float64(i)/beamsStraight-0.5)))
	}
	return l
}

// profile is the section of stock where its walls are known, else of its outline.
func (m Metal) profile(p Piece) (Section, r3.Vec, error) {
	f, points := p.Part.Frame, flattened(p.Part.Outline)
	wide := r3.Cross(f.Axis, f.Ref)
	s, turn, err := m.polygon(points, thin(p.Size))
	if err != nil {
		return s, r3.Vec{}, err
	}
	sin, cos := math.Sincos(turn)
	if t := max(p.Size.WallDesignMM, 0); t > 0 && p.Size.HeightMM > 0 {
		s = m.box(p.Size.HeightMM, p.Size.WidthMM, t)
	}
	return s, r3.Add(r3.Scale(cos, f.Ref), r3.Scale(sin, wide)), nil
}

// thin is the thickness of an angle, 0 of other sections.
func thin(s stock.Size) float64 {
	if s.Form == "angle" {
		return s.ThicknessMM
	}
	return 0
}

// flattened is an outline with its arcs as chords of at most a twelfth of a turn.
func flattened(steps []stock.Step) [][2]float64 {
	var out [][2]float64
	for i, s := range steps {
		from := steps[(i+len(steps)-1)%len(steps)].To
		if s.Arc {
			out = append(out, through(from, s.Via, s.To)...)
		}
		out = append(out, s.To)
	}
	return out
}

// through are points on the arc from a over b to c, ends left out; none where the
// three lie in line.
func through(a, b, c [2]float64) [][2]float64 {
	d := 2 * ((a[0]-c[0])*(b[1]-c[1]) - (b[0]-c[0])*(a[1]-c[1]))
	if d == 0 {
		return nil
	}
	sq := func(p [2]float64) float64 { return (p[0]-c[0])*(p[0]-c[0]) + (p[1]-c[1])*(p[1]-c[1]) }
	x := c[0] + (sq(a)*(b[1]-c[1])-sq(b)*(a[1]-c[1]))/d
	y := c[1] + (sq(b)*(a[0]-c[0])-sq(a)*(b[0]-c[0]))/d
	r, start := math.Hypot(a[0]-x, a[1]-y), math.Atan2(a[1]-y, a[0]-x)
	sweep := math.Mod(math.Atan2(c[1]-y, c[0]-x)-start+4*math.Pi, 2*math.Pi)
	if d < 0 { // clockwise
		sweep -= 2 * math.Pi
	}
	n := int(math.Ceil(math.Abs(sweep) / (math.Pi / 6)))
	var out [][2]float64
	for i := 1; i < n; i++ {
		sin, cos := math.Sincos(start + sweep*float64(i)/float64(n))
		out = append(out, [2]float64{x + r*cos, y + r*sin})
	}
	return out
}
