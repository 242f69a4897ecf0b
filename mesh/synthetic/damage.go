package synthetic

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r3"
)

// spiked throws vertices out along their normals.
func spiked(shells []Shell, opt Options) {
	total := 0
	for _, s := range shells {
		total += len(s.Points)
	}
	if opt.Spikes == 0 || total == 0 {
		return
	}
	r := stream(opt.Seed, -1, useSpikes)
	hit := make([][]uint32, len(shells))
	for range opt.Spikes {
		v := r.IntN(total)
		i := 0
		for ; v >= len(shells[i].Points); i++ {
			v -= len(shells[i].Points)
		}
		hit[i] = append(hit[i], uint32(v))
	}
	for i, s := range shells {
		if len(hit[i]) == 0 {
			continue
		}
		normal := s.Normals()
		for _, v := range hit[i] {
			s.Points[v] = r3.Add(s.Points[v], r3.Scale(opt.SpikeMM*(2*r.Float64()-1), normal[v]))
		}
	}
}

// sliverShare is where a sliver's edge is split, from one end.
const sliverShare = 1e-3

// slivered splits edges next to their ends: two needles each, still watertight.
func slivered(shells []Shell, opt Options) {
	if opt.Slivers == 0 || len(shells) == 0 {
		return
	}
	r := stream(opt.Seed, -1, useSlivers)
	for range opt.Slivers {
		s := &shells[r.IntN(len(shells))]
		f := r.IntN(len(s.Faces))
		if g, k := s.across(f); g >= 0 {
			s.split(f, g, k)
		}
	}
}

// across returns the face on the other side of f's edge from its first to its
// second corner, and the place there of the edge's start.
func (s *Shell) across(f int) (g, k int) {
	a, b := s.Faces[f][0], s.Faces[f][1]
	for g, t := range s.Faces {
		for k := range 3 {
			if t[k] == b && t[(k+1)%3] == a {
				return g, k
			}
		}
	}
	return -1, 0
}

// split puts a vertex on f's first edge; g has it from its corner k, backwards.
func (s *Shell) split(f, g, k int) {
	a, b, c := s.Faces[f][0], s.Faces[f][1], s.Faces[f][2]
	d := s.Faces[g][(k+2)%3]
	v := uint32(len(s.Points))
	s.Points = append(s.Points, r3.Add(s.Points[a], r3.Scale(sliverShare, r3.Sub(s.Points[b], s.Points[a]))))
	s.Faces[f], s.Faces[g] = [3]uint32{v, b, c}, [3]uint32{b, v, d}
	s.add(s.Patch[f], a, v, c)
	s.add(s.Patch[g], v, a, d)
}

// damage leaves out, adds and spoils facets, in this order: gaps, degenerate
// and doubled facets, flips, dust, order.
func (s *Scanned) damage(opt Options) {
	s.gaps(opt)
	s.copies(opt)
	s.flips(opt)
	s.dust(opt)
	if opt.Shuffled {
		stream(opt.Seed, -1, useOrder).Shuffle(len(s.Triangles), func(i, j int) {
			s.Triangles[i], s.Triangles[j] = s.Triangles[j], s.Triangles[i]
			s.Piece[i], s.Piece[j] = s.Piece[j], s.Piece[i]
			s.Patch[i], s.Patch[j] = s.Patch[j], s.Patch[i]
		})
	}
}

// gaps removes, round random facets, those of the same piece that face the same
// way; centres are chosen before any is removed.
func (s *Scanned) gaps(opt Options) {
	if opt.Gaps == 0 || len(s.Triangles) == 0 {
		return
	}
	r := stream(opt.Seed, -1, useMissing)
	gone := make([]bool, len(s.Triangles))
	for range opt.Gaps {
		c := r.IntN(len(s.Triangles))
		at, facing := centre(s.Triangles[c]), areaVector(s.Triangles[c])
		for f, t := range s.Triangles {
			if s.Piece[f] == s.Piece[c] && r3.Norm(r3.Sub(centre(t), at)) < opt.GapMM && r3.Dot(areaVector(t), facing) > 0 {
				gone[f] = true
			}
		}
	}
	keep := 0
	for f := range s.Triangles {
		if !gone[f] {
			s.Triangles[keep], s.Piece[keep], s.Patch[keep] = s.Triangles[f], s.Piece[f], s.Patch[f]
			keep++
		}
	}
	s.Triangles, s.Piece, s.Patch = s.Triangles[:keep], s.Piece[:keep], s.Patch[:keep]
}

// copies adds degenerate facets and second copies.
func (s *Scanned) copies(opt Options) {
	n := len(s.Triangles)
	if n == 0 {
		return
	}
	r := stream(opt.Seed, -1, useCopies)
	for k := range opt.Degenerate + opt.Doubled {
		f := r.IntN(n)
		t := s.Triangles[f]
		if k < opt.Degenerate {
			t[2] = t[r.IntN(2)]
		}
		s.Triangles, s.Piece, s.Patch = append(s.Triangles, t), append(s.Piece, s.Piece[f]), append(s.Patch, s.Patch[f])
	}
}

func (s *Scanned) flips(opt Options) {
	if opt.Flipped == 0 || len(s.Triangles) == 0 {
		return
	}
	r := stream(opt.Seed, -1, useFlips)
	for range opt.Flipped {
		t := &s.Triangles[r.IntN(len(s.Triangles))]
		t[1], t[2] = t[2], t[1]
	}
}

// dust adds octahedra of a third to all of the dust size, one to four sizes off
// random facets.
func (s *Scanned) dust(opt Options) {
	n := len(s.Triangles)
	if opt.DustBlobs == 0 || n == 0 {
		return
	}
	r := stream(opt.Seed, -1, useDust)
	for range opt.DustBlobs {
		t := s.Triangles[r.IntN(n)]
		off := opt.DustMM * (1 + 3*r.Float64())
		at := r3.Add(centre(t), r3.Scale(off, unitOr(areaVector(t), direction(r))))
		s.add(octahedron(r, at, opt.DustMM*(1+2*r.Float64())/6), -1)
	}
}

func octahedron(r *rand.Rand, at r3.Vec, radiusMM float64) Shell {
	u := direction(r)
	v := r3.Unit(r3.Cross(u, leastAlong(u)))
	var out Shell
	for _, d := range []r3.Vec{u, v, r3.Cross(u, v)} {
		out.Points = append(out.Points, r3.Add(at, r3.Scale(radiusMM, d)), r3.Sub(at, r3.Scale(radiusMM, d)))
	}
	for k := range uint32(8) {
		out.add(0, k&1, 2+k>>1&1, 4+k>>2&1)
		if f := out.Faces[k]; (k&1+k>>1&1+k>>2&1)%2 == 1 {
			out.Faces[k] = [3]uint32{f[0], f[2], f[1]}
		}
	}
	return out
}

func unitOr(v, other r3.Vec) r3.Vec {
	if l := r3.Norm(v); l > 0 && !math.IsInf(1/l, 0) {
		return r3.Scale(1/l, v)
	}
	return other
}

func double(p [3]float32) r3.Vec {
	return r3.Vec{X: float64(p[0]), Y: float64(p[1]), Z: float64(p[2])}
}

func centre(t [3][3]float32) r3.Vec {
	return r3.Scale(1.0/3, r3.Add(double(t[0]), r3.Add(double(t[1]), double(t[2]))))
}

func areaVector(t [3][3]float32) r3.Vec {
	a := double(t[0])
	return r3.Scale(0.5, r3.Cross(r3.Sub(double(t[1]), a), r3.Sub(double(t[2]), a)))
}
