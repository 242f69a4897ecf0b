package primitive

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// pierced is what a rolled plate knows of its holes: their contours on its
// development.
type pierced struct{ inner []*opening }

// developable is a rolled plate whose holes can be fitted and taken up.
type developable interface {
	openings(p *Patch, a association) []fittedHole
	pierce(list []fittedHole)
}

// pierce takes up fitted holes, of which distance, area and coverage know then.
func (c *pierced) pierce(list []fittedHole) {
	c.inner = nil
	for _, h := range list {
		line := h.line.p
		o := &opening{chain: h.line, areaMM2: math.Abs(polygonAreaMM2(line)), lengthMM: chainLength(line)}
		m := polygonCentroid(line)
		o.u, o.v = m[0], m[1]
		for _, q := range line {
			o.r = max(o.r, hypot(q[0]-m[0], q[1]-m[1]))
		}
		c.inner = append(c.inner, o)
	}
}

// inHole is the signed distance from the nearest hole's wall of a point on the
// development, positive inside the hole.
func (c *pierced) inHole(x, y float64) float64 {
	d := math.Inf(-1)
	for _, o := range c.inner {
		d = max(d, o.distance(x, y))
	}
	return d
}

// addedMM2 is the area of the walls of holes, less what both faces lose by them.
func (c *pierced) addedMM2(thickMM float64) float64 {
	area := 0.0
	for _, o := range c.inner {
		area += thickMM*o.lengthMM - 2*o.areaMM2
	}
	return area
}

// wallAt is the signed distance of p from the walls of holes, and their normal
// there, which points into the hole; flatten is where p lies on the development.
func (c *pierced) wallAt(p r3.Vec, flatten func(r3.Vec) (x, y, z float64)) (float64, r3.Vec) {
	const h = 1e-4
	if len(c.inner) == 0 {
		return math.Inf(1), r3.Vec{}
	}
	at := func(q r3.Vec) float64 {
		x, y, _ := flatten(q)
		return c.inHole(x, y)
	}
	d := at(p)
	n := r3.Vec{X: at(r3.Add(p, r3.Vec{X: h})) - d, Y: at(r3.Add(p, r3.Vec{Y: h})) - d, Z: at(r3.Add(p, r3.Vec{Z: h})) - d}
	if l := norm(n); l > 0 {
		n = r3.Scale(1/l, n)
	}
	return d, n
}

// blankOpenings fits the inner walls of a blank: a patch laid flat, its middle at
// height 0, tMM thick; centre is that of its outline, nil where it is not known.
func blankOpenings(blank *Patch, tMM float64, centre *[2]float64, a association) []fittedHole {
	s := &slab{f: frame{E1: r3.Vec{X: 1}, E2: r3.Vec{Y: 1}, D: r3.Vec{Z: 1}}, z: [2]float64{-tMM / 2, tMM / 2}}
	walls := wallLoops(blank, s, a.MarginMM)
	_, inner, ok := sortWalls(walls)
	if blank.OpenEdges > 0 {
		inner = sheetOpenings(blank, s, walls, a.MarginMM)
	} else if !ok {
		return nil
	}
	pl := &plate{}
	pl.slab = *s
	pl.fitHoles(blank, inner, a)
	pl.inner = slices.DeleteFunc(pl.inner, func(h fittedHole) bool { return !h.within(blank) })
	if blank.OpenEdges > 0 {
		r := rasterOf(blank, s)
		return inferHoles(pl.inner, &r, centre)
	}
	return pl.inner
}

// within tells that a hole lies on a blank: one that reaches past its ends or edges is
// where weld has cut into them.
func (h *fittedHole) within(blank *Patch) bool {
	low, high := blank.P[0], blank.P[0]
	for _, q := range blank.P {
		low = r3.Vec{X: min(low.X, q.X), Y: min(low.Y, q.Y)}
		high = r3.Vec{X: max(high.X, q.X), Y: max(high.Y, q.Y)}
	}
	rim := h.line.p
	if h.hole.Shape == "round" {
		c, r := h.hole.CentreMM, h.hole.DiameterMM/2
		rim = [][2]float64{{c[0] - r, c[1] - r}, {c[0] + r, c[1] + r}}
	}
	for _, q := range rim {
		if q[0] < low.X || q[0] > high.X || q[1] < low.Y || q[1] > high.Y {
			return false
		}
	}
	return true
}
