package primitive

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// tubeSeed is a place where the patch is round: a point on the centreline, the
// way it runs, the section's radius.
type tubeSeed struct {
	c, t r3.Vec
	r    float64
}

// tubeSeeds are the places of p, out of 60 evenly spread over its facets, whose
// section is that of the most of them, nearest to their median first. None: the
// patch is not round in a fair part of them.
func tubeSeeds(p *Patch) []tubeSeed {
	const tries = 60
	var all []tubeSeed
	g := growth{p: p, stamp: make([]int32, len(p.Facet))}
	for i := range tries {
		if s, ok := g.seed(int32((2*i+1)*len(p.Facet)/(2*tries)), int32(i+1)); ok {
			all = append(all, s)
		}
		if i == tries/3 && len(all) < 3 {
			return nil
		}
	}
	alike := func(a, b float64) bool { return math.Abs(a-b) < 0.08*a }
	most, at := 0, 0.0
	for _, s := range all {
		n := 0
		for _, o := range all {
			if alike(s.r, o.r) {
				n++
			}
		}
		if n > most {
			most, at = n, s.r
		}
	}
	if most < tries/5 {
		return nil
	}
	var r []float64
	var out []tubeSeed
	for _, s := range all {
		if alike(at, s.r) {
			r, out = append(r, s.r), append(out, s)
		}
	}
	m := median(r)
	slices.SortStableFunc(out, func(a, b tubeSeed) int {
		if math.Abs(a.r-m) < math.Abs(b.r-m) {
			return -1
		}
		return 1
	})
	return out
}

// growth gathers facets round a seed.
type growth struct {
	p     *Patch
	stamp []int32
	queue []int32
}

// enoughTurn is the middle eigenvalue of the normals' second moments from which
// the axis and the circle stand: ±48 degrees of a cylinder.
const enoughTurn = 0.2

// growthMost bounds the facets of a seed: a scan finer than a section's 50000th
// is not looked at so closely.
const growthMost = 20000

// seed grows from facet f across links until the normals span enough of a
// circle; ok is false where they do not, or do not meet as a rod's do.
func (g *growth) seed(f, mark int32) (tubeSeed, bool) {
	p := g.p
	g.queue = append(g.queue[:0], f)
	g.stamp[f] = mark
	var m [6]float64
	total, next := 0.0, 12
	for k := 0; k < len(g.queue); k++ {
		f := g.queue[k]
		addOuter(&m, p.FacetS[f], p.FacetMM2[f])
		total += p.FacetMM2[f]
		if k == next {
			next = k + k/5
			if axis, mid := middleEigen(m); mid > enoughTurn*total {
				return g.circle(axis, g.queue[:k+1])
			}
			if k > growthMost || k > len(p.Facet)/3 {
				return tubeSeed{}, false
			}
		}
		for _, n := range p.Next[f] {
			if n >= 0 && g.stamp[n] != mark {
				g.stamp[n] = mark
				g.queue = append(g.queue, n)
			}
		}
	}
	return tubeSeed{}, false
}

// middleEigen returns the eigenvector of the least eigenvalue of m and the middle
// eigenvalue.
func middleEigen(m [6]float64) (r3.Vec, float64) {
	e := eigen(m)
	v := e[1]
	mid := m[0]*v.X*v.X + m[3]*v.Y*v.Y + m[5]*v.Z*v.Z + 2*(m[1]*v.X*v.Y+m[2]*v.X*v.Z+m[4]*v.Y*v.Z)
	return e[0], mid
}

// circle is where the normals of the facets meet across the axis.
func (g *growth) circle(axis r3.Vec, facets []int32) (tubeSeed, bool) {
	p := g.p
	f := newFrame(p.FacetC[facets[0]], axis)
	var m [5]float64
	for _, i := range facets {
		a, b := r3.Dot(p.FacetS[i], f.E2), -r3.Dot(p.FacetS[i], f.E1)
		u, v, _ := f.local(p.FacetC[i])
		w, k := p.FacetMM2[i], a*u+b*v
		m[0] += w * a * a
		m[1] += w * a * b
		m[2] += w * b * b
		m[3] += w * a * k
		m[4] += w * b * k
	}
	det := m[0]*m[2] - m[1]*m[1]
	if !(det > 1e-9*(m[0]+m[2])*(m[0]+m[2])) {
		return tubeSeed{}, false
	}
	cu, cv := (m[2]*m[3]-m[1]*m[4])/det, (m[0]*m[4]-m[1]*m[3])/det
	var r, off, total float64
	for _, i := range facets {
		u, v, _ := f.local(p.FacetC[i])
		nu, nv := r3.Dot(p.FacetS[i], f.E1), r3.Dot(p.FacetS[i], f.E2)
		w, x := p.FacetMM2[i], (u-cu)*nv-(v-cv)*nu
		r += w * ((u-cu)*nu + (v-cv)*nv)
		off += w * x * x
		total += w * (nu*nu + nv*nv)
	}
	r /= total
	return tubeSeed{f.at(cu, cv, 0), axis, r}, r > 0 && math.Sqrt(off/total) < 0.3*r
}
