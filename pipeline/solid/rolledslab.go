package solid

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// RolledSlab is a flat blank rolled about z: its outline and holes as cut, u
// along the arc of the middle surface from x, counter-clockwise, v along z.
// Edges that were square to the blank lie radial. A hole that was cut round is so
// on the middle surface: its edges on the two cylinders are splines, within 3e-7
// of its radius of the rolled circle.
type RolledSlab struct {
	InsideMM, ThicknessMM float64
	Outer                 Outline
	Holes                 []Outline
}

// Rectangle is the outline of a blank of the length from u = 0, its width about
// v = 0.
func Rectangle(lengthMM, widthMM float64) Outline {
	w := widthMM / 2
	return Polygon([2]float64{0, -w}, [2]float64{lengthMM, -w}, [2]float64{lengthMM, w}, [2]float64{0, w})
}

func (s RolledSlab) radii() (in, mid, out float64) {
	in = s.InsideMM / 2
	return in, in + s.ThicknessMM/2, in + s.ThicknessMM
}

func (s RolledSlab) loops() ([][]segment, error) {
	in, mid, _ := s.radii()
	if !finite(s.InsideMM, s.ThicknessMM) || in <= leastMM || s.ThicknessMM <= leastMM {
		return nil, errSizes
	}
	p := Prism{Outer: s.Outer, Holes: s.Holes, High: Cut{Z: s.ThicknessMM}}
	loops, err := p.loops()
	if err != nil {
		return nil, err
	}
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, q := range polyline(loops[0], 0) {
		lo, hi = min(lo, q[0]), max(hi, q[0])
	}
	if hi-lo > 2*math.Pi*mid-leastMM {
		return nil, errors.New("the blank is longer than one turn")
	}
	for i, l := range loops {
		loops[i] = parted(l, 2)
	}
	return loops, nil
}

// VolumeMM3 is the blank's area times its thickness, exactly: radial edges make
// the inside as much shorter as the outside longer.
func (s RolledSlab) VolumeMM3() float64 {
	loops, err := s.loops()
	if err != nil {
		return 0
	}
	sum := 0.0
	for _, l := range loops {
		sum += areaOf(l).area
	}
	return sum * s.ThicknessMM
}

// roll takes a point of the blank to radius r, with d, its change.
func (s RolledSlab) roll(p, d [2]float64, r float64) (at, change r3.Vec) {
	_, mid, _ := s.radii()
	sin, cos := math.Sincos(p[0] / mid)
	k := d[0] / mid * r
	return r3.Vec{X: r * cos, Y: r * sin, Z: p[1]}, r3.Vec{X: -k * sin, Y: k * cos, Z: d[1]}
}

func (s RolledSlab) place(p [2]float64, r float64) r3.Vec {
	at, _ := s.roll(p, [2]float64{}, r)
	return at
}

func (s RolledSlab) Body() (Body, error) {
	var b Body
	loops, err := s.loops()
	if err != nil {
		return b, err
	}
	ri, _, ro := s.radii()
	var inner, outer [][]Use
	for _, l := range loops {
		lo, hi := b.rolledWalls(s, l)
		inner, outer = append(inner, reversed(lo)), append(outer, hi)
	}
	// A seam of the cylinders opposite the plate lies in neither face.
	mid := 0.0
	for _, g := range loops[0] {
		mid += g.a[0] / float64(len(loops[0]))
	}
	at := s.place([2]float64{mid, 0}, 1)
	f := Frame{X: r3.Vec{X: -at.X, Y: -at.Y}, Z: r3.Vec{Z: 1}}
	b.Faces = append(b.Faces, Face{Cylinder{f, ri}, false, inner}, Face{Cylinder{f, ro}, true, outer})
	return b, nil
}

// rolledWalls adds the radial faces over one loop.
func (b *Body) rolledWalls(s RolledSlab, l []segment) (lo, hi []Use) {
	ri, _, ro := s.radii()
	var in, out, up []int
	for _, g := range l {
		in, out = append(in, b.vertex(s.place(g.a, ri))), append(out, b.vertex(s.place(g.a, ro)))
		up = append(up, b.edge(len(b.Vertices)-2, len(b.Vertices)-1, Line{}))
	}
	for i, g := range l {
		k := (i + 1) % len(l)
		c0, c1, surface := s.wall(g)
		e0, e1 := b.edge(in[i], in[k], c0), b.edge(out[i], out[k], c1)
		lo, hi = append(lo, along(e0)), append(hi, along(e1))
		b.Faces = append(b.Faces, Face{surface, true, [][]Use{{along(e0), along(up[k]), back(e1), back(up[i])}}})
	}
	return lo, hi
}

// wall is the radial surface over a segment with its curves on both cylinders:
// planes along the axis and across it, else ruled between splines.
func (s RolledSlab) wall(g segment) (in, out Curve, face Surface) {
	ri, mid, ro := s.radii()
	du, dv := g.b[0]-g.a[0], g.b[1]-g.a[1]
	away := s.place(g.a, 1)
	away.Z = 0
	switch {
	case g.sweep == 0 && du == 0:
		d := r3.Vec{Z: math.Copysign(1, dv)}
		return Line{}, Line{}, Plane{Frame{s.place(g.a, ri), d, r3.Cross(d, away)}}
	case g.sweep == 0 && dv == 0:
		at := Frame{r3.Vec{Z: g.a[1]}, away, r3.Vec{Z: math.Copysign(1, du)}}
		return Circle{at, ri}, Circle{at, ro}, Plane{Frame{at.Origin, away, r3.Vec{Z: -math.Copysign(1, du)}}}
	}
	turn := max(math.Abs(g.sweep), g.lengthMM()/mid)
	n := max(4, int(math.Ceil(turn/(2*math.Pi)*hermiteSteps)))
	spline := func(r float64) Spline {
		return hermite(n, func(t float64) (r3.Vec, r3.Vec) {
			p, d := g.at(t)
			return s.roll(p, d, r)
		})
	}
	a, b := spline(ri), spline(ro)
	p := Patch{DegreeU: 3, DegreeV: 1, KnotsU: a.Knots, MultsU: a.Mults, KnotsV: []float64{0, 1}, MultsV: []int{2, 2}}
	for i := range a.Points {
		p.Points = append(p.Points, []r3.Vec{a.Points[i], b.Points[i]})
	}
	return a, b, p
}

// Mesh fills the blank with triangles, cuts them along generators so that none
// spans more than a chord, and rolls it.
func (s RolledSlab) Mesh(chordMM float64) (Mesh, error) {
	var m Mesh
	loops, err := s.loops()
	if err != nil {
		return m, err
	}
	ri, mid, ro := s.radii()
	step := 2 * math.Pi * mid / float64(chords(ro, 2*math.Pi, chordMM))
	var lines [][][2]float64
	var all [][2]float64
	for _, l := range loops {
		line := ruled(polyline(l, chordMM), step)
		lines, all = append(lines, line), append(all, line...)
	}
	tri, err := triangulate(lines)
	if err != nil {
		return m, fmt.Errorf("rolled: %w", err)
	}
	all, tri = strips(all, tri, step)
	n := uint32(len(all))
	for _, r := range []float64{ri, ro} {
		for _, q := range all {
			m.point(s.place(q, r))
		}
	}
	m.span(lines, tri, n)
	return m, nil
}

// Wires are outline and holes on the middle surface, curves in 64 chords a turn.
func (s RolledSlab) Wires() []Wire {
	loops, err := s.loops()
	if err != nil {
		return nil
	}
	_, mid, _ := s.radii()
	var out []Wire
	for _, l := range loops {
		for _, g := range l {
			c, _, _ := s.wall(g)
			switch c := c.(type) {
			case Line:
				out = append(out, Wire{Points: []r3.Vec{s.place(g.a, mid), s.place(g.b, mid)}})
			case Circle:
				out = append(out, Wire{Arc: &Arc{c.At, mid, math.Abs(g.b[0]-g.a[0]) / mid}})
			case Spline:
				var w Wire
				for i := range len(c.Knots) {
					p, _ := g.at(float64(i) / float64(len(c.Knots)-1))
					w.Points = append(w.Points, s.place(p, mid))
				}
				out = append(out, w)
			}
		}
	}
	return out
}
