package solid

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Coil is round bar or tube on a helix about z, half its height below the origin
// and half above. StartRad is the angle of its low end from x; both ends are
// square to the centreline. Its surface is a spline within 4e-6 of its outer
// radius: 0.004 mm on a coil of 2 m across.
type Coil struct {
	CentrelineMM, SectionMM, BoreMM float64
	PitchMM, Turns, StartRad        float64
	Left                            bool
}

// coilSteps a turn of the helix: (2π/32)⁴/384 = 3.9e-6 of its radius.
const coilSteps = 32

// turnsMost bounds what a coil takes up.
const turnsMost = 500

// sound also refuses turns that run into each other.
func (s Coil) sound() bool {
	return finite(s.CentrelineMM, s.SectionMM, s.BoreMM, s.PitchMM, s.Turns, s.StartRad) && s.BoreMM >= 0 && s.SectionMM-s.BoreMM > leastMM &&
		s.CentrelineMM-s.SectionMM > leastMM && s.Turns > 1e-3 && s.Turns <= turnsMost && s.PitchMM >= 0 &&
		(s.Turns < 1 || s.PitchMM*math.Cos(s.riseRad()) > s.SectionMM)
}

func (s Coil) riseRad() float64 { return math.Atan(s.PitchMM / (math.Pi * s.CentrelineMM)) }

// LengthMM is that of the centreline.
func (s Coil) LengthMM() float64 {
	return s.Turns * math.Hypot(math.Pi*s.CentrelineMM, s.PitchMM)
}

// VolumeMM3 is by Pappus' rule for a section square to its centreline.
func (s Coil) VolumeMM3() float64 {
	return math.Pi / 4 * (s.SectionMM*s.SectionMM - s.BoreMM*s.BoreMM) * s.LengthMM()
}

// moving is a point and its derivative.
type moving struct{ at, d r3.Vec }

func (m moving) plus(k float64, o moving) moving {
	return moving{r3.Add(m.at, r3.Scale(k, o.at)), r3.Add(m.d, r3.Scale(k, o.d))}
}

// frenet is the centreline at angle t from its low end, towards the axis, and
// square to both, with derivatives by t.
func (s Coil) frenet(t float64) (c, n, b moving) {
	hand := 1.0
	if s.Left {
		hand = -1
	}
	r, rise := s.CentrelineMM/2, s.PitchMM/(2*math.Pi)
	l := math.Hypot(r, rise)
	sin, cos := math.Sincos(s.StartRad + hand*t)
	c = moving{r3.Vec{X: r * cos, Y: r * sin, Z: rise * (t - math.Pi*s.Turns)}, r3.Vec{X: -r * hand * sin, Y: r * hand * cos, Z: rise}}
	n = moving{r3.Vec{X: -cos, Y: -sin}, r3.Vec{X: hand * sin, Y: -hand * cos}}
	b = moving{r3.Vec{X: rise * sin / l, Y: -rise * cos / l, Z: r * hand / l}, r3.Vec{X: rise * hand * cos / l, Y: rise * hand * sin / l}}
	return c, n, b
}

// section is the frame at angle t: z along the centreline, x towards the axis.
func (s Coil) section(t float64) Frame {
	c, n, _ := s.frenet(t)
	return NewFrame(c.at, c.d, n.at)
}

func (s Coil) Body() (Body, error) {
	var b Body
	if !s.sound() {
		return b, errSizes
	}
	sweep := 2 * math.Pi * s.Turns
	ends := [2]Frame{s.section(0), s.section(sweep)}
	caps := [2]Face{
		{Surface: Plane{Frame{ends[0].Origin, ends[0].X, r3.Scale(-1, ends[0].Z)}}, Outward: true},
		{Surface: Plane{ends[1]}, Outward: true},
	}
	for k, d := range []float64{s.SectionMM, s.BoreMM} {
		if d == 0 {
			continue
		}
		first, last := b.spring(s, d/2, k == 0)
		first = reversed(first)
		if k == 1 {
			first, last = reversed(first), reversed(last)
		}
		caps[0].Loops, caps[1].Loops = append(caps[0].Loops, first), append(caps[1].Loops, last)
	}
	b.Faces = append(b.Faces, caps[:]...)
	return b, nil
}

// coilPart is the longest part of a turn that one face covers: kernels measure
// longer ones too coarsely.
const coilPart = 0.25

// spring adds the surface of one radius, two faces around, and returns the half
// circles at its ends.
func (b *Body) spring(s Coil, r float64, outward bool) (first, last []Use) {
	parts := int(math.Ceil(s.Turns/coilPart - 1e-9))
	step := 2 * math.Pi * s.Turns / float64(parts)
	low := b.halfCircles(s.section(0), r)
	first = low.loop()
	for i := range parts {
		high := b.halfCircles(s.section(step*float64(i+1)), r)
		b.springPart(s, [2]float64{step * float64(i), step * float64(i+1)}, [2]halfCircles{low, high}, r, outward)
		low = high
	}
	return first, low.loop()
}

// halfCircles are the vertices of a section on its x and opposite, and the arcs
// from each to the other.
type halfCircles struct{ vertex, arc [2]int }

func (b *Body) halfCircles(f Frame, r float64) (h halfCircles) {
	h.vertex = [2]int{b.vertex(f.Point(r, 0, 0)), b.vertex(f.Point(-r, 0, 0))}
	for k, x := range []float64{1, -1} {
		h.arc[k] = b.edge(h.vertex[k], h.vertex[1-k], Circle{Frame{f.Origin, r3.Scale(x, f.X), f.Z}, r})
	}
	return h
}

func (h halfCircles) loop() []Use { return []Use{along(h.arc[0]), along(h.arc[1])} }

// halfSpans are the arcs that half a section is written in: kernels measure a
// longer one too coarsely, by 1e-4 of the volume with two.
const halfSpans = 6

// springPart adds the two faces between angles t of the helix.
func (b *Body) springPart(s Coil, t [2]float64, ends [2]halfCircles, r float64, outward bool) {
	n := max(2, int(math.Ceil((t[1]-t[0])/(2*math.Pi)*coilSteps)))
	h := (t[1] - t[0]) / float64(n)
	knots, mults := hermiteKnots(n, h)
	stations := make([][3]moving, n+1)
	for i := range stations {
		c, nn, bb := s.frenet(t[0] + h*float64(i))
		stations[i] = [3]moving{c, nn, bb}
	}
	at, d := make([]r3.Vec, n+1), make([]r3.Vec, n+1)
	// line is the curve that a point of the section, in units of r, draws.
	line := func(x, y float64) []r3.Vec {
		for i, st := range stations {
			m := st[0].plus(x*r, st[1]).plus(y*r, st[2])
			at[i], d[i] = m.at, m.d
		}
		return hermitePoints(at, d, h)
	}
	var seam [2]int
	for k, x := range []float64{1, -1} {
		seam[k] = b.edge(ends[0].vertex[k], ends[1].vertex[k], Spline{3, line(x, 0), knots, mults})
	}
	for k, x := range []float64{1, -1} {
		p := Patch{DegreeU: 3, DegreeV: 2, KnotsU: knots, MultsU: mults}
		var columns [2*halfSpans + 1][]r3.Vec
		for i := range columns { // on the circle, and where its tangents there meet
			weight := 1.0
			if i%2 == 1 {
				weight = math.Cos(math.Pi / (2 * halfSpans))
			}
			sin, cos := math.Sincos(math.Pi / (2 * halfSpans) * float64(i))
			columns[i] = line(x*cos/weight, x*sin/weight)
			p.Weights = append(p.Weights, weight)
		}
		for i := range columns[0] {
			row := make([]r3.Vec, len(columns))
			for j := range columns {
				row[j] = columns[j][i]
			}
			p.Points = append(p.Points, row)
		}
		for i := range halfSpans + 1 {
			p.KnotsV, p.MultsV = append(p.KnotsV, float64(i)/halfSpans), append(p.MultsV, 2)
		}
		p.MultsV[0], p.MultsV[halfSpans] = 3, 3
		loop := []Use{along(ends[0].arc[k]), along(seam[1-k]), back(ends[1].arc[k]), back(seam[k])}
		if !outward {
			loop = reversed(loop)
		}
		b.Faces = append(b.Faces, Face{p, !outward, [][]Use{loop}}) // u × v leads inwards
	}
}

func (s Coil) Mesh(chordMM float64) (Mesh, error) {
	var m Mesh
	if !s.sound() {
		return m, errSizes
	}
	var stations []Frame
	n := chords((s.CentrelineMM+s.SectionMM)/2, 2*math.Pi*s.Turns, chordMM)
	for i := range n + 1 {
		stations = append(stations, s.section(2*math.Pi*s.Turns*float64(i)/float64(n)))
	}
	m.tubular(stations, [2]Cut{}, s.SectionMM/2, s.BoreMM/2, uint32(chords(s.SectionMM/2, 2*math.Pi, chordMM)))
	return m, nil
}

// Wires is the centreline, in 64 chords a turn.
func (s Coil) Wires() []Wire {
	if !s.sound() {
		return nil
	}
	var w Wire
	n := max(2, int(math.Ceil(hermiteSteps*s.Turns)))
	for i := range n + 1 {
		c, _, _ := s.frenet(2 * math.Pi * s.Turns * float64(i) / float64(n))
		w.Points = append(w.Points, c.at)
	}
	return []Wire{w}
}
