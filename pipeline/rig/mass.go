package rig

import (
	"cmp"
	"fmt"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// Mass is that of a set of bodies.
type Mass struct {
	MassKG, MassLowKG, MassHighKG float64
	CentreMM                      r3.Vec
	BoxMM                         [2]r3.Vec // the centre of gravity lies within, whatever the masses in their ranges
	InertiaKGM2                   Tensor    // about the centre of gravity, along SITE's axes
	Assumptions                   []string
}

// MassOf adds bodies up. The box of the centre of gravity is exact: along an axis
// Σmx/Σm is linear-fractional in the masses, so that it is greatest at a vertex,
// where every body beyond some place has its greatest mass and every other its
// least; all such places are tried. The inertia takes each body as filled evenly
// with its likely mass.
func MassOf(bodies []Body) (Mass, error) {
	if err := checked(bodies); err != nil {
		return Mass{}, err
	}
	m := Mass{Assumptions: []string{"each piece's own centre of gravity is that of its solid, filled evenly"}}
	for _, b := range bodies {
		m.MassKG += b.MassKG
		m.MassLowKG += b.MassLowKG
		m.MassHighKG += b.MassHighKG
		m.CentreMM = r3.Add(m.CentreMM, r3.Scale(b.MassKG, b.CentreMM))
	}
	m.CentreMM = r3.Scale(1/m.MassKG, m.CentreMM)
	m.BoxMM = boxOfCentre(bodies)
	var err error
	m.InertiaKGM2, err = inertiaOf(bodies, m.CentreMM)
	return m, err
}

func inertiaOf(bodies []Body, about r3.Vec) (Tensor, error) {
	var sum Tensor
	for _, b := range bodies {
		own, err := Measure(b.Points, b.Triangles)
		if err != nil {
			return sum, fmt.Errorf("%s: %w", b.ID, err)
		}
		spread := own.SpreadMM2
		spread.add(r3.Sub(b.CentreMM, about), 1)
		sum = sum.plus(spread.inertia(), b.MassKG*1e-6)
	}
	return sum, nil
}

func boxOfCentre(bodies []Body) [2]r3.Vec {
	along := func(of func(r3.Vec) float64) (lo, hi float64) {
		lo = -greatestCentre(bodies, func(p r3.Vec) float64 { return -of(p) })
		return lo, greatestCentre(bodies, of)
	}
	x0, x1 := along(func(p r3.Vec) float64 { return p.X })
	y0, y1 := along(func(p r3.Vec) float64 { return p.Y })
	z0, z1 := along(func(p r3.Vec) float64 { return p.Z })
	return [2]r3.Vec{{X: x0, Y: y0, Z: z0}, {X: x1, Y: y1, Z: z1}}
}

// greatestCentre is the greatest coordinate of the centre of gravity.
func greatestCentre(bodies []Body, of func(r3.Vec) float64) float64 {
	order := slices.Clone(bodies)
	slices.SortStableFunc(order, func(a, b Body) int { return cmp.Compare(of(b.CentreMM), of(a.CentreMM)) })
	from := of(order[0].CentreMM) // sums are of differences, so that a far origin costs no digits
	mass, moment := 0.0, 0.0
	for _, b := range order {
		mass += b.MassLowKG
		moment += b.MassLowKG * (of(b.CentreMM) - from)
	}
	best := moment / mass
	for _, b := range order {
		more := b.MassHighKG - b.MassLowKG
		mass += more
		moment += more * (of(b.CentreMM) - from)
		best = max(best, moment/mass)
	}
	return from + best
}

// places are the points of a box that are tried for the worst: its corners, the
// middles of its edges and faces, its middle, and the likely centre itself.
func (m Mass) places() []r3.Vec {
	lo, hi := m.BoxMM[0], m.BoxMM[1]
	out := []r3.Vec{m.CentreMM}
	for i := range 27 {
		f := func(k int, a, b float64) float64 { return a + (b-a)*float64(k)/2 }
		out = append(out, r3.Vec{X: f(i%3, lo.X, hi.X), Y: f(i/3%3, lo.Y, hi.Y), Z: f(i/9, lo.Z, hi.Z)})
	}
	return out
}
