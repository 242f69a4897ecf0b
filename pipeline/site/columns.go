package site

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/stock"
)

// columns are plumb lines on a square grid over the work, with the metal that each of
// them passes, and the strips between neighbours with what stands in the way of water
// from one to the other. Heights are exact; across, all is known only at the grid.
type columns struct {
	x0, y0, pitch float64
	nx, ny        int
	metal         [][]span // by column, rising, apart
	barX, barY    bars     // strips towards the next column in x, in y
}

// span of metal on a column: the pieces of its lowest and uppermost surface, and whether
// that one leans by less than 30 degrees.
type span struct {
	lo, hi float64
	bottom int
	top    int
	flat   bool
}

// A gap that is lower than this holds water by itself, or is closed by the weld's root
// (common practice, no source).
const tightMM = 4.0

// The grid has at most this many columns over the work's footprint, finer than
// pitchLeastMM it never is: drops bridge less.
const (
	columnsMost  = 60000.0
	pitchLeastMM = 3.0
)

// weldMM is how far a seam's weld reaches from it, leg and the play of fit-up together.
const weldMM = 8.0

// columnsOver lays the grid. Seams of contacts stand for welds: tight, all round.
// The grid is off the work's own axes by an odd fraction, so that no column runs in a
// face.
func columnsOver(pieces []Piece, contacts []stock.Contact) columns {
	lo, hi := boxOf(pieces)
	if len(pieces) == 0 || math.IsInf(lo[0], 0) {
		return columns{}
	}
	wide, deep := hi[0]-lo[0], hi[1]-lo[1]
	g := columns{pitch: max(pitchLeastMM, math.Sqrt(wide*deep/columnsMost))}
	g.x0, g.y0 = lo[0]-g.pitch*1.6180339887, lo[1]-g.pitch*1.4142135624
	g.nx, g.ny = int(wide/g.pitch)+5, int(deep/g.pitch)+5
	g.metal = make([][]span, g.nx*g.ny)
	g.barX, g.barY = newBars(g.nx*g.ny), newBars(g.nx*g.ny)
	crossed := newCrossings(g.nx * g.ny)
	for i, p := range pieces {
		for _, t := range p.Triangles {
			g.pass(crossed, i, p.PointsMM[t[0]], p.PointsMM[t[1]], p.PointsMM[t[2]])
		}
	}
	for _, c := range contacts {
		if c.A < 0 || c.A >= len(pieces) {
			continue
		}
		for k := 1; k < len(c.Seam); k++ {
			if a, b := c.Seam[k-1], c.Seam[k]; a.Run == b.Run {
				g.weld(crossed, c.A, a.PointMM, b.PointMM)
			}
		}
	}
	var list []crossing
	for i := range g.metal {
		list = crossed.at(i, list[:0])
		g.metal[i] = spansOf(list)
	}
	return g
}

func (g *columns) at(i, j int) (x, y float64) {
	return g.x0 + g.pitch*float64(i), g.y0 + g.pitch*float64(j)
}

// crossing of a column and a surface: way is 1 into the metal going up, -1 out of it, 0
// for a skin without an inside.
type crossing struct {
	z          float64
	piece, way int
	flat       bool // less than 30 degrees from level
}

// crossings are lists of them by column, in one array.
type crossings struct {
	first, next []int32
	all         []crossing
}

func newCrossings(n int) *crossings {
	c := &crossings{first: make([]int32, n), next: make([]int32, 0, 4*n), all: make([]crossing, 0, 4*n)}
	for i := range c.first {
		c.first[i] = -1
	}
	return c
}

func (c *crossings) add(at int, x crossing) {
	c.all, c.next = append(c.all, x), append(c.next, c.first[at])
	c.first[at] = int32(len(c.all) - 1)
}

func (c *crossings) at(i int, list []crossing) []crossing {
	for k := c.first[i]; k >= 0; k = c.next[k] {
		list = append(list, c.all[k])
	}
	return list
}

// pass takes a triangle through the columns and strips that it meets.
func (g *columns) pass(crossed *crossings, piece int, a, b, c r3.Vec) {
	way := 0
	switch n := r3.Cross(r3.Sub(b, a), r3.Sub(c, a)).Z; {
	case n < 0:
		way = 1
	case n > 0:
		way = -1
	}
	g.passAs(crossed, piece, way, a, b, c)
}

func (g *columns) passAs(crossed *crossings, piece, way int, a, b, c r3.Vec) {
	i0, i1 := g.range1(min(a.X, b.X, c.X), max(a.X, b.X, c.X), g.x0, g.nx)
	j0, j1 := g.range1(min(a.Y, b.Y, c.Y), max(a.Y, b.Y, c.Y), g.y0, g.ny)
	low, high := min(a.Z, b.Z, c.Z), max(a.Z, b.Z, c.Z)
	n := r3.Cross(r3.Sub(b, a), r3.Sub(c, a))
	flat := math.Abs(n.Z) > levelCos*r3.Norm(n)
	for j := j0; j <= j1; j++ {
		for i := i0; i <= i1 && n.Z != 0; i++ {
			x, y := g.at(i, j)
			if within(a, b, c, x, y) {
				z := a.Z - (n.X*(x-a.X)+n.Y*(y-a.Y))/n.Z
				crossed.add(j*g.nx+i, crossing{max(low, min(high, z)), piece, way, flat})
			}
		}
	}
	for j := j0; j <= j1; j++ { // strips along x
		_, y := g.at(0, j)
		if p, q, ok := sliced(a, b, c, func(v r3.Vec) (across, along float64) { return v.Y - y, v.X }); ok {
			g.barX.add(p, q, g.x0, g.pitch, g.nx, func(i int) int { return j*g.nx + i })
		}
	}
	for i := i0; i <= i1; i++ {
		x, _ := g.at(i, 0)
		if p, q, ok := sliced(a, b, c, func(v r3.Vec) (across, along float64) { return v.X - x, v.Y }); ok {
			g.barY.add(p, q, g.y0, g.pitch, g.ny, func(j int) int { return j*g.nx + i })
		}
	}
}

// range1 are the lines of the grid between two coordinates.
func (g *columns) range1(lo, hi, from float64, n int) (first, last int) {
	return max(int(math.Ceil((lo-from)/g.pitch)), 0), min(int(math.Floor((hi-from)/g.pitch)), n-1)
}

// weld closes a seam with two ribbons, one plumb and one level.
func (g *columns) weld(crossed *crossings, piece int, a, b r3.Vec) {
	d := r3.Sub(b, a)
	side := r3.Vec{X: -d.Y, Y: d.X}
	if r3.Norm(side) == 0 {
		side = r3.Vec{X: 1}
	}
	for _, r := range []r3.Vec{{Z: weldMM}, r3.Scale(weldMM, r3.Unit(side))} {
		p, q, s, t := r3.Sub(a, r), r3.Sub(b, r), r3.Add(b, r), r3.Add(a, r)
		g.passAs(crossed, piece, 0, p, q, s)
		g.passAs(crossed, piece, 0, p, s, t)
	}
}

// within tells whether a plumb line meets a triangle; of two triangles that share an
// edge exactly one has what lies on it.
func within(a, b, c r3.Vec, x, y float64) bool {
	s := left(a, b, x, y)
	return left(b, c, x, y) == s && left(c, a, x, y) == s
}

func left(a, b r3.Vec, x, y float64) bool {
	swapped := a.X > b.X || a.X == b.X && a.Y > b.Y
	if swapped {
		a, b = b, a
	}
	return ((b.X-a.X)*(y-a.Y)-(b.Y-a.Y)*(x-a.X) >= 0) != swapped
}

// sliced is where a plumb plane cuts a triangle: two points, along the plane and up.
func sliced(a, b, c r3.Vec, to func(r3.Vec) (across, along float64)) (p, q [2]float64, ok bool) {
	n := 0
	for _, e := range [3][2]r3.Vec{{a, b}, {b, c}, {c, a}} {
		d0, s0 := to(e[0])
		d1, s1 := to(e[1])
		if (d0 < 0) == (d1 < 0) {
			continue
		}
		k := d0 / (d0 - d1)
		x := [2]float64{s0 + k*(s1-s0), e[0].Z + k*(e[1].Z-e[0].Z)}
		if n++; n == 1 {
			p = x
		} else {
			q = x
		}
	}
	if p[0] > q[0] {
		p, q = q, p
	}
	return p, q, n == 2
}

// spansOf turns crossings into metal. A piece whose crossings on this column do not come
// in pairs is a skin there.
func spansOf(all []crossing) []span {
	slices.SortFunc(all, func(a, b crossing) int {
		return cmp.Or(cmp.Compare(a.piece, b.piece), cmp.Compare(a.z, b.z), cmp.Compare(b.way, a.way))
	})
	var out []span
	for from := 0; from < len(all); {
		to := from
		for to < len(all) && all[to].piece == all[from].piece {
			to++
		}
		out = append(out, pieceSpans(all[from:to])...)
		from = to
	}
	slices.SortFunc(out, func(a, b span) int { return cmp.Or(cmp.Compare(a.lo, b.lo), cmp.Compare(a.hi, b.hi)) })
	merged := out[:0]
	for _, s := range out {
		if n := len(merged) - 1; n >= 0 && s.lo <= merged[n].hi+tightMM {
			if s.hi > merged[n].hi {
				merged[n].hi, merged[n].top, merged[n].flat = s.hi, s.top, s.flat
			}
			continue
		}
		merged = append(merged, s)
	}
	return merged
}

func pieceSpans(all []crossing) []span {
	var out []span
	depth, start := 0, 0.0
	for _, c := range all {
		if c.way == 0 { // a weld
			out = append(out, span{c.z, c.z, c.piece, c.piece, false})
			continue
		}
		if depth == 0 {
			start = c.z
		}
		if depth += c.way; depth == 0 {
			out = append(out, span{start, c.z, c.piece, c.piece, c.flat})
		}
		if depth < 0 {
			break
		}
	}
	if depth == 0 {
		return out
	}
	out = out[:0]
	for _, c := range all {
		out = append(out, span{c.z, c.z, c.piece, c.piece, c.flat})
	}
	return out
}

// bars are heights that are barred on strips: lists in one array.
type bars struct {
	first []int32
	all   []bar
}

type bar struct {
	lo, hi float64
	next   int32
}

func newBars(n int) bars {
	b := bars{first: make([]int32, n), all: make([]bar, 0, 6*n)}
	for i := range b.first {
		b.first[i] = -1
	}
	return b
}

// add cuts a line along a row of strips into what lies on each.
func (b *bars) add(p, q [2]float64, from, pitch float64, n int, index func(int) int) {
	first, last := int(math.Floor((p[0]-from)/pitch)), int(math.Floor((q[0]-from)/pitch))
	for i := max(first, 0); i <= min(last, n-2); i++ {
		s0, s1 := max(p[0], from+pitch*float64(i)), min(q[0], from+pitch*float64(i+1))
		z0, z1 := p[1], q[1]
		if q[0] > p[0] {
			k := (q[1] - p[1]) / (q[0] - p[0])
			z0, z1 = p[1]+k*(s0-p[0]), p[1]+k*(s1-p[0])
		}
		at := index(i)
		b.all = append(b.all, bar{min(z0, z1), max(z0, z1), b.first[at]})
		b.first[at] = int32(len(b.all) - 1)
	}
}

// over is the lowest height from z up at which a strip lets water by, at most to the
// ceiling; false for none. Gaps lower than tightMM do not.
func (b *bars) over(at int, z, ceiling float64, scratch []bar) (float64, bool) {
	list := scratch[:0]
	for k := b.first[at]; k >= 0; k = b.all[k].next {
		if x := b.all[k]; x.hi >= z {
			list = append(list, x)
		}
	}
	slices.SortFunc(list, func(a, b bar) int { return cmp.Compare(a.lo, b.lo) })
	for _, x := range list {
		if x.lo > z+tightMM {
			break
		}
		z = max(z, x.hi)
	}
	return z, z <= ceiling-tightMM
}
