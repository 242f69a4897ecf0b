package site

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"
)

// groups are the rigid bodies of a model: nodes held together by links move as one,
// by the six freedoms of the group's first supported node, else of its first.
type groups struct {
	of      []int // group of a node
	ref     []int // node whose freedoms a group has
	members [][]int
	fixed   [][6]bool
}

// newGroups joins nodes by links. Two supports in one group need the first to hold
// all six freedoms: part-fixed supports of one rigid body are not told apart.
func newGroups(m *Model) (groups, error) {
	root := roots(len(m.Nodes), func(join func(a, b int)) {
		for _, l := range m.Links {
			join(l.A, l.B)
		}
	})
	g := groups{of: make([]int, len(m.Nodes))}
	number := map[int]int{}
	for n, r := range root {
		k, ok := number[r]
		if !ok {
			k = len(g.ref)
			number[r] = k
			g.ref, g.members, g.fixed = append(g.ref, n), append(g.members, nil), append(g.fixed, [6]bool{})
		}
		g.of[n], g.members[k] = k, append(g.members[k], n)
	}
	held := make([]bool, len(g.ref))
	for _, s := range m.Supports {
		k := g.of[s.Node]
		if held[k] && (g.fixed[k] != [6]bool{true, true, true, true, true, true}) {
			return g, fmt.Errorf("%s has two supports on one rigid body that do not hold all freedoms; give one", m.Nodes[s.Node].Of)
		}
		if !held[k] {
			g.ref[k], g.fixed[k], held[k] = s.Node, s.Fixed, true
		}
	}
	return g, nil
}

// roots gives every one of n things the lowest of those that it is joined to.
func roots(n int, joins func(join func(a, b int))) []int {
	up := make([]int, n)
	for i := range up {
		up[i] = i
	}
	find := func(i int) int {
		for up[i] != i {
			up[i] = up[up[i]]
			i = up[i]
		}
		return i
	}
	joins(func(a, b int) {
		a, b = find(a), find(b)
		up[max(a, b)] = min(a, b)
	})
	for i := range up {
		up[i] = find(i)
	}
	return up
}

// standing refuses a model of which something is loose: of each connected body the
// supports must hold all six rigid motions (rank of a matrix of six columns). No
// beam has hinges, so that nothing else can move without strain.
func standing(m *Model) error {
	root := roots(len(m.Nodes), func(join func(a, b int)) {
		for _, l := range m.Links {
			join(l.A, l.B)
		}
		for _, b := range m.Beams {
			join(b.A, b.B)
		}
	})
	var loose []string
	for r := range m.Nodes {
		if root[r] == r && !held(m, root, r) {
			for n, q := range root {
				if of := m.Nodes[n].Of; q == r && !slices.Contains(loose, of) {
					loose = append(loose, of)
				}
			}
		}
	}
	if len(loose) > 0 {
		return fmt.Errorf("%s: not held against moving; it touches nothing that stands on the ground, or its support can turn: give it a contact or a support", strings.Join(loose, ", "))
	}
	return nil
}

func held(m *Model, root []int, r int) bool {
	var rows []float64
	size := 0.0
	for n, q := range root {
		if q == r {
			size = max(size, r3.Norm(r3.Sub(m.Nodes[n].AtMM, m.Nodes[r].AtMM)))
		}
	}
	size = max(size, 1)
	for _, s := range m.Supports {
		if root[s.Node] != r {
			continue
		}
		at := r3.Scale(1/size, r3.Sub(m.Nodes[s.Node].AtMM, m.Nodes[r].AtMM))
		t := carry(at)
		for i := range 6 {
			if s.Fixed[i] {
				rows = append(rows, t[i][:]...)
			}
		}
	}
	if len(rows) < 36 {
		return false
	}
	var svd mat.SVD
	svd.Factorize(mat.NewDense(len(rows)/6, 6, rows), mat.SVDNone)
	v := svd.Values(nil)
	return v[5] > 1e-6*v[0]
}

// carry is how a point at r from the reference moves with it: shift + turn × r.
func carry(r r3.Vec) [6][6]float64 {
	return [6][6]float64{
		{1, 0, 0, 0, r.Z, -r.Y},
		{0, 1, 0, -r.Z, 0, r.X},
		{0, 0, 1, r.Y, -r.X, 0},
		{0, 0, 0, 1, 0, 0}, {0, 0, 0, 0, 1, 0}, {0, 0, 0, 0, 0, 1},
	}
}

// check refuses numbers that no frame can have.
func (m *Model) check() error {
	for i, n := range m.Nodes {
		if !finite(n.AtMM.X, n.AtMM.Y, n.AtMM.Z) {
			return fmt.Errorf("%s: node %d lies nowhere", n.Of, i)
		}
	}
	for _, b := range m.Beams {
		s, of := b.Section, m.Nodes[b.A].Of
		if !(r3.Norm(r3.Sub(m.Nodes[b.A].AtMM, m.Nodes[b.B].AtMM)) > 0) {
			return fmt.Errorf("%s: a beam of no length", of)
		}
		for _, x := range []float64{s.AreaMM2, s.IyMM4, s.IzMM4, s.JMM4, s.ElasticMPa, s.ShearMPa} {
			if !(x > 0) || math.IsInf(x, 0) {
				return fmt.Errorf("%s: its section has no area or no stiffness (%g); give its stock", of, x)
			}
		}
		if !(s.MassKGMM >= 0) || !finite(s.MassKGMM, s.PolarMassKGMM) {
			return fmt.Errorf("%s: its mass is not known", of)
		}
	}
	return nil
}

func finite(all ...float64) bool {
	for _, x := range all {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return false
		}
	}
	return true
}
