package solid

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Ball is a sphere, hollow where InsideMM is over 0.
type Ball struct{ DiameterMM, InsideMM float64 }

var errSizes = errors.New("sizes that are no solid's")

func (s Ball) sound() bool {
	return finite(s.DiameterMM, s.InsideMM) && s.InsideMM >= 0 && s.DiameterMM-s.InsideMM > leastMM
}

func (s Ball) VolumeMM3() float64 {
	return math.Pi / 6 * (math.Pow(s.DiameterMM, 3) - math.Pow(s.InsideMM, 3))
}

func (s Ball) Body() (Body, error) {
	var b Body
	if !s.sound() {
		return b, errSizes
	}
	b.Faces = b.sphere(s.DiameterMM/2, true)
	if s.InsideMM > 0 {
		b.Voids = [][]Face{b.sphere(s.InsideMM/2, false)}
	}
	return b, nil
}

// capRad is the latitude of the caps' edge: the smaller they are, the better do
// kernels measure them.
const capRad = 80 * math.Pi / 180

// sphere is a band about the equator and two caps. Each cap's own poles lie on x,
// outside it: no edge shrinks to a point, which readers treat differently.
func (b *Body) sphere(r float64, outward bool) []Face {
	sin, cos := math.Sincos(capRad)
	var vertex, circle [2]int
	for k, z := range []float64{-r * sin, r * sin} {
		vertex[k] = b.vertex(r3.Vec{X: r * cos, Z: z})
		circle[k] = b.edge(vertex[k], vertex[k], Circle{Frame{r3.Vec{Z: z}, r3.Vec{X: 1}, r3.Vec{Z: 1}}, r * cos})
	}
	seam := b.edge(vertex[0], vertex[1], Circle{Frame{X: r3.Vec{X: cos, Z: -sin}, Z: r3.Vec{Y: -1}}, r})
	loops := [3][]Use{{back(circle[0])}, {along(circle[0]), along(seam), back(circle[1]), back(seam)}, {along(circle[1])}}
	var out []Face
	for k, l := range loops {
		if !outward {
			l = reversed(l)
		}
		at := World()
		if k != 1 {
			at = Frame{X: r3.Vec{Z: float64(k - 1)}, Z: r3.Vec{X: 1}}
		}
		out = append(out, Face{Sphere{at, r}, outward, [][]Use{l}})
	}
	return out
}

func (s Ball) Mesh(chordMM float64) (Mesh, error) {
	var m Mesh
	if !s.sound() {
		return m, errSizes
	}
	m.globe(s.DiameterMM/2, chordMM, false)
	if s.InsideMM > 0 {
		m.globe(s.InsideMM/2, chordMM, true)
	}
	return m, nil
}

func (m *Mesh) globe(r, chordMM float64, inward bool) {
	n := uint32(chords(r, 2*math.Pi, chordMM))
	rows := n / 2
	start := len(m.Triangles)
	m.room(int(n*rows), 2*int(n*rows))
	south := m.point(r3.Vec{Z: -r})
	below := uint32(0)
	for k := uint32(1); k < rows; k++ {
		sin, cos := math.Sincos(math.Pi * float64(k) / float64(rows))
		ring := m.ring(Frame{r3.Vec{Z: -r * cos}, r3.Vec{X: 1}, r3.Vec{Z: 1}}, r*sin, n)
		for j := range n {
			i := (j + 1) % n
			if k == 1 {
				m.triangle(south, ring+i, ring+j)
			} else {
				m.quad(below+j, below+i, ring+i, ring+j)
			}
		}
		below = ring
	}
	north := m.point(r3.Vec{Z: r})
	for j := range n {
		m.triangle(below+j, below+(j+1)%n, north)
	}
	if inward {
		m.turn(start)
	}
}

// turn makes the triangles from start on face the other way.
func (m *Mesh) turn(start int) {
	for i := start; i < len(m.Triangles); i++ {
		t := &m.Triangles[i]
		t[1], t[2] = t[2], t[1]
	}
}

// Wires are three great circles.
func (s Ball) Wires() []Wire {
	var out []Wire
	for _, f := range []Frame{World(), {X: r3.Vec{X: 1}, Z: r3.Vec{Y: -1}}, {X: r3.Vec{Y: 1}, Z: r3.Vec{X: 1}}} {
		out = append(out, Wire{Arc: &Arc{f, s.DiameterMM / 2, 2 * math.Pi}})
	}
	return out
}
