package assembly

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// seamRun is a row of points on its way to be a run of a seam, later with the
// outward normals of both bodies. A closed one does not repeat its first point.
type seamRun struct {
	closed bool
	at     []r3.Vec
	na, nb []r3.Vec
}

func (r *seamRun) reverse() {
	slices.Reverse(r.at)
	slices.Reverse(r.na)
	slices.Reverse(r.nb)
}

// joined closes and joins runs whose ends lie within reach, nearest first.
func joined(list []seamRun, reach float64) []seamRun {
	for {
		bi, bj, how, best := -1, -1, 0, reach
		for i := range list {
			if list[i].closed {
				continue
			}
			a := list[i].at
			if d := r3.Norm(r3.Sub(a[0], a[len(a)-1])); len(a) > 8 && d < best {
				bi, bj, best = i, i, d
			}
			for j := i + 1; j < len(list); j++ {
				if list[j].closed {
					continue
				}
				b := list[j].at
				for k := range 4 {
					p, q := a[(len(a)-1)*(k&1)], b[(len(b)-1)*(k>>1)]
					if d := r3.Norm(r3.Sub(p, q)); d < best {
						bi, bj, how, best = i, j, k, d
					}
				}
			}
		}
		switch {
		case bi < 0:
			return list
		case bi == bj:
			list[bi].closed = true
		default:
			a, b := &list[bi], &list[bj]
			if how&1 == 0 {
				a.reverse()
			}
			if how>>1 == 1 {
				b.reverse()
			}
			a.at, a.na, a.nb = append(a.at, b.at...), append(a.na, b.na...), append(a.nb, b.nb...)
			list = slices.Delete(list, bj, bj+1)
		}
	}
}

// split cuts a run where points are not kept.
func split(r seamRun, keep []bool) []seamRun {
	n := len(keep)
	start := slices.Index(keep, false)
	if start < 0 {
		return []seamRun{r}
	}
	if !r.closed {
		start = 0
	}
	var out []seamRun
	var cur seamRun
	for k := range n {
		i := (start + k) % n
		if keep[i] {
			cur.at, cur.na, cur.nb = append(cur.at, r.at[i]), append(cur.na, r.na[i]), append(cur.nb, r.nb[i])
		}
		if (!keep[i] || k == n-1) && len(cur.at) > 0 {
			out = append(out, cur)
			cur = seamRun{}
		}
	}
	return out
}

// single drops points that run beside earlier ones within reach: where grown
// pieces of one size meet end to end, their curve is found several times over.
// Longer runs come first.
func single(runs []seamRun, reach float64) []seamRun {
	slices.SortStableFunc(runs, func(a, b seamRun) int { return len(b.at) - len(a.at) })
	type mark struct {
		run, i int
		p      r3.Vec
	}
	grid := map[[3]int32][]mark{}
	key := func(p r3.Vec) [3]int32 {
		return [3]int32{int32(math.Floor(p.X / reach)), int32(math.Floor(p.Y / reach)), int32(math.Floor(p.Z / reach))}
	}
	var out []seamRun
	for k, r := range runs {
		keep := make([]bool, len(r.at))
		gone := 0.0 // the way along the run
		way := make([]float64, len(r.at))
		for i, p := range r.at {
			if i > 0 {
				gone += r3.Norm(r3.Sub(p, r.at[i-1]))
			}
			way[i] = gone
		}
		total := gone
		if r.closed {
			total += r3.Norm(r3.Sub(r.at[0], r.at[len(r.at)-1]))
		}
		for i, p := range r.at {
			keep[i] = true
			at := key(p)
			for c := range int32(27) {
				for _, m := range grid[[3]int32{at[0] + c%3 - 1, at[1] + c/3%3 - 1, at[2] + c/9 - 1}] {
					if m.run == k {
						l := math.Abs(way[i] - way[m.i])
						if min(l, total-l) < 4*reach {
							continue
						}
					}
					if r3.Norm(r3.Sub(p, m.p)) < reach {
						keep[i] = false
					}
				}
			}
			if keep[i] {
				grid[at] = append(grid[at], mark{k, i, p})
			}
		}
		out = append(out, split(r, keep)...)
	}
	return out
}
