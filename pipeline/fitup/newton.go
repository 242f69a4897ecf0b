package fitup

import (
	"context"
	"errors"
	"math"

	"gonum.org/v1/gonum/mat"
)

// settledMM is the step, in any unknown, under which nothing more is to be done.
const settledMM = 1e-4

// Shares of a relation's row below which it counts as following from others:
// while parts still lie off by the scan's tilt, rows that will depend on each
// other do so only roughly.
const (
	followsFirst = 0.05
	followsLast  = 1e-4
	followsSteps = 4
)

// roundsMost is how often all is anchored anew: each time what is left of a gap
// that motion can close falls to under a twentieth.
const roundsMost = 8

// settleAll settles, anchors all parts where they are, and settles again: iterated
// regularisation (Riley, Mathematical Tables and Other Aids to Computation 9 (1955)
// 96), which goes to the answer of least motion and leaves alone what no sensible
// motion would close. In between, crossings that came apart are joined, and contacts
// that cannot lie on each other all along their seam are eased.
func (m *model) settleAll(ctx context.Context) (bool, error) {
	m.ease(false)
	before := math.Inf(1)
	for round := range roundsMost {
		ok, err := m.settle(ctx, round == 0)
		if err != nil {
			return ok, err
		}
		worst := m.worst()
		stuck := worst > stuckShare*before
		before = worst
		joined, more, eased := m.rejoin(), m.beside(), m.ease(stuck)
		if !joined && !more && !eased && (worst < m.opt.CloseMM/roundsShare || stuck) {
			return ok, nil
		}
		for _, b := range m.bodies {
			b.settleHere()
		}
	}
	return m.settle(ctx, false)
}

// stuckShare of the worst gap of a round before says that anchors no longer help.
const stuckShare = 0.5

// roundsShare of CloseMM is the gap below which no round more is worth it.
const roundsShare = 50

// worst is the largest gap of a touch.
func (m *model) worst() float64 {
	worst := 0.0
	for i := range m.touches {
		t := &m.touches[i]
		worst = max(worst, math.Abs(m.missing(t))*m.pull(t)/t.weight)
	}
	return worst
}

// ease lets an uneven contact, or one that is not closed all along its seam, touch
// where it is closest: other sizes have other shapes, and relations may hold a part
// that would have to lean; of these it is known only once all else is closed (stuck).
// Rows of one contact that ask for different gaps along nearly one normal would
// move parts far aside for little. It tells whether a contact was eased.
func (m *model) ease(stuck bool) bool {
	eased := false
	for _, list := range m.byContact() {
		least, most := m.open(list)
		t := &m.touches[list[0]]
		if t.sense != 0 || !t.uneven && (!stuck || max(-least, most) <= m.opt.CloseMM) {
			continue
		}
		for _, i := range list {
			t := &m.touches[i]
			spare := m.now(t).gap - t.wanted - least
			eased = eased || math.Abs(spare-t.spare) > m.opt.CloseMM/4
			t.spare = spare
		}
	}
	return eased
}

// byContact are the touches of each contact, the ground's by part, those of one
// sense by themselves.
func (m *model) byContact() [][]int {
	var out [][]int
	last := [3]int{-2, -2, -2}
	for i := range m.touches {
		t := &m.touches[i]
		key := [3]int{t.contact, t.a.part, t.sense}
		if key != last {
			out, last = append(out, nil), key
		}
		out[len(out)-1] = append(out[len(out)-1], i)
	}
	return out
}

// open is the least and most that touches are open beyond what is wanted.
func (m *model) open(list []int) (least, most float64) {
	least, most = math.Inf(1), math.Inf(-1)
	for _, i := range list {
		gap := m.now(&m.touches[i]).gap - m.touches[i].wanted
		least, most = min(least, gap), max(most, gap)
	}
	return least, most
}

// settle takes Gauss-Newton steps until nothing moves; it tells whether that was
// reached. First says that relations are not kept yet.
func (m *model) settle(ctx context.Context, first bool) (bool, error) {
	if m.unknowns == 0 {
		return true, nil
	}
	for step := range m.opt.Steps {
		if err := ctx.Err(); err != nil {
			return false, err
		}
		rough := first && step < followsSteps
		share := followsLast
		if rough {
			share = followsFirst
		}
		dx, err := m.step(share)
		if err != nil {
			return false, err
		}
		most := 0.0
		for _, x := range dx {
			most = max(most, math.Abs(x))
		}
		if most < settledMM && !rough {
			return true, nil
		}
		dx = shortened(dx, most, m.stepMostMM())
		if rough { // while relations are not kept yet, no measure tells
			m.take(dx)
		} else if !m.descend(dx) {
			return true, nil
		}
	}
	return false, nil
}

// halvings bounds how often a step is halved.
const halvings = 6

// gainLeast is the share by which a step has to lessen what is minimised, to be
// worth another.
const gainLeast = 1e-8

// descend takes a step, halved until what is minimised gets less; contacts roll
// and edges slide, so that far steps may mislead. False where nothing is gained.
func (m *model) descend(dx []float64) bool {
	was, before := m.places(), m.merit()
	for range halvings + 1 {
		m.take(dx)
		if now := m.merit(); now <= before {
			return now < (1-gainLeast)*before
		}
		m.restoreAll(was)
		for i := range dx {
			dx[i] /= 2
		}
	}
	return false
}

// merit is what a step is to lessen: the weighted squares, with relations as if
// they were contacts.
func (m *model) merit() float64 {
	sum := 0.0
	add := func(v, weight float64) { sum += v * v * weight * weight }
	for i := range m.touches {
		t := &m.touches[i]
		add(m.missing(t), m.pull(t))
	}
	for i := range m.keeps {
		for _, r := range m.keepRows(&m.keeps[i]) {
			add(r.value, r.weight)
		}
	}
	for _, r := range m.motion() {
		add(r.value, r.weight)
	}
	for k := range m.relations {
		for _, v := range m.values(k) {
			add(v, touchWeight)
		}
	}
	return sum
}

// stepGaps is the longest step, in the largest gap: further is no way to close it.
const stepGaps = 20

func (m *model) stepMostMM() float64 { return stepGaps * max(m.worst(), m.opt.TouchMM) }

func shortened(dx []float64, most, limit float64) []float64 {
	if most <= limit {
		return dx
	}
	out := make([]float64, len(dx))
	for i := range dx {
		out[i] = dx[i] * limit / most
	}
	return out
}

var errSingular = errors.New("fit-up: the equations have no answer; look for a part whose size or place is out of all measure")

// step solves for one step: least squares of contacts and motion under the bounds,
// with H = Σ w² v vᵀ and g = Σ w² v value:
//
//	H dx + Cᵀλ = -g,  C dx = -c  ⇒  (C H⁻¹ Cᵀ) λ = c - C H⁻¹ g
func (m *model) step(share float64) ([]float64, error) {
	h, g := m.normal(append(m.rows(), m.motion()...))
	bounds := independent(m.bounds(), m.unknowns, share)
	dx, _, err := solve(h, g, bounds)
	return dx, err
}

func (m *model) normal(rows []row) (*mat.SymDense, *mat.VecDense) {
	n := m.unknowns
	h, g := mat.NewSymDense(n, nil), mat.NewVecDense(n, nil)
	raw := h.RawSymmetric()
	for _, r := range rows {
		w := r.weight * r.weight
		for i, a := range r.idx {
			g.SetVec(a, g.AtVec(a)+w*r.val[i]*r.value)
			for j, b := range r.idx {
				if b >= a {
					raw.Data[a*raw.Stride+b] += w * r.val[i] * r.val[j]
				}
			}
		}
	}
	return h, g
}

// solve returns the step and the forces λ of the bounds.
func solve(h *mat.SymDense, g *mat.VecDense, bounds []bound) (dx, force []float64, err error) {
	n := h.SymmetricDim()
	var chol mat.Cholesky
	if !chol.Factorize(h) {
		return nil, nil, errSingular
	}
	x := mat.NewVecDense(n, nil)
	if err := chol.SolveVecTo(x, g); err != nil && !conditioned(err) {
		return nil, nil, errSingular
	}
	x.ScaleVec(-1, x)
	k := len(bounds)
	if k == 0 {
		return x.RawVector().Data, nil, nil
	}
	c, rest := mat.NewDense(k, n, nil), mat.NewVecDense(k, nil)
	for i, b := range bounds {
		sum := b.value
		for j, u := range b.idx {
			c.Set(i, u, c.At(i, u)+b.val[j])
			sum += b.val[j] * x.AtVec(u)
		}
		rest.SetVec(i, sum) // c - C H⁻¹ g
	}
	var y, schur mat.Dense
	if err := chol.SolveTo(&y, c.T()); err != nil && !conditioned(err) {
		return nil, nil, errSingular
	}
	schur.Mul(c, &y)
	sym := mat.NewSymDense(k, nil)
	for i := range k {
		for j := i; j < k; j++ {
			sym.SetSym(i, j, (schur.At(i, j)+schur.At(j, i))/2)
		}
	}
	var of mat.Cholesky
	if !of.Factorize(sym) {
		return nil, nil, errSingular
	}
	lambda := mat.NewVecDense(k, nil)
	if err := of.SolveVecTo(lambda, rest); err != nil && !conditioned(err) {
		return nil, nil, errSingular
	}
	var push mat.VecDense
	push.MulVec(&y, lambda)
	x.SubVec(x, &push)
	for _, v := range x.RawVector().Data {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return nil, nil, errSingular
		}
	}
	return x.RawVector().Data, lambda.RawVector().Data, nil
}

// conditioned tells gonum's warning that digits are lost from a failure: the next
// step takes up what is left.
func conditioned(err error) bool {
	var c mat.Condition
	return errors.As(err, &c)
}
