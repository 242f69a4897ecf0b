package primitive

import (
	"cmp"
	"slices"

	"pointup/mesh"
)

// Coarsen gathers facets of m like NewPatch, but where they have over twice the
// given number of vertices, only about that many of them, joined by larger
// facets.
//
// points are the vertices of faces; both must be in rising order. The vertices
// that stay are scanned points as they were, so that their noise is the scan's;
// which one stands for its neighbourhood, a disc of the surface that is grown
// over edges, is drawn by a hash of its number and so has nothing to do with the
// way its noise went. Three discs that have a facet in common are joined by one.
// The cost is linear in the facets, some 0.1 µs each. Face is nil where vertices
// were left out.
func Coarsen(m *mesh.Mesh, faces, points []uint32, noiseMM float64, vertices int) *Patch {
	if len(points) <= 2*vertices {
		return NewPatch(m, faces, noiseMM)
	}
	d := discs{m: m, points: points, base: points[0], component: m.ComponentOf[faces[0]]}
	d.alone = d.touchesNone(len(faces))
	d.of = mesh.Large[int32](int(points[len(points)-1]-points[0]) + 1)
	d.grow(len(points) / vertices)
	d.absorb(len(points) / vertices / 4)
	p := &Patch{NoiseMM: noiseMM}
	d.join(p, faces)
	p.place(m)
	p.link()
	if m.Components[d.component].OpenEdges == 0 { // where four discs meet, a facet may be wanting
		p.Open, p.OpenEdges = make([]bool, len(p.P)), 0
	}
	p.smooth()
	return p
}

// discs are neighbourhoods of vertices on the mesh.
type discs struct {
	m         *mesh.Mesh
	component uint32
	alone     bool // no other shell touches this one
	points    []uint32
	base      uint32
	of        []int32 // by vertex less base: its disc, from 1; 0 for none yet
	disc      []disc
	next      []uint32
}

type disc struct {
	vertices int
	stands   uint32 // the vertex that stands for it
	hash     uint64
	to       int32 // the disc that took it up, from 1; itself where none did
}

// touchesNone tells that all facets at the vertices are the shell's own, so many.
func (d *discs) touchesNone(facets int) bool {
	corners := 0
	for _, v := range d.points {
		corners += len(d.m.FacesAt(v))
	}
	return corners == 3*facets
}

// grow covers the vertices with discs of at most so many: each starts at the
// first vertex that is in none and takes the nearest, counted in edges.
func (d *discs) grow(most int) {
	for _, v := range d.points {
		if d.of[v-d.base] != 0 {
			continue
		}
		n := int32(len(d.disc) + 1)
		d.of[v-d.base] = n
		d.next = append(d.next[:0], v)
		for i := 0; i < len(d.next) && len(d.next) < most; i++ {
			d.spread(d.next[i], n, most)
		}
		c := disc{vertices: len(d.next), to: n}
		for _, w := range d.next {
			if h := scramble(w); c.hash == 0 || h < c.hash {
				c.hash, c.stands = h, w
			}
		}
		d.disc = append(d.disc, c)
	}
}

// spread takes the vertices next to v that are in no disc.
func (d *discs) spread(v uint32, n int32, most int) {
	for _, f := range d.m.FacesAt(v) {
		if !d.alone && d.m.ComponentOf[f] != d.component {
			continue
		}
		t := &d.m.Faces[f]
		for _, w := range t {
			if d.of[w-d.base] == 0 && len(d.next) < most {
				d.of[w-d.base] = n
				d.next = append(d.next, w)
			}
		}
	}
}

// absorb gives the remnants between discs, those of fewer vertices than least,
// to a disc next to them.
func (d *discs) absorb(least int) {
	for _, v := range d.points {
		n := d.of[v-d.base]
		c := &d.disc[n-1]
		if c.vertices >= least || c.to != n {
			continue
		}
		for _, f := range d.m.FacesAt(v) {
			if !d.alone && d.m.ComponentOf[f] != d.component {
				continue
			}
			t := &d.m.Faces[f]
			for _, w := range t {
				if o := d.of[w-d.base]; c.to == n && d.disc[o-1].vertices >= least {
					c.to = o
				}
			}
		}
	}
}

// join gives p a facet for every three discs that one of the mesh's facets has,
// and the vertices of these. Where facets with the same discs face both ways,
// they cancel out, as folds do.
func (d *discs) join(p *Patch, faces []uint32) {
	list := make([]span, 0, 8*len(d.disc))
	for _, f := range faces {
		v := &d.m.Faces[f]
		x, y, z := d.of[v[0]-d.base], d.of[v[1]-d.base], d.of[v[2]-d.base]
		if x == y || y == z || z == x { // most are within a disc
			continue
		}
		t := [3]int32{d.disc[x-1].to, d.disc[y-1].to, d.disc[z-1].to}
		if t[0] == t[1] || t[1] == t[2] || t[2] == t[0] {
			continue
		}
		c := span{at: t, facing: 1}
		slices.Sort(c.at[:])
		if c.at != t && c.at != [3]int32{t[1], t[2], t[0]} && c.at != [3]int32{t[2], t[0], t[1]} {
			c.facing = -1
		}
		list = append(list, c)
	}
	list = d.sorted(list)
	triangles := make([][3]uint32, 0, 2*len(d.disc))
	for i := 0; i < len(list); {
		sum, j := 0, i
		for ; j < len(list) && list[j].at == list[i].at; j++ {
			sum += int(list[j].facing)
		}
		t := list[i].at
		if sum < 0 {
			t[1], t[2] = t[2], t[1]
		}
		if sum != 0 {
			triangles = append(triangles, [3]uint32{d.disc[t[0]-1].stands, d.disc[t[1]-1].stands, d.disc[t[2]-1].stands})
		}
		i = j
	}
	p.numberOf(triangles)
}

// span is three discs that a facet lies on, rising, and 1 where it runs from the first to
// the second, else -1.
type span struct {
	at     [3]int32
	facing int8
}

// sorted puts spans in order of their discs: dealt by the first, a handful each.
func (d *discs) sorted(list []span) []span {
	next := make([]int32, len(d.disc)+2) // disc n has its spans from next[n] on, at last up to there
	for _, s := range list {
		next[s.at[0]+1]++
	}
	for n := 1; n < len(next); n++ {
		next[n] += next[n-1]
	}
	out := make([]span, len(list))
	for _, s := range list {
		out[next[s.at[0]]] = s
		next[s.at[0]]++
	}
	for n := 1; n <= len(d.disc); n++ {
		slices.SortFunc(out[next[n-1]:next[n]], func(a, b span) int {
			return cmp.Or(cmp.Compare(a.at[1], b.at[1]), cmp.Compare(a.at[2], b.at[2]))
		})
	}
	return out
}

// scramble is a hash of a number (Steele, Lea and Flood, OOPSLA 2014, mix64).
func scramble(v uint32) uint64 {
	z := uint64(v) + 0x9e3779b97f4a7c15
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}
