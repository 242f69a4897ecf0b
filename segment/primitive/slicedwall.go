package primitive

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// A wall is cut at this many heights. What a cut shows goes round the piece where it
// reaches as far as the wall and no gap in it, that weld or the scan's
// own rounding leaves, is as long as a side of a square.
const (
	wallSlices  = 15
	slicedReach = 0.9
	slicedGap   = 0.2
	slicedLeast = 2 // edges: a shorter part of a cut is a splinter
)

// sliced is the wall's contour in the plane across that cuts it with the least gap: a
// rim that weld covers in part leads nowhere, and what is long shows its section in
// between too. ok is false where no cut goes round.
func (w *wallLoop) sliced(p *Patch, c *slab) (chain [][2]float64, ok bool) {
	lo, hi := boxOf(w.Point)
	least, width := slicedReach*hypot(hi[0]-lo[0], hi[1]-lo[1]), slicedGap
	for k := range wallSlices {
		loop, gap := linked(cutAt(p, c, c.z[0]+c.thicknessMM()*float64(k+1)/(wallSlices+1)))
		a, b := boxOf(loop)
		if l := chainLength(loop); len(loop) >= 4 && gap <= width*l && hypot(b[0]-a[0], b[1]-a[1]) >= least {
			chain, width = loop, gap/l
		}
	}
	return counterClockwise(chain), chain != nil
}

// boxOf is the box about some points.
func boxOf(points [][2]float64) (lo, hi [2]float64) {
	lo, hi = [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
	for _, q := range points {
		for k := range q {
			lo[k], hi[k] = min(lo[k], q[k]), max(hi[k], q[k])
		}
	}
	return lo, hi
}

func counterClockwise(chain [][2]float64) [][2]float64 {
	sum := 0.0
	for i, a := range chain {
		b := chain[(i+1)%len(chain)]
		sum += a[0]*b[1] - a[1]*b[0]
	}
	if sum < 0 {
		slices.Reverse(chain)
	}
	return chain
}

// cutAt lists the chains in which the plane at a height along the slab's direction
// cuts the patch, seen along that direction, with the metal on one hand; splinters
// are left out.
func cutAt(p *Patch, c *slab, h float64) (out [][][2]float64) {
	above := make([]bool, len(p.P))
	for i, q := range p.P {
		above[i] = r3.Dot(r3.Sub(q, c.f.C), c.f.D) > h
	}
	next, entered := map[int32]int32{}, map[int32]bool{} // over the edge that leads down
	at := map[int32][2]float64{}
	var cut []int32
	for i, t := range p.Facet {
		for e, v := range t {
			if below := t[(e+1)%3]; above[v] && !above[below] {
				u, x, z := c.f.local(p.P[v])
				u1, x1, z1 := c.f.local(p.P[below])
				s := (z - h) / (z - z1)
				f := int32(i)
				at[f], cut = [2]float64{u + s*(u1-u), x + s*(x1-x)}, append(cut, f)
				if g := p.Next[i][e]; g >= 0 {
					next[f], entered[g] = g, true
				}
			}
		}
	}
	done := map[int32]bool{}
	run := func(f int32) {
		var chain [][2]float64
		for ok := true; ok && !done[f]; f, ok = next[f] {
			done[f] = true
			chain = append(chain, at[f])
		}
		if len(chain) > 1 && openLength(chain) >= slicedLeast*p.EdgeMM {
			out = append(out, chain)
		}
	}
	for _, f := range cut {
		if !entered[f] {
			run(f)
		}
	}
	for _, f := range cut {
		run(f)
	}
	return out
}

// openLength is the length of a chain from its first to its last point.
func openLength(chain [][2]float64) (mm float64) {
	for i := 1; i < len(chain); i++ {
		mm += hypot(chain[i][0]-chain[i-1][0], chain[i][1]-chain[i-1][1])
	}
	return mm
}

// linked goes round from the longest chain, on with the one that starts nearest, back
// to where it began; gap is the longest step between two chains.
func linked(chains [][][2]float64) (loop [][2]float64, gapMM float64) {
	if len(chains) == 0 {
		return nil, 0
	}
	used := make([]bool, len(chains))
	best := 0
	for i, ch := range chains {
		if openLength(ch) > openLength(chains[best]) {
			best = i
		}
	}
	for best >= 0 {
		used[best] = true
		loop = append(loop, chains[best]...)
		end := loop[len(loop)-1]
		near := hypot(end[0]-loop[0][0], end[1]-loop[0][1])
		best = -1
		for i, ch := range chains {
			if d := hypot(end[0]-ch[0][0], end[1]-ch[0][1]); !used[i] && d < near {
				best, near = i, d
			}
		}
		gapMM = max(gapMM, near)
	}
	return loop, gapMM
}
