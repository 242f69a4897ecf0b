package assembly

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// spot is a place with the larger of its distances from two bodies.
type spot struct {
	at    r3.Vec
	value float64
}

// Bounds of the search for the place nearest to both bodies.
const (
	closestCells = 3000 // a level
	closestSeeds = 8
	closestMM    = 0.25 // cells are halved down to this, then a descent follows
)

// closest finds the place p where the larger of both bodies' distances is
// least: apart, the middle of the shortest way between them, half of which the
// value is; overlapping, the centre of the largest ball in both. It is false
// where the value is over limit/2.
//
// Method: branch and bound over cubes, since a distance changes by no more than
// the way gone; then a descent from the best few.
func closest(a, b *body, limitMM float64) (spot, bool) {
	r := a.box.common(b.box, limitMM+0.1)
	size := max(r.hi.X-r.lo.X, r.hi.Y-r.lo.Y, r.hi.Z-r.lo.Z)
	side := size / math.Ceil(size/max(min(r.hi.X-r.lo.X, r.hi.Y-r.lo.Y, r.hi.Z-r.lo.Z, size/2), size/12))
	var cells []spot
	for x := r.lo.X; x < r.hi.X; x += side {
		for y := r.lo.Y; y < r.hi.Y; y += side {
			for z := r.lo.Z; z < r.hi.Z; z += side {
				cells = append(cells, spot{at: r3.Vec{X: x + side/2, Y: y + side/2, Z: z + side/2}})
			}
		}
	}
	upper := limitMM / 2
	for {
		half := side * math.Sqrt(3) / 2 * boundSlack
		for i := range cells {
			cells[i].value = max(a.distance(cells[i].at), b.distance(cells[i].at))
			upper = min(upper, cells[i].value)
		}
		cells = slices.DeleteFunc(cells, func(c spot) bool { return !(c.value-half <= upper) })
		slices.SortFunc(cells, func(p, q spot) int {
			return cmp.Or(cmp.Compare(p.value, q.value), cmp.Compare(p.at.X, q.at.X), cmp.Compare(p.at.Y, q.at.Y), cmp.Compare(p.at.Z, q.at.Z))
		})
		if len(cells) == 0 {
			return spot{}, false
		}
		if side <= closestMM || len(cells) > closestCells {
			break
		}
		side /= 2
		next := make([]spot, 0, 8*len(cells))
		for _, c := range cells {
			for k := range 8 {
				d := r3.Vec{X: sign(k & 1), Y: sign(k >> 1 & 1), Z: sign(k >> 2)}
				next = append(next, spot{at: r3.Add(c.at, r3.Scale(side/2, d))})
			}
		}
		cells = next
	}
	best := spot{value: math.Inf(1)}
	for i := 0; i < min(closestSeeds, len(cells)); i++ {
		if s := descend(a, b, cells[i].at, side, r3.Vec{}); s.value < best.value {
			best = s
		}
	}
	return best, best.value <= limitMM/2
}

// boundSlack allows for distances that change a little faster than the way gone.
const boundSlack = 1.1

func sign(k int) float64 { return float64(2*k - 1) }

// descend lowers the larger of both distances from p on, never along hold,
// which is zero or of length 1: each step solves the two linearised distances
// for an equal, lower value, damped where the surfaces face each other.
func descend(a, b *body, p r3.Vec, step float64, hold r3.Vec) spot {
	da, na := a.look(p)
	db, nb := b.look(p)
	best := spot{p, max(da, db)}
	for range 80 {
		na, nb = across(na, hold), across(nb, hold)
		want := best.value - step
		v := leastStep(na, nb, want-da, want-db, 1e-3)
		if l := r3.Norm(v); l > 4*step+math.Abs(da-db) {
			v = r3.Scale((4*step+math.Abs(da-db))/l, v)
		}
		q := r3.Add(best.at, v)
		qa, ma := a.look(q)
		qb, mb := b.look(q)
		if f := max(qa, qb); f < best.value-1e-3*step {
			best, da, db, na, nb = spot{q, f}, qa, qb, ma, mb
			continue
		}
		if step /= 2; step < 1e-6 {
			break
		}
	}
	return best
}

func across(n, hold r3.Vec) r3.Vec { return r3.Sub(n, r3.Scale(r3.Dot(n, hold), hold)) }

// leastStep is the shortest v with na·v = ta and nb·v = tb, damped by lambda.
func leastStep(na, nb r3.Vec, ta, tb, lambda float64) r3.Vec {
	aa, ab, bb := r3.Norm2(na)+lambda, r3.Dot(na, nb), r3.Norm2(nb)+lambda
	det := aa*bb - ab*ab
	if !(det > 0) {
		return r3.Vec{}
	}
	x, y := (bb*ta-ab*tb)/det, (aa*tb-ab*ta)/det
	return r3.Add(r3.Scale(x, na), r3.Scale(y, nb))
}
