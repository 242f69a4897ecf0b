package site

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// element is a beam's own matrices in its axes: x along it, y and z of the section;
// freedoms of end A, then B: three shifts, three turns.
type element [12][12]float64

// stiffness of a slender beam (Euler and Bernoulli; shear strain is left out), N,
// mm. Source: Przemieniecki, Theory of Matrix Structural Analysis (1968), eq. 5.116
// without shear, from memory; TestBeamClosedForms holds it.
func stiffness(s Section, l float64) element {
	var k element
	axial := func(i, j int, v float64) { k[i][i] += v; k[j][j] += v; k[i][j] -= v; k[j][i] -= v }
	axial(0, 6, s.ElasticMPa*s.AreaMM2/l)
	axial(3, 9, s.ShearMPa*s.JMM4/l)
	bend(&k, [4]int{1, 5, 7, 11}, 1, bending(s.ElasticMPa*s.IzMM4, l))
	bend(&k, [4]int{2, 4, 8, 10}, -1, bending(s.ElasticMPa*s.IyMM4, l))
	return k
}

// mass is the consistent one, kg and mm, of a beam whose ends shift and turn
// (Archer, J. Struct. Div. ASCE 89 (1963) 161, from memory; TestCantileverFrequency
// holds it).
func mass(s Section, l float64) element {
	var m element
	rod := func(i, j int, whole float64) {
		m[i][i] += whole / 3
		m[j][j] += whole / 3
		m[i][j] += whole / 6
		m[j][i] += whole / 6
	}
	rod(0, 6, s.MassKGMM*l)
	rod(3, 9, s.PolarMassKGMM*l)
	b := inertia(s.MassKGMM*l, l)
	bend(&m, [4]int{1, 5, 7, 11}, 1, b)
	bend(&m, [4]int{2, 4, 8, 10}, -1, b)
	return m
}

// bending is the stiffness of shift and turn at A, then at B, in one plane.
func bending(ei, l float64) [4][4]float64 {
	k := ei / (l * l * l)
	return [4][4]float64{
		{12 * k, 6 * l * k, -12 * k, 6 * l * k},
		{6 * l * k, 4 * l * l * k, -6 * l * k, 2 * l * l * k},
		{-12 * k, -6 * l * k, 12 * k, -6 * l * k},
		{6 * l * k, 2 * l * l * k, -6 * l * k, 4 * l * l * k},
	}
}

func inertia(m, l float64) [4][4]float64 {
	k := m / 420
	return [4][4]float64{
		{156 * k, 22 * l * k, 54 * k, -13 * l * k},
		{22 * l * k, 4 * l * l * k, 13 * l * k, -3 * l * l * k},
		{54 * k, 13 * l * k, 156 * k, -22 * l * k},
		{-13 * l * k, -3 * l * l * k, -22 * l * k, 4 * l * l * k},
	}
}

// bend puts a plane's matrix in its place. sign is that of a turn that goes with a
// positive slope: in the x-z plane a slope is a negative turn about y.
func bend(to *element, at [4]int, sign float64, b [4][4]float64) {
	for i := range 4 {
		for j := range 4 {
			v := b[i][j]
			if i%2 != j%2 {
				v *= sign
			}
			to[at[i]][at[j]] += v
		}
	}
}

// axes of a beam, and its length.
func (m *Model) axes(b Beam) (x, y, z r3.Vec, l float64) {
	x = r3.Sub(m.Nodes[b.B].AtMM, m.Nodes[b.A].AtMM)
	l = r3.Norm(x)
	x = r3.Scale(1/l, x)
	up := b.Up
	if r3.Norm(r3.Cross(up, x)) <= 1e-9*r3.Norm(up) { // none given, or one along the beam
		up = leastAlong(x)
	}
	z = r3.Unit(r3.Cross(x, up))
	return x, r3.Cross(z, x), z, l
}

// leastAlong is the axis of SITE least parallel to a direction.
func leastAlong(x r3.Vec) r3.Vec {
	ax, ay, az := math.Abs(x.X), math.Abs(x.Y), math.Abs(x.Z)
	switch {
	case az <= ax && az <= ay:
		return r3.Vec{Z: 1}
	case ay <= ax:
		return r3.Vec{Y: 1}
	}
	return r3.Vec{X: 1}
}

// turned takes an element to SITE's axes.
func turned(k element, x, y, z r3.Vec) element {
	r := [3][3]float64{{x.X, x.Y, x.Z}, {y.X, y.Y, y.Z}, {z.X, z.Y, z.Z}}
	var kr, out element
	for i := range 12 {
		for j := range 12 {
			for c := range 3 {
				kr[i][j] += k[i][j/3*3+c] * r[c][j%3]
			}
		}
	}
	for i := range 12 {
		for j := range 12 {
			for c := range 3 {
				out[i][j] += r[c][i%3] * kr[i/3*3+c][j]
			}
		}
	}
	return out
}
