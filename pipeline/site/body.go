package site

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/stock"
)

// Piece is a part of the as-stock assembly with what it is made of.
//
// Shapes: Triangles names Points, seen from outside counter-clockwise; the surface is
// closed. It shows the wind what it meets, and rigid pieces where their mass lies.
type Piece struct {
	Part      stock.Part
	Size      stock.Size // empty: no stock was found
	MassKG    float64    // 0: not known
	PointsMM  []r3.Vec
	Triangles [][3]uint32
}

func (p Piece) name() string {
	if p.Part.Name == "" {
		return p.Part.ID
	}
	return p.Part.ID + " " + p.Part.Name
}

// centreOf is the centre of the volume inside a piece's surface and the second
// moments of the volume about it, over the volume (mm²); of its box where it has no
// closed surface. Tetrahedra from the first point (Tonon, J. Math. Stat. 1 (2004) 8).
func (p Piece) centreOf() (c r3.Vec, second [3][3]float64, fromBox bool) {
	v, first, sum := 0.0, r3.Vec{}, [3][3]float64{}
	for _, t := range p.Triangles {
		o := p.PointsMM[0]
		a, b, d := r3.Sub(p.PointsMM[t[0]], o), r3.Sub(p.PointsMM[t[1]], o), r3.Sub(p.PointsMM[t[2]], o)
		w := r3.Dot(a, r3.Cross(b, d)) / 6
		s := r3.Add(a, r3.Add(b, d))
		v, first = v+w, r3.Add(first, r3.Scale(w/4, s))
		for _, x := range []r3.Vec{a, b, d, s} {
			addOuter(&sum, x, w/20)
		}
	}
	if !(v > 0) {
		return p.boxCentre()
	}
	mean := r3.Scale(1/v, first)
	for i := range 3 {
		for j := range 3 {
			sum[i][j] /= v
		}
	}
	addOuter(&sum, mean, -1)
	return r3.Add(p.PointsMM[0], mean), sum, false
}

func addOuter(to *[3][3]float64, x r3.Vec, k float64) {
	c := [3]float64{x.X, x.Y, x.Z}
	for i := range 3 {
		for j := range 3 {
			to[i][j] += k * c[i] * c[j]
		}
	}
}

func (p Piece) boxCentre() (r3.Vec, [3][3]float64, bool) {
	lo, hi := p.Part.BoxMM[0], p.Part.BoxMM[1]
	d := r3.Sub(hi, lo)
	return r3.Scale(0.5, r3.Add(lo, hi)), [3][3]float64{{d.X * d.X / 12, 0, 0}, {0, d.Y * d.Y / 12, 0}, {0, 0, d.Z * d.Z / 12}}, true
}

// massAt is the piece as a rigid mass.
func (p Piece) massAt(node int, second [3][3]float64) Mass {
	trace := second[0][0] + second[1][1] + second[2][2]
	m := Mass{Node: node, KG: p.MassKG}
	for i := range 3 {
		for j := range 3 {
			m.InertiaKGMM2[i][j] = -p.MassKG * second[i][j]
		}
		m.InertiaKGMM2[i][i] += p.MassKG * trace
	}
	return m
}

// lowest is the height of a piece's lowest point, and the box of what lies within a
// tolerance over it.
func (p Piece) lowest(tolMM float64) (low float64, lo, hi r3.Vec) {
	return p.lowestAlong(r3.Vec{Z: 1}, tolMM)
}

// lowestAlong is the same where another direction points up; the box is along SITE's axes.
func (p Piece) lowestAlong(up r3.Vec, tolMM float64) (low float64, lo, hi r3.Vec) {
	points := p.PointsMM
	if len(points) == 0 {
		a, b := p.Part.BoxMM[0], p.Part.BoxMM[1]
		for k := range 8 {
			x := a
			if k&1 > 0 {
				x.X = b.X
			}
			if k&2 > 0 {
				x.Y = b.Y
			}
			if k&4 > 0 {
				x.Z = b.Z
			}
			points = append(points, x)
		}
	}
	low = math.Inf(1)
	for _, x := range points {
		low = min(low, r3.Dot(x, up))
	}
	inf := math.Inf(1)
	lo, hi = r3.Vec{X: inf, Y: inf, Z: inf}, r3.Vec{X: -inf, Y: -inf, Z: -inf}
	for _, x := range points {
		if d := r3.Dot(x, up); d <= low+tolMM {
			x = r3.Add(x, r3.Scale(low-d, up))
			lo = r3.Vec{X: min(lo.X, x.X), Y: min(lo.Y, x.Y), Z: min(lo.Z, x.Z)}
			hi = r3.Vec{X: max(hi.X, x.X), Y: max(hi.Y, x.Y), Z: max(hi.Z, x.Z)}
		}
	}
	return low, lo, hi
}
