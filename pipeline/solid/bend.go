package solid

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Bend is round bar or tube along straights and arcs that run into each other
// without a kink. It starts at the origin along z, its first arc turning towards
// x. Ends are square to the centreline unless a normal (outward) says otherwise
// and the piece is straight there.
type Bend struct {
	Legs               []Leg
	SectionMM, BoreMM  float64
	StartOut, FinalOut r3.Vec // zero: square
}

// Leg is a straight of LengthMM, or an arc of RadiusMM (of its centreline)
// through SweepRad. TurnRad is the angle from the plane of the arc before to its
// own, about the way the piece runs, right-handed.
type Leg struct {
	LengthMM                    float64
	RadiusMM, SweepRad, TurnRad float64
}

// run lays the legs out. section[i] is the frame of the section at joint i: its
// x is carried along without twist; bow[i] the frame of leg i with x towards the
// centre of its arc.
func (s Bend) run() (section, bow []Frame) {
	at := Frame{X: r3.Vec{X: 1}, Z: r3.Vec{Z: 1}}
	carried := at
	section = []Frame{carried}
	first := true
	for _, l := range s.Legs {
		if l.RadiusMM == 0 {
			bow = append(bow, at)
			step := r3.Scale(l.LengthMM, at.Z)
			at.Origin, carried.Origin = r3.Add(at.Origin, step), r3.Add(carried.Origin, step)
			section = append(section, carried)
			continue
		}
		if !first {
			sin, cos := math.Sincos(l.TurnRad)
			at.X = r3.Unit(at.Dir(cos, sin, 0))
		}
		first = false
		bow = append(bow, at)
		centre, axis := at.Point(l.RadiusMM, 0, 0), r3.Cross(at.Z, at.X)
		at = turnedFrame(at, centre, axis, l.SweepRad)
		carried = turnedFrame(carried, centre, axis, l.SweepRad)
		section = append(section, carried)
	}
	return section, bow
}

// turnedFrame turns f about an axis through centre.
func turnedFrame(f Frame, centre, axis r3.Vec, rad float64) Frame {
	q := r3.NewRotation(rad, axis)
	return NewFrame(r3.Add(centre, q.Rotate(r3.Sub(f.Origin, centre))), q.Rotate(f.Z), q.Rotate(f.X))
}

func (s Bend) sound() bool {
	if len(s.Legs) == 0 || !finite(s.SectionMM, s.BoreMM) || s.BoreMM < 0 || s.SectionMM-s.BoreMM <= leastMM {
		return false
	}
	for _, l := range s.Legs {
		switch {
		case !finite(l.LengthMM, l.RadiusMM, l.SweepRad, l.TurnRad):
			return false
		case l.RadiusMM == 0 && l.LengthMM <= leastMM:
			return false
		case l.RadiusMM != 0 && (l.RadiusMM <= s.SectionMM/2+leastMM || l.SweepRad <= 1e-6 || l.SweepRad > 2*math.Pi-1e-6):
			return false
		}
	}
	return s.mitre(0) <= s.room(0) && s.mitre(1) <= s.room(len(s.Legs)-1)
}

// LengthMM is that of the centreline.
func (s Bend) LengthMM() float64 {
	sum := 0.0
	for _, l := range s.Legs {
		sum += l.LengthMM + l.RadiusMM*l.SweepRad
	}
	return sum
}

// Ends are where the centreline starts and ends.
func (s Bend) Ends() (start, final r3.Vec) {
	section, _ := s.run()
	return section[0].Origin, section[len(section)-1].Origin
}

// out is the normal of an end, in the frame of its section.
func (s Bend) out(end int) r3.Vec {
	section, _ := s.run()
	n, f, leg, sign := s.StartOut, section[0], s.Legs[0], -1.0
	if end == 1 {
		n, f, leg, sign = s.FinalOut, section[len(section)-1], s.Legs[len(s.Legs)-1], 1
	}
	d := f.LocalDir(n)
	if leg.RadiusMM != 0 || d.Z*sign < 0.05*r3.Norm(n) || r3.Norm(n) == 0 {
		return r3.Vec{Z: sign}
	}
	return r3.Unit(d)
}

// mitre is how far an end's plane reaches along the piece from the centreline.
func (s Bend) mitre(end int) float64 {
	n := s.out(end)
	return s.SectionMM / 2 * math.Hypot(n.X, n.Y) / math.Abs(n.Z)
}

func (s Bend) room(leg int) float64 {
	r := s.Legs[leg].LengthMM
	if len(s.Legs) == 1 {
		r /= 2
	}
	return r
}

// VolumeMM3 is by Pappus' rule, plane ends of straights being cut through the
// centroid.
func (s Bend) VolumeMM3() float64 {
	return math.Pi / 4 * (s.SectionMM*s.SectionMM - s.BoreMM*s.BoreMM) * s.LengthMM()
}

// end is the plane z = U x + V y of an end in its section's frame.
func (s Bend) end(k int) Cut {
	n := s.out(k)
	c, _ := CutAt(r3.Vec{}, n)
	return c
}

func (s Bend) Body() (Body, error) {
	var b Body
	if !s.sound() {
		return b, errSizes
	}
	section, bow := s.run()
	caps := [2]Face{}
	for k := range caps {
		f, n := section[0], s.out(0)
		if k == 1 {
			f, n = section[len(section)-1], s.out(1)
		}
		caps[k] = Face{Surface: Plane{NewFrame(f.Origin, f.dir(n), f.X)}, Outward: true}
	}
	for k, d := range []float64{s.SectionMM, s.BoreMM} {
		if d == 0 {
			continue
		}
		first, last := b.pipe(s, section, bow, d/2, k == 0)
		loops := [2][]Use{{back(first)}, {along(last)}}
		for i := range caps {
			if k == 1 {
				loops[i] = reversed(loops[i])
			}
			caps[i].Loops = append(caps[i].Loops, loops[i])
		}
	}
	b.Faces = append(b.Faces, caps[:]...)
	return b, nil
}

// pipe adds the faces of one radius and returns its first and last circle.
func (b *Body) pipe(s Bend, section, bow []Frame, r float64, outward bool) (first, last int) {
	var vertex, circle []int
	for i, f := range section {
		var c Cut
		if i == 0 {
			c = s.end(0)
		} else if i == len(section)-1 {
			c = s.end(1)
		}
		v := b.vertex(f.at(c.point([2]float64{r, 0})))
		vertex = append(vertex, v)
		circle = append(circle, b.edge(v, v, placed(f, c.curve(circleSegment(Round(0, 0, r)[0])))))
	}
	for i, l := range s.Legs {
		var seam int
		var surface Surface
		if l.RadiusMM == 0 {
			seam = b.edge(vertex[i], vertex[i+1], Line{})
			surface = Cylinder{section[i], r}
		} else {
			at := bow[i]
			centre, axis := at.Point(l.RadiusMM, 0, 0), r3.Cross(at.Z, at.X)
			// The seam turns about the arc's axis at its own height and radius.
			q := section[i].Point(r, 0, 0)
			up := r3.Scale(r3.Dot(r3.Sub(q, centre), axis), axis)
			away := r3.Sub(q, r3.Add(centre, up))
			seam = b.edge(vertex[i], vertex[i+1], Circle{NewFrame(r3.Add(centre, up), axis, away), r3.Norm(away)})
			surface = Torus{NewFrame(centre, axis, r3.Scale(-1, at.X)), l.RadiusMM, r}
		}
		loop := []Use{along(circle[i]), along(seam), back(circle[i+1]), back(seam)}
		if !outward {
			loop = reversed(loop)
		}
		b.Faces = append(b.Faces, Face{surface, outward, [][]Use{loop}})
	}
	return circle[0], circle[len(circle)-1]
}

// placed takes a curve from frame f.
func placed(f Frame, c Curve) Curve {
	switch c := c.(type) {
	case Circle:
		return Circle{f.take(c.At), c.RadiusMM}
	case Ellipse:
		return Ellipse{f.take(c.At), c.A, c.B}
	}
	return c
}

func (s Bend) Mesh(chordMM float64) (Mesh, error) {
	var m Mesh
	if !s.sound() {
		return m, errSizes
	}
	stations := s.stations(chordMM)
	n := uint32(chords(s.SectionMM/2, 2*math.Pi, chordMM))
	m.tubular(stations, [2]Cut{s.end(0), s.end(1)}, s.SectionMM/2, s.BoreMM/2, n)
	return m, nil
}

// stations are the frames of sections along the legs.
func (s Bend) stations(chordMM float64) []Frame {
	section, bow := s.run()
	out := section[:1:1]
	for i, l := range s.Legs {
		if l.RadiusMM != 0 {
			centre, axis := bow[i].Point(l.RadiusMM, 0, 0), r3.Cross(bow[i].Z, bow[i].X)
			n := chords(l.RadiusMM+s.SectionMM/2, l.SweepRad, chordMM)
			for k := 1; k < n; k++ {
				out = append(out, turnedFrame(section[i], centre, axis, l.SweepRad*float64(k)/float64(n)))
			}
		}
		out = append(out, section[i+1])
	}
	return out
}

// tubular is the closed mesh of a round section along stations, with its ends
// in planes of the first and last.
func (m *Mesh) tubular(stations []Frame, ends [2]Cut, ro, ri float64, n uint32) {
	var rings [2][]uint32
	surfaces := 1
	if ri > 0 {
		surfaces = 2
	}
	m.room(surfaces*len(stations)*int(n)+2, 2*surfaces*(len(stations)+1)*int(n))
	for k, r := range []float64{ro, ri} {
		if r == 0 {
			continue
		}
		start := len(m.Triangles)
		for i, f := range stations {
			ring := m.ring(f, r, n)
			rings[k] = append(rings[k], ring)
			for e, at := range []int{0, len(stations) - 1} {
				if i == at {
					for j := ring; j < ring+n; j++ {
						q := f.Local(m.Points[j])
						m.Points[j] = f.at(ends[e].point([2]float64{q.X, q.Y}))
					}
				}
			}
		}
		m.skin(rings[k], n)
		if k == 1 {
			m.turn(start)
		}
	}
	last := len(stations) - 1
	a, b := rings[0][0], rings[0][last]
	if ri > 0 {
		c, d := rings[1][0], rings[1][last]
		for j := range n {
			k := (j + 1) % n
			m.quad(a+k, a+j, c+j, c+k)
			m.quad(b+j, b+k, d+k, d+j)
		}
		return
	}
	ca, cb := m.point(stations[0].Origin), m.point(stations[last].Origin)
	for j := range n {
		k := (j + 1) % n
		m.triangle(a+k, a+j, ca)
		m.triangle(b+j, b+k, cb)
	}
}

// Wires is the centreline, a curve a leg.
func (s Bend) Wires() []Wire {
	section, bow := s.run()
	var out []Wire
	for i, l := range s.Legs {
		if l.RadiusMM == 0 {
			out = append(out, Wire{Points: []r3.Vec{section[i].Origin, section[i+1].Origin}})
			continue
		}
		centre, axis := bow[i].Point(l.RadiusMM, 0, 0), r3.Cross(bow[i].Z, bow[i].X)
		out = append(out, Wire{Arc: &Arc{NewFrame(centre, axis, r3.Scale(-1, bow[i].X)), l.RadiusMM, l.SweepRad}})
	}
	return out
}
