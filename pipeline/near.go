package pipeline

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/job"
)

// atReachMM is how near to a piece the job's `at` must lie, maquette scale: a
// rescan that was laid over the old one is nearer than this everywhere.
const atReachMM = 5

// scanMM is a point of the job, which is in scan units, in mm.
func (w *work) scanMM(at [3]float64) r3.Vec {
	return r3.Scale(w.scaled.UnitMM, r3.Vec{X: at[0], Y: at[1], Z: at[2]})
}

// elementNear returns the index of the element with the facet nearest to q, and
// how far that is; -1 where there is none.
func (w *work) elementNear(q r3.Vec) (int, float64) {
	best, near := -1, math.Inf(1)
	for i := range w.elements {
		e := &w.elements[i]
		for _, list := range [][]uint32{e.faces, e.weld} {
			for _, f := range list {
				t := w.scaled.Faces[f]
				if d := facetDistance2(q, w.scaled.At(t[0]), w.scaled.At(t[1]), w.scaled.At(t[2]), near); d < near {
					near, best = d, i
				}
			}
		}
	}
	return best, math.Sqrt(near)
}

// elementAt is elementNear within reach; -1 beyond.
func (w *work) elementAt(at [3]float64) int {
	if i, d := w.elementNear(w.scanMM(at)); d <= atReachMM {
		return i
	}
	return -1
}

// facetDistance2 is the squared distance of q from a triangle; anything over
// most where its box is farther than that.
func facetDistance2(q, a, b, c r3.Vec, most float64) float64 {
	gap := func(x, p, r, s float64) float64 { return max(min(p, r, s)-x, x-max(p, r, s), 0) }
	x, y, z := gap(q.X, a.X, b.X, c.X), gap(q.Y, a.Y, b.Y, c.Y), gap(q.Z, a.Z, b.Z, c.Z)
	if box := x*x + y*y + z*z; box >= most {
		return math.Inf(1)
	}
	n := r3.Cross(r3.Sub(b, a), r3.Sub(c, a))
	inside := true
	for _, s := range [][2]r3.Vec{{a, b}, {b, c}, {c, a}} {
		inside = inside && r3.Dot(r3.Cross(r3.Sub(s[1], s[0]), r3.Sub(q, s[0])), n) >= 0
	}
	if l := r3.Norm2(n); inside && l > 0 {
		h := r3.Dot(r3.Sub(q, a), n)
		return h * h / l
	}
	return min(edgeDistance2(q, a, b), edgeDistance2(q, b, c), edgeDistance2(q, c, a))
}

func edgeDistance2(q, a, b r3.Vec) float64 {
	d, w := r3.Sub(b, a), r3.Sub(q, a)
	t := 0.0
	if l := r3.Norm2(d); l > 0 {
		t = min(max(r3.Dot(w, d)/l, 0), 1)
	}
	return r3.Norm2(r3.Sub(w, r3.Scale(t, d)))
}

// placeOf is a vertex of the element near its middle, in scan units: the job's
// `at`. It is one that no other piece touches, where there is one.
func (w *work) placeOf(e *element) [3]float64 {
	shared := w.sharedVertices()
	best, near := uint32(0), math.Inf(1)
	for _, alone := range []bool{true, false} {
		for _, v := range e.vertex {
			if d := r3.Norm2(r3.Sub(w.scaled.At(v), e.centroidMM)); d < near && !(alone && shared[v]) {
				near, best = d, v
			}
		}
		if !math.IsInf(near, 1) {
			break
		}
	}
	p := w.scaled.Points[best]
	return [3]float64{float64(p[0]), float64(p[1]), float64(p[2])}
}

// sharedVertices are those at which two pieces meet, or a piece and weld; nil
// where every piece is a shell of its own.
func (w *work) sharedVertices() map[uint32]bool {
	if len(w.elements) == len(w.parts.Shells) {
		return nil
	}
	if w.shared == nil {
		w.shared = map[uint32]bool{}
		owner := make([]int32, len(w.scaled.Points))
		mark := func(list []uint32, id int32) {
			for _, f := range list {
				for _, v := range w.scaled.Faces[f] {
					if owner[v] != 0 && owner[v] != id {
						w.shared[v] = true
					}
					owner[v] = id
				}
			}
		}
		for i := range w.elements {
			mark(w.elements[i].faces, int32(i+1))
			mark(w.elements[i].weld, -1)
		}
	}
	return w.shared
}

// rowPlace is the point of the row that bears a name or id.
func (w *work) rowPlace(word string) *[3]float64 {
	for _, r := range w.job.Pieces.Rows {
		if r.Name == word || r.ID == word {
			return r.At
		}
	}
	return nil
}

// elementOfRef is the element that a reference of the job means: by its point, by
// the point of the row it names, or by its number; -1 where there is none.
func (w *work) elementOfRef(r job.Ref) int {
	at := r.At
	if at == nil {
		at = w.rowPlace(r.Name)
	}
	if at != nil {
		return w.elementAt(*at)
	}
	if n, ok := job.Number(r.Name); ok {
		return w.elementNumbered(n)
	}
	return -1
}

// elementNumbered is the element that had a number before corrections.
func (w *work) elementNumbered(n int) int {
	for i := range w.elements {
		for _, m := range w.elements[i].was {
			if m == n {
				return i
			}
		}
	}
	return -1
}
