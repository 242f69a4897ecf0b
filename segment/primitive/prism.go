package primitive

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// prism is a straight piece of any section whose ends are planes of their own: a
// profile that is cut obliquely. The planes of its walls give its direction, as
// the faces of a slab give that of one; the outline of the section is fitted on
// its own, in the plane across. The frame's origin is about mid-length.
//
// An end that something hides is square, as far as the walls are seen.
type prism struct {
	f        frame
	end      [2]endPlane
	unseen   [2]bool
	flat     []flatWall
	contour  faceContour
	wallsMM2 float64 // of all walls between the ends, curved ones too
	netMM2   float64 // of the section

	trial struct {
		f      frame
		e1, e2 [2]r3.Vec // derivatives of its directions across, by the tilts
		end    [2]endPlane
	}
}

// flatWall is a straight side of the section, from mid on for halfMM either way
// along: outward normal at angle, off it at the trial.
type flatWall struct {
	mid             [2]float64
	angle, halfMM   float64
	turned, shifted float64 // at the trial
}

// Surfaces: the ends, then the walls. Parameters: the direction's tilt, three of
// each end that is seen, two of each wall.
const prismEnds = 2

func (c *prism) params() int { return c.own() + 2*len(c.flat) }
func (c *prism) own() int    { return c.at(prismEnds) }

// at is the first parameter of end k; own that of the first wall.
func (c *prism) at(k int) int {
	i := 2
	for _, hidden := range c.unseen[:k] {
		if !hidden {
			i += 3
		}
	}
	return i
}

func (c *prism) surfaces() int { return prismEnds + len(c.flat) }

func (c *prism) prepare(x []float64) {
	t := &c.trial
	var ax axial
	ax.set(c.f, []float64{0, 0, x[0], x[1]})
	t.f = ax.frame()
	for i, d := range [2]r3.Vec{ax.d2, ax.d3} {
		// E1 less what of it lies along the direction, made unit again.
		out := r3.Add(r3.Scale(r3.Dot(c.f.E1, d), t.f.D), r3.Scale(ax.dE1h, d))
		l := math.Sqrt(1 - ax.dE1h*ax.dE1h)
		t.e1[i] = r3.Scale(-1/l, r3.Sub(out, r3.Scale(r3.Dot(out, t.f.E1), t.f.E1)))
		t.e2[i] = r3.Add(r3.Cross(d, t.f.E1), r3.Cross(t.f.D, t.e1[i]))
	}
	t.end = c.end
	for k := range t.end {
		if c.unseen[k] {
			continue
		}
		e := x[c.at(k):]
		t.end[k].z, t.end[k].tu, t.end[k].tv = t.end[k].z+e[0], t.end[k].tu+e[1], t.end[k].tv+e[2]
	}
	for i := range c.flat {
		w := &c.flat[i]
		w.turned, w.shifted = x[c.own()+2*i], x[c.own()+2*i+1]
	}
}

func (c *prism) residual(p r3.Vec, s int, grad []float64) float64 {
	if s < prismEnds {
		if c.unseen[s] {
			return math.Inf(1)
		}
		return c.endResidual(p, s, grad)
	}
	w := &c.flat[s-prismEnds]
	t := &c.trial
	u, v, _ := t.f.local(p)
	q := r3.Sub(p, c.f.C)
	sin, cos := math.Sincos(w.angle + w.turned)
	u, v = u-w.mid[0], v-w.mid[1]
	if grad == nil {
		return cos*u + sin*v - w.shifted
	}
	for i := range t.e1 {
		grad[i] = cos*r3.Dot(q, t.e1[i]) + sin*r3.Dot(q, t.e2[i])
	}
	i := c.own() + 2*(s-prismEnds)
	grad[i], grad[i+1] = cos*v-sin*u, -1
	return cos*u + sin*v - w.shifted
}

// endResidual is the distance from an end plane, which stays in the frame that
// the fit starts from and so is independent of the direction.
func (c *prism) endResidual(p r3.Vec, k int, grad []float64) float64 {
	u, v, h := c.f.local(p)
	e, sign := c.trial.end[k], float64(2*k-1)
	l := math.Sqrt(1 + e.tu*e.tu + e.tv*e.tv)
	d := (h - e.height(u, v)) / l
	if grad == nil {
		return sign * d
	}
	g := grad[c.at(k):]
	g[0], g[1], g[2] = -sign/l, sign*(-u/l-d*e.tu/(l*l)), sign*(-v/l-d*e.tv/(l*l))
	return sign * d
}

func (c *prism) accept() {
	f := c.trial.f
	for k, e := range c.trial.end {
		if !c.unseen[k] {
			c.end[k] = e.moved(c.f, f)
		}
	}
	c.f = f
	for i := range c.flat {
		w := &c.flat[i]
		w.angle += w.turned
		sin, cos := math.Sincos(w.angle)
		w.mid[0], w.mid[1] = w.mid[0]+w.shifted*cos, w.mid[1]+w.shifted*sin
		w.turned, w.shifted = 0, 0
	}
}

func (c *prism) sound() bool {
	for _, q := range c.contour.outer.p {
		if !(c.rise(q) > 0) {
			return false
		}
	}
	return true
}

// rise is how long the piece is along its direction at a point of the section.
func (c *prism) rise(q [2]float64) float64 {
	return c.end[1].height(q[0], q[1]) - c.end[0].height(q[0], q[1])
}

func (c *prism) normal(p r3.Vec, s int) r3.Vec {
	if s < prismEnds {
		e := c.end[s]
		return r3.Scale(float64(2*s-1), unit(c.f.dir(-e.tu, -e.tv, 1)))
	}
	sin, cos := math.Sincos(c.flat[s-prismEnds].angle)
	return c.f.dir(cos, sin, 0)
}

// past is the signed distance of p from end k, outward positive.
func (c *prism) past(p r3.Vec, k int) float64 {
	u, v, h := c.f.local(p)
	e := c.end[k]
	return float64(2*k-1) * (h - e.height(u, v)) / math.Sqrt(1+e.tu*e.tu+e.tv*e.tv)
}

func (c *prism) edge(p r3.Vec, s int) float64 {
	u, v, _ := c.f.local(p)
	if s < prismEnds {
		return -c.contour.distance(u, v)
	}
	w := &c.flat[s-prismEnds]
	sin, cos := math.Sincos(w.angle)
	along := math.Abs(cos*(v-w.mid[1]) - sin*(u-w.mid[0]))
	return min(w.halfMM-along, -c.past(p, 0), -c.past(p, 1))
}

func (c *prism) distance(p r3.Vec) float64 {
	u, v, _ := c.f.local(p)
	return intersection([]float64{c.past(p, 0), c.past(p, 1), c.contour.distance(u, v)})
}

// wall is the signed distance of p from the side walls, curved ones too, and
// their normal there.
func (c *prism) wall(p r3.Vec) (float64, r3.Vec) {
	const h = 1e-4
	u, v, _ := c.f.local(p)
	d := c.contour.distance(u, v)
	n := c.f.dir(c.contour.distance(u+h, v)-d, c.contour.distance(u, v+h)-d, 0)
	if l := norm(n); l > 0 {
		n = r3.Scale(1/l, n)
	}
	return d, n
}

func (c *prism) areaMM2() float64 {
	sum := c.wallsMM2
	for k, e := range c.end {
		if c.unseen[k] {
			continue
		}
		sum += c.netMM2 * math.Sqrt(1+e.tu*e.tu+e.tv*e.tv)
	}
	return sum
}
