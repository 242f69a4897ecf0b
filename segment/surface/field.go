// Package surface finds the ideal surfaces, plane, cylinder, cone, sphere and
// torus, that make up a scan: of a mesh, or of a bare cloud of points.
package surface

import (
	"gonum.org/v1/gonum/spatial/r3"
)

// Field is what surfaces are sought on: points that know their neighbours.
//
// Shapes: n points P with unit normals N (either sign for a cloud, outward for a
// mesh); the neighbours of point i are To[From[i]:From[i+1]].
type Field struct {
	P, N      []r3.Vec
	From      []int32 // n+1
	To        []int32
	SpacingMM float64 // median distance between neighbours
	NoiseMM   float64 // 1 sigma of the points
	SizeMM    float64 // diagonal of the box
	Signed    bool    // normals point out of the material
}

// near returns the neighbours of point i.
func (f *Field) near(i int32) []int32 { return f.To[f.From[i]:f.From[i+1]] }

// ball gathers up to n points round seed, nearest by edges first, for which
// keep holds from the point before.
func (f *Field) ball(seed int32, n int, w *walk, keep func(from, to int32) bool) []int32 {
	w.begin()
	w.add(seed)
	out := append(make([]int32, 0, n), seed)
	for at := 0; at < len(out) && len(out) < n; at++ {
		for _, g := range f.near(out[at]) {
			if !w.has(g) && keep(out[at], g) {
				w.add(g)
				if out = append(out, g); len(out) == n {
					break
				}
			}
		}
	}
	return out
}
