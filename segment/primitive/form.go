package primitive

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// noForm is the form of a piece before any of it is measured.
var noForm = Form{RoundnessMM: -1, StraightnessMM: -1, FlatnessMM: -1}

// binned collects residuals in bins and tells their spread beyond noise.
type binned struct{ n, sum, sq []float64 }

func newBinned(k int) binned {
	return binned{make([]float64, k), make([]float64, k), make([]float64, k)}
}

func (b binned) add(k int, r float64) {
	k = min(max(k, 0), len(b.n)-1)
	b.n[k]++
	b.sum[k] += r
	b.sq[k] += r * r
}

// rangeMM is the range of the bins' means, less what noise alone would make of
// it: the means' standard error times the expected range of as many normal
// values, about 2 sqrt(2 ln k) (Tippett, Biometrika 17 (1925) 364), removed in
// quadrature. -1 for under four filled bins.
func (b binned) rangeMM() float64 {
	lo, hi, se, k := math.Inf(1), math.Inf(-1), 0.0, 0.0
	for i, n := range b.n {
		if n < 3 {
			continue
		}
		m := b.sum[i] / n
		lo, hi = min(lo, m), max(hi, m)
		se += max(b.sq[i]/n-m*m, 0) / n
		k++
	}
	if k < 4 {
		return -1
	}
	noise := 2 * math.Sqrt(2*math.Log(k)*se/k)
	return math.Sqrt(max((hi-lo)*(hi-lo)-noise*noise, 0))
}

// roundness is the range of the surface's residuals over the turn about f.
func roundness(p *Patch, f frame, a association, s int) float64 {
	b := newBinned(36)
	for i, q := range a.Seen {
		if int(q.S) != s {
			continue
		}
		u, v, _ := f.local(p.P[q.V])
		b.add(int((math.Atan2(v, u)+math.Pi)/(2*math.Pi)*36), a.Residual[i])
	}
	return b.rangeMM()
}

// straightness is the width of the zone that holds the centres of slices across
// f of a round surface: each slice's centre is the first harmonic of its
// residuals.
func straightness(p *Patch, f frame, a association, s int, low, high float64) float64 {
	const slices, directions = 12, 8
	type sums struct{ n, c, s float64 }
	var sl [slices]sums
	for i, q := range a.Seen {
		if int(q.S) != s {
			continue
		}
		u, v, h := f.local(p.P[q.V])
		rho := hypot(u, v)
		k := int((h - low) / (high - low) * slices)
		if k < 0 || k >= slices || rho == 0 {
			continue
		}
		sl[k].n++
		sl[k].c += 2 * a.Residual[i] * u / rho
		sl[k].s += 2 * a.Residual[i] * v / rho
	}
	width := -1.0
	for d := 0; d < directions; d++ {
		sin, cos := math.Sincos(math.Pi * float64(d) / directions)
		lo, hi, k, n := math.Inf(1), math.Inf(-1), 0, 0.0
		for _, x := range sl {
			if x.n < 12 {
				continue
			}
			m := (x.c*cos + x.s*sin) / x.n
			lo, hi = min(lo, m), max(hi, m)
			n += x.n
			k++
		}
		if k >= 4 {
			noise := 2 * math.Sqrt(2*math.Log(float64(k))) * a.surface(s).RMSMM * math.Sqrt(2*float64(k)/n)
			width = max(width, math.Sqrt(max((hi-lo)*(hi-lo)-noise*noise, 0)))
		}
	}
	return width
}

// flatness is the range of a plane's residuals over cells of about a fifth of
// its extent.
func flatness(p *Patch, f frame, a association, s int) float64 {
	const cells = 5
	lo, hi := [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
	each := func(do func(u, v, r float64)) {
		for i, q := range a.Seen {
			if int(q.S) == s {
				u, v, _ := f.local(p.P[q.V])
				do(u, v, a.Residual[i])
			}
		}
	}
	each(func(u, v, _ float64) {
		lo = [2]float64{min(lo[0], u), min(lo[1], v)}
		hi = [2]float64{max(hi[0], u), max(hi[1], v)}
	})
	b := newBinned(cells * cells)
	each(func(u, v, r float64) {
		i := min(int((u-lo[0])/(hi[0]-lo[0])*cells), cells-1)
		j := min(int((v-lo[1])/(hi[1]-lo[1])*cells), cells-1)
		b.add(i*cells+j, r)
	})
	return b.rangeMM()
}

func (c *round) form(a association, p *Patch) Form {
	f := noForm
	f.RoundnessMM = roundness(p, c.f, a, outerWall)
	if c.free {
		f.StraightnessMM = straightness(p, c.f, a, outerWall, c.end[0].z, c.end[1].z)
		return f
	}
	for s := lowEnd; s <= highEnd; s++ {
		f.FlatnessMM = max(f.FlatnessMM, flatness(p, c.f, a, s))
	}
	return f
}

// form of a torus: roundness is that of the section.
func (c *torus) form(a association, p *Patch) Form {
	f := noForm
	b := newBinned(24)
	for i, q := range a.Seen {
		if q.S != torusOuter {
			continue
		}
		u, v, h := c.f.local(p.P[q.V])
		b.add(int((math.Atan2(h, hypot(u, v)-c.rc)+math.Pi)/(2*math.Pi)*24), a.Residual[i])
	}
	f.RoundnessMM = b.rangeMM()
	return f
}

// seenArea is the area of facets that lie on the solid's surfaces, each
// projected on the surface so that noise does not make it larger, in mm².
func seenArea(p *Patch, sol solid, gateMM float64) float64 {
	sol.prepare(make([]float64, sol.params()))
	sum := 0.0
	for i, q := range p.FacetC {
		best := 0.0
		for s := 0; s < sol.surfaces(); s++ {
			if math.Abs(sol.residual(q, s, nil)) <= gateMM {
				best = max(best, r3.Dot(p.FacetN[i], sol.normal(q, s)))
			}
		}
		if w, ok := sol.(walled); ok && best < 0.5 {
			if d, n := w.wall(q); math.Abs(d) <= gateMM {
				best = max(best, r3.Dot(p.FacetN[i], n))
			}
		}
		sum += best * p.FacetMM2[i]
	}
	return sum
}
