// Package primitive decides what piece of metal a patch of scan is, and fits
// that piece: all its surfaces jointly, under their constraints.
package primitive

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh"
)

// Patch is the surface that one piece left in the scan, with its own numbering.
//
// Shapes: V vertices about Origin, F facets. Vertex normals are weighted by the
// corner's angle (Thürmer and Wüthrich 1998), so that a fan and a strip give a
// rim the same normal. Area is a third of each facet round the vertex. Next
// holds the facet across each edge (t[k], t[k+1]), -1 where there is none.
type Patch struct {
	OriginMM r3.Vec
	P, N     []r3.Vec
	AreaMM2  []float64
	Vertex   []uint32 // V: the mesh's number

	Facet     [][3]int32
	FacetN    []r3.Vec
	FacetC    []r3.Vec
	FacetS    []r3.Vec // facet normals smoothed over neighbours until noise is small
	FacetMM2  []float64
	Next      [][3]int32
	Face      []uint32 // F: the mesh's number
	EdgeMM    float64  // median edge
	NoiseMM   float64  // scan noise, 1 sigma
	SizeMM    float64  // diagonal of the box
	TotalMM2  float64
	Open      []bool // V: on the patch's border
	OpenEdges int
	full      *Patch // what it was thinned from
}

// NewPatch gathers facets of m. noiseMM is the scan's noise as Check found it.
// faces must be in rising order, so that the patch is the same whatever the
// order of triangles in the file.
func NewPatch(m *mesh.Mesh, faces []uint32, noiseMM float64) *Patch {
	p := &Patch{Face: faces, NoiseMM: noiseMM}
	triangles := make([][3]uint32, len(faces))
	for i, f := range faces {
		triangles[i] = m.Faces[f]
	}
	p.numberOf(triangles)
	p.place(m)
	p.link()
	p.smooth()
	return p
}

// place puts the vertices about the middle of their box and measures.
func (p *Patch) place(m *mesh.Mesh) {
	p.OriginMM = p.centre(m)
	p.P = make([]r3.Vec, len(p.Vertex))
	for i, v := range p.Vertex {
		p.P[i] = r3.Sub(m.At(v), p.OriginMM)
	}
	p.measure()
}

// numberOf makes facets of triangles of the mesh's vertices, which get local
// numbers in rising mesh order.
func (p *Patch) numberOf(triangles [][3]uint32) {
	if len(triangles) == 0 {
		return
	}
	low, high := triangles[0][0], triangles[0][0]
	for _, t := range triangles {
		low, high = min(low, t[0], t[1], t[2]), max(high, t[0], t[1], t[2])
	}
	local := make([]int32, high-low+1)
	for _, t := range triangles {
		for _, v := range t {
			local[v-low] = 1
		}
	}
	for i, used := range local {
		if used != 0 {
			local[i] = int32(len(p.Vertex))
			p.Vertex = append(p.Vertex, low+uint32(i))
		}
	}
	p.Facet = make([][3]int32, len(triangles))
	for i, t := range triangles {
		p.Facet[i] = [3]int32{local[t[0]-low], local[t[1]-low], local[t[2]-low]}
	}
}

func (p *Patch) centre(m *mesh.Mesh) r3.Vec {
	lo := r3.Vec{X: math.Inf(1), Y: math.Inf(1), Z: math.Inf(1)}
	hi := r3.Scale(-1, lo)
	for _, v := range p.Vertex {
		q := m.At(v)
		lo = r3.Vec{X: min(lo.X, q.X), Y: min(lo.Y, q.Y), Z: min(lo.Z, q.Z)}
		hi = r3.Vec{X: max(hi.X, q.X), Y: max(hi.Y, q.Y), Z: max(hi.Z, q.Z)}
	}
	p.SizeMM = norm(r3.Sub(hi, lo))
	return r3.Scale(0.5, r3.Add(lo, hi))
}

// measure fills normals, areas and the median edge.
func (p *Patch) measure() {
	n, f := len(p.P), len(p.Facet)
	p.N, p.AreaMM2 = make([]r3.Vec, n), make([]float64, n)
	p.FacetN, p.FacetC, p.FacetMM2 = make([]r3.Vec, f), make([]r3.Vec, f), make([]float64, f)
	edges := make([]float64, 0, min(3*f, 60000))
	stride := 3*f/60000 + 1
	for i, t := range p.Facet {
		a, b, c := p.P[t[0]], p.P[t[1]], p.P[t[2]]
		e := [3]r3.Vec{r3.Sub(b, a), r3.Sub(c, b), r3.Sub(a, c)}
		av := r3.Scale(0.5, r3.Cross(e[0], r3.Scale(-1, e[2])))
		area := norm(av)
		p.FacetMM2[i] = area
		p.TotalMM2 += area
		p.FacetC[i] = r3.Scale(1./3, r3.Add(r3.Add(a, b), c))
		if area > 0 {
			p.FacetN[i] = r3.Scale(1/area, av)
		}
		angle := [3]float64{math.Atan2(2*area, -r3.Dot(e[2], e[0])), math.Atan2(2*area, -r3.Dot(e[0], e[1]))}
		angle[2] = math.Pi - angle[0] - angle[1]
		for k, v := range t {
			p.AreaMM2[v] += area / 3
			p.N[v] = r3.Add(p.N[v], r3.Scale(angle[k], p.FacetN[i]))
			if (3*i+k)%stride == 0 {
				edges = append(edges, norm(e[k]))
			}
		}
	}
	for v := range p.N {
		if l := norm(p.N[v]); l > 0 {
			p.N[v] = r3.Scale(1/l, p.N[v])
		}
	}
	p.EdgeMM = median(edges)
}

// link finds the facet across each edge: half-edges are dealt to the lower of their
// two vertices, of which each has few.
func (p *Patch) link() {
	p.Next = make([][3]int32, len(p.Facet))
	p.Open = make([]bool, len(p.P))
	for i := range p.Next {
		p.Next[i] = [3]int32{-1, -1, -1}
	}
	halves, start := p.halfEdges()
	for v := range p.P {
		h := halves[start[v]:start[v+1]]
		slices.Sort(h)
		for i := 0; i < len(h); {
			j := i + 1
			for j < len(h) && h[j].to() == h[i].to() {
				j++
			}
			switch j - i {
			case 1:
				p.Open[v], p.Open[h[i].to()] = true, true
				p.OpenEdges++
			case 2:
				a, b := h[i].at(), h[i+1].at()
				p.Next[a/3][a%3], p.Next[b/3][b%3] = b/3, a/3
			}
			i = j
		}
	}
}

// half is the edge at%3 of facet at/3, to the higher of its vertices: in one word,
// in whose order they are wanted.
type half uint64

func newHalf(to, at int32) half { return half(to)<<32 | half(at) }
func (h half) to() int32        { return int32(h >> 32) }
func (h half) at() int32        { return int32(h) }

// halfEdges are those of each lower vertex together: vertex v's begin at start[v]
// and end before start[v+1].
func (p *Patch) halfEdges() (list []half, start []int32) {
	start = make([]int32, len(p.P)+2)
	for _, t := range p.Facet {
		for k, a := range t {
			start[min(a, t[(k+1)%3])+2]++
		}
	}
	for v := 2; v < len(start); v++ {
		start[v] += start[v-1]
	}
	list = make([]half, 3*len(p.Facet))
	for i, t := range p.Facet {
		for k, a := range t {
			b := t[(k+1)%3]
			next := &start[min(a, b)+1]
			list[*next] = newHalf(max(a, b), int32(3*i+k))
			*next++
		}
	}
	return list, start[:len(p.P)+1]
}

// smooth fills FacetS: each pass averages a facet's normal with those across
// its edges, by area. A facet's normal errs by about 1.6 noise/edge; a pass
// lowers that by about 1.7, and passes stop at 0.12 rad.
func (p *Patch) smooth() {
	p.FacetS = p.FacetN
	err := 1.6 * p.NoiseMM / max(p.EdgeMM, 1e-9)
	for pass := 0; pass < 6 && err > 0.12; pass++ {
		out := make([]r3.Vec, len(p.FacetS))
		for f, n := range p.FacetS {
			sum := r3.Scale(p.FacetMM2[f], n)
			for _, g := range p.Next[f] {
				if g >= 0 {
					sum = r3.Add(sum, r3.Scale(p.FacetMM2[g], p.FacetS[g]))
				}
			}
			if l := norm(sum); l > 0 {
				out[f] = r3.Scale(1/l, sum)
			}
		}
		p.FacetS = out
		err /= 1.7
	}
}

// components labels the facets for which keep holds, joined across edges.
// label is -1 elsewhere; area has one entry a component, in order of first
// facet.
func (p *Patch) components(keep func(f int) bool) (label []int32, area []float64) {
	label = make([]int32, len(p.Facet))
	for i := range label {
		label[i] = -1
	}
	var stack []int32
	for i := range p.Facet {
		if label[i] >= 0 || !keep(i) {
			continue
		}
		c := int32(len(area))
		area = append(area, 0)
		label[i] = c
		stack = append(stack[:0], int32(i))
		for len(stack) > 0 {
			f := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			area[c] += p.FacetMM2[f]
			for _, g := range p.Next[f] {
				if g >= 0 && label[g] < 0 && keep(int(g)) {
					label[g] = c
					stack = append(stack, g)
				}
			}
		}
	}
	return label, area
}

// median returns the median of v, which it reorders; 0 for none.
func median(v []float64) float64 { return quantile(v, 0.5) }

// quantile returns the q-quantile of v by linear interpolation; it reorders v.
func quantile(v []float64, q float64) float64 {
	if len(v) == 0 {
		return 0
	}
	x := q * float64(len(v)-1)
	i := int(x)
	between := x - float64(i)
	v, i = narrowed(v, i)
	low := nth(v, i)
	if i+1 >= len(v) {
		return low
	}
	return low + between*(slices.Min(v[i+1:])-low)
}
