package fidelity

import (
	"math"
	"math/bits"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// picture says which pixels show a model.
type picture struct {
	mask
	lens   lens
	of     []body
	at     [][]r3.Vec // by part: its points in pixels; Z is the depth
	covers [][]run    // by part: what it covers, of an open one by triangles
}

// draw takes points on the plane at distance 1, as project gives them, to pixels
// and sets those whose middle a triangle covers.
func draw(l lens, model []body, flat [][]r3.Vec, c *contours) picture {
	p := picture{mask: newMask(l.wide, l.high), lens: l, of: model, at: flat, covers: make([][]run, len(model))}
	for k, points := range flat {
		for i, q := range points {
			points[i].X, points[i].Y = (q.X-l.x0)/l.step, (q.Y-l.y0)/l.step
		}
		if model[k].closed {
			p.covers[k] = c.draw(p.mask, model[k], points)
		} else {
			p.covers[k] = p.triangles(model[k], points)
		}
		for _, r := range p.covers[k] {
			p.set(r.y, r.x0, r.x1)
		}
	}
	return p
}

// triangles are what those of an open body cover.
func (p picture) triangles(of body, points []r3.Vec) []run {
	var out []run
	for _, t := range of.Triangles {
		if a, b, c := points[t[0]], points[t[1]], points[t[2]]; shown(of.closed, a, b, c) {
			p.rows(a, b, c, func(r run) { out = append(out, r) })
		}
	}
	return out
}

// shown tells whether a triangle is before the eyes and not on the far side of its
// part, where that is closed, nor so thin that it is a line.
func shown(closed bool, a, b, c r3.Vec) bool {
	area := doubleArea(a, b, c)
	return a.Z > nearPlane && b.Z > nearPlane && c.Z > nearPlane && (area >= areaLeast || area <= -areaLeast && !closed)
}

// rows gives the rows of a triangle that cover pixels' middles.
func (p picture) rows(a, b, c r3.Vec, do func(run)) {
	if b.Y < a.Y {
		a, b = b, a
	}
	if c.Y < a.Y {
		a, c = c, a
	}
	if c.Y < b.Y {
		b, c = c, b
	}
	low, high := max(0, int(math.Ceil(a.Y))), min(p.high-1, int(math.Floor(c.Y)))
	if low > high {
		return
	}
	long, lower, upper := slope(a, c), slope(a, b), slope(b, c)
	for y := low; y <= high; y++ {
		from, to := a.X+(float64(y)-a.Y)*long, 0.0
		if float64(y) < b.Y {
			to = a.X + (float64(y)-a.Y)*lower
		} else {
			to = b.X + (float64(y)-b.Y)*upper
		}
		x0, x1 := max(0, int(math.Ceil(min(from, to)))), min(p.wide-1, int(math.Floor(max(from, to))))
		if x0 <= x1 {
			do(run{y, x0, x1})
		}
	}
}

// areaLeast is twice the area, in pixels, under which a triangle is a line.
const areaLeast = 1e-12

func doubleArea(a, b, c r3.Vec) float64 { return (b.X-a.X)*(c.Y-a.Y) - (b.Y-a.Y)*(c.X-a.X) }

// slope is how far an edge leans a row; 0 where it is level.
func slope(p, q r3.Vec) float64 {
	if q.Y <= p.Y {
		return 0
	}
	return (q.X - p.X) / (q.Y - p.Y)
}

// sight is a pixel and the part that it shows, by its place in the model, with 1
// over its depth where several are one behind the other.
type sight struct {
	x, y, part int
	near       float32
}

// sights are those of one mask without another, row by row: of row y from first[y] to first[y+1].
type sights struct {
	list  []sight
	first []int
}

func sightsOf(m, without mask) sights {
	s := sights{first: make([]int, 1, m.high+1)}
	for y := range m.high {
		bare := without.row(y)
		for i, w := range m.row(y) {
			for w &^= bare[i]; w != 0; w &= w - 1 {
				s.list = append(s.list, sight{x: i<<6 + bits.TrailingZeros64(w), y: y, part: -1})
			}
		}
		s.first = append(s.first, len(s.list))
	}
	return s
}

// within are the sights in a run.
func (s sights) within(r run) []sight {
	row := s.list[s.first[r.y]:s.first[r.y+1]]
	if len(row) == 0 {
		return nil
	}
	before := func(q sight, x int) int { return q.x - x }
	from, _ := slices.BinarySearchFunc(row, r.x0, before)
	to, _ := slices.BinarySearchFunc(row, r.x1+1, before)
	return row[from:to]
}

// fronts are the parts that this picture shows where another mask is bare, row by
// row. Most pixels are covered by one part alone: depths are asked for where they are
// not.
func (p picture) fronts(other mask) []sight {
	s := sightsOf(p.mask, other)
	if len(s.list) == 0 {
		return nil
	}
	several, rival := newMask(p.wide/blockSide+1, p.high/blockSide+1), make([]bool, len(p.of)) // blocks, parts
	for k := range p.covers {
		for _, r := range p.covers[k] {
			here := s.within(r)
			for i := range here {
				if q := &here[i]; q.part < 0 {
					q.part = k
				} else if q.part != k {
					several.set(q.y/blockSide, q.x/blockSide, q.x/blockSide)
					rival[k], rival[q.part] = true, true
				}
			}
		}
	}
	for k := range rival {
		if rival[k] {
			p.before(k, s, several)
		}
	}
	return s.list
}

// before gives a part the sights where it is nearer than those that had their turn,
// by the triangles that reach one of the blocks.
func (p picture) before(k int, s sights, blocks mask) {
	for _, t := range p.of[k].Triangles {
		a, b, c := p.at[k][t[0]], p.at[k][t[1]], p.at[k][t[2]]
		if !shown(p.of[k].closed, a, b, c) || !blocks.touches(a, b, c) {
			continue
		}
		area := doubleArea(a, b, c)
		za, zb, zc := 1/a.Z, 1/b.Z, 1/c.Z // linear in the plane
		right := ((c.Y-a.Y)*(zb-za) - (b.Y-a.Y)*(zc-za)) / area
		up := ((b.X-a.X)*(zc-za) - (c.X-a.X)*(zb-za)) / area
		p.rows(a, b, c, func(r run) {
			here := s.within(r)
			for i := range here {
				q := &here[i]
				if z := float32(za + (float64(q.x)-a.X)*right + (float64(q.y)-a.Y)*up); z > q.near {
					q.near, q.part = z, k
				}
			}
		})
	}
}

// off is the angle from a pixel to the nearest that shows a part; the width of the
// picture where there is none at all.
func (p picture) off(x, y int) float64 {
	u, v, ok := p.nearest(x, y)
	if !ok {
		u, v = x+max(p.lens.wide, p.lens.high), y
	}
	return p.lens.angle(x, y, u, v)
}
