package synthetic

// hold makes the segment from a to b an edge of the triangulation that later
// flips leave alone. It refuses a segment that meets a third point or another
// held edge.
func (m *mesher) hold(a, b int32) error {
	t, k := m.toward(a, b)
	if t < 0 {
		return errTouches
	}
	if m.t[t].v[(k+1)%3] == b {
		m.fix(t, (k+2)%3)
		return nil
	}
	crossing, err := m.crossing(a, b, t, k)
	if err != nil {
		return err
	}
	if err := m.clear(a, b, crossing); err != nil {
		return err
	}
	t, k = m.toward(a, b)
	if t < 0 || m.t[t].v[(k+1)%3] != b {
		return errTouches
	}
	m.fix(t, (k+2)%3)
	return nil
}

// toward returns the triangle at a, and a's place in it, that the way to b
// enters, or whose next corner is b; -1 where a third point stands in the way.
func (m *mesher) toward(a, b int32) (int32, int) {
	start := m.at[a]
	for t := start; ; {
		k := m.place(t, a)
		p, q := m.t[t].v[(k+1)%3], m.t[t].v[(k+2)%3]
		sp, sq := m.side(a, b, p), m.side(a, b, q)
		if p == b || (q != b && sp < 0 && sq > 0) {
			return t, k
		}
		if sp == 0 && m.ahead(a, b, p) {
			return -1, 0
		}
		if t = m.t[t].n[(k+1)%3]; t == start || t < 0 {
			return -1, 0
		}
	}
}

// ahead says that p lies on b's side of a.
func (m *mesher) ahead(a, b, p int32) bool {
	o := m.p[a]
	return (m.p[b][0]-o[0])*(m.p[p][0]-o[0])+(m.p[b][1]-o[1])*(m.p[p][1]-o[1]) > 0
}

// place returns where corner a stands in t.
func (m *mesher) place(t, a int32) int {
	for k := range 3 {
		if m.t[t].v[k] == a {
			return k
		}
	}
	return 0
}

// crossing returns the edges, as pairs right and left of a to b, that the way
// crosses, from triangle t with corner k at a.
func (m *mesher) crossing(a, b, t int32, k int) (out [][2]int32, err error) {
	for range len(m.t) {
		p, q := m.t[t].v[(k+1)%3], m.t[t].v[(k+2)%3]
		if m.t[t].fixed[k] {
			return nil, errTouches
		}
		out = append(out, [2]int32{p, q})
		u := m.t[t].n[k]
		d := m.t[u].v[m.corner(u, q, p)]
		if d == b {
			return out, nil
		}
		switch side := m.side(a, b, d); {
		case side > 0: // on across p to d, opposite q
			t, k = u, m.place(u, q)
		case side < 0:
			t, k = u, m.place(u, p)
		default:
			return nil, errTouches
		}
	}
	return nil, errTouches
}

// clear flips crossing edges, oldest first, until none is left; one whose two
// triangles make no convex quadrilateral waits for its neighbours (Sloan).
func (m *mesher) clear(a, b int32, queue [][2]int32) error {
	for tries := 100 * len(queue) * len(queue); len(queue) > 0; tries-- {
		if tries == 0 {
			return errTouches
		}
		p, q := queue[0][0], queue[0][1]
		queue = queue[1:]
		t, k := m.between(p, q)
		s := m.t[t].v[k]
		u := m.t[t].n[k]
		d := m.t[u].v[m.corner(u, q, p)]
		if m.side(s, p, d) <= 0 || m.side(s, d, q) <= 0 {
			queue = append(queue, [2]int32{p, q})
			continue
		}
		m.flip(t, k)
		if s == a || s == b || d == a || d == b {
			continue
		}
		right, left := m.side(a, b, s), m.side(a, b, d)
		if right < 0 && left > 0 {
			queue = append(queue, [2]int32{s, d})
		} else if right > 0 && left < 0 {
			queue = append(queue, [2]int32{d, s})
		}
	}
	return nil
}

// between returns the triangle that has the edge p to q, and the place of the
// corner opposite. It turns about the lower of the two: round a corner of the
// outer triangle, numbered highest, there is no full turn.
func (m *mesher) between(p, q int32) (int32, int) {
	about := min(p, q)
	t := m.at[about]
	for {
		k := m.place(t, about)
		if about == p && m.t[t].v[(k+1)%3] == q {
			return t, (k + 2) % 3
		}
		if about == q && m.t[t].v[(k+2)%3] == p {
			return t, (k + 1) % 3
		}
		t = m.t[t].n[(k+1)%3]
	}
}

func (m *mesher) fix(t int32, k int) {
	p, q := m.t[t].v[(k+1)%3], m.t[t].v[(k+2)%3]
	m.t[t].fixed[k] = true
	if u := m.t[t].n[k]; u >= 0 {
		m.t[u].fixed[m.corner(u, q, p)] = true
	}
}

// relax makes the triangulation Delaunay again wherever held edges allow it.
func (m *mesher) relax() {
	for range 100 { // quality only: stops sooner in practice, and may stop early
		flipped := false
		for t := range int32(len(m.t)) {
			for k := range 3 {
				u := m.t[t].n[k]
				if u < t || m.t[t].fixed[k] {
					continue
				}
				v := m.t[t].v
				d := m.t[u].v[m.corner(u, v[(k+2)%3], v[(k+1)%3])]
				if m.inCircle(v[0], v[1], v[2], d) {
					m.flip(t, k)
					flipped = true
				}
			}
		}
		if !flipped {
			return
		}
	}
}

// inside returns the triangles that an odd number of held edges part from the
// outer triangle, in the order they were made.
func (m *mesher) inside() [][3]int32 {
	const unseen = -1
	depth := make([]int8, len(m.t))
	for i := range depth {
		depth[i] = unseen
	}
	n := int32(len(m.p)) - 3
	edge := []int32{m.at[n]}
	depth[m.at[n]] = 0
	for level := int8(0); len(edge) > 0; level++ {
		edge = m.flood(edge, depth, level)
	}
	var out [][3]int32
	for i, t := range m.t {
		if depth[i]%2 == 1 {
			out = append(out, t.v)
		}
	}
	return out
}

// flood gives every triangle reached without crossing a held edge the same
// depth, and returns those just beyond, one deeper.
func (m *mesher) flood(stack []int32, depth []int8, level int8) (beyond []int32) {
	var over []int32
	for len(stack) > 0 {
		t := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		for k, u := range m.t[t].n {
			if u < 0 || depth[u] >= 0 {
				continue
			}
			if m.t[t].fixed[k] {
				over = append(over, u)
				continue
			}
			depth[u] = level
			stack = append(stack, u)
		}
	}
	for _, u := range over {
		if depth[u] < 0 {
			depth[u] = level + 1
			beyond = append(beyond, u)
		}
	}
	return beyond
}
