package solid

import (
	"errors"
	"math"
	"slices"
)

// Outline is a closed line of steps; the last one ends where the first begins.
type Outline []Step

// Step is a line to To, or an arc to it through Via. An outline of one arc is a
// circle through To and, opposite, Via.
type Step struct {
	To, Via [2]float64
	Arc     bool
}

// Round is a circle.
func Round(u, v, radiusMM float64) Outline {
	return Outline{{To: [2]float64{u + radiusMM, v}, Via: [2]float64{u - radiusMM, v}, Arc: true}}
}

// Polygon is an outline of lines.
func Polygon(points ...[2]float64) Outline {
	out := make(Outline, 0, len(points))
	for _, p := range points {
		out = append(out, Step{To: p})
	}
	return out
}

// segment is a step with both its ends; sweep 0 for a line, else signed radians
// about centre, positive counter-clockwise.
type segment struct {
	a, b, centre [2]float64
	radius       float64
	from, sweep  float64
}

// leastMM is the shortest step of an outline: OpenCascade and others take points
// within 1e-7 mm for one; this leaves room for rounding to the nanometre.
const leastMM = 1e-5

var errOutline = errors.New("an outline encloses no area")

// segments resolves an outline, counter-clockwise or not.
func (o Outline) segments(ccw bool) ([]segment, error) {
	if len(o) == 0 {
		return nil, errOutline
	}
	var out []segment
	at := o[len(o)-1].To
	for _, s := range o {
		if !finite(s.To[0], s.To[1], s.Via[0], s.Via[1]) {
			return nil, errors.New("an outline has a coordinate that is no number")
		}
		if len(o) == 1 && s.Arc {
			out = append(out, circleSegment(s))
			break
		}
		if math.Hypot(s.To[0]-at[0], s.To[1]-at[1]) < leastMM {
			continue
		}
		out = append(out, stepSegment(at, s))
		at = s.To
	}
	area := areaOf(out).area
	if !(math.Abs(area) > leastMM*leastMM) {
		return nil, errOutline
	}
	if (area > 0) != ccw {
		slices.Reverse(out)
		for i, s := range out {
			out[i] = segment{s.b, s.a, s.centre, s.radius, s.from + s.sweep, -s.sweep}
		}
	}
	return out, nil
}

func circleSegment(s Step) segment {
	c := [2]float64{(s.To[0] + s.Via[0]) / 2, (s.To[1] + s.Via[1]) / 2}
	d := [2]float64{s.To[0] - c[0], s.To[1] - c[1]}
	return segment{s.To, s.To, c, math.Hypot(d[0], d[1]), math.Atan2(d[1], d[0]), 2 * math.Pi}
}

// stepSegment is a line where the arc is flatter than a millionth of its chord.
func stepSegment(at [2]float64, s Step) segment {
	line := segment{a: at, b: s.To}
	if !s.Arc {
		return line
	}
	ax, ay, bx, by := s.Via[0]-at[0], s.Via[1]-at[1], s.To[0]-at[0], s.To[1]-at[1]
	d := 2 * (ax*by - ay*bx)
	if math.Abs(d) < 4e-6*(bx*bx+by*by) {
		return line
	}
	la, lb := ax*ax+ay*ay, bx*bx+by*by
	x, y := (by*la-ay*lb)/d, (ax*lb-bx*la)/d
	out := segment{at, s.To, [2]float64{at[0] + x, at[1] + y}, math.Hypot(x, y), math.Atan2(-y, -x), 0}
	turn := func(p [2]float64) float64 {
		t := math.Atan2(p[1]-out.centre[1], p[0]-out.centre[0]) - out.from
		return math.Mod(t+4*math.Pi, 2*math.Pi)
	}
	out.sweep = turn(s.To)
	if turn(s.Via) > out.sweep {
		out.sweep -= 2 * math.Pi
	}
	return out
}

func (s segment) closed() bool { return math.Abs(s.sweep) == 2*math.Pi }

func (s segment) lengthMM() float64 {
	if s.sweep == 0 {
		return math.Hypot(s.b[0]-s.a[0], s.b[1]-s.a[1])
	}
	return s.radius * math.Abs(s.sweep)
}

// at is the point and derivative at t in 0 … 1.
func (s segment) at(t float64) (p, d [2]float64) {
	if s.sweep == 0 {
		d = [2]float64{s.b[0] - s.a[0], s.b[1] - s.a[1]}
		return [2]float64{s.a[0] + t*d[0], s.a[1] + t*d[1]}, d
	}
	sin, cos := math.Sincos(s.from + t*s.sweep)
	return [2]float64{s.centre[0] + s.radius*cos, s.centre[1] + s.radius*sin}, [2]float64{-s.radius * sin * s.sweep, s.radius * cos * s.sweep}
}

// parted divides a full circle into n arcs.
func parted(l []segment, n int) []segment {
	if len(l) != 1 || !l[0].closed() {
		return l
	}
	var out []segment
	s, step := l[0], l[0].sweep/float64(n)
	for k := range n {
		a, _ := s.at(float64(k) / float64(n))
		b, _ := s.at(float64((k+1)%n) / float64(n))
		out = append(out, segment{a, b, s.centre, s.radius, s.from + step*float64(k), step})
	}
	return out
}

// area and its first moments, u and v.
type moments struct{ area, u, v float64 }

func (m moments) plus(o moments) moments { return moments{m.area + o.area, m.u + o.u, m.v + o.v} }

// areaOf is that of the polygon of chords and of the circular segments on them,
// whose moment about their centre is 2/3 r³ sin³(sweep/2) along the bisector.
func areaOf(list []segment) moments {
	var m moments
	if len(list) == 0 {
		return m
	}
	o := list[0].a
	for _, s := range list {
		ax, ay, bx, by := s.a[0]-o[0], s.a[1]-o[1], s.b[0]-o[0], s.b[1]-o[1]
		a := (ax*by - ay*bx) / 2
		m = m.plus(moments{a, a * (o[0] + (ax+bx)/3), a * (o[1] + (ay+by)/3)})
		if s.sweep != 0 {
			a = s.radius * s.radius / 2 * (s.sweep - math.Sin(s.sweep))
			k := 2.0 / 3 * math.Pow(s.radius, 3) * math.Pow(math.Sin(s.sweep/2), 3)
			sin, cos := math.Sincos(s.from + s.sweep/2)
			m = m.plus(moments{a, a*s.centre[0] + k*cos, a*s.centre[1] + k*sin})
		}
	}
	return m
}

// Chords of a full circle.
const (
	coarsest = 24
	finest   = 180
)

// chords is how many chords an arc of the radius needs to stay within chordMM.
func chords(radiusMM, sweepRad, chordMM float64) int {
	full := float64(finest)
	if x := 1 - chordMM/radiusMM; x > 0 && x < 1 {
		full = math.Pi / math.Acos(x)
	} else if x <= 0 {
		full = coarsest
	}
	full = min(max(full, coarsest), finest)
	return max(1, int(math.Ceil(full*math.Abs(sweepRad)/(2*math.Pi)-1e-9)))
}

// polyline is the loop in chords, each segment's first point and those inside it.
func polyline(list []segment, chordMM float64) [][2]float64 {
	var out [][2]float64
	for _, s := range list {
		n := 1
		if s.sweep != 0 {
			n = chords(s.radius, s.sweep, chordMM)
		}
		for k := range n {
			p, _ := s.at(float64(k) / float64(n))
			out = append(out, p)
		}
	}
	return out
}
