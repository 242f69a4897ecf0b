package primitive

import (
	"math"
	"slices"
)

// Where a rim is led across a stretch of wall.
const (
	jumpEdges = 4    // facets' edges from one point of the rim to the next, at least
	jumpReach = 6    // facets' edges that the wall may lie off the straight way
	jumpFaces = 0.9  // cosine between the wall's normals and that of the way
	jumpLeast = 2    // points of the wall to the length of an edge
	jumpShare = 0.25 // of the way, along which there is wall
)

// followJumps takes up what stands apart of a wall that goes all round, where its rim was
// led straight across: a stretch between two welds. parts are all walls that were found.
func (w *wallLoop) followJumps(p *Patch, parts []wallLoop) {
	var out [][2]float64
	for i, a := range w.Chain {
		out = append(out, a)
		b := w.Chain[(i+1)%len(w.Chain)]
		if hypot(b[0]-a[0], b[1]-a[1]) < jumpEdges*p.EdgeMM {
			continue
		}
		for _, o := range parts {
			if way := o.between(a, b, p.EdgeMM); way != nil {
				out = append(out, way...)
				w.Point, w.Normal, w.Edge = append(w.Point, o.Point...), append(w.Normal, o.Normal...), append(w.Edge, o.Edge...)
				w.WallMM2 += o.WallMM2
				break
			}
		}
	}
	w.Chain, w.AreaMM2 = out, polygonAreaMM2(out)
}

// between are places of the wall on the way from a to b, counter-clockwise round the
// metal, an edge apart; none where there is hardly any, or wall that lies elsewhere.
func (w *wallLoop) between(a, b [2]float64, edgeMM float64) (out [][2]float64) {
	long := hypot(b[0]-a[0], b[1]-a[1])
	along := [2]float64{(b[0] - a[0]) / long, (b[1] - a[1]) / long}
	off := make([][]float64, int(long/edgeMM))
	for i, q := range w.Point {
		x, y, n := q[0]-a[0], q[1]-a[1], w.Normal[i]
		at, beside := x*along[0]+y*along[1], x*along[1]-y*along[0]
		k := int(math.Floor(at / edgeMM))
		if k < 0 || k >= len(off) || math.Abs(beside) > jumpReach*edgeMM {
			return nil
		}
		if n[0]*along[1]-n[1]*along[0] > jumpFaces {
			off[k] = append(off[k], beside)
		}
	}
	for k, list := range off {
		if len(list) < jumpLeast {
			continue
		}
		slices.Sort(list)
		at, beside := (float64(k)+0.5)*edgeMM, list[len(list)/2]
		out = append(out, [2]float64{a[0] + at*along[0] + beside*along[1], a[1] + at*along[1] - beside*along[0]})
	}
	if float64(len(out)) < jumpShare*float64(len(off)) {
		return nil
	}
	return out
}
