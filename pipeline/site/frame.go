package site

import (
	"errors"
	"slices"

	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/lapack/lapack64"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"
)

// Frame is a model whose stiffness is factorised: it takes many load cases.
type Frame struct {
	model  Model
	groups groups
	eqn    [][6]int // equation of a group's freedom, -1 where held
	n      int
	stiff  *mat.SymBandDense     // N, mm
	weight *mat.SymBandDense     // consistent mass, kg
	factor blas64.TriangularBand // Cholesky's, of stiff
	joints []joint               // of groups with links or supports
}

// NewFrame factorises the stiffness of a model. It refuses sections without
// stiffness and what is not held, by name; a frame of beams without hinges that
// passes is stable.
func NewFrame(m Model) (*Frame, error) {
	if err := m.check(); err != nil {
		return nil, err
	}
	if err := standing(&m); err != nil {
		return nil, err
	}
	g, err := newGroups(&m)
	if err != nil {
		return nil, err
	}
	f := &Frame{model: m, groups: g}
	f.number()
	f.assemble()
	if f.n > 0 && !f.factorise() {
		return nil, errors.New("the frame is too soft somewhere to be solved: look for pieces of very different thickness")
	}
	f.joints = f.newJoints()
	return f, nil
}

// factorise is Cholesky's in the band, without the estimate of the condition that gonum's
// type adds; false where the stiffness is not positive.
func (f *Frame) factorise() (ok bool) {
	a := f.stiff.RawSymBand()
	a.Data = slices.Clone(a.Data)
	f.factor, ok = lapack64.Pbtrf(a)
	return ok
}

// solve writes what a load does to the freedoms into u.
func (f *Frame) solve(u, load *mat.VecDense) {
	u.CopyVec(load)
	lapack64.Pbtrs(f.factor, blas64.General{Rows: f.n, Cols: 1, Stride: 1, Data: u.RawVector().Data})
}

// number gives equations to groups in an order that keeps the band narrow (Cuthill
// and McKee 1969, reversed).
func (f *Frame) number() {
	near := make([][]int, len(f.groups.ref))
	for _, b := range f.model.Beams {
		i, j := f.groups.of[b.A], f.groups.of[b.B]
		if i != j {
			near[i], near[j] = append(near[i], j), append(near[j], i)
		}
	}
	f.eqn = make([][6]int, len(near))
	for _, g := range bandOrder(near) {
		for i := range 6 {
			if f.eqn[g][i] = -1; !f.groups.fixed[g][i] {
				f.eqn[g][i] = f.n
				f.n++
			}
		}
	}
}

// bandOrder walks each connected part level by level from a far end of it,
// neighbours by rising number of their own, and turns the order round.
func bandOrder(near [][]int) []int {
	seen := make([]bool, len(near))
	var order []int
	for s := range near {
		if seen[s] {
			continue
		}
		first := levels(near, s)
		far := levels(near, first[len(first)-1])
		for _, g := range far {
			seen[g] = true
		}
		order = append(order, far...)
	}
	slices.Reverse(order)
	return order
}

func levels(near [][]int, start int) []int {
	met := map[int]bool{start: true}
	order := []int{start}
	for k := 0; k < len(order); k++ {
		next := slices.Clone(near[order[k]])
		slices.SortStableFunc(next, func(a, b int) int { return len(near[a]) - len(near[b]) })
		for _, g := range next {
			if !met[g] {
				met[g] = true
				order = append(order, g)
			}
		}
	}
	return order
}

// assemble fills the band matrices. A beam within one rigid body has mass alone.
func (f *Frame) assemble() {
	if f.n == 0 {
		return
	}
	band := 5
	for _, b := range f.model.Beams {
		lo, hi := f.n, 0
		for _, e := range append(f.eqn[f.groups.of[b.A]][:], f.eqn[f.groups.of[b.B]][:]...) {
			if e >= 0 {
				lo, hi = min(lo, e), max(hi, e)
			}
		}
		band = max(band, hi-lo)
	}
	band = min(band, f.n-1)
	f.stiff, f.weight = mat.NewSymBandDense(f.n, band, nil), mat.NewSymBandDense(f.n, band, nil)
	for _, b := range f.model.Beams {
		x, y, z, l := f.model.axes(b)
		if f.groups.of[b.A] != f.groups.of[b.B] {
			f.add(f.stiff, []int{b.A, b.B}, turned(stiffness(b.Section, l), x, y, z))
		}
		f.add(f.weight, []int{b.A, b.B}, turned(mass(b.Section, l), x, y, z))
	}
	for _, m := range f.model.Masses {
		var e element
		for i := range 3 {
			e[i][i] = m.KG
			copy(e[3+i][3:], m.InertiaKGMM2[i][:])
		}
		f.add(f.weight, []int{m.Node}, e)
	}
}

// add carries a matrix of one or two nodes to the freedoms of their groups.
func (f *Frame) add(to *mat.SymBandDense, nodes []int, k element) {
	for a, na := range nodes {
		for b, nb := range nodes {
			ta, tb := f.carried(na), f.carried(nb)
			ga, gb := f.eqn[f.groups.of[na]], f.eqn[f.groups.of[nb]]
			for i := range 6 {
				for j := range 6 {
					p, q := ga[i], gb[j]
					if p < 0 || q < p {
						continue
					}
					to.SetSymBand(p, q, to.At(p, q)+between(ta, tb, k, 6*a, 6*b, i, j))
				}
			}
		}
	}
}

// between is one number of taᵀ·k·tb, of the block of k at a, b.
func between(ta, tb [6][6]float64, k element, a, b, i, j int) float64 {
	sum := 0.0
	for p := range 6 {
		if ta[p][i] == 0 {
			continue
		}
		for q := range 6 {
			sum += ta[p][i] * k[a+p][b+q] * tb[q][j]
		}
	}
	return sum
}

// carried is how a node moves with the reference of its group.
func (f *Frame) carried(node int) [6][6]float64 { return carry(f.arm(node)) }

func (f *Frame) arm(node int) r3.Vec {
	return r3.Sub(f.model.Nodes[node].AtMM, f.model.Nodes[f.groups.ref[f.groups.of[node]]].AtMM)
}
