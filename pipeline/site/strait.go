package site

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// strait is room in which opposing surfaces stand nearer to each other than a head is
// wide, and a body gets in: an opening that several pieces may bound.
type strait struct {
	a, b     sample // opposing surfaces where it is narrowest
	atMM     r3.Vec
	acrossMM float64
	angleDeg float64 // between the two surfaces
	doors    int     // separate sides on which it meets wider room: two or more, and it is bounded all round
	opens    r3.Vec  // one door: the way out of it
}

// straitsOf finds them: cubes that are free enough for a body and lie between opposing
// surfaces on some line, parted by connection. A hole has two doors, a cleft one, what is
// closed none.
func straitsOf(c *clearance) []strait {
	free := func(v int) bool { return c.freeMM(v) >= headLowMM/2-c.pitch/2 }
	shell := c.shell()
	narrow := make([]bool, len(c.nearest))
	for v := range narrow {
		narrow[v] = c.nearest[v] >= 0 && free(v) && c.between(v, shell)
	}
	var out []strait
	seen := make([]bool, len(narrow))
	for v := range narrow {
		if narrow[v] && !seen[v] {
			if t, ok := c.strait(c.joined(v, narrow, seen), narrow, free); ok {
				out = append(out, t)
			}
		}
	}
	return out
}

// shell has a sample of every cube that a surface passes, -1 elsewhere.
func (c *clearance) shell() []int32 {
	out := make([]int32, len(c.nearest))
	for i := range out {
		out[i] = -1
	}
	for s := range c.samples {
		if v, ok := c.cube(c.samples[s].at); ok && out[v] < 0 {
			out[v] = int32(s)
		}
	}
	return out
}

// opposedCos: surfaces oppose each other where they make no more than a V that is still a
// trap.
const opposedCos = -0.57 // cos(180° − 55°)

// between tells whether on one of the 13 lines through a cube and its neighbours surfaces
// oppose each other, nearer than a head is wide.
func (c *clearance) between(v int, shell []int32) bool {
	i, j, k := c.place(v)
	for _, way := range [13][3]int{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}, {1, 1, 0}, {1, -1, 0}, {1, 0, 1}, {1, 0, -1}, {0, 1, 1}, {0, 1, -1}, {1, 1, 1}, {1, 1, -1}, {1, -1, 1}, {1, -1, -1}} {
		step := c.pitch * math.Sqrt(float64(way[0]*way[0]+way[1]*way[1]+way[2]*way[2]))
		most := int(1.1 * headHighMM / step)
		hit := func(sign int) (int32, int) {
			for n := 1; n <= most; n++ {
				x, y, z := i+sign*n*way[0], j+sign*n*way[1], k+sign*n*way[2]
				if x < 0 || y < 0 || z < 0 || x >= c.n[0] || y >= c.n[1] || z >= c.n[2] {
					return -1, 0
				}
				if s := shell[(z*c.n[1]+y)*c.n[0]+x]; s >= 0 {
					return s, n
				}
			}
			return -1, 0
		}
		a, n := hit(1)
		if a < 0 {
			continue
		}
		b, m := hit(-1)
		if b < 0 || n+m > most {
			continue
		}
		p, q := c.samples[a], c.samples[b]
		if d := r3.Sub(q.at, p.at); r3.Dot(p.normal, q.normal) <= opposedCos && r3.Dot(p.normal, d) > 0 && r3.Dot(q.normal, d) < 0 {
			return true
		}
	}
	return false
}

// joined is the connected room about a cube.
func (c *clearance) joined(v int, in, seen []bool) []int {
	room := []int{v}
	seen[v] = true
	for k := 0; k < len(room); k++ {
		c.about(room[k], func(n int) {
			if in[n] && !seen[n] {
				seen[n] = true
				room = append(room, n)
			}
		})
	}
	return room
}

// strait measures a narrow room; false where nothing leads into it, or nothing opposes.
func (c *clearance) strait(room []int, narrow []bool, free func(int) bool) (strait, bool) {
	t := strait{acrossMM: math.Inf(1)}
	door := map[int]bool{}
	var doors []int
	for _, v := range room {
		c.beside(v, func(n int) {
			if !narrow[n] && !door[n] && free(n) {
				door[n] = true
				doors = append(doors, n)
			}
		})
	}
	t.doors = c.parts(doors, door)
	for _, v := range room {
		a, b, ok := c.opposed(v)
		if !ok {
			continue
		}
		if d := r3.Norm(r3.Sub(a.at, b.at)); d < t.acrossMM {
			t.a, t.b, t.acrossMM, t.atMM = a, b, d, r3.Scale(0.5, r3.Add(a.at, b.at))
		}
	}
	if t.doors == 0 || math.IsInf(t.acrossMM, 1) {
		return t, false
	}
	t.angleDeg = math.Acos(max(-1, min(1, -r3.Dot(t.a.normal, t.b.normal)))) * 180 / math.Pi
	if t.doors == 1 {
		var out r3.Vec
		for _, v := range doors {
			out = r3.Add(out, r3.Scale(1/float64(len(doors)), c.centre(v)))
		}
		t.opens = r3.Sub(out, t.atMM)
	}
	return t, true
}

// parts counts the connected parts of doors.
func (c *clearance) parts(doors []int, door map[int]bool) int {
	seen, n := map[int]bool{}, 0
	for _, v := range doors {
		if seen[v] {
			continue
		}
		n++
		list := []int{v}
		seen[v] = true
		for k := 0; k < len(list); k++ {
			c.about(list[k], func(m int) {
				if door[m] && !seen[m] {
					seen[m] = true
					list = append(list, m)
				}
			})
		}
	}
	return n
}

// opposed is the nearest surface of a cube and the one on its other side along the same
// line.
func (c *clearance) opposed(v int) (a, b sample, ok bool) {
	at := c.centre(v)
	a = c.samples[c.nearest[v]]
	way := r3.Sub(at, a.at)
	if r3.Norm(way) == 0 {
		return a, b, false
	}
	way = r3.Unit(way)
	for s := c.freeMM(v); s <= headHighMM; s += c.pitch / 4 {
		n, in := c.cube(r3.Add(a.at, r3.Scale(s, way)))
		if !in || c.nearest[n] < 0 {
			continue
		}
		b = c.samples[c.nearest[n]]
		d := r3.Sub(b.at, a.at)
		if along := r3.Dot(d, way); along > headLowMM/2 && r3.Norm2(d)-along*along < sampleMM*sampleMM && r3.Dot(a.normal, b.normal) <= opposedCos && r3.Dot(b.normal, way) < 0 {
			return a, b, true
		}
	}
	return a, b, false
}

// refined moves the two points of a strait between two pieces to where those are nearest
// to each other, there and back.
func (t *strait) refined(pieces []Piece) {
	if t.a.piece == t.b.piece {
		return
	}
	for range 4 {
		t.a.at = pieces[t.a.piece].closest(t.b.at, t.a.at)
		t.b.at = pieces[t.b.piece].closest(t.a.at, t.b.at)
	}
	t.acrossMM, t.atMM = r3.Norm(r3.Sub(t.a.at, t.b.at)), r3.Scale(0.5, r3.Add(t.a.at, t.b.at))
}

// closest is the point of a piece's surface that is nearest to another, or old.
func (p Piece) closest(to, old r3.Vec) r3.Vec {
	best, at := r3.Norm2(r3.Sub(old, to)), old
	for _, t := range p.Triangles {
		q := closestOn(p.PointsMM[t[0]], p.PointsMM[t[1]], p.PointsMM[t[2]], to)
		if d := r3.Norm2(r3.Sub(q, to)); d < best {
			best, at = d, q
		}
	}
	return at
}

// closestOn is the point of a triangle that is nearest to p (Ericson, Real-Time Collision
// Detection, 2005, 5.1.5).
func closestOn(a, b, c, p r3.Vec) r3.Vec {
	ab, ac, ap := r3.Sub(b, a), r3.Sub(c, a), r3.Sub(p, a)
	d1, d2 := r3.Dot(ab, ap), r3.Dot(ac, ap)
	if d1 <= 0 && d2 <= 0 {
		return a
	}
	bp := r3.Sub(p, b)
	d3, d4 := r3.Dot(ab, bp), r3.Dot(ac, bp)
	if d3 >= 0 && d4 <= d3 {
		return b
	}
	vc := d1*d4 - d3*d2
	if vc <= 0 && d1 >= 0 && d3 <= 0 {
		return r3.Add(a, r3.Scale(d1/(d1-d3), ab))
	}
	cp := r3.Sub(p, c)
	d5, d6 := r3.Dot(ab, cp), r3.Dot(ac, cp)
	if d6 >= 0 && d5 <= d6 {
		return c
	}
	vb := d5*d2 - d1*d6
	if vb <= 0 && d2 >= 0 && d6 <= 0 {
		return r3.Add(a, r3.Scale(d2/(d2-d6), ac))
	}
	va := d3*d6 - d5*d4
	if va <= 0 && d4-d3 >= 0 && d5-d6 >= 0 {
		return r3.Add(b, r3.Scale((d4-d3)/((d4-d3)+(d5-d6)), r3.Sub(c, b)))
	}
	return r3.Add(a, r3.Scale(1/(va+vb+vc), r3.Add(r3.Scale(vb, ab), r3.Scale(vc, ac))))
}
