package site

import (
	"fmt"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"
)

// Solution is what a load case does.
//
// Shapes: ShiftMM and TurnRad by node, Beams by beam (what end A and end B put on
// the rest, see BeamForces), Links by link, Reactions by support.
type Solution struct {
	ShiftMM   []r3.Vec
	TurnRad   []r3.Vec
	Beams     []BeamForces
	Links     []Wrench // on B from A, about the link's point
	Reactions []Wrench // on the frame, about the supported node
}

// BeamForces are inner forces at both ends of a beam in its own axes (x along it, y
// and z of its section), as they act on the face that looks towards B: a tension is
// positive. ForceN.X is the axial force, MomentNMM.X the torque.
type BeamForces struct{ A, B Wrench }

// Solve finds what a case does. Forces balance to the rounding of a double
// (TestEquilibrium, 1e-9 of the load).
func (f *Frame) Solve(c Case) (Solution, error) {
	if err := f.known(c); err != nil {
		return Solution{}, err
	}
	put := f.onNodes(c)
	u := f.freedoms(put)
	s := Solution{ShiftMM: make([]r3.Vec, len(put)), TurnRad: make([]r3.Vec, len(put)), Beams: make([]BeamForces, len(f.model.Beams)),
		Links: make([]Wrench, len(f.model.Links)), Reactions: make([]Wrench, len(f.model.Supports))}
	for n := range put {
		g := u[f.groups.of[n]]
		turn := r3.Vec{X: g[3], Y: g[4], Z: g[5]}
		s.ShiftMM[n] = r3.Add(r3.Vec{X: g[0], Y: g[1], Z: g[2]}, r3.Cross(turn, f.arm(n)))
		s.TurnRad[n] = turn
	}
	rest := f.beams(c, s)
	for n := range put {
		rest[n] = rest[n].plus(put0(c, n))
	}
	for _, j := range f.joints {
		j.share(f, rest, &s)
	}
	return s, nil
}

// put0 is what a case puts on a node itself, without its beams' loads.
func put0(c Case, node int) Wrench {
	var w Wrench
	for _, l := range c.Nodes {
		if l.Node == node {
			w = w.plus(l.Wrench)
		}
	}
	return w
}

func (f *Frame) known(c Case) error {
	for _, l := range c.Nodes {
		w := l.Wrench
		if l.Node < 0 || l.Node >= len(f.model.Nodes) || !finite(w.ForceN.X, w.ForceN.Y, w.ForceN.Z, w.MomentNMM.X, w.MomentNMM.Y, w.MomentNMM.Z) {
			return fmt.Errorf("a load at node %d, which is not there, or has no size", l.Node)
		}
	}
	for _, l := range c.Beams {
		if l.Beam < 0 || l.Beam >= len(f.model.Beams) || !finite(l.NPerM.X, l.NPerM.Y, l.NPerM.Z) {
			return fmt.Errorf("a load on beam %d, which is not there, or has no size", l.Beam)
		}
	}
	return nil
}

// onNodes is the load of a case as it acts at nodes: an even load as the forces that
// hold the ends of a clamped beam, turned round.
func (f *Frame) onNodes(c Case) []Wrench {
	put := make([]Wrench, len(f.model.Nodes))
	for _, l := range c.Nodes {
		put[l.Node] = put[l.Node].plus(l.Wrench)
	}
	for _, l := range c.Beams {
		b := f.model.Beams[l.Beam]
		a, e := f.clamped(l)
		put[b.A], put[b.B] = put[b.A].plus(a), put[b.B].plus(e)
	}
	return put
}

// clamped gives the halves of an even load on the ends of a beam: q l/2 and q l²/12.
func (f *Frame) clamped(l BeamLoad) (a, b Wrench) {
	m := &f.model
	from, to := m.Nodes[m.Beams[l.Beam].A].AtMM, m.Nodes[m.Beams[l.Beam].B].AtMM
	span := r3.Sub(to, from)
	half := r3.Scale(r3.Norm(span)/2000, l.NPerM)
	turn := r3.Scale(1.0/6, r3.Cross(span, half))
	return Wrench{half, turn}, Wrench{half, r3.Scale(-1, turn)}
}

// freedoms solves for the shifts and turns of the groups. One step of refinement
// takes away what the factor's rounding leaves.
func (f *Frame) freedoms(put []Wrench) [][6]float64 {
	out := make([][6]float64, len(f.groups.ref))
	if f.n == 0 {
		return out
	}
	p, u, r, d := mat.NewVecDense(f.n, nil), mat.NewVecDense(f.n, nil), mat.NewVecDense(f.n, nil), mat.NewVecDense(f.n, nil)
	for n, w := range put {
		w = Wrench{w.ForceN, r3.Add(w.MomentNMM, r3.Cross(f.arm(n), w.ForceN))}
		for i, x := range w.six() {
			if e := f.eqn[f.groups.of[n]][i]; e >= 0 {
				p.SetVec(e, p.AtVec(e)+x)
			}
		}
	}
	f.solve(u, p)
	f.stiff.MulVecTo(r, false, u)
	r.SubVec(p, r)
	f.solve(d, r)
	u.AddVec(u, d)
	for g := range out {
		for i, e := range f.eqn[g] {
			if e >= 0 {
				out[g][i] = u.AtVec(e)
			}
		}
	}
	return out
}

func (w Wrench) six() [6]float64 {
	return [6]float64{w.ForceN.X, w.ForceN.Y, w.ForceN.Z, w.MomentNMM.X, w.MomentNMM.Y, w.MomentNMM.Z}
}

func wrench(x []float64) Wrench {
	return Wrench{r3.Vec{X: x[0], Y: x[1], Z: x[2]}, r3.Vec{X: x[3], Y: x[4], Z: x[5]}}
}

// beams fills the inner forces and returns what the beams put on their nodes. A beam
// within one rigid body does not strain: it carries its own load to its ends only.
func (f *Frame) beams(c Case, s Solution) []Wrench {
	rest := make([]Wrench, len(f.model.Nodes))
	spread := make([][2]Wrench, len(f.model.Beams))
	for _, l := range c.Beams {
		a, b := f.clamped(l)
		spread[l.Beam][0], spread[l.Beam][1] = spread[l.Beam][0].plus(a), spread[l.Beam][1].plus(b)
	}
	for i, b := range f.model.Beams {
		x, y, z, l := f.model.axes(b)
		own := func(v r3.Vec) r3.Vec { return r3.Vec{X: r3.Dot(v, x), Y: r3.Dot(v, y), Z: r3.Dot(v, z)} }
		back := func(v r3.Vec) r3.Vec {
			return r3.Add(r3.Scale(v.X, x), r3.Add(r3.Scale(v.Y, y), r3.Scale(v.Z, z)))
		}
		var q [12]float64
		if f.groups.of[b.A] != f.groups.of[b.B] {
			q = f.strained(b, stiffness(b.Section, l), own, s)
		}
		a, e := wrench(q[:6]), wrench(q[6:]) // what the nodes put on the beam's ends to bend it
		onA := Wrench{back(a.ForceN), back(a.MomentNMM)}.plus(spread[i][0].times(-1))
		onB := Wrench{back(e.ForceN), back(e.MomentNMM)}.plus(spread[i][1].times(-1))
		s.Beams[i] = BeamForces{A: Wrench{own(onA.ForceN), own(onA.MomentNMM)}.times(-1), B: Wrench{own(onB.ForceN), own(onB.MomentNMM)}}
		rest[b.A], rest[b.B] = rest[b.A].plus(onA.times(-1)), rest[b.B].plus(onB.times(-1))
	}
	return rest
}

// strained is an element's stiffness times the movement of its ends in its own axes,
// taken against end A's rigid motion: what both ends share puts no force on the
// beam, and would cost digits.
func (f *Frame) strained(b Beam, k element, own func(r3.Vec) r3.Vec, s Solution) (q [12]float64) {
	turn := s.TurnRad[b.A]
	l := r3.Sub(f.model.Nodes[b.B].AtMM, f.model.Nodes[b.A].AtMM)
	shift := r3.Sub(r3.Sub(s.ShiftMM[b.B], s.ShiftMM[b.A]), r3.Cross(turn, l))
	twist := r3.Sub(s.TurnRad[b.B], turn)
	u := Wrench{own(shift), own(twist)}.six()
	for i := range 12 {
		for j := range 6 {
			q[i] += k[i][6+j] * u[j]
		}
	}
	return q
}
