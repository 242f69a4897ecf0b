package primitive

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// slab is the space between two parallel faces: what plates, wheels and pierced
// discs have in common, and the ends of a profile. Its outline bounds it once
// it is known.
type slab struct {
	f      frame
	z      [2]float64
	unseen [2]bool                    // faces that something hides: z is as far as the walls are seen
	gateMM float64                    // distance from a face within which a vertex may belong to it at first
	bounds func(u, v float64) float64 // signed distance from the outline, outside positive; nil: unbounded
	// contour is what bounds is of, once the piece is found.
	contour faceContour
	steps   *steps // of a wheel whose faces are stepped: z is that of its rim

	trial struct {
		d, d0, d1 r3.Vec // direction and its derivatives
		z         [2]float64
	}
}

func (c *slab) params() int   { return c.at(2) }
func (c *slab) surfaces() int { return 2 }

// at is the parameter of face s: two of the direction come first, then one of
// each face that is seen.
func (c *slab) at(s int) int {
	i := 2
	for k := range s {
		if !c.unseen[k] {
			i++
		}
	}
	return i
}

func (c *slab) prepare(x []float64) {
	t := &c.trial
	d := r3.Add(c.f.D, r3.Add(r3.Scale(x[0], c.f.E1), r3.Scale(x[1], c.f.E2)))
	l := norm(d)
	t.d = r3.Scale(1/l, d)
	t.d0 = r3.Scale(1/l, r3.Sub(c.f.E1, r3.Scale(r3.Dot(c.f.E1, t.d), t.d)))
	t.d1 = r3.Scale(1/l, r3.Sub(c.f.E2, r3.Scale(r3.Dot(c.f.E2, t.d), t.d)))
	t.z = c.z
	for s := range t.z {
		if !c.unseen[s] {
			t.z[s] += x[c.at(s)]
		}
	}
}

func (c *slab) residual(p r3.Vec, s int, grad []float64) float64 {
	if c.unseen[s] {
		return math.Inf(1)
	}
	if c.steps != nil {
		if u, v, _ := c.f.local(p); c.steps.radius(u, v) < c.steps.rimMM {
			return math.Inf(1)
		}
	}
	q := r3.Sub(p, c.f.C)
	sign := float64(2*s - 1)
	if grad == nil {
		return sign * (r3.Dot(q, c.trial.d) - c.trial.z[s])
	}
	grad[0], grad[1] = sign*r3.Dot(q, c.trial.d0), sign*r3.Dot(q, c.trial.d1)
	grad[c.at(s)] = -sign
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
	if c.steps != nil {
		d = []float64{c.steps.section.distance(c.steps.radius(u, v), h)}
	}
	if c.bounds != nil {
		d = append(d, c.bounds(u, v))
	}
	return intersection(d)
}

func (c *slab) areaMM2() float64 { return math.Inf(1) }

func (c *slab) thicknessMM() float64 { return c.z[1] - c.z[0] }

// standing tells that a face of the slab is hidden, and with it the thickness.
func (c *slab) standing() bool { return c.unseen[0] || c.unseen[1] }

// Standing tells a plate, wheel or profile of which a face is hidden by what it
// stands on.
func (e *Element) Standing() bool {
	switch s := e.solid.(type) {
	case *plate:
		return s.standing()
	case *toothedWheel:
		return s.standing()
	case *slab:
		return s.standing()
	}
	return false
}

// through adds the dimension across the slab, or hides it.
func (c *slab) through(e *Element, key string, a association) {
	if c.standing() {
		e.hide(key)
		return
	}
	e.add(key, c.thicknessMM(), a.u95([]float64{0, 0, -1, 1}))
}

// flatnessMM is the larger of the faces' that are seen.
func (c *slab) flatnessMM(p *Patch, a association) float64 {
	most := 0.0
	for s, hidden := range c.unseen {
		if !hidden {
			most = max(most, flatness(p, c.f, a, s))
		}
	}
	return most
}

// startSlab places the faces by the weighted medians of the heights of facets
// that face along d; ok is false where facets that face neither along nor
// across d are over a quarter of the patch, or a face is missing.
func startSlab(p *Patch, d r3.Vec) (*slab, bool) {
	c, face, _, ok := slabFaces(p, d)
	if !ok || len(face[0].v) < 2 || len(face[1].v) < 2 {
		return nil, false
	}
	c.z = [2]float64{face[0].median(), face[1].median()}
	return c, c.gate(p, max(face[0].spread(c.z[0]), face[1].spread(c.z[1])))
}

// startStepped places the faces of a wheel by its rim, where hub or web are of
// another thickness: by the facets in the outer sixth of the reach, which stand all
// round.
func startStepped(p *Patch, d r3.Vec) (*slab, bool) {
	const outer, sectors = 5. / 6, 12
	c, all, _, ok := slabFaces(p, d)
	if !ok || min(all[0].total, all[1].total) < 0.25*p.TotalMM2 {
		return nil, false
	}
	reach := 0.0
	for _, q := range p.FacetC {
		u, v, _ := c.f.local(q)
		reach = max(reach, hypot(u, v))
	}
	var face [2]weighted
	var seen [2][sectors]bool
	for i, n := range p.FacetN {
		u, v, h := c.f.local(p.FacetC[i])
		if k := r3.Dot(n, c.f.D); math.Abs(k) > 0.9 && hypot(u, v) > outer*reach {
			s := (1 + sign(k)) / 2
			face[s].add(h, p.FacetMM2[i])
			seen[s][int((math.Atan2(v, u)/(2*math.Pi)+1)*sectors)%sectors] = true
		}
	}
	for s := range seen {
		if slices.Contains(seen[s][:], false) {
			return nil, false
		}
	}
	c.z = [2]float64{face[0].median(), face[1].median()}
	return c, c.gate(p, max(face[0].spread(c.z[0]), face[1].spread(c.z[1])))
}

// hiddenFace is the share of the other face's area under which a face is hidden.
const hiddenFace = 0.1

// startStanding does so where a face is hidden by what the piece stands on: there
// the slab goes as far as its walls are seen.
func startStanding(p *Patch, d r3.Vec) (*slab, bool) {
	c, face, wall, ok := slabFaces(p, d)
	if !ok || len(wall) < 8 {
		return nil, false
	}
	for k := range face {
		o := face[1-k]
		if face[k].total >= hiddenFace*o.total || len(o.v) < 2 {
			continue
		}
		c.unseen[k] = true
		c.z[1-k] = o.median()
		c.z[k] = quantile(wall, 0.005+0.99*float64(k))
		return c, c.gate(p, o.spread(c.z[1-k]))
	}
	return nil, false
}

// slabFaces are the heights of the facets that face along d, on either side, and
// of those that face across.
func slabFaces(p *Patch, d r3.Vec) (c *slab, face [2]weighted, wall []float64, ok bool) {
	c = &slab{f: newFrame(r3.Vec{}, d)}
	slanted, total := 0.0, 0.0
	for i, n := range p.FacetN {
		w := p.FacetMM2[i]
		k := r3.Dot(n, c.f.D)
		total += w
		_, _, h := c.f.local(p.FacetC[i])
		switch {
		case math.Abs(k) > 0.9:
			face[(1+sign(k))/2].add(h, w)
		case math.Abs(k) > 0.35:
			slanted += w
		default:
			wall = append(wall, h)
		}
	}
	return c, face, wall, slanted <= 0.25*total
}

// gate sets the gate of faces whose facets scatter by spread; false where they
// are no faces.
func (c *slab) gate(p *Patch, spread float64) bool {
	t := c.thicknessMM()
	flat := max(0.1*t, 6*p.NoiseMM)
	c.gateMM = max(min(8*spread, 0.25*t), 6*p.NoiseMM, 0.02*t)
	return t > 0 && spread < flat
}

func sign(x float64) int {
	if x < 0 {
		return -1
	}
	return 1
}
