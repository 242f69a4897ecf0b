package fitup

import (
	"math"
)

// bound is a row of a relation.
type bound struct {
	row
	relation int
}

// bounds are the equations of all relations, with derivatives by central
// differences: their values are smooth and cheap.
func (m *model) bounds() []bound {
	const h = 1e-2 // mm; values are of second order in it over the size of a part
	var out []bound
	owners, was := m.owners(), m.places()
	for k := range m.relations {
		list := m.values(k)
		first := len(out)
		for _, v := range list {
			out = append(out, bound{row{value: v, contact: -1}, k})
		}
		for _, u := range m.unknownsOf(k) {
			if len(list) == 0 {
				break
			}
			m.bump(owners[u], h)
			hi := m.values(k)
			m.restore(was, owners[u])
			m.bump(owners[u], -h)
			lo := m.values(k)
			m.restore(was, owners[u])
			for i := range list {
				if d := (hi[i] - lo[i]) / (2 * h); math.Abs(d) > 1e-12 {
					out[first+i].add(u, d)
				}
			}
		}
	}
	return out
}

// unknownsOf are those that a relation depends on.
func (m *model) unknownsOf(k int) []int {
	var out []int
	add := func(first, n int) {
		for i := range n {
			if first >= 0 {
				out = append(out, first+i)
			}
		}
	}
	seen := map[int]bool{}
	for _, list := range [][]int{m.relations[k].Parts, m.relations[k].To} {
		for _, i := range list {
			if seen[i] {
				continue
			}
			seen[i] = true
			b := m.bodies[i]
			add(b.first, 6)
			add(b.cutAt[0], 1)
			add(b.cutAt[1], 1)
		}
	}
	for _, x := range m.mirrors {
		if x.relation == k {
			add(x.first, 3)
		}
	}
	return out
}

// independent drops bounds that follow from those before: what is left of a row
// once theirs are taken out is under share of it (modified Gram-Schmidt, twice).
func independent(list []bound, n int, share float64) []bound {
	var basis [][]float64
	var out []bound
	for _, r := range list {
		v := make([]float64, n)
		size := 0.0
		for i, u := range r.idx {
			v[u] += r.val[i]
			size += r.val[i] * r.val[i]
		}
		size = math.Sqrt(size)
		if size < 1e-9 {
			continue
		}
		for range 2 {
			for _, q := range basis {
				d := 0.0
				for i := range v {
					d += q[i] * v[i]
				}
				for i := range v {
					v[i] -= d * q[i]
				}
			}
		}
		left := 0.0
		for _, x := range v {
			left += x * x
		}
		if left = math.Sqrt(left); left < share*size {
			continue
		}
		for i := range v {
			v[i] /= left
		}
		basis, out = append(basis, v), append(out, r)
	}
	return out
}
