// Package drawings makes what a workshop reads of a piece: views to scale with
// hidden lines, dimensions that do not stand in each other's way, and sheets of
// paper with them.
//
// Lines are those of ISO 128-2, dimensions those of ISO 129-1, scales those of
// ISO 5455. A drawing is in mm of paper, x to the right, y up; lengths on it are
// named for paper, all others are mm at full size.
package drawings

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/solid"
	"pointup/pipeline/stock"
)

// Piece is a part with the solid that it is drawn from, in SITE.
type Piece struct {
	Part  stock.Part
	Frame solid.Frame // of the shape
	Shape solid.Shape
}

// body is a piece as it is projected: triangles with the normal of the surface at
// each corner, and its sharp edges in chords.
type body struct {
	points    []r3.Vec
	triangles [][3]uint32
	normals   [][3]r3.Vec
	edges     [][]r3.Vec
}

// place takes a point of the shape's own frame to where it is drawn.
type place func(r3.Vec) r3.Vec

// bodyOf has chords that leave curves by at most chordMM.
func bodyOf(s solid.Shape, to place, chordMM float64) (body, error) {
	m, err := s.Mesh(chordMM)
	if err != nil {
		return body{}, err
	}
	wires, err := solid.SharpEdges(s)
	if err != nil {
		return body{}, err
	}
	b := body{points: make([]r3.Vec, len(m.Points)), triangles: m.Triangles}
	for i, p := range m.Points {
		b.points[i] = to(p)
	}
	for _, w := range wires {
		line := chordsOf(w, chordMM)
		for i, p := range line {
			line[i] = to(p)
		}
		b.edges = append(b.edges, line)
	}
	b.smooth()
	return b, nil
}

// chordsOf is a wire as a polyline.
func chordsOf(w solid.Wire, chordMM float64) []r3.Vec {
	if w.Arc == nil {
		line := append([]r3.Vec(nil), w.Points...)
		if w.Closed {
			line = append(line, w.Points[0])
		}
		return line
	}
	step := 2 * math.Acos(math.Max(0.5, 1-chordMM/w.Arc.RadiusMM))
	n := max(2, int(math.Ceil(w.Arc.SweepRad/step)))
	line := make([]r3.Vec, n+1)
	for k := range line {
		sin, cos := math.Sincos(w.Arc.SweepRad * float64(k) / float64(n))
		line[k] = w.Arc.At.Point(w.Arc.RadiusMM*cos, w.Arc.RadiusMM*sin, 0)
	}
	return line
}

// creaseDeg parts faces from chords of one curved face: the coarsest circle of a
// solid's mesh turns by 15° a chord.
const creaseDeg = 24

// smooth gives each corner the mean normal of the triangles round its point that
// continue the surface.
func (b *body) smooth() {
	flat := make([]r3.Vec, len(b.triangles))
	size := make([]float64, len(b.triangles))
	first := make([]int, len(b.points)+1)
	for i, t := range b.triangles {
		p := b.points[t[0]]
		flat[i] = r3.Cross(r3.Sub(b.points[t[1]], p), r3.Sub(b.points[t[2]], p))
		size[i] = r3.Norm(flat[i])
		for _, v := range t {
			first[v+1]++
		}
	}
	for v := range b.points {
		first[v+1] += first[v]
	}
	round := make([]int, first[len(b.points)])
	at := append([]int(nil), first...)
	for i, t := range b.triangles {
		for _, v := range t {
			round[at[v]] = i
			at[v]++
		}
	}
	cos := math.Cos(creaseDeg * math.Pi / 180)
	b.normals = make([][3]r3.Vec, len(b.triangles))
	for i, t := range b.triangles {
		for k, v := range t {
			n := flat[i]
			for _, o := range round[first[v]:first[v+1]] {
				if o != i && r3.Dot(flat[o], flat[i]) > cos*size[i]*size[o] {
					n = r3.Add(n, flat[o])
				}
			}
			if l := r3.Norm(n); l > 0 {
				b.normals[i][k] = r3.Scale(1/l, n)
			}
		}
	}
}
