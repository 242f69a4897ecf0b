package primitive

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// slab is the space between two parallel faces: what plates, wheels and pierced
// discs have in common, and the ends of a profile. Its outline bounds it once
// it is known.
type slab struct {
	f      frame
	z      [2]float64
	gateMM float64                    // distance from a face within which a vertex may belong to it at first
	bounds func(u, v float64) float64 // signed distance from the outline, outside positive; nil: unbounded
	// contour is what bounds is of, once the piece is found.
	contour faceContour

	trial struct {
		d, d0, d1 r3.Vec // direction and its derivatives
		z         [2]float64
	}
}

func (c *slab) params() int   { return 4 }
func (c *slab) surfaces() int { return 2 }

func (c *slab) prepare(x []float64) {
	t := &c.trial
	d := r3.Add(c.f.D, r3.Add(r3.Scale(x[0], c.f.E1), r3.Scale(x[1], c.f.E2)))
	l := norm(d)
	t.d = r3.Scale(1/l, d)
	t.d0 = r3.Scale(1/l, r3.Sub(c.f.E1, r3.Scale(r3.Dot(c.f.E1, t.d), t.d)))
	t.d1 = r3.Scale(1/l, r3.Sub(c.f.E2, r3.Scale(r3.Dot(c.f.E2, t.d), t.d)))
	t.z = [2]float64{c.z[0] + x[2], c.z[1] + x[3]}
}

func (c *slab) residual(p r3.Vec, s int, grad []float64) float64 {
	q := r3.Sub(p, c.f.C)
	sign := float64(2*s - 1)
	grad[0], grad[1] = sign*r3.Dot(q, c.trial.d0), sign*r3.Dot(q, c.trial.d1)
	grad[2+s] = -sign
	return sign * (r3.Dot(q, c.trial.d) - c.trial.z[s])
}

func (c *slab) accept() {
	t := &c.trial
	e1 := unit(r3.Sub(c.f.E1, r3.Scale(r3.Dot(c.f.E1, t.d), t.d)))
	c.f = frame{c.f.C, e1, r3.Cross(t.d, e1), t.d}
	c.z = t.z
}

func (c *slab) sound() bool { return c.z[1] > c.z[0] }

func (c *slab) normal(_ r3.Vec, s int) r3.Vec { return r3.Scale(float64(2*s-1), c.f.D) }

func (c *slab) edge(p r3.Vec, _ int) float64 {
	if c.bounds == nil {
		return math.Inf(1)
	}
	u, v, _ := c.f.local(p)
	return -c.bounds(u, v)
}

func (c *slab) distance(p r3.Vec) float64 {
	u, v, h := c.f.local(p)
	d := []float64{c.z[0] - h, h - c.z[1]}
	if c.bounds != nil {
		d = append(d, c.bounds(u, v))
	}
	return intersection(d)
}

func (c *slab) areaMM2() float64 { return math.Inf(1) }

func (c *slab) thicknessMM() float64 { return c.z[1] - c.z[0] }

// startSlab places the faces by the weighted medians of the heights of facets
// that face along d; ok is false where facets that face neither along nor
// across d are over a quarter of the patch.
func startSlab(p *Patch, d r3.Vec) (*slab, bool) {
	c := &slab{f: newFrame(r3.Vec{}, d)}
	var face [2]weighted
	slanted, total := 0.0, 0.0
	for i, n := range p.FacetN {
		w := p.FacetMM2[i]
		k := r3.Dot(n, c.f.D)
		total += w
		switch {
		case math.Abs(k) > 0.9:
			_, _, h := c.f.local(p.FacetC[i])
			face[(1+sign(k))/2].add(h, w)
		case math.Abs(k) > 0.35:
			slanted += w
		}
	}
	if slanted > 0.25*total || len(face[0].v) < 2 || len(face[1].v) < 2 {
		return nil, false
	}
	c.z = [2]float64{face[0].median(), face[1].median()}
	t := c.thicknessMM()
	flat := max(0.1*t, 6*p.NoiseMM)
	spread := max(face[0].spread(c.z[0]), face[1].spread(c.z[1]))
	c.gateMM = max(min(8*spread, 0.25*t), 6*p.NoiseMM, 0.02*t)
	return c, t > 0 && spread < flat
}

func sign(x float64) int {
	if x < 0 {
		return -1
	}
	return 1
}
