package synthetic

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

const (
	markEdgeMM  = 8  // facets in which a piece is looked over for a place to point at
	markClearMM = 10 // as far from other pieces as it needs to be
)

// Marks returns one point on each piece of a clean scene, such as somebody
// would point at to name it: on a face if its facets leave a vertex there, then
// the foremost and highest (least 4 y - z) of those 10 mm clear of all other
// pieces, or else the clearest.
func Marks(scene Scene) ([]r3.Vec, error) {
	opt := DefaultOptions()
	opt.EdgeMM = markEdgeMM
	ready, err := prepare(scene, opt)
	if err != nil {
		return nil, err
	}
	shells := make([]Shell, len(ready))
	each(len(ready), func(i int) {
		shells[i] = disturbed(ready[i].plan.build(), scene.Pieces[i], ready[i].frame, i, opt)
	})
	out := make([]r3.Vec, len(shells))
	each(len(shells), func(i int) { out[i] = mark(shells, i) })
	return out, nil
}

func mark(shells []Shell, i int) r3.Vec {
	onEdge := severalPatches(shells[i])
	if !slices.Contains(onEdge, false) {
		clear(onEdge)
	}
	var best r3.Vec
	bestClear := -1.0
	for v, p := range shells[i].Points {
		if onEdge[v] {
			continue
		}
		c := clearOf(shells, i, p)
		further := 4*p.Y-p.Z < 4*best.Y-best.Z-1e-6
		if c > bestClear+1e-6 || (c > bestClear-1e-6 && further) {
			best, bestClear = p, c
		}
	}
	return best
}

// clearOf returns the distance from p to the nearest vertex of another piece,
// or markClearMM if that is less.
func clearOf(shells []Shell, i int, p r3.Vec) float64 {
	least := float64(markClearMM * markClearMM)
	for k, s := range shells {
		if k == i {
			continue
		}
		for _, q := range s.Points {
			least = min(least, r3.Norm2(r3.Sub(p, q)))
		}
	}
	return math.Sqrt(least)
}

// point writes a mark for a job file: to 0.01 mm, well under any noise.
func point(p r3.Vec) string {
	return fmt.Sprintf("[%.2f, %.2f, %.2f]", p.X, p.Y, p.Z)
}
