package shop

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/draw"
	"pointup/pipeline/stock"
)

// FlatsOf are the patterns of all parts that are cut from plate, with an opening
// where a contact says that another part passes through, and the line on which
// others stand. A ring whose bore another piece fills is bored for that piece. A
// part of which no pattern can be made is left out; why says so.
func FlatsOf(parts []stock.Part, contacts []stock.Contact, opt FlatOptions) (flats []Flat, why []error) {
	for i, p := range parts {
		if !IsFlat(p) || p.Made {
			continue
		}
		f, err := FlatOf(p, opt)
		filled := false
		if err != nil && p.Kind == "ring" {
			if _, seen := p.Size("inside_diameter_mm"); !seen {
				f, filled = filledRing(p, opt)
			}
		}
		if err != nil && !filled {
			why = append(why, err)
			continue
		}
		if flatFace(p) {
			f.meetAll(i, parts, contacts, opt)
		}
		if filled && len(f.Openings) == 0 {
			why = append(why, err)
			continue
		}
		flats = append(flats, f)
	}
	return flats, why
}

// filledRing is a ring without its bore.
func filledRing(p stock.Part, opt FlatOptions) (Flat, bool) {
	p.Kind = "disc"
	f, err := FlatOf(p, opt)
	f.Kind = "ring"
	f.Notes = append(f.Notes, "the bore was not seen: it is that of the piece which fills it")
	return f, err == nil
}

// meetAll adds what all contacts of part i do to its pattern.
func (f *Flat) meetAll(i int, parts []stock.Part, contacts []stock.Contact, opt FlatOptions) {
	for _, c := range contacts {
		if c.A == i || c.B == i {
			f.meet(parts[i], parts[c.A+c.B-i], c, opt)
		}
	}
	f.measure(opt)
}

// flatFace tells whether the pattern lies in the part's own u, v as it stands.
func flatFace(p stock.Part) bool {
	return p.Kind != "rolled_plate" && p.Kind != "cone" && p.Kind != "arc"
}

// meet adds what a contact with another part does to the pattern.
func (f *Flat) meet(p, other stock.Part, c stock.Contact, opt FlatOptions) {
	b, straight := barOf(other, p.Frame)
	if c.Through && straight {
		l, width, err := b.opening(f.ThicknessMM, opt.PassGapMM)
		switch {
		case err != nil:
			f.Notes = append(f.Notes, fmt.Sprintf("%s passes through: %v", other.ID, err))
		case !f.holds(l):
		default:
			f.Openings = append(f.Openings, Opening{Loop: l, WidthMM: width, For: other.ID})
			f.Notes = append(f.Notes, fmt.Sprintf("an opening with %.1f mm all round for %s", opt.PassGapMM, title(other.ID, other.Name)))
		}
		return
	}
	f.footprint(p, other, b, straight, c, opt)
}

// holds tells whether a loop lies on metal wholly: it crosses no edge and is in no
// hole that is there already.
func (f Flat) holds(l Loop) bool {
	line, outer := l.line(), f.Outer.line()
	for _, q := range line {
		if !within(outer, q) {
			return false
		}
	}
	middle := meanOf(line)
	return !slices.ContainsFunc(f.Openings, func(o Opening) bool { return within(o.Loop.line(), middle) })
}

func meanOf(line [][2]float64) (m [2]float64) {
	for _, q := range line {
		m[0], m[1] = m[0]+q[0]/float64(len(line)), m[1]+q[1]/float64(len(line))
	}
	return m
}

// bar is a straight piece in a plate's frame: a point and the way of its axis, and
// the corners of its section; round where radius is over 0.
type bar struct {
	at, way r3.Vec
	radius  float64
	corners []r3.Vec
}

// local takes a point of SITE to a part's u, v and height.
func local(f stock.Frame, p r3.Vec) r3.Vec { return localWay(f, r3.Sub(p, f.OriginMM)) }

func localWay(f stock.Frame, d r3.Vec) r3.Vec {
	return r3.Vec{X: r3.Dot(d, f.Ref), Y: r3.Dot(d, r3.Cross(f.Axis, f.Ref)), Z: r3.Dot(d, f.Axis)}
}

// barOf sees a part as a bar; false for what has no straight axis. A plate's is
// the one of its length and width that stands more upright on the face.
func barOf(p stock.Part, f stock.Frame) (bar, bool) {
	size := func(key string) float64 {
		x, _ := p.Size(key)
		return x
	}
	b := bar{at: local(f, p.Frame.OriginMM), way: localWay(f, p.Frame.Axis)}
	corner := func(u, v, h float64) { b.corners = append(b.corners, local(f, p.Frame.Point(u, v, h))) }
	switch p.Kind {
	case "tube", "bar":
		b.radius = size("outside_diameter_mm") / 2
		return b, b.radius > 0
	case "profile":
		for _, s := range p.Outline {
			corner(s.To[0], s.To[1], 0)
			if s.Arc {
				corner(s.Via[0], s.Via[1], 0)
			}
		}
		return b, len(b.corners) > 2
	case "plate":
		l, w, t := size("length_mm")/2, size("width_mm")/2, size("thickness_mm")/2
		along, across := localWay(f, p.Frame.Ref), localWay(f, r3.Cross(p.Frame.Axis, p.Frame.Ref))
		b.way = along
		for _, x := range [4][2]float64{{-1, -1}, {1, -1}, {1, 1}, {-1, 1}} {
			if math.Abs(across.Z) > math.Abs(along.Z) {
				b.way = across
				corner(x[0]*l, 0, x[1]*t)
			} else {
				corner(0, x[0]*w, x[1]*t)
			}
		}
		return b, l > 0 && w > 0 && t > 0
	}
	return b, false
}

// steepMost is the least sine between axis and face at which an opening is cut:
// below 15° it is longer than four diameters.
const steepMost = 0.26

// opening is what a bar needs through both faces of a plate about z = 0: a circle
// where a round one stands square to it, else the convex line round its sections
// in both faces, with a gap all round.
func (b bar) opening(thicknessMM, gapMM float64) (Loop, float64, error) {
	if math.Abs(b.way.Z) < steepMost {
		return Loop{}, 0, errors.New("at so sharp an angle that its opening must be fitted by hand")
	}
	at := func(p r3.Vec, z float64) [2]float64 {
		k := (z - p.Z) / b.way.Z
		return [2]float64{p.X + k*b.way.X, p.Y + k*b.way.Y}
	}
	if b.radius > 0 && math.Hypot(b.way.X, b.way.Y) < squareSine {
		c := at(b.at, 0)
		return round(c[0], c[1], b.radius+gapMM), 2 * (b.radius + gapMM), nil
	}
	corners := b.corners
	if b.radius > 0 {
		x := r3.Unit(r3.Cross(b.way, r3.Vec{X: 0.36, Y: 0.48, Z: 0.8}))
		y := r3.Cross(b.way, x)
		for k := range 180 {
			sin, cos := math.Sincos(float64(k) * math.Pi / 90)
			corners = append(corners, r3.Add(b.at, r3.Add(r3.Scale((b.radius)*cos, x), r3.Scale((b.radius)*sin, y))))
		}
	}
	var flat [][2]float64
	for _, c := range corners {
		flat = append(flat, at(c, -thicknessMM/2), at(c, thicknessMM/2))
	}
	hull := grown(hullOf(flat), gapMM)
	if len(hull) < 3 {
		return Loop{}, 0, errors.New("its section is not known")
	}
	return polygon(hull...), narrowest(hull), nil
}

// squareSine is the sine of half a degree: a round opening takes so much.
const squareSine = 0.0087

// hullOf is the convex line round points, counter-clockwise (Andrew, Information
// Processing Letters 9 (1979) 216).
func hullOf(points [][2]float64) [][2]float64 {
	p := slices.Clone(points)
	slices.SortFunc(p, func(a, b [2]float64) int {
		switch {
		case a[0] < b[0] || a[0] == b[0] && a[1] < b[1]:
			return -1
		case a == b:
			return 0
		}
		return 1
	})
	p = slices.Compact(p)
	if len(p) < 3 {
		return nil
	}
	half := func(list [][2]float64) [][2]float64 {
		var h [][2]float64
		for _, q := range list {
			for len(h) > 1 && (h[len(h)-1][0]-h[len(h)-2][0])*(q[1]-h[len(h)-2][1])-(h[len(h)-1][1]-h[len(h)-2][1])*(q[0]-h[len(h)-2][0]) <= 1e-9 {
				h = h[:len(h)-1]
			}
			h = append(h, q)
		}
		return h[:len(h)-1]
	}
	low := half(p)
	slices.Reverse(p)
	return append(low, half(p)...)
}

// grown moves the sides of a convex line outwards.
func grown(hull [][2]float64, by float64) [][2]float64 {
	n := len(hull)
	if n < 3 {
		return nil
	}
	side := func(i int) (p, d [2]float64) {
		a, b := hull[i%n], hull[(i+1)%n]
		l := math.Hypot(b[0]-a[0], b[1]-a[1])
		d = [2]float64{(b[0] - a[0]) / l, (b[1] - a[1]) / l}
		return [2]float64{a[0] + by*d[1], a[1] - by*d[0]}, d
	}
	out := make([][2]float64, n)
	for i := range n {
		p, d := side(i + n - 1)
		q, e := side(i)
		cross := d[0]*e[1] - d[1]*e[0]
		if math.Abs(cross) < 1e-9 {
			out[i] = q
			continue
		}
		t := ((q[0]-p[0])*e[1] - (q[1]-p[1])*e[0]) / cross
		out[i] = [2]float64{p[0] + t*d[0], p[1] + t*d[1]}
	}
	return out
}

// footprint marks where another part stands on a face: the circle of a round one
// that stands square, else the seam as the scan has it.
func (f *Flat) footprint(p, other stock.Part, b bar, straight bool, c stock.Contact, opt FlatOptions) {
	var points []r3.Vec
	near, above := 0, 0
	for _, s := range c.Seam {
		q := local(p.Frame, s.PointMM)
		points = append(points, q)
		if math.Abs(math.Abs(q.Z)-f.ThicknessMM/2) < math.Max(f.ThicknessMM/4, 5) {
			near++
		}
		if q.Z > 0 {
			above++
		}
	}
	if len(points) < 2 || near < len(points)*4/5 {
		return
	}
	text := title(other.ID, other.Name)
	if above*2 < len(points) {
		text += " (other face)"
	}
	at := points[0]
	if straight && b.radius > 0 && math.Hypot(b.way.X, b.way.Y) < squareSine {
		at = b.at
		f.line(draw.Mark, draw.Circle(at.X, at.Y, b.radius))
		f.line(draw.Punch, draw.Cross(at.X, at.Y, opt.MarkMM)...)
	} else {
		for i := 1; i < len(points); i++ {
			if c.Seam[i].Run == c.Seam[i-1].Run {
				f.line(draw.Mark, draw.Segment(points[i-1].X, points[i-1].Y, points[i].X, points[i].Y))
			}
		}
	}
	f.line(draw.Mark, draw.Label{At: [2]float64{at.X, at.Y}, HeightMM: opt.MarkMM / 2, Text: text})
}
