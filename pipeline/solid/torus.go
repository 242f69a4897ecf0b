package solid

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// RoundRing is a closed ring of round bar or tube about z.
type RoundRing struct{ CentrelineMM, SectionMM, BoreMM float64 }

func (s RoundRing) sound() bool {
	return finite(s.CentrelineMM, s.SectionMM, s.BoreMM) && s.BoreMM >= 0 && s.SectionMM-s.BoreMM > leastMM && s.CentrelineMM-s.SectionMM > leastMM
}

// VolumeMM3 is by Pappus' rule.
func (s RoundRing) VolumeMM3() float64 {
	return math.Pi * math.Pi / 4 * s.CentrelineMM * (s.SectionMM*s.SectionMM - s.BoreMM*s.BoreMM)
}

func (s RoundRing) Body() (Body, error) {
	var b Body
	if !s.sound() {
		return b, errSizes
	}
	b.Faces = []Face{b.torus(s.CentrelineMM/2, s.SectionMM/2, true)}
	if s.BoreMM > 0 {
		b.Voids = [][]Face{{b.torus(s.CentrelineMM/2, s.BoreMM/2, false)}}
	}
	return b, nil
}

// torus is one face with two seams: the outer equator and the section on x.
func (b *Body) torus(rc, rs float64, outward bool) Face {
	v := b.vertex(r3.Vec{X: rc + rs})
	equator := b.edge(v, v, Circle{World(), rc + rs})
	section := b.edge(v, v, Circle{Frame{r3.Vec{X: rc}, r3.Vec{X: 1}, r3.Vec{Y: -1}}, rs})
	loop := []Use{along(equator), along(section), back(equator), back(section)}
	if !outward {
		loop = reversed(loop)
	}
	return Face{Torus{World(), rc, rs}, outward, [][]Use{loop}}
}

func (s RoundRing) Mesh(chordMM float64) (Mesh, error) {
	var m Mesh
	if !s.sound() {
		return m, errSizes
	}
	rc := s.CentrelineMM / 2
	n := chords(rc+s.SectionMM/2, 2*math.Pi, chordMM)
	for k, d := range []float64{s.SectionMM, s.BoreMM} {
		if d == 0 {
			continue
		}
		start := len(m.Triangles)
		across := uint32(chords(d/2, 2*math.Pi, chordMM))
		m.room(n*int(across), 2*n*int(across))
		var rings []uint32
		for i := range n {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
			away := r3.Vec{X: cos, Y: sin}
			rings = append(rings, m.ring(Frame{r3.Scale(rc, away), away, r3.Vec{X: -sin, Y: cos}}, d/2, across))
		}
		m.skin(append(rings, rings[0]), across)
		if k == 1 {
			m.turn(start)
		}
	}
	return m, nil
}

// skin joins rings of n points each, counter-clockwise about the way from one to
// the next.
func (m *Mesh) skin(rings []uint32, n uint32) {
	for i := 1; i < len(rings); i++ {
		a, b := rings[i-1], rings[i]
		for j := range n {
			k := (j + 1) % n
			m.quad(a+j, a+k, b+k, b+j)
		}
	}
}

// Wires is the centreline.
func (s RoundRing) Wires() []Wire {
	return []Wire{{Arc: &Arc{World(), s.CentrelineMM / 2, 2 * math.Pi}}}
}
