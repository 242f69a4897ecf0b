package fit

import (
	"math"
	"slices"
)

// waves is by how much means of neighbouring residuals vary more than white
// noise lets them, as a ratio of variances, at least 1: dents, bows and noise
// that neighbours share. The covariance of the steps is multiplied by it, since
// such points do not count one by one.
//
// Every step is cut into up to eight stretches of equally many points. Below
// 2.5 sigma of chi² it is taken for chance.
func (f *outlineFitter) waves(pts [][]outlinePoint, sigmaMM float64) float64 {
	chi, dof := 0.0, 0.0
	for k, s := range f.Segs {
		n := min(8, len(pts[k])/5)
		par := 2
		if s.Fillet {
			par = 1
		} else if s.Arc {
			par = 3
		}
		if n <= par {
			continue
		}
		for _, stretch := range f.stretches(k, pts[k], n) {
			sum, w := 0.0, 0.0
			for _, p := range stretch {
				sum, w = sum+p.W*s.C.Dist(p.P), w+p.W
			}
			if w > 0 {
				chi += sum * sum / w
			}
		}
		dof += float64(n - par)
	}
	if dof < 4 || !(sigmaMM > 0) {
		return 1
	}
	ratio := chi / (sigmaMM * sigmaMM * dof)
	if ratio < 1+2.5*math.Sqrt(2/dof) {
		return 1
	}
	return math.Min(ratio, 1e4)
}

// stretches sorts the points along step k and cuts them into n rows.
func (f *outlineFitter) stretches(k int, pts []outlinePoint, n int) [][]outlinePoint {
	s := f.Segs[k]
	place := make([]float64, len(pts))
	order := make([]int, 0, len(pts))
	mid := f.L.at((s.Lo + s.Hi) / 2)
	t := s.C.Tangent(mid)
	for i, p := range pts {
		if s.C.K == 0 {
			place[i] = (p.P[0]-mid[0])*t[0] + (p.P[1]-mid[1])*t[1]
		} else {
			u := s.C.Tangent(p.P)
			place[i] = math.Atan2(t[0]*u[1]-t[1]*u[0], t[0]*u[0]+t[1]*u[1]) * math.Copysign(1, s.C.K)
		}
		if p.W > 0 && p.Var <= 1.5*f.L.Sigma*f.L.Sigma {
			order = append(order, i)
		}
	}
	slices.SortFunc(order, func(a, b int) int {
		if place[a] != place[b] {
			return int(math.Copysign(1, place[a]-place[b]))
		}
		return a - b
	})
	out := make([][]outlinePoint, n)
	for i, o := range order {
		b := i * n / len(order)
		out[b] = append(out[b], pts[o])
	}
	return out
}
