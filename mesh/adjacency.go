package mesh

import "slices"

// corner is facet f at vertex v.
type corner struct{ v, f uint32 }

// index builds the list of facets at each vertex, by counting, band by band; the
// corners that a band has on later ones go to those.
func (m *Mesh) index() {
	m.atStart = Large[uint32](len(m.Points) + 1)
	m.at = Large[uint32](3 * len(m.Faces))
	bands := m.bands()
	later := make([][]corner, len(bands))
	eachBand(bands, func(k int, b band) { later[k] = m.countCorners(b) })
	for _, list := range later {
		for _, c := range list {
			m.atStart[c.v]++
		}
	}
	sum := uint32(0)
	for v, n := range m.atStart {
		m.atStart[v] = sum
		sum += n
	}
	eachBand(bands, func(k int, b band) { m.fillCorners(b, later[:k]) })
	copy(m.atStart[1:], m.atStart[:len(m.Points)])
	m.atStart[0] = 0
}

// countCorners counts the band's facets at its vertices and lists the corners on
// vertices of later bands.
func (m *Mesh) countCorners(b band) (later []corner) {
	for f := b.lo; f < b.hi; f++ {
		t := &m.Faces[f]
		for _, v := range t {
			if v < b.to {
				m.atStart[v]++
			} else {
				later = append(later, corner{v, uint32(f)})
			}
		}
	}
	return later
}

// fillCorners writes the facets at the band's vertices, those of earlier bands
// first: they are lower.
func (m *Mesh) fillCorners(b band, earlier [][]corner) {
	put := func(v, f uint32) {
		m.at[m.atStart[v]] = f
		m.atStart[v]++
	}
	for _, list := range earlier {
		for _, c := range list {
			if c.v >= b.from && c.v < b.to {
				put(c.v, c.f)
			}
		}
	}
	for f := b.lo; f < b.hi; f++ {
		t := &m.Faces[f]
		for _, v := range t {
			if v < b.to {
				put(v, uint32(f))
			}
		}
	}
}

// FacesAt returns the facets that have vertex v, rising; do not change it.
func (m *Mesh) FacesAt(v uint32) []uint32 { return m.at[m.atStart[v]:m.atStart[v+1]] }

// Dust tells whether facet f is in a component that was set aside as dust.
func (m *Mesh) Dust(f uint32) bool { return m.Components[m.ComponentOf[f]].Dust }

// Across returns the facet on the other side of edge k of facet f, from vertex k
// to k+1. ok is false at an open edge and at one that more than two facets
// share. Dust is not seen from a facet that is none: a speck on an edge does
// not part its two facets.
func (m *Mesh) Across(f uint32, k int) (g uint32, ok bool) {
	t := &m.Faces[f]
	g, n := m.others(f, t[k], t[(k+1)%3])
	return g, n == 1
}

// others returns how many facets of f's sort, dust or not, share the edge v w
// with f, and the last of them.
func (m *Mesh) others(f, v, w uint32) (g uint32, n int) {
	if m.atStart[w+1]-m.atStart[w] < m.atStart[v+1]-m.atStart[v] {
		v, w = w, v
	}
	for _, h := range m.FacesAt(v) {
		if t := &m.Faces[h]; h != f && (t[0] == w || t[1] == w || t[2] == w) && m.Dust(h) == m.Dust(f) {
			g = h
			n++
		}
	}
	return g, n
}

// edgeUse is one facet at an edge: the edge's higher vertex, the facet, and
// whether the facet runs from the lower vertex to the higher.
type edgeUse uint64

func newEdgeUse(w, f uint32, up uint64) edgeUse {
	return edgeUse(uint64(w)<<32 | uint64(f)<<1 | up)
}
func (u edgeUse) vertex() uint32 { return uint32(u >> 32) }
func (u edgeUse) facet() uint32  { return uint32(u) >> 1 }
func (u edgeUse) up() bool       { return u&1 != 0 }

// usesAbove appends to uses the edges from v to higher vertices, one entry a
// facet, edge by edge, the facets of an edge rising.
func (m *Mesh) usesAbove(v uint32, uses []edgeUse) []edgeUse {
	for _, f := range m.FacesAt(v) {
		t := &m.Faces[f]
		next, last := t[1], t[2]
		if t[1] == v {
			next, last = t[2], t[0]
		} else if t[2] == v {
			next, last = t[0], t[1]
		}
		if next > v {
			uses = append(uses, newEdgeUse(next, f, 1))
		}
		if last > v {
			uses = append(uses, newEdgeUse(last, f, 0))
		}
	}
	if len(uses) > 24 {
		slices.Sort(uses)
		return uses
	}
	for i := 1; i < len(uses); i++ {
		u, j := uses[i], i
		for ; j > 0 && uses[j-1] > u; j-- {
			uses[j] = uses[j-1]
		}
		uses[j] = u
	}
	return uses
}

// edgeEnd returns the end of the run of uses of one edge that starts at lo.
func edgeEnd(uses []edgeUse, lo int) int {
	hi := lo + 1
	for hi < len(uses) && uses[hi].vertex() == uses[lo].vertex() {
		hi++
	}
	return hi
}
