package shop

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/quantity"
)

// row is how a distance changes with the six motions of the new piece: three
// shifts, and three turns about its middle times its reach.
type row [6]float64

// taped is a distance that could be taped.
type taped struct {
	from, to Mark
	long     float64
	row      row
}

// tapes chooses the distances that see the motions of the piece best: first so
// that det(JᵀJ) is largest (D-optimal, one after the other; Fedorov, Theory of
// Optimal Experiments, 1972), then by exchange while the least singular value of J
// grows.
func (f *FitUp) tapes(standing, marks []Mark, opt FitUpOptions) {
	all := candidates(standing, marks, opt)
	chosen := exchanged(all, greedy(all, min(opt.Tapes, len(all))))
	var rows []row
	for _, i := range chosen {
		c := all[i]
		tol, _ := LinearMM(opt.Class, c.long) // the class was checked
		f.Tapes = append(f.Tapes, Tape{From: c.from, To: c.to, LengthMM: c.long, PlusMinusMM: tol, FeetInches: quantity.FeetInches(c.long)})
		rows = append(rows, c.row)
	}
	values := singular(rows)
	for _, s := range values {
		if s > seenMM {
			f.Fixed++
		}
	}
	if len(values) > 0 {
		f.Least = values[len(values)-1]
	}
	switch {
	case len(chosen) < 4:
		f.Note = fmt.Sprintf("only %d distances between %.0f mm and %.0f mm are to be had: use a jig or the heights", len(chosen), opt.TapeMinMM, opt.TapeMaxMM)
	case f.Fixed < 6:
		f.Note = fmt.Sprintf("the tapes see %d of 6 motions of the piece; heights, plumb and the joint itself hold the rest", f.Fixed)
	}
}

// seenMM is the least change of the tapes for a motion of 1 mm that counts as seen.
const seenMM = 0.05

// candidates are all distances of a length that can be taped, from marks on what
// stands that lie far apart.
func candidates(standing, marks []Mark, opt FitUpOptions) []taped {
	var middle r3.Vec
	for _, m := range marks {
		middle = r3.Add(middle, r3.Scale(1/float64(len(marks)), m.AtMM))
	}
	reach := 1.0
	for _, m := range marks {
		reach = max(reach, r3.Norm(r3.Sub(m.AtMM, middle)))
	}
	var out []taped
	for _, s := range chosenMarks(standing, middle, opt) {
		for _, m := range marks {
			d := r3.Sub(m.AtMM, s.AtMM)
			long := r3.Norm(d)
			if long < opt.TapeMinMM || long > opt.TapeMaxMM {
				continue
			}
			u := r3.Scale(1/long, d)
			w := r3.Scale(1/reach, r3.Cross(r3.Sub(m.AtMM, middle), u))
			out = append(out, taped{s, m, long, row{u.X, u.Y, u.Z, w.X, w.Y, w.Z}})
		}
	}
	return out
}

// chosenMarks are standing marks within the tape of the piece that lie far apart.
func chosenMarks(standing []Mark, middle r3.Vec, opt FitUpOptions) []Mark {
	var points []r3.Vec
	by := map[r3.Vec]Mark{}
	for _, m := range standing {
		if _, twice := by[m.AtMM]; !twice && r3.Norm(r3.Sub(m.AtMM, middle)) <= opt.TapeMaxMM {
			by[m.AtMM] = m
			points = append(points, m.AtMM)
		}
	}
	var out []Mark
	for _, p := range spread(points, opt.Standing) {
		out = append(out, by[p])
	}
	return out
}

// greedy takes n rows, each that which makes det(εI + JᵀJ) largest: the one with
// the largest r (εI + JᵀJ)⁻¹ rᵀ.
func greedy(all []taped, n int) []int {
	var inverse [6]row
	for i := range inverse {
		inverse[i][i] = 1e3 // 1/ε: next to nothing is known
	}
	var out []int
	used := make([]bool, len(all))
	for range n {
		best, most := -1, 0.0
		for i, c := range all {
			if g := quadratic(&inverse, c.row); !used[i] && (best < 0 || g > most*(1+1e-9)) {
				best, most = i, g
			}
		}
		used[best] = true
		out = append(out, best)
		learn(&inverse, all[best].row)
	}
	return out
}

func times6(m *[6]row, r row) (v row) {
	for i := range m {
		for k, x := range r {
			v[i] += m[i][k] * x
		}
	}
	return v
}

func quadratic(m *[6]row, r row) float64 {
	sum := 0.0
	for i, x := range times6(m, r) {
		sum += x * r[i]
	}
	return sum
}

// learn adds a row to an inverse (Sherman and Morrison 1950).
func learn(m *[6]row, r row) {
	v := times6(m, r)
	den := 1.0
	for i, x := range v {
		den += x * r[i]
	}
	for i := range m {
		for k := range m[i] {
			m[i][k] -= v[i] * v[k] / den
		}
	}
}

// exchangeRounds bound the exchange; most packs settle in two.
const exchangeRounds = 3

// exchanged swaps one chosen row after the other for the one that makes the least
// singular value largest.
func exchanged(all []taped, chosen []int) []int {
	rows := make([]row, len(chosen))
	used := make([]bool, len(all))
	for k, i := range chosen {
		rows[k], used[i] = all[i].row, true
	}
	least := leastOf(rows)
	for range exchangeRounds {
		better := false
		for k := range chosen {
			best := -1
			for i := range all {
				if used[i] {
					continue
				}
				rows[k] = all[i].row
				if s := leastOf(rows); s > least*(1+1e-6)+1e-9 {
					best, least = i, s
				}
			}
			if best >= 0 {
				used[chosen[k]], used[best] = false, true
				chosen[k], better = best, true
			}
			rows[k] = all[chosen[k]].row
		}
		if !better {
			break
		}
	}
	return chosen
}

func leastOf(rows []row) float64 {
	s := singular(rows)
	if len(s) == 0 {
		return 0
	}
	return s[len(s)-1]
}

// singular are the singular values of J, falling; as many as the smaller of rows
// and motions. They are roots of the eigenvalues of JᵀJ or JJᵀ, which keeps half
// the digits: enough to choose by.
func singular(rows []row) []float64 {
	n := min(len(rows), 6)
	if n == 0 {
		return nil
	}
	square := mat.NewSymDense(n, nil)
	for i := range n {
		for k := i; k < n; k++ {
			sum := 0.0
			if len(rows) >= 6 {
				for _, r := range rows {
					sum += r[i] * r[k]
				}
			} else {
				for m := range 6 {
					sum += rows[i][m] * rows[k][m]
				}
			}
			square.SetSym(i, k, sum)
		}
	}
	var e mat.EigenSym
	if !e.Factorize(square, false) {
		return nil
	}
	out := make([]float64, n)
	for i, v := range e.Values(nil) {
		out[n-1-i] = math.Sqrt(max(0, v))
	}
	return out
}
