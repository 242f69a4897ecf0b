package fit

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// axisFinder returns an axial feature along d through the points of ids; draw
// is how many points a smallest one takes, and deviation that of a point.
type axisFinder struct {
	draw      int
	find      func(s *sample, d r3.Vec, ids []int) (roundAxis, bool)
	deviation func(a roundAxis, q r3.Vec) float64
}

// Size of a scan: directions over the hemisphere lie 12° apart, so the true
// axis is within 8° of one; scanDraws random smallest features with 1/3 of
// outliers hold a clean one at nine of ten directions for a circle.
const (
	scanDirections = 150
	scanDraws      = 8
	scanPoints     = 150
	scanKept       = 8
	scanApartCos   = 0.97 // 14°: two answers nearer than this are one
)

// scan tries axes over the hemisphere and along the principal axes of the
// points and returns the best few, best first, no two within 14°.
func (s *sample) scan(k axisFinder) []roundAxis {
	ids := pick(len(s.at), scanPoints, s.rng)
	_, axes := principal(s.at, nil)
	directions := append(axes[:], hemisphere(scanDirections)...)
	var all []roundAxis
	d2 := make([]float64, len(ids))
	for _, d := range directions {
		if a, ok := s.bestAlong(k, d, ids, d2); ok {
			all = append(all, a)
		}
	}
	slices.SortStableFunc(all, func(a, b roundAxis) int { return cmp.Compare(a.score, b.score) })
	var best []roundAxis
	for _, a := range all {
		near := slices.ContainsFunc(best, func(b roundAxis) bool { return math.Abs(r3.Dot(a.axis, b.axis)) > scanApartCos })
		if !near {
			best = append(best, a)
		}
		if len(best) == scanKept {
			break
		}
	}
	return best
}

// bestAlong returns the best feature along d: of all points, and where outliers
// can be told, of random smallest sets, each drawn together once.
func (s *sample) bestAlong(k axisFinder, d r3.Vec, ids []int, d2 []float64) (roundAxis, bool) {
	kept := len(ids) * s.kept / len(s.at)
	best := roundAxis{score: math.Inf(1)}
	try := func(set []int) {
		a, ok := k.find(s, d, set)
		if !ok {
			return
		}
		for j, i := range ids {
			v := k.deviation(a, s.at[i])
			d2[j] = v * v
		}
		if a.score, _ = trimmed(d2, kept); a.score < best.score {
			best = a
		}
	}
	try(ids)
	if kept < len(ids) {
		set := make([]int, k.draw)
		for range scanDraws {
			for j := range set {
				set[j] = ids[s.rng.IntN(len(ids))]
			}
			try(set)
		}
	}
	if math.IsInf(best.score, 1) {
		return best, false
	}
	try(s.nearest(k, best, ids, kept))
	return best, finite(best.score)
}

// nearest returns the kept points of ids nearest to a.
func (s *sample) nearest(k axisFinder, a roundAxis, ids []int, kept int) []int {
	d := make([]float64, len(ids))
	for j, i := range ids {
		d[j] = math.Abs(k.deviation(a, s.at[i]))
	}
	_, limit := trimmed(slices.Clone(d), kept)
	set := make([]int, 0, kept)
	for j, i := range ids {
		if d[j] <= limit {
			set = append(set, i)
		}
	}
	return set
}

// hemisphere returns n unit vectors spread evenly over z ≥ 0 on a spiral of
// the golden angle.
func hemisphere(n int) []r3.Vec {
	golden := math.Pi * (3 - math.Sqrt(5))
	all := make([]r3.Vec, n)
	for i := range all {
		z := 1 - (float64(i)+0.5)/float64(n)
		sin, cos := math.Sincos(golden * float64(i))
		r := math.Sqrt(1 - z*z)
		all[i] = r3.Vec{X: r * cos, Y: r * sin, Z: z}
	}
	return all
}

// circleFinder looks for cylinders.
func circleFinder() axisFinder {
	return axisFinder{
		draw: 3,
		find: (*sample).shadowCircle,
		deviation: func(a roundAxis, q r3.Vec) float64 {
			_, rho, _ := split(r3.Sub(q, a.point), a.axis)
			return rho - a.radius
		},
	}
}
