package drawings

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// view looks square at the plane of right and up, which are unit vectors; the
// viewer is where right × up points.
type view struct{ right, up r3.Vec }

func (v view) flat(p r3.Vec) [2]float64 { return [2]float64{r3.Dot(p, v.right), r3.Dot(p, v.up)} }

// near is how near to the viewer a point is, mm from the origin.
func (v view) near(p r3.Vec) float64 { return r3.Dot(p, r3.Cross(v.right, v.up)) }

// box is a rectangle along the paper's edges.
type box struct{ lo, hi [2]float64 }

func noBox() box {
	inf := math.Inf(1)
	return box{[2]float64{inf, inf}, [2]float64{-inf, -inf}}
}

func (b *box) take(p [2]float64) {
	for k := range p {
		b.lo[k], b.hi[k] = min(b.lo[k], p[k]), max(b.hi[k], p[k])
	}
}

func (b *box) join(o box) {
	b.take(o.lo)
	b.take(o.hi)
}

func (b box) wide() float64 { return b.hi[0] - b.lo[0] }
func (b box) high() float64 { return b.hi[1] - b.lo[1] }

// meets tells whether two boxes come closer than gap.
func (b box) meets(o box, gap float64) bool {
	return b.lo[0] < o.hi[0]+gap && o.lo[0] < b.hi[0]+gap && b.lo[1] < o.hi[1]+gap && o.lo[1] < b.hi[1]+gap
}

func (b box) moved(by [2]float64) box {
	for k := range by {
		b.lo[k] += by[k]
		b.hi[k] += by[k]
	}
	return b
}

// boxOf is the box of bodies in a view.
func boxOf(bodies []body, v view) box {
	out := noBox()
	for _, b := range bodies {
		for _, p := range b.points {
			out.take(v.flat(p))
		}
	}
	return out
}

// outlines are where a smooth surface turns away from the viewer: the zeros of
// normal · view, between corners in proportion, joined to lines.
func (b body) outlines(v view) [][]r3.Vec {
	to := r3.Cross(v.right, v.up)
	type side = [2]uint32
	at := map[side]r3.Vec{}
	next := map[side][]side{}
	var order []side
	for i, t := range b.triangles {
		var s [3]float64
		for k := range t {
			// What is seen edge-on to rounding counts as facing the viewer.
			if s[k] = r3.Dot(b.normals[i][k], to); math.Abs(s[k]) < edgeOn {
				s[k] = edgeOn
			}
		}
		var cut []side
		for k := range t {
			j := (k + 1) % 3
			if s[k] > 0 == (s[j] > 0) {
				continue
			}
			e := side{min(t[k], t[j]), max(t[k], t[j])}
			if _, known := at[e]; !known {
				f := s[k] / (s[k] - s[j])
				at[e] = r3.Add(r3.Scale(1-f, b.points[t[k]]), r3.Scale(f, b.points[t[j]]))
				order = append(order, e)
			}
			cut = append(cut, e)
		}
		if len(cut) == 2 {
			next[cut[0]] = append(next[cut[0]], cut[1])
			next[cut[1]] = append(next[cut[1]], cut[0])
		}
	}
	done := map[side]bool{}
	var out [][]r3.Vec
	walk := func(e side) {
		var line []r3.Vec
		for start := e; ; {
			done[e] = true
			line = append(line, at[e])
			more := false
			for _, n := range next[e] {
				if !done[n] {
					e, more = n, true
					break
				}
			}
			if !more {
				for _, n := range next[e] {
					if n == start && len(line) > 2 {
						line = append(line, at[start])
					}
				}
				break
			}
		}
		if len(line) > 1 {
			out = append(out, line)
		}
	}
	for _, e := range order {
		if !done[e] && len(next[e]) == 1 {
			walk(e)
		}
	}
	for _, e := range order {
		if !done[e] {
			walk(e)
		}
	}
	return out
}

// edgeOn is the sine under which a surface counts as seen edge-on.
const edgeOn = 1e-6
