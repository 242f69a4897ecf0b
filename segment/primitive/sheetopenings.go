package primitive

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// Openings of a sheet that was not seen whole: a hole shows this share of its
// turn at least, so that its middle is sure (the end of a slot shows half), and
// metal on no more than this share of its middle, which weld may cover. Sides are
// fine enough for a corner of a diamond, and hold several facets of a hole that
// is ten facets round.
const (
	openingTurn  = 0.35
	openingMetal = 0.3
	openingSides = 48
)

// sheetOpenings finds the holes of a sheet of which welds and gaps have broken
// the walls: parts of wall belong to one hole where each lies before the other
// and no metal between them. walls are those that wallLoops found, of which
// whole ones stay.
func sheetOpenings(p *Patch, c *slab, walls []wallLoop, marginMM float64) []wallLoop {
	r := rasterOf(p, c)
	pts := wallSightings(p, c, marginMM)
	tol := 0.35*p.EdgeMM + 2*p.NoiseMM
	var out []wallLoop
	for _, group := range oneHole(pts, gathered(pts, &r, p.EdgeMM, tol), &r, tol) {
		w, ok := openingIn(pts, group, p.EdgeMM)
		if !ok || r.share(w.Chain, 0.7) > openingMetal {
			continue
		}
		if whole, ok := wholeWall(walls, w, p.EdgeMM); ok {
			w = whole
		}
		if w.thin(p.EdgeMM) { // a sliver of weld
			continue
		}
		out = append(out, w)
	}
	return apart(out)
}

// apart leaves out an opening that lies in another, or round it, of which more of
// the wall was seen.
func apart(list []wallLoop) []wallLoop {
	slices.SortStableFunc(list, func(a, b wallLoop) int { return len(b.Point) - len(a.Point) })
	var out []wallLoop
	for _, w := range list {
		m := polygonCentroid(w.Chain)
		if !slices.ContainsFunc(out, func(o wallLoop) bool {
			return insideChain(m, o.Chain) || insideChain(polygonCentroid(o.Chain), w.Chain)
		}) {
			out = append(out, w)
		}
	}
	return out
}

// outsideOf leaves out the walls that lie in openings, whole ones and parts: these
// face the middle. The outer wall of a box faces away, near as it is to the inner.
func outsideOf(open, walls []wallLoop) []wallLoop {
	return slices.DeleteFunc(walls, func(w wallLoop) bool {
		return slices.ContainsFunc(open, func(o wallLoop) bool {
			m := polygonCentroid(o.Chain)
			if outward(w, m) > 0 {
				return false
			}
			wide := make([][2]float64, len(o.Chain)) // by a fifth: the wall lies on the chain
			for i, q := range o.Chain {
				wide[i] = [2]float64{m[0] + 1.2*(q[0]-m[0]), m[1] + 1.2*(q[1]-m[1])}
			}
			in := 0
			for _, q := range w.Chain {
				if insideChain(q, wide) {
					in++
				}
			}
			return 2*in > len(w.Chain)
		})
	})
}

// wallSighting is a vertex of a wall in the plane of the faces, and its normal.
type wallSighting struct {
	at, normal [2]float64
	sound      bool // away from both rims
}

// wallSightings lists the vertices of facets across the sheet, between its faces.
func wallSightings(p *Patch, c *slab, marginMM float64) []wallSighting {
	middle, half := (c.z[0]+c.z[1])/2, c.thicknessMM()/2
	margin := min(max(marginMM, 0.3*p.EdgeMM), 0.5*half)
	slack := 2*p.EdgeMM + 4*p.NoiseMM
	seen := make([]bool, len(p.P))
	var out []wallSighting
	for f, t := range p.Facet {
		if math.Abs(r3.Dot(p.FacetS[f], c.f.D)) > faceCos {
			continue
		}
		for _, v := range t {
			if seen[v] {
				continue
			}
			seen[v] = true
			x, y, h := c.f.local(p.P[v])
			nx, ny := r3.Dot(p.N[v], c.f.E1), r3.Dot(p.N[v], c.f.E2)
			if l := hypot(nx, ny); l > 0.5 && math.Abs(h-middle) < half+slack {
				out = append(out, wallSighting{[2]float64{x, y}, [2]float64{nx / l, ny / l}, math.Abs(h-middle) <= half-margin})
			}
		}
	}
	return out
}

// gathered parts the sightings into groups that belong together.
func gathered(pts []wallSighting, r *sheetRaster, edgeMM, tol float64) [][]int {
	reach := 2.5 * edgeMM // two facets are gone between; webs between holes are wider
	cells := map[[2]int][]int{}
	at := func(q [2]float64) [2]int {
		return [2]int{int(math.Floor(q[0] / reach)), int(math.Floor(q[1] / reach))}
	}
	parent := make([]int, len(pts))
	var stands []int
	first := map[[3]int]int{} // on a long wall many lie one behind the other: the first of them stands for all
	for i, q := range pts {
		way := int((math.Atan2(q.normal[1], q.normal[0])/math.Pi + 1) * wallWays / 2)
		own := [3]int{int(math.Floor(q.at[0] / (0.5 * edgeMM))), int(math.Floor(q.at[1] / (0.5 * edgeMM))), min(way, wallWays-1)}
		f, stood := first[own]
		if !stood {
			f = i
			first[own] = i
			stands = append(stands, i)
			cells[at(q.at)] = append(cells[at(q.at)], i)
		}
		parent[i] = f
	}
	root := func(i int) int {
		for parent[i] != i {
			parent[i] = parent[parent[i]]
			i = parent[i]
		}
		return i
	}
	for _, i := range stands {
		k := at(pts[i].at)
		for x := k[0] - 1; x <= k[0]+1; x++ {
			for y := k[1] - 1; y <= k[1]+1; y++ {
				for _, j := range cells[[2]int{x, y}] {
					if j > i && sameWall(&pts[i], &pts[j], r, reach, tol) {
						a, b := root(i), root(j)
						parent[max(a, b)] = min(a, b)
					}
				}
			}
		}
	}
	number := map[int]int{}
	var out [][]int
	for i := range pts {
		k, ok := number[root(i)]
		if !ok {
			k = len(out)
			number[root(i)] = k
			out = append(out, nil)
		}
		out[k] = append(out[k], i)
	}
	return out
}

// wallWays are the directions of normals that are told apart before grouping:
// finer than the 37 degrees that neighbours of one wall may differ by.
const wallWays = 16

// sameWall tells whether two sightings within reach are of one hole: each lies
// before the other's wall, or they are neighbours that face one way, and what is
// between them is open.
func sameWall(a, b *wallSighting, r *sheetRaster, reach, tol float64) bool {
	dx, dy := b.at[0]-a.at[0], b.at[1]-a.at[1]
	l := hypot(dx, dy)
	if l > reach {
		return false
	}
	facing := a.normal[0]*b.normal[0] + a.normal[1]*b.normal[1]
	if l <= reach/2 && facing > 0.8 {
		return true
	}
	if dx*a.normal[0]+dy*a.normal[1] < -tol || -dx*b.normal[0]-dy*b.normal[1] < -tol {
		return false
	}
	in := [2]float64{a.normal[0] + b.normal[0], a.normal[1] + b.normal[1]}
	n := max(hypot(in[0], in[1]), 1e-9)
	return !r.at([2]float64{(a.at[0]+b.at[0])/2 + r.cellMM*in[0]/n, (a.at[1]+b.at[1])/2 + r.cellMM*in[1]/n})
}

// openingIn makes a wall of a group whose normals point to its middle: its chain
// is the median place of the wall in each of the directions from there.
func openingIn(pts []wallSighting, group []int, edgeMM float64) (w wallLoop, ok bool) {
	if len(group) < 5 {
		return w, false
	}
	m, ok := middleOf(pts, group)
	if !ok {
		return w, false
	}
	var dist [openingSides][]float64
	in := 0.0
	for _, i := range group {
		x, y := pts[i].at[0]-m[0], pts[i].at[1]-m[1]
		l := hypot(x, y)
		if l == 0 {
			continue
		}
		in -= (x*pts[i].normal[0] + y*pts[i].normal[1]) / l
		k := min(int((math.Atan2(y, x)/(2*math.Pi)+0.5)*openingSides), openingSides-1)
		dist[k] = append(dist[k], l)
		if pts[i].sound {
			w.Point, w.Normal = append(w.Point, pts[i].at), append(w.Normal, pts[i].normal)
		}
	}
	if in < 0.5*float64(len(group)) {
		return w, false
	}
	w.Hole = true
	turn := 0.0
	for k, d := range dist {
		if d == nil {
			continue
		}
		sin, cos := math.Sincos((float64(k)+0.5)/openingSides*2*math.Pi - math.Pi)
		l := median(d)
		w.Chain = append(w.Chain, [2]float64{m[0] + l*cos, m[1] + l*sin})
		turn += max(1, edgeMM/(l*2*math.Pi/openingSides)) // a hole of few facets leaves directions out
	}
	if len(w.Chain) < 4 || min(turn/openingSides, 1) < openingTurn {
		return w, false
	}
	w.AreaMM2 = polygonAreaMM2(w.Chain)
	return w, true
}

// oneHole joins groups that are sides of one hole, where weld crosses it: nearly
// all of each lies before the other, and what they are round is open.
func oneHole(pts []wallSighting, groups [][]int, r *sheetRaster, tol float64) [][]int {
	for i := range groups {
		for j := i + 1; j < len(groups); j++ {
			if len(groups[i]) < 5 || len(groups[j]) < 5 || !facingEachOther(pts, groups[i], groups[j], tol) {
				continue
			}
			both := slices.Concat(groups[i], groups[j])
			if w, ok := openingIn(pts, both, 0); ok && r.share(w.Chain, 0.8) < openingMetal/3 {
				groups[i], groups[j] = both, nil
			}
		}
	}
	return groups
}

// facingEachOther tells whether nearly all of two groups lies before the other's
// wall; some of each are looked at.
func facingEachOther(pts []wallSighting, a, b []int, tol float64) bool {
	const looks, most = 12, 0.1
	behind, n := 0.0, 0.0
	for i := 0; i < len(a); i += len(a)/looks + 1 {
		for j := 0; j < len(b); j += len(b)/looks + 1 {
			p, q := &pts[a[i]], &pts[b[j]]
			dx, dy := q.at[0]-p.at[0], q.at[1]-p.at[1]
			n++
			if dx*p.normal[0]+dy*p.normal[1] < -tol || -dx*q.normal[0]-dy*q.normal[1] < -tol {
				behind++
			}
		}
	}
	return behind <= most*n
}

// middleOf is the point that the wall's normals point to: nearest, by least
// squares, to the lines along them, but not outside the group's box.
func middleOf(pts []wallSighting, group []int) (m [2]float64, ok bool) {
	low, high := pts[group[0]].at, pts[group[0]].at
	var xx, xy, yy, bx, by float64
	for _, i := range group {
		q, n := pts[i].at, pts[i].normal
		for k := range q {
			low[k], high[k] = min(low[k], q[k]), max(high[k], q[k])
		}
		k := q[0]*n[1] - q[1]*n[0]
		xx, xy, yy = xx+n[1]*n[1], xy-n[0]*n[1], yy+n[0]*n[0]
		bx, by = bx+n[1]*k, by-n[0]*k
	}
	det := xx*yy - xy*xy
	if !(det > 1e-6*(xx+yy)*(xx+yy)) {
		return m, false
	}
	m = [2]float64{(yy*bx - xy*by) / det, (xx*by - xy*bx) / det}
	for k := range m {
		if !(m[k] > low[k] && m[k] < high[k]) {
			m[k] = (low[k] + high[k]) / 2
		}
	}
	return m, true
}

// wholeWall is the one of walls that is closed and is that of the opening w.
func wholeWall(walls []wallLoop, w wallLoop, edgeMM float64) (wallLoop, bool) {
	i := slices.IndexFunc(walls, func(o wallLoop) bool {
		return o.Hole && o.closed(edgeMM) && o.closure() < -openingTurn && 4*len(o.Point) > 3*len(w.Point) &&
			math.Abs(o.AreaMM2-w.AreaMM2) < 0.3*w.AreaMM2 && insideChain(polygonCentroid(o.Chain), w.Chain)
	})
	if i < 0 {
		return wallLoop{}, false
	}
	return walls[i], true
}
