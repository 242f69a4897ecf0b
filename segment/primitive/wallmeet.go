package primitive

import (
	"math"
	"slices"
)

// Two sides of an outline run on under weld until they meet: a corner that nobody
// sees is sharp rather than cut off where the weld begins. Lengths in facet edges.
const (
	meetBare   = 6    // of the stretch without wall, at least
	meetReach  = 1.5  // within which a wall's point is beside the chain
	meetStep   = 3    // a longer one of the chain is no wall either
	meetToe    = 2    // that weld bends at the end of a side
	meetSide   = 80   // of a side, that its line is fitted to, or half of that, and so on, if it bends
	meetLeast  = 10   // of it, at least: a weld that leads off an edge is shorter
	meetTurn   = 15   // deg between sides, at least
	meetCorner = 0.25 // of the outline's area, in the corner at most
	meetAhead  = 2    // times the stretch, to the corner at most
	meetMetal  = 0.1  // of an inner corner, on which metal is seen
	meetBend   = 0.15 // off its line, a fifth of a side's points: more is a curve or weld
	meetPoints = 8    // of wall, that a line is fitted to
)

// meetSides leads the outline of an open scan, where it shows no wall, along the sides
// at both ends of that stretch to where these cross.
func (w *wallLoop) meetSides(p *Patch, c *slab) {
	n := len(w.Chain)
	if p.OpenEdges == 0 || n < 8 || len(w.Point) < meetPoints {
		return
	}
	beside := w.besideWall(meetReach * p.EdgeMM)
	bare := make([]bool, n) // from point i to the next
	for i, a := range w.Chain {
		k := (i + 1) % n
		b := w.Chain[k]
		bare[i] = hypot(b[0]-a[0], b[1]-a[1]) > meetStep*p.EdgeMM || beside[i] == nil && beside[k] == nil
	}
	first := slices.Index(bare, false)
	if first < 0 || !slices.Contains(bare, true) {
		return
	}
	var out [][2]float64
	met := false
	for k := 0; k < n; k++ {
		i := (first + k) % n
		out = append(out, w.Chain[i])
		if !bare[i] {
			continue
		}
		to := k
		for to < n && bare[(first+to)%n] {
			to++
		}
		j := (first + to) % n
		if x, inner, ok := w.corner(beside, i, j, p.EdgeMM); ok && !(inner && metalIn(p, c, [][2]float64{w.Chain[i], w.Chain[j], x})) {
			met = true
			toe := meetToe * p.EdgeMM
			for len(out) > 1 && hypot(out[len(out)-1][0]-w.Chain[i][0], out[len(out)-1][1]-w.Chain[i][1]) < toe {
				out = out[:len(out)-1]
			}
			for to < n-1 && hypot(w.Chain[(first+to)%n][0]-w.Chain[j][0], w.Chain[(first+to)%n][1]-w.Chain[j][1]) < toe {
				to++
			}
			for _, q := range [][2][2]float64{{out[len(out)-1], x}, {x, w.Chain[(first+to)%n]}} {
				line := dense(q[:], p.EdgeMM)
				out = append(out, line[:len(line)/2]...) // one way
			}
			k = to - 1
		}
	}
	if !met {
		return
	}
	w.Chain, w.AreaMM2 = out, polygonAreaMM2(out)
	if w.Jump != nil {
		w.Jump = make([]bool, len(out))
	}
}

// metalIn tells that a good part of a triangle shows metal.
func metalIn(p *Patch, c *slab, triangle [][2]float64) bool {
	r := rasterOf(p, c)
	return r.share(triangle, 1) > meetMetal
}

// besideWall are the wall's points within reach of each point of the chain.
func (w *wallLoop) besideWall(reachMM float64) [][]int32 {
	cells := map[[2]int][]int32{}
	at := func(q [2]float64) [2]int {
		return [2]int{int(math.Floor(q[0] / reachMM)), int(math.Floor(q[1] / reachMM))}
	}
	for i, q := range w.Point {
		k := at(q)
		cells[k] = append(cells[k], int32(i))
	}
	out := make([][]int32, len(w.Chain))
	for c, q := range w.Chain {
		k := at(q)
		for x := k[0] - 1; x <= k[0]+1; x++ {
			for y := k[1] - 1; y <= k[1]+1; y++ {
				for _, i := range cells[[2]int{x, y}] {
					if hypot(w.Point[i][0]-q[0], w.Point[i][1]-q[1]) < reachMM {
						out[c] = append(out[c], i)
					}
				}
			}
		}
	}
	return out
}

// corner is where the sides that end at chain point i and begin at j cross; inner tells
// that the outline turns inwards there.
func (w *wallLoop) corner(beside [][]int32, i, j int, edgeMM float64) (x [2]float64, inner, ok bool) {
	a, b := w.Chain[i], w.Chain[j]
	chord := hypot(b[0]-a[0], b[1]-a[1])
	if chord < meetBare*edgeMM {
		return x, false, false
	}
	at, along, ok := w.sideEnd(beside, i, -1, edgeMM)
	from, back, too := w.sideEnd(beside, j, 1, edgeMM)
	if !ok || !too {
		return x, false, false
	}
	turn := along[0]*-back[1] - along[1]*-back[0] // sine; the outline runs on against back
	if math.Abs(turn) < math.Sin(meetTurn*math.Pi/180) {
		return x, false, false
	}
	dx, dy := from[0]-at[0], from[1]-at[1]
	t := (dx*-back[1] - dy*-back[0]) / turn
	x = [2]float64{at[0] + t*along[0], at[1] + t*along[1]}
	ahead := func(q, d [2]float64) float64 { return (x[0]-q[0])*d[0] + (x[1]-q[1])*d[1] }
	least, most := -meetToe*edgeMM, meetAhead*chord
	for _, h := range [2]float64{ahead(a, along), ahead(b, back)} {
		if h < least || h > most {
			return x, false, false
		}
	}
	return x, turn < 0, math.Abs(polygonAreaMM2([][2]float64{a, x, b})) <= meetCorner*w.AreaMM2
}

// sideEnd fits the line of the side that chain point i ends, going by step along the
// chain away from the end: a point of it and the direction out over its end.
func (w *wallLoop) sideEnd(beside [][]int32, i, step int, edgeMM float64) (at, out [2]float64, ok bool) {
	for l := float64(meetSide); l >= meetLeast; l /= 2 {
		on, last, gone := w.alongSide(beside, i, step, l*edgeMM, edgeMM)
		if len(on) < meetPoints || gone < meetLeast*edgeMM {
			return at, out, false
		}
		line := sideThrough(on, [2]float64{1, 0})
		off := make([]float64, len(on))
		for k, q := range on {
			off[k] = math.Abs(line.past(q))
		}
		if quantile(off, 0.8) > meetBend*edgeMM {
			continue // it bends
		}
		a := w.Chain[i]
		h := line.past(a)
		at, out = [2]float64{a[0] - h*line.n[0], a[1] - h*line.n[1]}, [2]float64{-line.n[1], line.n[0]}
		if out[0]*(a[0]-last[0])+out[1]*(a[1]-last[1]) < 0 {
			out = [2]float64{-out[0], -out[1]}
		}
		return at, out, true
	}
	return at, out, false
}

// alongSide are the wall's points beside the chain from point i on, past the toe of
// the weld, as far as lengthMM or to where there are none; last is the chain's point
// there, and gone how far it is.
func (w *wallLoop) alongSide(beside [][]int32, i, step int, lengthMM, edgeMM float64) (on [][2]float64, last [2]float64, gone float64) {
	n := len(w.Chain)
	seen := map[int32]bool{}
	last = w.Chain[i]
	for k := 0; k < n && gone < lengthMM; k++ {
		c := ((i+step*k)%n + n) % n
		q := w.Chain[c]
		l := hypot(q[0]-last[0], q[1]-last[1])
		if l > meetStep*edgeMM || beside[c] == nil {
			break
		}
		gone, last = gone+l, q
		if gone < meetToe*edgeMM {
			continue
		}
		for _, v := range beside[c] {
			if !seen[v] {
				seen[v] = true
				on = append(on, w.Point[v])
			}
		}
	}
	return on, last, gone
}
