package fidelity

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// body is a part with the edges of its triangles, which are the same from
// everywhere.
type body struct {
	Part
	closed bool // every edge has one triangle on each side
	edges  []edge
}

// edge runs from a to b as its left triangle has it, from b to a as its right one
// does; -1 where there is none yet.
type edge struct {
	a, b        uint32
	left, right int32
}

// bodiesOf finds the edges of closed parts; open ones are drawn by triangles.
func bodiesOf(model []Part) []body {
	out := make([]body, len(model))
	var sides []side
	for k, p := range model {
		out[k].Part = p
		out[k].edges, out[k].closed = edgesOf(p, &sides)
	}
	return out
}

// edgesOf pairs the sides of triangles that run to and fro between the same points;
// false where a side is alone, or two run the same way. The sides lie in memory that is
// used again.
func edgesOf(p Part, memory *[]side) (edges []edge, closed bool) {
	first := make([]uint32, len(p.Points)+2) // of each point, among sides by their lower end
	for _, t := range p.Triangles {
		for k, a := range t {
			first[min(a, t[(k+1)%3])+2]++
		}
	}
	for v := 2; v < len(first); v++ {
		first[v] += first[v-1]
	}
	sides := slices.Grow((*memory)[:0], 3*len(p.Triangles))[:3*len(p.Triangles)]
	*memory = sides
	for i, t := range p.Triangles {
		for k, a := range t {
			b := t[(k+1)%3]
			at := &first[min(a, b)+1]
			sides[*at] = side{max(a, b), int32(i)}
			if a > b {
				sides[*at].of = ^int32(i)
			}
			*at++
		}
	}
	edges = make([]edge, 0, len(sides)/2+1)
	for v := range p.Points {
		begun := len(edges)
		for _, s := range sides[first[v]:first[v+1]] {
			at := begun
			for at < len(edges) && edges[at].b != s.high {
				at++
			}
			if at == len(edges) {
				edges = append(edges, edge{uint32(v), s.high, -1, -1})
			}
			if s.high == uint32(v) || !s.join(&edges[at]) {
				return nil, false
			}
		}
	}
	return edges, 2*len(edges) == len(sides)
}

// side is that of a triangle towards its higher end; of is below 0, ^triangle, where
// the triangle has it from there.
type side struct {
	high uint32
	of   int32
}

// join puts a side into its edge; false where another stands there.
func (s side) join(e *edge) bool {
	to, of := &e.left, s.of
	if of < 0 {
		to, of = &e.right, ^of
	}
	free := *to < 0
	*to = of
	return free
}

// contours draws closed bodies: what their front sides cover lies within the edges
// between front and back, which are few, counted as windings.
type contours struct {
	wide, high int

	front []bool
	list  []crossing
	row   []int32
	dealt []crossing
}

// crossing is where an edge crosses a row of pixels: from there to the right it is
// by turns more often within the body's front.
type crossing struct {
	x     float64
	y     int32
	turns int32
}

// draw lists the pixels of a picture whose middle the front of a body covers; points
// are in pixels.
func (c *contours) draw(m mask, b body, points []r3.Vec) []run {
	c.wide, c.high, c.list = m.wide, m.high, c.list[:0]
	c.front = c.front[:0]
	for _, t := range b.Triangles {
		c.front = append(c.front, shown(true, points[t[0]], points[t[1]], points[t[2]]))
	}
	for _, e := range b.edges {
		if left := c.front[e.left]; left != c.front[e.right] {
			c.cross(points[e.a], points[e.b], left)
		}
	}
	return c.runs()
}

// cross lists where an edge crosses rows, whose front is to the left as it runs from
// a to b, or to the right. Its upper end is not on it, so that a row through a point
// meets one of two edges that pass there.
func (c *contours) cross(a, b r3.Vec, left bool) {
	turns := int32(-1) // up with the front to the left: it ends here
	if b.Y < a.Y {
		a, b, left = b, a, !left
	}
	if !left {
		turns = 1
	}
	lean := slope(a, b)
	for y := max(0, int(math.Ceil(a.Y))); y < c.high && float64(y) < b.Y; y++ {
		c.list = append(c.list, crossing{a.X + (float64(y)-a.Y)*lean, int32(y), turns})
	}
}

// runs are what lies between the crossings of each row.
func (c *contours) runs() []run {
	out := make([]run, 0, len(c.list)/2)
	c.deal()
	for y := range c.high {
		list := c.dealt[c.row[y]:c.row[y+1]]
		for i := 1; i < len(list); i++ { // they are few
			x, at := list[i], i
			for ; at > 0 && list[at-1].x > x.x; at-- {
				list[at] = list[at-1]
			}
			list[at] = x
		}
		turns, from := int32(0), 0.0
		for _, x := range list {
			before := turns
			turns += x.turns
			switch {
			case before <= 0 && turns > 0:
				from = x.x
			case before > 0 && turns <= 0:
				if x0, x1 := max(0, int(math.Ceil(from))), min(c.wide-1, int(math.Floor(x.x))); x0 <= x1 {
					out = append(out, run{y, x0, x1})
				}
			}
		}
	}
	return out
}

// deal puts the crossings of each row together: those of y from row[y] to row[y+1].
func (c *contours) deal() {
	if len(c.row) < c.high+2 {
		c.row = make([]int32, c.high+2)
	}
	clear(c.row)
	for _, x := range c.list {
		c.row[x.y+2]++
	}
	for y := 2; y < len(c.row); y++ {
		c.row[y] += c.row[y-1]
	}
	c.dealt = slices.Grow(c.dealt[:0], len(c.list))[:len(c.list)]
	for _, x := range c.list {
		c.dealt[c.row[x.y+1]] = x
		c.row[x.y+1]++
	}
}
