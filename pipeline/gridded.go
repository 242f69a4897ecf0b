package pipeline

import (
	"math"

	"pointup/mesh"
)

// A picture of an element of more facets than closeFacets is drawn of the means of
// the scan's vertices in cubes of a closeCells-th of its size: two pixels of its
// picture, in which it is 500 to 640 long. Of fewer facets each is drawn.
const (
	closeFacets = 400_000
	closeCells  = 540
)

// gridded is facets of a mesh, of which the vertices in each cube of a grid are one, at
// their mean (Rossignac and Borrel 1993). Facets that lose their area so are left out.
// The grid has the number of cells along the diagonal of the box.
//
// used are the vertices of faces; both are in rising order and there is one or more.
func gridded(m *mesh.Mesh, faces, used []uint32, cells float64) (points [][3]float32, cut [][3]uint32) {
	low := used[0]
	place := mesh.Large[uint32](int(used[len(used)-1]-low) + 1)
	g := newGrid(m.Points, used, cells)
	for _, v := range used {
		place[v-low] = g.cellOf(m.Points[v])
	}
	cut = make([][3]uint32, 0, len(faces)/2)
	for _, f := range faces {
		t := m.Faces[f]
		a, b, c := place[t[0]-low], place[t[1]-low], place[t[2]-low]
		if a != b && b != c && c != a {
			cut = append(cut, [3]uint32{a, b, c})
		}
	}
	return g.means(), cut
}

// grid gathers points that come in order of rising x: cells of one slab across x at a
// time.
type grid struct {
	origin   [3]float32
	perUnit  float64
	slab     int      // of the last point
	high     int      // cells of a slab along z
	last     []uint32 // by cell of a slab: 1 + the last cube there, which is of this slab if not below first
	first    uint32
	sum      [][3]float64
	vertices []float64
}

func newGrid(points [][3]float32, used []uint32, cells float64) *grid {
	inf := float32(math.Inf(1))
	lo, hi := [3]float32{inf, inf, inf}, [3]float32{-inf, -inf, -inf}
	for _, v := range used {
		for k, x := range points[v] {
			lo[k], hi[k] = min(lo[k], x), max(hi[k], x)
		}
	}
	var size [3]float64
	for k := range size {
		size[k] = float64(hi[k]) - float64(lo[k])
	}
	g := &grid{origin: lo, perUnit: cells / math.Sqrt(size[0]*size[0]+size[1]*size[1]+size[2]*size[2]), slab: -1}
	g.high = int(size[2]*g.perUnit) + 1
	g.last = make([]uint32, (int(size[1]*g.perUnit)+1)*g.high)
	g.sum, g.vertices = make([][3]float64, 0, len(used)/2), make([]float64, 0, len(used)/2)
	return g
}

// cellOf adds a point to its cube and returns the cube's index.
func (g *grid) cellOf(p [3]float32) uint32 {
	var at [3]int
	for k, x := range p {
		at[k] = int((float64(x) - float64(g.origin[k])) * g.perUnit)
	}
	if at[0] != g.slab {
		g.slab, g.first = at[0], uint32(len(g.sum))+1
	}
	last := &g.last[at[1]*g.high+at[2]]
	if *last < g.first {
		g.sum, g.vertices = append(g.sum, [3]float64{}), append(g.vertices, 0)
		*last = uint32(len(g.sum))
	}
	i := *last - 1
	s := &g.sum[i]
	for k, x := range p {
		s[k] += float64(x)
	}
	g.vertices[i]++
	return i
}

func (g *grid) means() [][3]float32 {
	out := make([][3]float32, len(g.sum))
	for i, s := range g.sum {
		for k := range s {
			out[i][k] = float32(s[k] / g.vertices[i])
		}
	}
	return out
}

// verticesOf are the vertices of facets, rising.
func verticesOf(m *mesh.Mesh, faces []uint32) []uint32 {
	low, high := vertexRange(m, faces)
	seen, n := make([]bool, high-low+1), 0
	for _, f := range faces {
		for _, v := range m.Faces[f] {
			if !seen[v-low] {
				seen[v-low] = true
				n++
			}
		}
	}
	out := make([]uint32, 0, n)
	for i, in := range seen {
		if in {
			out = append(out, low+uint32(i))
		}
	}
	return out
}

// vertexRange is the least and the greatest vertex of facets, of which there is one
// or more.
func vertexRange(m *mesh.Mesh, faces []uint32) (low, high uint32) {
	low = math.MaxUint32
	for _, f := range faces {
		t := m.Faces[f]
		low, high = min(low, t[0]), max(high, t[1], t[2]) // the lowest stands first
	}
	return low, high
}
