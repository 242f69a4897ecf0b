package primitive

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/segment/fit"
)

// How facets are told apart by the sine of their angle to a prism's direction:
// walls lie along it, within 14 degrees for noise and rounded edges; ends are cut
// at up to 72 degrees from square.
const (
	prismWallSine = 0.25
	prismEndSine  = 0.3
)

// proposePrism looks for straight pieces of any section that are cut obliquely at
// an end. What is cut square is a slab, what is round a tube or bar.
func proposePrism(scout *Patch, axes []motion) []candidate {
	return prismsAlong(scout, axes, prismStart)
}

// proposeEndless looks for straight pieces of any section neither end of which is seen:
// what is left of a profile that runs between two others.
func proposeEndless(scout *Patch, axes []motion) []candidate {
	out := prismsAlong(scout, axes, endlessStart)
	for i := range out {
		out[i].leastSeen = endlessSeen
	}
	return out
}

// prismsAlong are those of a start along each direction.
func prismsAlong(scout *Patch, axes []motion, start func(*Patch, r3.Vec) (*prism, bool)) (out []candidate) {
	if scout.whole().Next == nil {
		return nil
	}
	var tried []r3.Vec
	for _, m := range axes {
		if m.located {
			continue
		}
		d, ok := alongWalls(scout, m.f.D)
		if !ok || parallel(tried, d) {
			continue
		}
		tried = append(tried, d)
		if c, ok := start(scout, d); ok {
			out = append(out, prisms(scout, c)...)
		}
	}
	return out
}

const (
	endlessShare = 0.03 // of a patch that may look like an end of a piece which shows none: weld
	endlessSeen  = 0.5  // of its walls that such a piece shows at least
)

// endlessStart is a prism along d that goes as far as its walls are seen; ok is false
// where an end is.
func endlessStart(scout *Patch, d r3.Vec) (c *prism, ok bool) {
	c = &prism{f: newFrame(r3.Vec{}, d), unseen: [2]bool{true, true}}
	var wall []float64
	ends, all := 0.0, 0.0
	for i, n := range scout.FacetS {
		all += scout.FacetMM2[i]
		switch k := math.Abs(r3.Dot(n, c.f.D)); {
		case k < prismWallSine:
			_, _, h := c.f.local(scout.FacetC[i])
			wall = append(wall, h)
		case k > prismEndSine:
			ends += scout.FacetMM2[i]
		}
	}
	if len(wall) < 8 || ends > endlessShare*all {
		return nil, false
	}
	c.end = [2]endPlane{{z: quantile(wall, 0.005)}, {z: quantile(wall, 0.995)}}
	return c, true
}

// alongWalls improves a direction until the facets along it agree on one: that
// across which their normals turn. ok is false where such facets are under half
// of the patch, or face one way only.
func alongWalls(p *Patch, d r3.Vec) (r3.Vec, bool) {
	for range 6 {
		var m [6]float64
		total := 0.0
		for i, n := range p.FacetS {
			if math.Abs(r3.Dot(n, d)) < prismWallSine {
				addOuter(&m, n, p.FacetMM2[i])
				total += p.FacetMM2[i]
			}
		}
		if total < 0.5*p.TotalMM2 {
			return d, false
		}
		axis, mid := middleEigen(m)
		if mid < 0.02*total {
			return d, false
		}
		d = positive(axis)
	}
	return d, true
}

// wedgeDeg is the slope that an end of a piece has which is shorter than its section is
// wide: a broken side of a plate is drawn a little askew.
const wedgeDeg = 5

// prisms makes a candidate of a start, or none. The piece is first sheared so that its
// ends are square: its section is then followed and fitted as that of a slab. The
// walls so found and the ends, fitted jointly, give the direction anew, and the
// section is fitted once more across that.
func prisms(scout *Patch, c *prism) []candidate {
	p := scout.whole()
	if _, ok := c.follow(p, association{RMSMM: p.NoiseMM}); !ok {
		return nil
	}
	if _, err := associate(scout, c, c.gateMM(p), scouting, false); err != nil {
		return nil
	}
	a, err := associate(p.thin(wallVertices), c, c.gateMM(p), placing, false)
	if err != nil {
		return nil
	}
	section, ok := c.follow(p, a)
	if !ok {
		return nil
	}
	rise := c.rise(c.centroid(section))
	if rise < section.box.WidthMM && c.tilt(0) < wedgeDeg && c.tilt(1) < wedgeDeg {
		return nil // a plate
	}
	size := min(section.box.WidthMM, rise)
	return []candidate{{sol: c, gateMM: c.gateMM(p), sizeMM: size, more: section.freedom() - 2*float64(len(c.flat)),
		describe: func(e *Element, a association, p *Patch) { c.describe(section, e, a, p) }}}
}

// prismStart is a prism along d between the planes of its ends; ok is false where one
// is none, or both are square.
func prismStart(scout *Patch, d r3.Vec) (c *prism, ok bool) {
	c = &prism{f: newFrame(r3.Vec{}, d)}
	for k := range c.end {
		if c.end[k], ok = endOf(scout, c.f, k); !ok {
			return nil, false
		}
	}
	return c, c.tilt(0) > squareDeg || c.tilt(1) > squareDeg
}

func (c *prism) gateMM(p *Patch) float64 { return max(6*p.NoiseMM, 0.01*p.SizeMM) }

// tilt is the angle from square at end k, in degrees.
func (c *prism) tilt(k int) float64 {
	return math.Atan(hypot(c.end[k].tu, c.end[k].tv)) * 180 / math.Pi
}

// endOf is the plane that most of the facets facing out at end k lie in, in f; ok
// is false where three quarters of them do not.
func endOf(p *Patch, f frame, k int) (endPlane, bool) {
	d := r3.Scale(float64(2*k-1), f.D)
	var n r3.Vec
	total := 0.0
	for i, m := range p.FacetS {
		if r3.Dot(m, d) > prismEndSine {
			n = r3.Add(n, r3.Scale(p.FacetMM2[i], m))
			total += p.FacetMM2[i]
		}
	}
	for range 3 {
		if norm(n) == 0 {
			return endPlane{}, false
		}
		mean := unit(n)
		n = r3.Vec{}
		for i, m := range p.FacetS {
			if r3.Dot(m, mean) > 0.95 && r3.Dot(m, d) > prismEndSine {
				n = r3.Add(n, r3.Scale(p.FacetMM2[i], m))
			}
		}
	}
	if norm(n) < 0.6*total || total == 0 {
		return endPlane{}, false
	}
	n = unit(n)
	var at weighted
	for i, m := range p.FacetS {
		if r3.Dot(m, n) > 0.95 {
			at.add(r3.Dot(r3.Sub(p.FacetC[i], f.C), n), p.FacetMM2[i])
		}
	}
	h := at.median()
	if !at.within(h, max(4*p.NoiseMM, 0.01*p.SizeMM)) {
		return endPlane{}, false
	}
	nu, nv, nh := r3.Dot(n, f.E1), r3.Dot(n, f.E2), r3.Dot(n, f.D)
	return endPlane{h / nh, -nu / nh, -nv / nh}, true
}

// follow fits the section of the piece sheared to square ends and takes its
// straight sides for walls. a is what is known of noise and rounded edges.
func (c *prism) follow(p *Patch, a association) (*plate, bool) {
	c.f.C = c.f.at(0, 0, (c.end[0].z+c.end[1].z)/2)
	half := (c.end[1].z - c.end[0].z) / 2
	c.end[0].z, c.end[1].z = -half, half
	q, ok := c.sheared(p)
	if !ok {
		return nil, false
	}
	s := &slab{f: c.f, z: [2]float64{c.end[0].z, c.end[1].z}, gateMM: c.gateMM(p)}
	walls := wallLoops(q, s, a.MarginMM)
	outer, inner, ok := sortWalls(joinWalls(q, s, walls))
	section, ok := c.section(q, s, a, outer, inner, ok)
	if !ok && p.OpenEdges > 0 { // weld along an inside corner parts the walls
		outer, inner, ok = polygonalWalls(q, s, walls)
		section, ok = c.section(q, s, a, outer, inner, ok)
	}
	if !ok {
		return nil, false
	}
	c.take(section)
	return section, len(c.flat) >= 3
}

// section fits the section to its walls, where there are such; ok is false for one that
// is that of a round piece or of a flat bar.
func (c *prism) section(q *Patch, s *slab, a association, outer wallLoop, inner []wallLoop, found bool) (*plate, bool) {
	if !found || roundWalls(q, &outer, inner) {
		return nil, false
	}
	section, ok := newPlate(q, s, a, outer, inner)
	if !ok || section.outline.Circle || len(section.inner) == 0 && section.rectangular() {
		return nil, false
	}
	return section, true
}

// sheared is the patch with its ends made square: heights are stretched along the
// direction, so that walls stay walls. ok is false where the ends cross within
// the section.
func (c *prism) sheared(p *Patch) (*Patch, bool) {
	q := *p
	q.full, q.TotalMM2 = nil, 0
	q.P = make([]r3.Vec, len(p.P))
	half := (c.end[1].z - c.end[0].z) / 2
	for i, x := range p.P {
		u, v, h := c.f.local(x)
		rise := c.rise([2]float64{u, v})
		if rise < 0.1*half {
			return nil, false
		}
		q.P[i] = c.f.at(u, v, ((h-c.end[0].height(u, v))/rise*2-1)*half)
	}
	q.measure()
	q.smooth()
	return &q, half > 0
}

// take makes walls of the section's straight sides.
func (c *prism) take(section *plate) {
	c.flat, c.contour, c.wallsMM2 = nil, faceContour{}, 0
	c.netMM2 = section.outline.Area()
	c.contour.outer = c.side(section.outline, 1)
	for _, h := range section.inner {
		c.netMM2 -= h.outline.Area()
		c.contour.inner = append(c.contour.inner, &opening{chain: c.side(h.outline, -1), r: math.Inf(1)})
	}
}

// side adds the straight sides of one contour to the walls, and returns it as a
// line. The metal lies to its left, or, for an opening (-1), to its right.
func (c *prism) side(o fit.Outline, outward float64) *contourLine {
	line := polyline(o)
	for i, a := range line {
		b := line[(i+1)%len(line)]
		c.wallsMM2 += hypot(b[0]-a[0], b[1]-a[1]) * (c.rise(a) + c.rise(b)) / 2
	}
	for i, s := range o.Steps {
		a, b := o.Steps[(i+len(o.Steps)-1)%len(o.Steps)].To, s.To
		du, dv := b[0]-a[0], b[1]-a[1]
		if s.Arc || hypot(du, dv) == 0 {
			continue
		}
		c.flat = append(c.flat, flatWall{mid: [2]float64{(a[0] + b[0]) / 2, (a[1] + b[1]) / 2},
			angle: math.Atan2(-outward*du, outward*dv), halfMM: hypot(du, dv) / 2})
	}
	return newContourLine(line)
}
