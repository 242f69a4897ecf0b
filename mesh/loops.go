package mesh

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// Loop is an opening: a chain of open edges, in the order of a walk.
type Loop struct {
	Component uint32
	Vertices  []uint32
	Ring      bool // it comes back to its first vertex
	CentreMM  r3.Vec
	LengthMM  float64
	SpanMM    float64 // the greatest distance between two of its vertices
	CapMM2    r3.Vec  // area vector of the cap from the centre, outwards
}

// withoutDust returns the open edges of what is not dust.
func (m *Mesh) withoutDust(open []openEdge) []openEdge {
	return slices.DeleteFunc(slices.Clone(open), func(e openEdge) bool { return m.Dust(e.facet) })
}

// loops walks the open edges, each once. At the end of an edge the walk turns
// through the facets round the vertex to the next open edge; it stops at an edge
// of three facets or more. A walk that comes through a vertex twice is parted
// there: openings that meet in a point are two, unless one is a mere lobe.
func (m *Mesh) loops(open []openEdge) []Loop {
	for i := range open {
		m.renew(&open[i])
	}
	slices.SortFunc(open, compareOpen)
	w := walk{m: m, open: open, used: make([]bool, len(open))}
	var out []Loop
	for i := range open {
		if !w.used[i] {
			c := m.ComponentOf[open[i].facet]
			for _, l := range parted(w.trace(i)) {
				l.Component = c
				m.measureLoop(&l)
				out = append(out, l)
			}
		}
	}
	return out
}

// lobeFew is the number of edges under which a ring at a vertex passed twice is
// left in its chain: where a scanner lost sight of the surface the edge is ragged,
// facets hang on by a corner, and each would count as an opening. A scan with ten
// shadows has 46 chains, 98 with every lobe and 57 so.
const lobeFew = 9

// parted splits a chain at the vertices that it passes more than once: each
// return to one closes a ring, and what is left is the chain without it.
func parted(chain []uint32, ring bool) []Loop {
	var out []Loop
	place := make(map[uint32]int, len(chain)) // in left
	left := make([]uint32, 0, len(chain))
	for _, v := range chain {
		if at, ok := place[v]; ok && len(left)-at >= lobeFew {
			for _, u := range left[at+1:] {
				delete(place, u)
			}
			out = append(out, Loop{Vertices: slices.Clone(left[at:]), Ring: true})
			left = left[:at+1]
			continue
		}
		place[v] = len(left)
		left = append(left, v)
	}
	if len(left) > 1 {
		out = append(out, Loop{Vertices: left, Ring: ring && len(left) > 2})
	}
	return out
}

// renew finds the edge's facet and direction again: facets may have been turned
// and renumbered.
func (m *Mesh) renew(e *openEdge) {
	for _, f := range m.FacesAt(e.from) {
		if slices.Contains(m.Faces[f][:], e.to) && !m.Dust(f) {
			e.facet = f
			if !m.runsUp(f, e.from, e.to) {
				e.from, e.to = e.to, e.from
			}
			return
		}
	}
}

func compareOpen(a, b openEdge) int {
	if a.low() != b.low() {
		return int(int64(a.low()) - int64(b.low()))
	}
	return int(int64(a.high()) - int64(b.high()))
}

type walk struct {
	m    *Mesh
	open []openEdge
	used []bool
}

// trace follows the boundary from edge i with its facets' winding, and where
// that ends before coming round, also against it.
func (w *walk) trace(i int) (chain []uint32, ring bool) {
	e := w.open[i]
	w.used[i] = true
	chain, ring = w.follow([]uint32{e.from, e.to}, e.facet)
	if !ring {
		back, _ := w.follow([]uint32{e.to, e.from}, e.facet)
		slices.Reverse(back)
		chain = append(back[:len(back)-2], chain...)
	}
	return chain, ring
}

// follow extends chain, whose last two vertices are an open edge of facet f.
func (w *walk) follow(chain []uint32, f uint32) ([]uint32, bool) {
	start := chain[0]
	for {
		from, at := chain[len(chain)-2], chain[len(chain)-1]
		to, g, ok := w.turn(from, at, f)
		if !ok {
			return chain, false
		}
		j, found := slices.BinarySearchFunc(w.open, openEdge{from: at, to: to}, compareOpen)
		if !found || w.used[j] {
			// Round: the walk is back at its first edge. The first vertex is not
			// repeated.
			return closeChain(chain, start)
		}
		w.used[j] = true
		chain, f = append(chain, to), g
	}
}

func closeChain(chain []uint32, start uint32) ([]uint32, bool) {
	if len(chain) > 3 && chain[len(chain)-1] == start {
		return chain[:len(chain)-1], true
	}
	return chain, false
}

// turn goes through the facets round vertex at, from the open edge from-at of
// facet f to the next open edge at-to, of facet g.
func (w *walk) turn(from, at, f uint32) (to, g uint32, ok bool) {
	for range w.m.FacesAt(at) { // a walk round a vertex is no longer than its facets
		to = third(w.m.Faces[f], from, at)
		next, n := w.m.others(f, at, to)
		switch n {
		case 0:
			return to, f, true
		case 1:
			from, f = to, next
		default:
			return 0, 0, false
		}
	}
	return 0, 0, false
}

func third(t [3]uint32, a, b uint32) uint32 {
	for _, v := range t {
		if v != a && v != b {
			return v
		}
	}
	return t[0]
}

// measureLoop fills what is measured on the chain. The centre is that of its
// length, so that short edges do not pull it.
func (m *Mesh) measureLoop(l *Loop) {
	n := len(l.Vertices)
	steps := n
	if !l.Ring {
		steps--
	}
	for i := range steps {
		a, b := m.At(l.Vertices[i]), m.At(l.Vertices[(i+1)%n])
		d := r3.Norm(r3.Sub(b, a))
		l.LengthMM += d
		l.CentreMM = r3.Add(l.CentreMM, r3.Scale(d/2, r3.Add(a, b)))
	}
	if l.LengthMM > 0 {
		l.CentreMM = r3.Scale(1/l.LengthMM, l.CentreMM)
	}
	for i := range n { // a chain is closed by its chord
		a, b := r3.Sub(m.At(l.Vertices[i]), l.CentreMM), r3.Sub(m.At(l.Vertices[(i+1)%n]), l.CentreMM)
		l.CapMM2 = r3.Add(l.CapMM2, r3.Scale(0.5, r3.Cross(b, a)))
	}
	l.SpanMM = m.span(l.Vertices)
}

// spanExact is the number of vertices up to which all pairs are looked at.
const spanExact = 512

// span returns the greatest distance of two of the vertices; for long lists the
// best of walks from vertex to farthest vertex, started in six directions.
func (m *Mesh) span(vertices []uint32) float64 {
	best := 0.0
	if len(vertices) <= spanExact {
		for i, v := range vertices {
			for _, w := range vertices[:i] {
				best = math.Max(best, r3.Norm2(r3.Sub(m.At(v), m.At(w))))
			}
		}
		return math.Sqrt(best)
	}
	for k := range 6 {
		from, d := m.At(vertices[k*len(vertices)/6]), 0.0
		for {
			far, e := m.farthest(vertices, from)
			if e <= d {
				break
			}
			from, d = far, e
		}
		best = math.Max(best, d)
	}
	return best
}

func (m *Mesh) farthest(vertices []uint32, p r3.Vec) (r3.Vec, float64) {
	far, d := p, 0.0
	for _, v := range vertices {
		q := m.At(v)
		if e := r3.Norm(r3.Sub(q, p)); e > d {
			far, d = q, e
		}
	}
	return far, d
}

// addLoops gives each component its openings and the volume under their caps.
// The components' volumes are those of cones from origin.
func (m *Mesh) addLoops(loops []Loop, origin [3]float32) {
	o := r3.Scale(m.UnitMM, r3.Vec{X: float64(origin[0]), Y: float64(origin[1]), Z: float64(origin[2])})
	for _, l := range loops {
		c := &m.Components[l.Component]
		c.Openings++
		c.OpenAreaMM2 += r3.Norm(l.CapMM2)
		// Every facet of the cap has the centre as a corner: its cone has the
		// height of the centre over the facet's plane.
		c.VolumeMM3 += r3.Dot(r3.Sub(l.CentreMM, o), l.CapMM2) / 3
	}
}
