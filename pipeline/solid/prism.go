package solid

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Prism is an outline with holes, drawn out along z between two planes: tube,
// bar, disc, flat ring, plate, profile, toothed wheel.
type Prism struct {
	Outer     Outline
	Holes     []Outline
	Low, High Cut
}

// Cut is the plane z = Z + U u + V v.
type Cut struct{ Z, U, V float64 }

func (c Cut) at(p [2]float64) float64 { return c.Z + c.U*p[0] + c.V*p[1] }

func (c Cut) point(p [2]float64) r3.Vec { return r3.Vec{X: p[0], Y: p[1], Z: c.at(p)} }

// CutAt is the plane through a point with a normal, in the prism's frame. ok is
// false for a plane that the axis does not cross.
func CutAt(at, normal r3.Vec) (Cut, bool) {
	if math.Abs(normal.Z) < 1e-3*r3.Norm(normal) || r3.Norm(normal) == 0 {
		return Cut{}, false
	}
	c := Cut{U: -normal.X / normal.Z, V: -normal.Y / normal.Z}
	c.Z = at.Z - c.U*at.X - c.V*at.Y
	return c, true
}

// Tube is a round tube about z, a bar where insideMM is 0.
func Tube(outsideMM, insideMM float64, low, high Cut) Prism {
	p := Prism{Outer: Round(0, 0, outsideMM/2), Low: low, High: high}
	if insideMM > 0 {
		p.Holes = []Outline{Round(0, 0, insideMM/2)}
	}
	return p
}

// Slab is a plate of an outline about z = 0.
func Slab(thicknessMM float64, outer Outline, holes ...Outline) Prism {
	return Prism{Outer: outer, Holes: holes, Low: Cut{Z: -thicknessMM / 2}, High: Cut{Z: thicknessMM / 2}}
}

// Sector is part of a flat ring from x counter-clockwise, thick along z.
func Sector(outsideMM, insideMM, thicknessMM, sweepRad float64) Prism {
	at := func(r, phi float64) [2]float64 {
		sin, cos := math.Sincos(phi)
		return [2]float64{r * cos, r * sin}
	}
	ro, ri := outsideMM/2, insideMM/2
	return Slab(thicknessMM, Outline{
		{To: at(ro, 0)},
		{To: at(ro, sweepRad), Via: at(ro, sweepRad/2), Arc: true},
		{To: at(ri, sweepRad)},
		{To: at(ri, 0), Via: at(ri, sweepRad/2), Arc: true},
	})
}

// loops resolves the outer line counter-clockwise and the holes clockwise.
func (p Prism) loops() ([][]segment, error) {
	outer, err := p.Outer.segments(true)
	if err != nil {
		return nil, err
	}
	out := [][]segment{outer}
	for i, h := range p.Holes {
		s, err := h.segments(false)
		if err != nil {
			return nil, fmt.Errorf("hole %d: %w", i+1, err)
		}
		out = append(out, s)
	}
	if err := simple(out); err != nil {
		return nil, err
	}
	for _, q := range polyline(outer, 0) {
		if !(p.High.at(q)-p.Low.at(q) > leastMM) {
			return nil, errors.New("the end planes meet within the piece")
		}
	}
	return out, nil
}

// VolumeMM3 is exact for plane ends, square or not: area and moments of the
// outline times how far the planes are apart.
func (p Prism) VolumeMM3() float64 {
	loops, err := p.loops()
	if err != nil {
		return 0
	}
	var m moments
	for _, l := range loops {
		m = m.plus(areaOf(l))
	}
	return m.area*(p.High.Z-p.Low.Z) + m.u*(p.High.U-p.Low.U) + m.v*(p.High.V-p.Low.V)
}

func (p Prism) Body() (Body, error) {
	var b Body
	loops, err := p.loops()
	if err != nil {
		return b, err
	}
	var low, high [][]Use
	for _, l := range loops {
		if p.Low.oblique() || p.High.oblique() {
			l = parted(l, 4)
		}
		lo, hi := b.walls(l, p.Low, p.High)
		low, high = append(low, reversed(lo)), append(high, hi)
	}
	b.Faces = append(b.Faces, Face{p.Low.plane(), false, low}, Face{p.High.plane(), true, high})
	return b, nil
}

// oblique tells a mitre. A round wall under one is written in quarters: kernels
// measure a whole one, with a wave for its edge, too coarsely.
func (c Cut) oblique() bool { return c.U != 0 || c.V != 0 }

// plane faces up.
func (c Cut) plane() Plane {
	return Plane{NewFrame(r3.Vec{Z: c.Z}, r3.Vec{X: -c.U, Y: -c.V, Z: 1}, r3.Vec{X: 1})}
}

// walls adds the faces over one loop and returns its edges in both planes.
func (b *Body) walls(l []segment, low, high Cut) (lo, hi []Use) {
	n := len(l)
	var bottom, top, up []int
	for _, s := range l {
		bottom, top = append(bottom, b.vertex(low.point(s.a))), append(top, b.vertex(high.point(s.a)))
		up = append(up, b.edge(len(b.Vertices)-2, len(b.Vertices)-1, Line{}))
	}
	for i, s := range l {
		k := (i + 1) % n
		e0 := b.edge(bottom[i], bottom[k], low.curve(s))
		e1 := b.edge(top[i], top[k], high.curve(s))
		lo, hi = append(lo, along(e0)), append(hi, along(e1))
		b.Faces = append(b.Faces, Face{wall(s), s.sweep >= 0, [][]Use{{along(e0), along(up[k]), back(e1), back(up[i])}}})
	}
	return lo, hi
}

// wall is the surface over a segment; the metal lies to its left.
func wall(s segment) Surface {
	if s.sweep == 0 {
		d := r3.Unit(r3.Vec{X: s.b[0] - s.a[0], Y: s.b[1] - s.a[1]})
		return Plane{Frame{r3.Vec{X: s.a[0], Y: s.a[1]}, d, r3.Cross(d, r3.Vec{Z: 1})}}
	}
	sin, cos := math.Sincos(s.from)
	return Cylinder{Frame{r3.Vec{X: s.centre[0], Y: s.centre[1]}, r3.Vec{X: cos, Y: sin}, r3.Vec{Z: 1}}, s.radius}
}

// curve is where the wall over a segment meets the plane.
func (c Cut) curve(s segment) Curve {
	if s.sweep == 0 {
		return Line{}
	}
	at := c.point(s.centre)
	turn := math.Copysign(1, s.sweep)
	slope := math.Hypot(c.U, c.V)
	if slope == 0 {
		sin, cos := math.Sincos(s.from)
		return Circle{Frame{at, r3.Vec{X: cos, Y: sin}, r3.Vec{Z: turn}}, s.radius}
	}
	steep := r3.Unit(r3.Vec{X: c.U / slope, Y: c.V / slope, Z: slope})
	minor := r3.Vec{X: -c.V / slope * turn, Y: c.U / slope * turn}
	return Ellipse{Frame{at, steep, r3.Cross(steep, minor)}, s.radius * math.Sqrt(1+slope*slope), s.radius}
}

func (p Prism) Mesh(chordMM float64) (Mesh, error) {
	var m Mesh
	loops, err := p.loops()
	if err != nil {
		return m, err
	}
	var lines [][][2]float64
	for _, l := range loops {
		lines = append(lines, polyline(l, chordMM))
	}
	tri, err := triangulate(lines)
	if err != nil {
		return m, err
	}
	n := uint32(0)
	for _, l := range lines {
		for _, q := range l {
			m.point(p.Low.point(q))
			n++
		}
	}
	for _, l := range lines {
		for _, q := range l {
			m.point(p.High.point(q))
		}
	}
	m.span(lines, tri, n)
	return m, nil
}

// Wires are the axis of a round section, the outline at mid-height of a flat
// piece, and the line through the centroid of anything longer.
func (p Prism) Wires() []Wire {
	loops, err := p.loops()
	if err != nil {
		return nil
	}
	m := areaOf(loops[0])
	c := [2]float64{m.u / m.area, m.v / m.area}
	axis := Wire{Points: []r3.Vec{p.Low.point(c), p.High.point(c)}}
	if height := p.High.at(c) - p.Low.at(c); height*height > math.Abs(m.area) {
		return []Wire{axis}
	}
	var out []Wire
	mid := Cut{Z: (p.Low.at(c) + p.High.at(c)) / 2}
	for _, l := range loops {
		for _, s := range l {
			if circle, ok := mid.curve(s).(Circle); ok {
				out = append(out, Wire{Arc: &Arc{circle.At, circle.RadiusMM, math.Abs(s.sweep)}})
				continue
			}
			out = append(out, Wire{Points: []r3.Vec{mid.point(s.a), mid.point(s.b)}})
		}
	}
	if len(loops[0]) == 1 {
		out = append(out, axis)
	}
	return out
}
