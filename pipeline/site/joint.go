package site

import (
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"
)

// joint is the balance within one rigid body: which links and supports carry what
// its nodes bring. Where they are more than balance needs, the share with the least
// sum of squares is taken, as equally stiff joints would; moments count over lengthMM,
// the reach of the body.
type joint struct {
	nodes    []int
	links    []int
	supports []int
	lengthMM float64
	share0   *mat.Dense // unknowns from what the nodes bring
}

// newJoints prepares the bodies that have links or supports.
func (f *Frame) newJoints() []joint {
	m := &f.model
	all := make([]joint, len(f.groups.ref))
	for g, nodes := range f.groups.members {
		all[g].nodes = nodes
	}
	for i, l := range m.Links {
		g := f.groups.of[l.A]
		all[g].links = append(all[g].links, i)
	}
	for i, s := range m.Supports {
		g := f.groups.of[s.Node]
		all[g].supports = append(all[g].supports, i)
	}
	var out []joint
	for _, j := range all {
		if len(j.links)+len(j.supports) > 0 {
			j.prepare(m)
			out = append(out, j)
		}
	}
	return out
}

// prepare inverts the balance of every node: forces of links and supports are the
// columns, six rows a node.
func (j *joint) prepare(m *Model) {
	at := map[int]int{}
	for k, n := range j.nodes {
		at[n] = 6 * k
		j.lengthMM = max(j.lengthMM, r3.Norm(r3.Sub(m.Nodes[n].AtMM, m.Nodes[j.nodes[0]].AtMM)))
	}
	if j.lengthMM == 0 {
		j.lengthMM = 1
	}
	a := mat.NewDense(6*len(j.nodes), 6*(len(j.links)+len(j.supports)), nil)
	column := func(c, node int, sign float64, from r3.Vec) {
		for i := range 6 {
			var x [6]float64
			x[i] = sign
			w := j.unscaled(x[:]).about(from, m.Nodes[node].AtMM)
			for r, v := range j.scaled(w) {
				a.Set(at[node]+r, c+i, v)
			}
		}
	}
	for k, i := range j.links {
		l := m.Links[i]
		column(6*k, l.B, 1, l.AtMM)
		column(6*k, l.A, -1, l.AtMM)
	}
	for k, i := range j.supports {
		s := m.Supports[i]
		c := 6 * (len(j.links) + k)
		column(c, s.Node, 1, m.Nodes[s.Node].AtMM)
		for d := range 6 {
			if !s.Fixed[d] {
				a.Set(at[s.Node]+d, c+d, 0)
			}
		}
	}
	j.share0 = pseudoInverse(a)
}

// pseudoInverse drops singular values under 1e-10 of the largest: the numbers of a
// balance are 0, 1 and lengths over the body's reach, so that what is not dependent
// lies far above.
func pseudoInverse(a *mat.Dense) *mat.Dense {
	r, c := a.Dims()
	out := mat.NewDense(c, r, nil)
	var svd mat.SVD
	if !svd.Factorize(a, mat.SVDThin) {
		return out
	}
	var u, v mat.Dense
	svd.UTo(&u)
	svd.VTo(&v)
	values := svd.Values(nil)
	for k, s := range values {
		if s > 1e-10*values[0] {
			out.RankOne(out, 1/s, v.ColView(k), u.ColView(k))
		}
	}
	return out
}

func (j *joint) scaled(w Wrench) [6]float64 {
	w.MomentNMM = r3.Scale(1/j.lengthMM, w.MomentNMM)
	return w.six()
}

func (j *joint) unscaled(x []float64) Wrench {
	w := wrench(x)
	w.MomentNMM = r3.Scale(j.lengthMM, w.MomentNMM)
	return w
}

// share writes the forces of a body's links and supports that balance rest.
func (j *joint) share(f *Frame, rest []Wrench, s *Solution) {
	b := mat.NewVecDense(6*len(j.nodes), nil)
	for k, n := range j.nodes {
		for i, x := range j.scaled(rest[n]) {
			b.SetVec(6*k+i, -x)
		}
	}
	var x mat.VecDense
	x.MulVec(j.share0, b)
	for k, i := range j.links {
		s.Links[i] = j.unscaled(x.RawVector().Data[6*k : 6*k+6])
	}
	for k, i := range j.supports {
		c := 6 * (len(j.links) + k)
		s.Reactions[i] = j.unscaled(x.RawVector().Data[c : c+6])
	}
}
