package fitup

import (
	"gonum.org/v1/gonum/spatial/r3"
)

// owner says whose an unknown is.
type owner struct {
	body   int // -1: of a mirror
	mirror int
	cut    int // -1: of the part's place
	k      int // which of its own
}

func (m *model) owners() []owner {
	out := make([]owner, m.unknowns)
	for i, b := range m.bodies {
		for k := range 6 {
			if b.first >= 0 {
				out[b.first+k] = owner{i, -1, -1, k}
			}
		}
		for c, at := range b.cutAt {
			for k := range b.cutOf[c] {
				out[at+k] = owner{i, -1, c, k}
			}
		}
	}
	for i, x := range m.mirrors {
		for k := range 3 {
			out[x.first+k] = owner{-1, i, -1, k}
		}
	}
	return out
}

// bump changes one unknown by a small amount, mm.
func (m *model) bump(o owner, by float64) {
	switch {
	case o.body < 0:
		x := &m.mirrors[o.mirror]
		x.at = x.nudged(o.k, by)
	case o.cut >= 0:
		m.bodies[o.body].shape.cuts[o.cut].adjust(o.k, by)
	default:
		var v [6]float64
		v[o.k] = by
		m.bodies[o.body].shove(v)
	}
}

// shove moves a part by three of shift, mm, and three of turn, mm at reachMM.
func (b *body) shove(v [6]float64) {
	turn := r3.Scale(1/b.reachMM, r3.Vec{X: v[3], Y: v[4], Z: v[5]})
	b.at = b.at.moved(r3.Vec{X: v[0], Y: v[1], Z: v[2]}, turn, b.centre())
}

func (x *mirror) nudged(k int, by float64) pose {
	switch k {
	case 0:
		return x.at.moved(r3.Scale(by, x.at.z), r3.Vec{}, x.at.at)
	case 1:
		return x.at.moved(r3.Vec{}, r3.Scale(by/x.reachMM, x.at.x), x.at.at)
	}
	return x.at.moved(r3.Vec{}, r3.Scale(by/x.reachMM, x.at.y), x.at.at)
}

// take adds a step to all unknowns.
func (m *model) take(dx []float64) {
	for _, b := range m.bodies {
		if b.first >= 0 {
			b.shove([6]float64(dx[b.first : b.first+6]))
		}
		for c, at := range b.cutAt {
			for k := range b.cutOf[c] {
				b.shape.cuts[c].adjust(k, dx[at+k])
			}
		}
	}
	for i := range m.mirrors {
		x := &m.mirrors[i]
		for k := range 3 {
			x.at = x.nudged(k, dx[x.first+k])
		}
	}
}

// places remembers where all parts lie, so that a bump is undone exactly.
type places struct {
	at      []pose
	mirrors []pose
	cuts    [][2]cut
}

func (m *model) places() places {
	var p places
	for _, b := range m.bodies {
		p.at = append(p.at, b.at)
		var c [2]cut
		for k := range c {
			if b.shape.cuts[k] != nil {
				c[k] = *b.shape.cuts[k]
			}
		}
		p.cuts = append(p.cuts, c)
	}
	for _, x := range m.mirrors {
		p.mirrors = append(p.mirrors, x.at)
	}
	return p
}

func (m *model) restore(p places, o owner) {
	switch {
	case o.body < 0:
		m.mirrors[o.mirror].at = p.mirrors[o.mirror]
	case o.cut >= 0:
		*m.bodies[o.body].shape.cuts[o.cut] = p.cuts[o.body][o.cut]
	default:
		m.bodies[o.body].at = p.at[o.body]
	}
}

func (m *model) restoreAll(p places) {
	for i, b := range m.bodies {
		b.at = p.at[i]
		for k := range b.shape.cuts {
			if b.shape.cuts[k] != nil {
				*b.shape.cuts[k] = p.cuts[i][k]
			}
		}
	}
	for i := range m.mirrors {
		m.mirrors[i].at = p.mirrors[i]
	}
}
