package assembly

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/segment/primitive"
	"pointup/segment/surface"
)

// Neighbourhoods that the scatter is measured on, in vertices: what white noise
// fills alike grows with size where neighbours share their noise.
const (
	scatterSmall = 30
	scatterWide  = 200
	scatterMost  = 400
	scatterTries = 500
	scatterFew   = 40
	// scatterGrows is the growth from small to wide that tells shared noise: on 13
	// random welded scans white noise had 1.00 to 1.13, shared noise 1.18 to 1.67.
	scatterGrows = 1.15
	// What wide neighbourhoods still follow of noise shared over a few edges, and
	// how far this estimate may depart from the one of nearest neighbours.
	scatterMissed = 1.5
	scatterTop    = 5
)

// scatter is the noise that ideal surfaces have to allow for: that of the scan,
// or more where a meshing filter or the scanner makes neighbours depart together,
// which the nearest neighbours of a point cannot show.
func scatter(p *primitive.Patch, f *surface.Field) float64 {
	small, wide, most := spread(f, scatterSmall), spread(f, scatterWide), spread(f, scatterMost)
	if most == 0 {
		most = wide
	}
	if small == 0 || wide < scatterGrows*small {
		return p.NoiseMM
	}
	return min(max(p.NoiseMM, scatterMissed*most), scatterTop*p.NoiseMM)
}

// spread is the median of the standard deviations of neighbourhoods of n vertices from
// cubic heights, over the flattest third of them, on which no curvature is left that a
// cubic cannot follow; 0 where too few lie on one smooth face.
func spread(f *surface.Field, n int) float64 {
	rng := rand.New(rand.NewPCG(1, uint64(n)))
	mark := make([]int32, len(f.P))
	type row struct{ sd, bend float64 }
	var all []row
	for try := int32(1); try <= scatterTries; try++ {
		ball := neighbourhood(f, int32(rng.IntN(len(f.P))), n, mark, try)
		if sd, bend, ok := cubicScatter(f, ball, n); ok {
			all = append(all, row{sd, bend})
		}
	}
	if len(all) < scatterFew {
		return 0
	}
	slices.SortFunc(all, func(a, b row) int { return cmp.Compare(a.bend, b.bend) })
	all = all[:len(all)/3]
	slices.SortFunc(all, func(a, b row) int { return cmp.Compare(a.sd, b.sd) })
	return all[len(all)/2].sd
}

func neighbourhood(f *surface.Field, seed int32, n int, mark []int32, stamp int32) []int32 {
	ball := append(make([]int32, 0, n), seed)
	mark[seed] = stamp
	for at := 0; at < len(ball) && len(ball) < n; at++ {
		for _, g := range f.To[f.From[ball[at]]:f.From[ball[at]+1]] {
			if mark[g] != stamp && len(ball) < n {
				mark[g] = stamp
				ball = append(ball, g)
			}
		}
	}
	return ball
}

// cubicScatter is the standard deviation of the heights over the mean plane from
// a cubic in two variables, and bend that of the cubic from a plane, mm; ok is false
// across edges.
func cubicScatter(f *surface.Field, ball []int32, n int) (sd, bend float64, ok bool) {
	const terms = 10
	if len(ball) < n {
		return 0, 0, false
	}
	var normal, c r3.Vec
	for _, i := range ball {
		normal, c = r3.Add(normal, f.N[i]), r3.Add(c, f.P[i])
	}
	if r3.Norm(normal) == 0 {
		return 0, 0, false
	}
	normal, c = r3.Unit(normal), r3.Scale(1/float64(len(ball)), c)
	turned := 0
	for _, i := range ball {
		if r3.Dot(normal, f.N[i]) < 0.5 {
			turned++
		}
	}
	if turned*50 > len(ball) {
		return 0, 0, false
	}
	e1 := r3.Unit(r3.Cross(leastParallel(normal), normal))
	e2 := r3.Cross(normal, e1)
	size := f.SpacingMM * math.Sqrt(float64(n))
	a, b := mat.NewDense(len(ball), terms, nil), mat.NewVecDense(len(ball), nil)
	for row, i := range ball {
		d := r3.Scale(1/size, r3.Sub(f.P[i], c))
		x, y := r3.Dot(d, e1), r3.Dot(d, e2)
		a.SetRow(row, []float64{1, x, y, x * x, x * y, y * y, x * x * x, x * x * y, x * y * y, y * y * y})
		b.SetVec(row, r3.Dot(d, normal)*size)
	}
	var x, rest mat.VecDense
	if x.SolveVec(a, b) != nil {
		return 0, 0, false
	}
	rest.MulVec(a, &x)
	rest.SubVec(b, &rest)
	for k := range 3 {
		x.SetVec(k, 0)
	}
	var curve mat.VecDense
	curve.MulVec(a, &x)
	return math.Sqrt(mat.Dot(&rest, &rest) / float64(len(ball)-terms)), math.Sqrt(mat.Dot(&curve, &curve) / float64(len(ball))), true
}
