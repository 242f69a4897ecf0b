package rig

import (
	"errors"
	"fmt"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// Tensor is symmetric: xx, yy, zz, xy, yz, zx.
type Tensor [6]float64

// Measured is what a closed mesh encloses, filled evenly.
type Measured struct {
	VolumeMM3 float64
	CentreMM  r3.Vec
	SpreadMM2 Tensor // mean of the products of coordinates from the centre
}

// Measure integrates 1, x and x·xᵀ over the inside of a closed mesh: the sum over
// the tetrahedra that its triangles make with one point, each a polynomial and
// so exact (F. Tonon, Explicit exact formulas for the 3-D tetrahedron inertia
// tensor, J. Math. Stat. 1, 2004, 8). Multiplying the points by k multiplies the
// volume by k³, the spread by k². A mesh that is open, or looks inwards, is refused.
func Measure(points []r3.Vec, triangles [][3]uint32) (Measured, error) {
	if err := checkedMesh(points, triangles); err != nil {
		return Measured{}, err
	}
	if err := closed(len(points), triangles); err != nil {
		return Measured{}, err
	}
	at := points[triangles[0][0]] // near the mesh, so that little cancels
	var six float64
	var first r3.Vec
	var second Tensor
	for _, t := range triangles {
		a, b, c := r3.Sub(points[t[0]], at), r3.Sub(points[t[1]], at), r3.Sub(points[t[2]], at)
		det := r3.Dot(a, r3.Cross(b, c))
		sum := r3.Add(a, r3.Add(b, c))
		six += det
		first = r3.Add(first, r3.Scale(det/24, sum))
		for _, v := range [4]r3.Vec{a, b, c, sum} {
			second.add(v, det/120)
		}
	}
	if !(six > 0) {
		return Measured{}, errors.New("its mesh encloses no volume or looks inwards; give one whose triangles turn counter-clockwise seen from outside")
	}
	centre := r3.Scale(6/six, first)
	spread := Tensor{}.plus(second, 6/six)
	spread.add(centre, -1)
	return Measured{VolumeMM3: six / 6, CentreMM: r3.Add(at, centre), SpreadMM2: spread}, nil
}

// closed tells whether every edge is met as often one way as the other.
func closed(points int, triangles [][3]uint32) error {
	first := make([]uint32, points+2) // of each point, among sides by their lower end
	for _, t := range triangles {
		for k, a := range t {
			first[min(a, t[(k+1)%3])+2]++
		}
	}
	for v := 2; v < len(first); v++ {
		first[v] += first[v-1]
	}
	sides := make([]uint64, 3*len(triangles)) // twice the upper end, 1 more where the side runs down
	for _, t := range triangles {
		for k, a := range t {
			b := t[(k+1)%3]
			at := &first[min(a, b)+1]
			sides[*at] = uint64(max(a, b)) << 1
			if a > b {
				sides[*at]++
			}
			*at++
		}
	}
	open := 0
	for v := range points {
		open += openAmong(uint64(v), sides[first[v]:first[v+1]])
	}
	if open > 0 {
		return fmt.Errorf("its mesh is open at %d edges; give a closed one", open)
	}
	return nil
}

// openAmong counts the open edges among the sides of one lower end, which it sorts;
// sides between a point and itself are none.
func openAmong(low uint64, sides []uint64) (open int) {
	slices.Sort(sides)
	for i := 0; i < len(sides); {
		up, of := 0, sides[i]>>1
		for ; i < len(sides) && sides[i]>>1 == of; i++ {
			up += 1 - 2*int(sides[i]&1)
		}
		if up != 0 && of != low {
			open++
		}
	}
	return open
}

// add adds the products of a point's coordinates, k times.
func (t *Tensor) add(v r3.Vec, k float64) {
	t[0] += k * (v.X * v.X)
	t[1] += k * (v.Y * v.Y)
	t[2] += k * (v.Z * v.Z)
	t[3] += k * (v.X * v.Y)
	t[4] += k * (v.Y * v.Z)
	t[5] += k * (v.Z * v.X)
}

func (t Tensor) plus(u Tensor, k float64) Tensor {
	for i := range t {
		t[i] += k * u[i]
	}
	return t
}

// inertia takes a spread to moments: the trace less the tensor.
func (t Tensor) inertia() Tensor {
	trace := t[0] + t[1] + t[2]
	return Tensor{trace - t[0], trace - t[1], trace - t[2], -t[3], -t[4], -t[5]}
}
