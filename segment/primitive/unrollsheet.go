package primitive

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// bentSheet is the middle surface of a sheet, by one of its skins, with the true
// shape of each facet.
type bentSheet struct {
	at     []r3.Vec // of the middle surface
	normal []r3.Vec // averaged over neighbours
	own    []r3.Vec // of the facets about each alone
	facet  [][3]int32
	next   [][3]int32
	rest   [][3][2]float64 // corners of each facet in a plane of its own
	mm2    []float64
	cot    [][3]float64 // of the corner across from edge k
	flat   [][2]float64
	turn   []float64 // of each facet from its own plane to the flat one
}

func newSheet(p *Patch, facets []int, thicknessMM float64) *bentSheet {
	s := &bentSheet{}
	number, own := map[int32]int32{}, map[int32]int32{}
	for i, f := range facets {
		own[int32(f)] = int32(i)
		var t [3]int32
		for k, v := range p.Facet[f] {
			n, known := number[v]
			if !known {
				n = int32(len(s.at))
				number[v] = n
				s.at = append(s.at, p.P[v])
			}
			t[k] = n
		}
		s.facet = append(s.facet, t)
	}
	for i, f := range facets {
		s.next = append(s.next, [3]int32{-1, -1, -1})
		for k, g := range p.Next[f] {
			if n, in := own[g]; in && g >= 0 {
				s.next[i][k] = n
			}
		}
	}
	s.normals()
	for v := range s.at {
		s.at[v] = r3.Sub(s.at[v], r3.Scale(thicknessMM/2, s.normal[v]))
	}
	s.shapes()
	return s
}

// normals are those of the skin alone, averaged over neighbours: at its border
// those of the patch lean out.
func (s *bentSheet) normals() {
	s.normal = make([]r3.Vec, len(s.at))
	for _, t := range s.facet {
		n := r3.Cross(r3.Sub(s.at[t[1]], s.at[t[0]]), r3.Sub(s.at[t[2]], s.at[t[0]]))
		for _, v := range t {
			s.normal[v] = r3.Add(s.normal[v], n)
		}
	}
	for range normalsPasses {
		sum := make([]r3.Vec, len(s.at))
		for v := range s.normal {
			s.normal[v] = unit(s.normal[v])
		}
		if s.own == nil {
			s.own = s.normal
		}
		for _, t := range s.facet {
			n := r3.Add(s.normal[t[0]], r3.Add(s.normal[t[1]], s.normal[t[2]]))
			for _, v := range t {
				sum[v] = r3.Add(sum[v], n)
			}
		}
		s.normal = sum
	}
	for v := range s.normal {
		s.normal[v] = unit(s.normal[v])
	}
}

// arcMM is the length of the arc between two points whose normals turn along it.
func (s *bentSheet) arcMM(a, b int32) float64 {
	chord := norm(r3.Sub(s.at[a], s.at[b]))
	half := math.Acos(min(1, max(-1, r3.Dot(s.normal[a], s.normal[b])))) / 2
	if half < 1e-6 {
		return chord
	}
	return chord * half / math.Sin(half)
}

// shapes lays each facet in a plane by the lengths of its edges.
func (s *bentSheet) shapes() {
	for _, t := range s.facet {
		c, a, b := s.arcMM(t[0], t[1]), s.arcMM(t[1], t[2]), s.arcMM(t[2], t[0])
		x := (c*c + b*b - a*a) / (2 * max(c, 1e-12))
		y := math.Sqrt(max(b*b-x*x, 1e-12*c*c))
		r := [3][2]float64{{}, {c, 0}, {x, y}}
		s.rest = append(s.rest, r)
		s.mm2 = append(s.mm2, c*y/2)
		var cot [3]float64
		for k := range cot { // edge k runs from corner k to k+1, the third is across
			o, p, q := r[(k+2)%3], r[k], r[(k+1)%3]
			ux, uy, vx, vy := p[0]-o[0], p[1]-o[1], q[0]-o[0], q[1]-o[1]
			cot[k] = max((ux*vx+uy*vy)/max(math.Abs(ux*vy-uy*vx), 1e-12), 0.02)
		}
		s.cot = append(s.cot, cot)
	}
	s.turn = make([]float64, len(s.facet))
}

// loops are the borders, each with the sheet on its left.
func (s *bentSheet) loops() [][]int32 {
	after := map[int32]int32{}
	var starts []int32
	for f, t := range s.facet {
		for k, g := range s.next[f] {
			if g < 0 {
				after[t[k]] = t[(k+1)%3]
				starts = append(starts, t[k])
			}
		}
	}
	seen := map[int32]bool{}
	var out [][]int32
	for _, v := range starts {
		var l []int32
		for !seen[v] {
			seen[v] = true
			l = append(l, v)
			next, ok := after[v]
			if !ok {
				break
			}
			v = next
		}
		if len(l) > 2 {
			out = append(out, l)
		}
	}
	return out
}

// layOut unfolds facet by facet over shared edges, from the one nearest to the
// middle outwards; false where not all are reached.
func (s *bentSheet) layOut() bool {
	var mid r3.Vec
	for _, q := range s.at {
		mid = r3.Add(mid, r3.Scale(1/float64(len(s.at)), q))
	}
	first := 0
	for f, t := range s.facet {
		if norm(r3.Sub(s.at[t[0]], mid)) < norm(r3.Sub(s.at[s.facet[first][0]], mid)) {
			first = f
		}
	}
	s.flat = make([][2]float64, len(s.at))
	placed, done := make([]bool, len(s.at)), make([]bool, len(s.facet))
	for k, v := range s.facet[first] {
		s.flat[v], placed[v] = s.rest[first][k], true
	}
	done[first] = true
	queue := []int32{int32(first)}
	for i := 0; i < len(queue); i++ {
		t := s.facet[queue[i]]
		for k, g := range s.next[queue[i]] {
			if g < 0 || done[g] {
				continue
			}
			done[g] = true
			queue = append(queue, g)
			a, b := t[(k+1)%3], t[k] // as the neighbour runs along the edge
			o := s.facet[g]
			for j := range o {
				if o[j] == a && o[(j+1)%3] == b && !placed[o[(j+2)%3]] {
					s.flat[o[(j+2)%3]] = unfolded(s.rest[g], j, s.flat[a], s.flat[b])
					placed[o[(j+2)%3]] = true
				}
			}
		}
	}
	return len(queue) == len(s.facet)
}

// unfolded is where the corner across from edge j of a shape falls when the middle
// of the edge lies in that of a and b, and along it: rigidly, so that errors do not
// grow from facet to facet.
func unfolded(r [3][2]float64, j int, a, b [2]float64) [2]float64 {
	p, q, o := r[j], r[(j+1)%3], r[(j+2)%3]
	ex, ey := q[0]-p[0], q[1]-p[1]
	dx, dy := b[0]-a[0], b[1]-a[1]
	l := hypot(ex, ey) * max(hypot(dx, dy), 1e-12)
	cos, sin := (ex*dx+ey*dy)/l, (ex*dy-ey*dx)/l
	mx, my := o[0]-(p[0]+q[0])/2, o[1]-(p[1]+q[1])/2
	return [2]float64{(a[0]+b[0])/2 + cos*mx - sin*my, (a[1]+b[1])/2 + sin*mx + cos*my}
}

func (s *bentSheet) box() (lo, hi [2]float64) {
	lo, hi = s.flat[0], s.flat[0]
	for _, q := range s.flat {
		for k := range q {
			lo[k], hi[k] = min(lo[k], q[k]), max(hi[k], q[k])
		}
	}
	return lo, hi
}
