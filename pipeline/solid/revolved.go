package solid

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Revolved is a polygon of (radius, height), counter-clockwise, turned about z:
// cones, solid or with a wall.
type Revolved struct{ Section [][2]float64 }

// tipMM is the radius of the flat that a pointed cone is given: at a point an
// edge would shrink to nothing, which readers treat differently.
const tipMM = 0.01

// Frustum is a cone about z from its large end at z = 0 to its small end (0: a
// point, drawn as a flat of 0.02 mm), with a wall measured square to its surface,
// solid where wallMM is 0.
func Frustum(largeMM, smallMM, heightMM, wallMM float64) Revolved {
	ro, rt := largeMM/2, smallMM/2
	slope := (ro - rt) / heightMM // of the radius, downwards
	if rt < tipMM && ro > 2*tipMM {
		heightMM -= (tipMM - rt) / slope
		rt = tipMM
	}
	out := [][2]float64{{ro, 0}, {rt, heightMM}}
	w := wallMM * math.Hypot(1, slope)
	in := func(z float64) float64 { return ro - slope*z - w }
	switch {
	case wallMM <= 0 || in(0) <= tipMM:
		return Revolved{append(out, [2]float64{0, heightMM}, [2]float64{0, 0})}
	case in(heightMM) > tipMM:
		return Revolved{append(out, [2]float64{in(heightMM), heightMM}, [2]float64{in(0), 0})}
	}
	top := (ro - w - tipMM) / slope // where the hollow ends, below the top
	return Revolved{append(out, [2]float64{0, heightMM}, [2]float64{0, top}, [2]float64{tipMM, top}, [2]float64{in(0), 0})}
}

// check refuses a section that encloses nothing or crosses the axis or itself.
func (r Revolved) check() error {
	n, area := len(r.Section), 0.0
	for i, a := range r.Section {
		b := r.Section[(i+1)%n]
		if !finite(a[0], a[1]) || a[0] < 0 || math.Hypot(b[0]-a[0], b[1]-a[1]) < leastMM {
			return errors.New("the section of a turned piece has a bad corner")
		}
		area += (a[0]*b[1] - a[1]*b[0]) / 2
	}
	if n < 3 || !(area > 0) {
		return errOutline
	}
	if crossing([][][2]float64{r.Section}) {
		return errCrosses
	}
	return nil
}

// VolumeMM3 sums the frusta under the sides of the section.
func (r Revolved) VolumeMM3() float64 {
	sum := 0.0
	for i, a := range r.Section {
		b := r.Section[(i+1)%len(r.Section)]
		sum += math.Pi / 3 * (b[1] - a[1]) * (a[0]*a[0] + a[0]*b[0] + b[0]*b[0])
	}
	return sum
}

func (r Revolved) Body() (Body, error) {
	var b Body
	if err := r.check(); err != nil {
		return b, err
	}
	var vertex, circle []int
	for _, p := range r.Section {
		v, c := -1, -1
		if p[0] > 0 {
			v = b.vertex(r3.Vec{X: p[0], Z: p[1]})
			c = b.edge(v, v, Circle{Frame{r3.Vec{Z: p[1]}, r3.Vec{X: 1}, r3.Vec{Z: 1}}, p[0]})
		}
		vertex, circle = append(vertex, v), append(circle, c)
	}
	n := len(r.Section)
	for i, p := range r.Section {
		k := (i + 1) % n
		q := r.Section[k]
		if p[0] == 0 && q[0] == 0 {
			continue
		}
		if p[1] == q[1] {
			b.Faces = append(b.Faces, flatFace(p, q, circle[i], circle[k]))
			continue
		}
		for _, j := range [2]int{i, k} {
			if vertex[j] < 0 { // an apex, which two sides may share
				vertex[j] = b.vertex(r3.Vec{Z: r.Section[j][1]})
			}
		}
		seam := b.edge(vertex[i], vertex[k], Line{})
		var loop []Use
		if p[0] > 0 {
			loop = append(loop, along(circle[i]))
		}
		loop = append(loop, along(seam))
		if q[0] > 0 {
			loop = append(loop, back(circle[k]))
		}
		b.Faces = append(b.Faces, Face{turned(p, q), q[1] > p[1], [][]Use{append(loop, back(seam))}})
	}
	return b, nil
}

// flatFace is the annulus or disc that a level side sweeps; metal lies to the
// left of p → q.
func flatFace(p, q [2]float64, from, to int) Face {
	down := q[0] > p[0]
	outer, inner := from, to
	if down {
		outer, inner = to, from
	}
	f := Face{Surface: Plane{Frame{r3.Vec{Z: p[1]}, r3.Vec{X: 1}, r3.Vec{Z: 1}}}, Outward: !down}
	for _, u := range []Use{{outer, down}, {inner, !down}} {
		if u.Edge >= 0 {
			f.Loops = append(f.Loops, []Use{u})
		}
	}
	return f
}

// turned is the cylinder or cone that a side sweeps.
func turned(p, q [2]float64) Surface {
	if p[0] == q[0] {
		return Cylinder{World(), p[0]}
	}
	wide, narrow := p, q
	if q[0] > p[0] {
		wide, narrow = q, p
	}
	up := math.Copysign(1, wide[1]-narrow[1])
	slope := (wide[0] - narrow[0]) / math.Abs(wide[1]-narrow[1])
	return Cone{Frame{r3.Vec{Z: wide[1]}, r3.Vec{X: 1}, r3.Vec{Z: up}}, wide[0], slope}
}

func (r Revolved) Mesh(chordMM float64) (Mesh, error) {
	var m Mesh
	if err := r.check(); err != nil {
		return m, err
	}
	most := 0.0
	for _, p := range r.Section {
		most = max(most, p[0])
	}
	n := uint32(chords(most, 2*math.Pi, chordMM))
	var first []uint32
	for _, p := range r.Section {
		first = append(first, uint32(len(m.Points)))
		if p[0] == 0 {
			m.point(r3.Vec{Z: p[1]})
			continue
		}
		m.ring(Frame{r3.Vec{Z: p[1]}, r3.Vec{X: 1}, r3.Vec{Z: 1}}, p[0], n)
	}
	for i, p := range r.Section {
		k := (i + 1) % len(r.Section)
		q := r.Section[k]
		for j := range n {
			a, b, c, d := first[i]+j, first[i]+(j+1)%n, first[k]+(j+1)%n, first[k]+j
			switch {
			case p[0] > 0 && q[0] > 0:
				m.quad(a, b, c, d)
			case p[0] > 0:
				m.triangle(a, b, first[k])
			case q[0] > 0:
				m.triangle(first[i], c, d)
			}
		}
	}
	return m, nil
}

// ring adds n points of a circle, counter-clockwise about its frame's z.
func (m *Mesh) ring(at Frame, radiusMM float64, n uint32) uint32 {
	first, place := uint32(len(m.Points)), at.placing()
	for k := range n {
		sin, cos := math.Sincos(2 * math.Pi * float64(k) / float64(n))
		m.point(place(radiusMM*cos, radiusMM*sin, 0))
	}
	return first
}

// Wires is the axis.
func (r Revolved) Wires() []Wire {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, p := range r.Section {
		lo, hi = min(lo, p[1]), max(hi, p[1])
	}
	return []Wire{{Points: []r3.Vec{{Z: lo}, {Z: hi}}}}
}
