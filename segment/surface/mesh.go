package surface

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// FromMesh makes a field of a mesh's vertices: neighbours over edges, normals
// out of the material, smoothed until noise tilts them by under 0.1 rad.
//
// Shapes: p and n have one row a vertex, facets three indices into them.
func FromMesh(p, n []r3.Vec, facets [][3]int32, edgeMM, noiseMM float64) *Field {
	f := &Field{P: p, SpacingMM: edgeMM, NoiseMM: noiseMM, SizeMM: diagonal(p), Signed: true}
	f.linkFacets(facets)
	f.N = smoothNormals(f, n)
	return f
}

// linkFacets joins vertices along facet edges.
func (f *Field) linkFacets(facets [][3]int32) {
	n := len(f.P)
	count := make([]int32, n+1)
	for _, t := range facets {
		for k := range t {
			count[t[k]+1] += 2
		}
	}
	for i := 0; i < n; i++ {
		count[i+1] += count[i]
	}
	to := make([]int32, count[n])
	at := slices.Clone(count[:n])
	for _, t := range facets {
		for k, a := range t {
			to[at[a]], to[at[a]+1] = t[(k+1)%3], t[(k+2)%3]
			at[a] += 2
		}
	}
	f.From = make([]int32, n+1)
	f.To = to[:0]
	for i := 0; i < n; i++ {
		row := to[count[i]:count[i+1]]
		slices.Sort(row)
		row = slices.Compact(row)
		f.To = append(f.To, row...)
		f.From[i+1] = int32(len(f.To))
	}
}

// smoothNormals averages each normal with its neighbours'. A vertex normal errs
// by about noise/edge; a pass lowers that by about 1.8. Neighbours that turn by
// over 40 degrees belong to another face and do not count.
func smoothNormals(f *Field, n []r3.Vec) []r3.Vec {
	err := f.NoiseMM / max(f.SpacingMM, 1e-9)
	cos := math.Cos(40 * math.Pi / 180)
	for pass := 0; pass < 6 && (err > 0.1 || pass < 1); pass++ {
		out := make([]r3.Vec, len(n))
		for i := range n {
			sum := n[i]
			for _, g := range f.near(int32(i)) {
				if r3.Dot(n[i], n[g]) > cos {
					sum = r3.Add(sum, n[g])
				}
			}
			if l := r3.Norm(sum); l > 0 {
				out[i] = r3.Scale(1/l, sum)
			}
		}
		n = out
		err /= 1.8
	}
	return n
}
