package rig

import (
	"math/bits"
	"math/rand/v2"
	"slices"
)

// Of exactLumps lumps all ways are tried: 3^12 is half a million. More are gathered to
// gatherTo from each beginning, a quarter of the sets to lay.
const (
	exactLumps = 12
	gatherTo   = 10
	regroupTo  = 9 // atoms of two or three parts that are divided anew together
)

// cost of a way to divide: fewer parts first, then less weld.
type cost struct {
	parts int
	weld  float64
}

func (a cost) less(b cost) bool {
	return a.parts < b.parts || a.parts == b.parts && a.weld < b.weld-1e-9
}

// search divides the atoms.
func (d *divider) search() (parts [][]int, exact bool) {
	var lumps [][]int
	for i := range d.atoms {
		lumps = append(lumps, []int{i})
	}
	if len(lumps) <= exactLumps {
		return d.exact(lumps), true
	}
	draw := rand.New(rand.NewPCG(d.opt.Seed, 0))
	var best [][]int
	for try := range d.opt.Tries {
		got := d.improve(d.exact(d.gathered(lumps, draw, try)))
		if d.ctx.Err() != nil {
			return nil, false
		}
		if best == nil || d.costOf(got).less(d.costOf(best)) {
			best = got
		}
	}
	return d.regroup(best), false
}

// exact is the best way to put lumps together, by dynamic programming over their
// subsets: the part that holds the first of what is left, and the best of the rest.
// More than exactLumps lumps, which nothing could join further, stay as they are.
func (d *divider) exact(lumps [][]int) [][]int {
	n := len(lumps)
	if n > exactLumps {
		return lumps
	}
	weld, meets := d.between(lumps)
	inner, may := make([]float64, 1<<n), make([]bool, 1<<n)
	for set := 1; set < 1<<n; set++ {
		low := bits.TrailingZeros(uint(set))
		inner[set] = inner[set&^(1<<low)]
		for j := low + 1; j < n; j++ {
			if set>>j&1 == 1 {
				inner[set] += weld[low][j]
			}
		}
		may[set] = joined(set, meets) && d.ctx.Err() == nil && d.fits(union(lumps, set))
	}
	best, part := make([]cost, 1<<n), make([]int, 1<<n)
	for set := 1; set < 1<<n; set++ {
		low := 1 << bits.TrailingZeros(uint(set))
		best[set].parts = n + 1
		for rest := set &^ low; ; rest = (rest - 1) & (set &^ low) { // every part with low, largest rest first
			one := set &^ rest
			if may[one] {
				c := cost{best[rest].parts + 1, best[rest].weld + inner[set] - inner[one] - inner[rest]}
				if c.less(best[set]) {
					best[set], part[set] = c, one
				}
			}
			if rest == 0 {
				break
			}
		}
	}
	var out [][]int
	for set := 1<<n - 1; set != 0 && part[set] != 0; set &^= part[set] {
		out = append(out, union(lumps, part[set]))
	}
	return out
}

// between is the weld between lumps and which meet, as a set each.
func (d *divider) between(lumps [][]int) (weld [][]float64, meets []int) {
	n := len(lumps)
	weld, meets = make([][]float64, n), make([]int, n)
	for i := range lumps {
		weld[i] = make([]float64, n)
		for j := range lumps {
			if i == j {
				continue
			}
			for _, a := range lumps[i] {
				for _, b := range lumps[j] {
					weld[i][j] += d.weld[a][b]
					if d.meets[a][b] {
						meets[i] |= 1 << j
					}
				}
			}
		}
	}
	return weld, meets
}

// joined tells whether a set hangs together.
func joined(set int, meets []int) bool {
	got := set & -set
	for fresh := got; fresh != 0; {
		next := 0
		for s := fresh; s != 0; s &= s - 1 {
			next |= meets[bits.TrailingZeros(uint(s))]
		}
		fresh = next & set &^ got
		got |= fresh
	}
	return got == set
}

func union(lumps [][]int, set int) []int {
	var out []int
	for s := set; s != 0; s &= s - 1 {
		out = append(out, lumps[bits.TrailingZeros(uint(s))]...)
	}
	slices.Sort(out)
	return out
}

// gathered joins lumps by the most weld, as long as they fit, until gatherTo are
// left or nothing fits. Each try after the first changes the order by a factor
// of up to two.
func (d *divider) gathered(lumps [][]int, draw *rand.Rand, try int) [][]int {
	out := slices.Clone(lumps)
	luck := make([]float64, len(d.atoms))
	for i := range luck {
		luck[i] = 1 + draw.Float64()*float64(min(try, 1))
	}
	for len(out) > gatherTo && d.ctx.Err() == nil {
		a, b := -1, -1
		most := -1.0
		for i := range out {
			for j := i + 1; j < len(out); j++ {
				w, meet := d.weldOf(out[i], out[j])
				if w *= luck[out[i][0]] * luck[out[j][0]]; meet && w > most && d.fits(merged(out[i], out[j])) {
					a, b, most = i, j, w
				}
			}
		}
		if a < 0 {
			return out
		}
		out[a] = merged(out[a], out[b])
		out = slices.Delete(out, b, b+1)
	}
	return out
}

func merged(a, b []int) []int {
	out := append(slices.Clone(a), b...)
	slices.Sort(out)
	return out
}

func (d *divider) weldOf(a, b []int) (weld float64, meet bool) {
	for _, i := range a {
		for _, j := range b {
			weld += d.weld[i][j]
			meet = meet || d.meets[i][j]
		}
	}
	return weld, meet
}

func (d *divider) costOf(parts [][]int) cost {
	c := cost{parts: len(parts)}
	for i := range parts {
		for j := i + 1; j < len(parts); j++ {
			w, _ := d.weldOf(parts[i], parts[j])
			c.weld += w
		}
	}
	return c
}

// improve moves single atoms to parts they meet, and joins parts, while that costs
// less.
func (d *divider) improve(parts [][]int) [][]int {
	for d.ctx.Err() == nil {
		better := d.step(parts)
		if better == nil {
			return parts
		}
		parts = better
	}
	return parts
}

// step is the first change that costs less, nil where none does.
func (d *divider) step(parts [][]int) [][]int {
	now := d.costOf(parts)
	for i := range parts {
		for j := range parts {
			if i == j {
				continue
			}
			if _, meet := d.weldOf(parts[i], parts[j]); !meet {
				continue
			}
			if to := merged(parts[i], parts[j]); d.fits(to) {
				return replaced(parts, i, j, nil, to)
			}
			for _, a := range parts[i] {
				from, to := without(parts[i], a), merged(parts[j], []int{a})
				if len(from) == 0 || !d.hangs(from) || !d.hangs(to) || !d.fits(from) || !d.fits(to) {
					continue
				}
				if next := replaced(parts, i, j, from, to); d.costOf(next).less(now) {
					return next
				}
			}
		}
	}
	return nil
}

// regroup divides the atoms of two or three parts that meet anew, in the best way,
// while that costs less.
func (d *divider) regroup(parts [][]int) [][]int {
	for d.ctx.Err() == nil {
		better := d.anew(parts)
		if better == nil {
			return parts
		}
		parts = d.improve(better)
	}
	return parts
}

func (d *divider) anew(parts [][]int) [][]int {
	for i := range parts {
		for j := i + 1; j < len(parts); j++ {
			for k := j; k < len(parts); k++ { // k = j: the two alone
				group := [][]int{parts[i], parts[j], parts[k]}
				if k == j {
					group = group[:2]
				}
				if got := d.divided(group); got != nil {
					for n, p := range parts {
						if n != i && n != j && n != k {
							got = append(got, p)
						}
					}
					return got
				}
			}
		}
	}
	return nil
}

// divided is the best way to divide a group of parts, nil where they do it as well,
// are too many or do not hang together.
func (d *divider) divided(group [][]int) [][]int {
	var lumps [][]int
	for _, p := range group {
		for _, a := range p {
			lumps = append(lumps, []int{a})
		}
	}
	if len(lumps) > regroupTo || !d.hangs(slices.Concat(lumps...)) {
		return nil
	}
	if got := d.exact(lumps); d.costOf(got).less(d.costOf(group)) {
		return got
	}
	return nil
}

func without(a []int, x int) []int {
	return slices.DeleteFunc(slices.Clone(a), func(y int) bool { return y == x })
}

func replaced(parts [][]int, i, j int, from, to []int) [][]int {
	out := slices.Clone(parts)
	out[i], out[j] = from, to
	return slices.DeleteFunc(out, func(p []int) bool { return len(p) == 0 })
}

// hangs tells whether atoms hang together.
func (d *divider) hangs(atoms []int) bool {
	got := []int{atoms[0]}
	for k := 0; k < len(got); k++ {
		for _, a := range atoms {
			if d.meets[got[k]][a] && !slices.Contains(got, a) {
				got = append(got, a)
			}
		}
	}
	return len(got) == len(atoms)
}
