package site

import (
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"
)

// squeeze is what may make a frame buckle.
//
// Shapes: PressN by beam, 0 where it pulls; TipNMM by group, the loads over a rigid
// body's reference times their heights over it, 0 where they hang.
type squeeze struct {
	PressN []float64
	TipNMM []float64
}

// criticalFactor is how many times a squeeze makes the frame buckle, elastically and
// without imperfections; infinite where nothing is pressed. Linear: (K − α G) u = 0 with the
// consistent geometric stiffness of beams (Przemieniecki 1968, ch. 15, from memory;
// TestColumnsBuckle holds it against Euler). Since G of pressed beams alone has no
// negative way, what presses them in different cases may be put together: the
// factor is then at most that of each case.
func (f *Frame) criticalFactor(s squeeze) (float64, error) {
	if f.n == 0 {
		return math.Inf(1), nil
	}
	_, band := f.stiff.SymBand()
	g := mat.NewSymBandDense(f.n, band, nil)
	for i, b := range f.model.Beams {
		if s.PressN[i] > 0 && f.groups.of[b.A] != f.groups.of[b.B] {
			x, y, z, l := f.model.axes(b)
			f.add(g, []int{b.A, b.B}, turned(geometric(s.PressN[i], l), x, y, z))
		}
	}
	for k, tip := range s.TipNMM {
		for _, turn := range []int{3, 4} { // about x and y
			if e := f.eqn[k][turn]; e >= 0 && tip > 0 {
				g.SetSymBand(e, e, g.At(e, e)+tip)
			}
		}
	}
	values, err := f.highest(g, 1, 4, 1e-6)
	if err != nil || len(values) == 0 || !(values[0] > pressedLeast) {
		return math.Inf(1), err
	}
	return 1 / values[0], nil
}

// pressedLeast is the share of what buckles it that a frame is pressed by at least: less
// is rounding of the solution, which a frame that only hangs has too.
const pressedLeast = 1e-9

// geometric is the stiffness that a compression takes from a beam.
func geometric(pressN, l float64) element {
	k := pressN / (30 * l)
	b := [4][4]float64{
		{36 * k, 3 * l * k, -36 * k, 3 * l * k},
		{3 * l * k, 4 * l * l * k, -3 * l * k, -l * l * k},
		{-36 * k, -3 * l * k, 36 * k, -3 * l * k},
		{3 * l * k, -l * l * k, -3 * l * k, 4 * l * l * k},
	}
	var out element
	bend(&out, [4]int{1, 5, 7, 11}, 1, b)
	bend(&out, [4]int{2, 4, 8, 10}, -1, b)
	return out
}

// squeezed is the most that any combination presses each beam, with the tipping of
// rigid bodies under the one that presses most on the ground.
func (s *Structure) squeezed(l *loads, sums []Combination) squeeze {
	out := squeeze{PressN: make([]float64, len(s.Model.Beams)), TipNMM: make([]float64, len(s.Frame.groups.ref))}
	most := 0.0
	l.each(sums, func(_ Combination, towards *float64, x Solution) {
		for i, b := range x.Beams {
			out.PressN[i] = max(out.PressN[i], -b.A.ForceN.X, -b.B.ForceN.X)
		}
		down := 0.0
		for _, r := range x.Reactions {
			down += r.ForceN.Z
		}
		if towards == nil && down > most {
			most = down
			s.tipping(x, out.TipNMM)
		}
	})
	return out
}

// tipping adds up, for each rigid body, what loads and beams put on its nodes times
// their heights over its reference: links carry it between them, so that it is the
// links' forces on the lower node.
func (s *Structure) tipping(x Solution, to []float64) {
	clear(to)
	put := func(link Link, force r3.Vec) { // on B, and the same on A turned round
		g := s.Frame.groups.of[link.A]
		to[g] += force.Z * (s.Frame.arm(link.B).Z - s.Frame.arm(link.A).Z)
	}
	for i, l := range s.Model.Links {
		put(l, x.Links[i].ForceN)
	}
	for g := range to {
		to[g] = max(to[g], 0)
	}
}
