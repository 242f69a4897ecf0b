package synthetic

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// sharp is an edge a to b between two patches that meet at an angle.
type sharp struct {
	a, b   uint32
	patch  [2]int32
	normal [2]r3.Vec
	turn   float64 // angle between the normals, rad
	sign   float64 // 1 where metal is inside the corner, -1 in a re-entrant one
}

// sharpMin keeps apart surfaces that run into each other smoothly, and the
// facets of one round surface, which turn at most arcStepMax.
const sharpMin = 25 * math.Pi / 180

// turnMax bounds the reach of rounding at a knife edge to 3.7 radii.
const turnMax = 150 * math.Pi / 180

// rounded moves vertices near sharp edges onto an arc of the given radius,
// tangent to both surfaces. Vertices within radius × tan(half the turn) of an
// edge are spread evenly over their half of the arc; those on it go to its
// middle. Near a corner only the nearest edge counts, and a corner itself gets
// half the sum of its edges' shares: less than a ball of that radius would take.
func rounded(s Shell, radiusMM float64) {
	edges := sharpEdges(s)
	move := make([]r3.Vec, len(s.Points))
	onEdge := make([]bool, len(s.Points))
	for _, e := range edges {
		mean := unitOr(r3.Add(e.normal[0], e.normal[1]), r3.Vec{})
		drop := radiusMM * (1/math.Cos(e.turn/2) - 1)
		for _, v := range [2]uint32{e.a, e.b} {
			onEdge[v] = true
			move[v] = r3.Sub(move[v], r3.Scale(e.sign*drop/2, mean))
		}
	}
	for v, near := range nearest(s, edges, onEdge, radiusMM) {
		if near.edge >= 0 {
			move[v] = edges[near.edge].pull(s.Points[v], near, s.Points, radiusMM)
		}
	}
	for v := range move {
		s.Points[v] = r3.Add(s.Points[v], move[v])
	}
}

// pull returns the way from a vertex beside an edge to the arc.
func (e sharp) pull(p r3.Vec, near nearEdge, pts []r3.Vec, radiusMM float64) r3.Vec {
	foot := onSegment(p, pts[e.a], pts[e.b])
	reach := radiusMM * math.Tan(e.turn/2)
	away := r3.Scale(1/near.distance, r3.Sub(p, foot))
	in := r3.Scale(-e.sign, e.normal[near.side]) // towards the arc's centre
	sn, cs := math.Sincos(e.turn / 2 * (1 - near.distance/reach))
	// From the tangent point: out of the surface by r (1 - cos), back by r sin.
	at := r3.Add(r3.Scale(reach-radiusMM*sn, away), r3.Scale(radiusMM*(1-cs), in))
	return r3.Sub(at, r3.Scale(near.distance, away))
}

// onSegment returns the point of a to b nearest p.
func onSegment(p, a, b r3.Vec) r3.Vec {
	d := r3.Sub(b, a)
	t := r3.Dot(r3.Sub(p, a), d) / r3.Norm2(d)
	return r3.Add(a, r3.Scale(min(max(t, 0), 1), d))
}

// sharpEdges returns the edges at which two patches meet at over sharpMin, in
// rising order of their vertices.
func sharpEdges(s Shell) []sharp {
	type half struct {
		key  uint64
		face int32
	}
	several := severalPatches(s)
	var halves []half
	for f, t := range s.Faces {
		for k := range 3 {
			if a, b := t[k], t[(k+1)%3]; several[a] && several[b] {
				halves = append(halves, half{uint64(min(a, b))<<32 | uint64(max(a, b)), int32(f)})
			}
		}
	}
	slices.SortFunc(halves, func(a, b half) int {
		return cmp.Or(cmp.Compare(a.key, b.key), cmp.Compare(a.face, b.face))
	})
	var out []sharp
	for i := 0; i+1 < len(halves); i++ {
		f, g := halves[i].face, halves[i+1].face
		if halves[i].key != halves[i+1].key || s.Patch[f] == s.Patch[g] {
			continue
		}
		e := sharp{a: uint32(halves[i].key >> 32), b: uint32(halves[i].key), patch: [2]int32{s.Patch[f], s.Patch[g]}}
		e.normal = [2]r3.Vec{r3.Unit(s.areaVector(int(f))), r3.Unit(s.areaVector(int(g)))}
		e.turn = min(turnMax, math.Acos(min(1, max(-1, r3.Dot(e.normal[0], e.normal[1])))))
		if e.turn < sharpMin {
			continue
		}
		e.sign = -math.Copysign(1, r3.Dot(e.normal[0], r3.Sub(s.centre(g), s.Points[e.a])))
		out = append(out, e)
	}
	return out
}

func (s Shell) centre(f int32) r3.Vec {
	t := s.Faces[f]
	return r3.Scale(1.0/3, r3.Add(s.Points[t[0]], r3.Add(s.Points[t[1]], s.Points[t[2]])))
}

// severalPatches marks the vertices on more than one patch.
func severalPatches(s Shell) []bool {
	first := firstPatch(s)
	out := make([]bool, len(s.Points))
	for f, t := range s.Faces {
		for _, v := range t {
			out[v] = out[v] || s.Patch[f] != first[v]
		}
	}
	return out
}

// nearEdge is the sharp edge nearest a vertex, -1 for none in reach, and which
// of the edge's patches the vertex lies on.
type nearEdge struct {
	edge, side int32
	distance   float64
}

// nearest finds, for each vertex off all sharp edges, the one in reach that is
// nearest over the vertex's own patch, growing outward from the edges.
func nearest(s Shell, edges []sharp, onEdge []bool, radiusMM float64) []nearEdge {
	out := make([]nearEdge, len(s.Points))
	for v := range out {
		out[v] = nearEdge{-1, 0, math.Inf(1)}
	}
	start, faces := facesAt(s)
	var queue []uint32
	grow := func(from uint32, e, side int32) {
		for _, f := range faces[start[from]:start[from+1]] {
			if s.Patch[f] != edges[e].patch[side] {
				continue
			}
			for _, v := range s.Faces[f] {
				if onEdge[v] {
					continue
				}
				d := r3.Norm(r3.Sub(s.Points[v], onSegment(s.Points[v], s.Points[edges[e].a], s.Points[edges[e].b])))
				if d > 0 && d < out[v].distance && d < radiusMM*math.Tan(edges[e].turn/2) {
					out[v] = nearEdge{e, side, d}
					queue = append(queue, v)
				}
			}
		}
	}
	for i, e := range edges {
		for side := range int32(2) {
			grow(e.a, int32(i), side)
			grow(e.b, int32(i), side)
		}
	}
	for k := 0; k < len(queue); k++ {
		grow(queue[k], out[queue[k]].edge, out[queue[k]].side)
	}
	return out
}

// facesAt returns the faces round each vertex v: faces[start[v]:start[v+1]].
func facesAt(s Shell) (start, faces []uint32) {
	start = make([]uint32, len(s.Points)+1)
	for _, t := range s.Faces {
		for _, v := range t {
			start[v+1]++
		}
	}
	for v := range s.Points {
		start[v+1] += start[v]
	}
	next := slices.Clone(start)
	faces = make([]uint32, 3*len(s.Faces))
	for f, t := range s.Faces {
		for _, v := range t {
			faces[next[v]] = uint32(f)
			next[v]++
		}
	}
	return start, faces
}
