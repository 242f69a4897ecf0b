package fidelity

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// picture says which part each pixel shows: its place in the model, or none.
type picture struct {
	lens  lens
	shows []int16 // index of parts, -1 for none; rows from below
	of    []Part
}

// sheet is the memory of a picture, used again for the next.
type sheet struct {
	shows []int16
	near  []float32 // 1 over the depth: linear in the plane
}

func (s *sheet) clear(pixels int) {
	if cap(s.shows) < pixels {
		s.shows, s.near = make([]int16, pixels), make([]float32, pixels)
	}
	s.shows, s.near = s.shows[:pixels], s.near[:pixels]
	for i := range s.shows {
		s.shows[i], s.near[i] = -1, 0
	}
}

func draw(l lens, model []Part, s *sheet) picture {
	s.clear(l.wide * l.high)
	p := picture{lens: l, shows: s.shows, of: model}
	near := s.near
	for k := range model {
		at := make([]r3.Vec, len(model[k].Points))
		for i, q := range model[k].Points {
			x, y, z := l.plane(q)
			at[i] = r3.Vec{X: (x - l.x0) / l.step, Y: (y - l.y0) / l.step, Z: 1 / z}
			if z <= nearPlane {
				at[i].Z = -1
			}
		}
		for _, t := range model[k].Triangles {
			p.fill(near, int16(k), at[t[0]], at[t[1]], at[t[2]])
		}
	}
	return p
}

// fill draws one triangle where it is nearest: pixels whose middle it covers.
func (p picture) fill(near []float32, part int16, a, b, c r3.Vec) {
	if a.Z < 0 || b.Z < 0 || c.Z < 0 {
		return // behind the eyes
	}
	area := (b.X-a.X)*(c.Y-a.Y) - (b.Y-a.Y)*(c.X-a.X)
	if math.Abs(area) < 1e-12 {
		return
	}
	low := max(0, int(math.Ceil(min(a.Y, b.Y, c.Y))))
	high := min(p.lens.high-1, int(math.Floor(max(a.Y, b.Y, c.Y))))
	// Weights of b and c, and so the depth, are linear along a row.
	bx, cx := (c.Y-a.Y)/area, -(b.Y-a.Y)/area
	slope := bx*(b.Z-a.Z) + cx*(c.Z-a.Z)
	for y := low; y <= high; y++ {
		from, to := span(float64(y), a, b, c)
		x0, x1 := max(0, int(math.Ceil(from))), min(p.lens.wide-1, int(math.Floor(to)))
		dy := float64(y) - a.Y
		level := a.Z + dy*((b.X-a.X)*(c.Z-a.Z)-(c.X-a.X)*(b.Z-a.Z))/area
		for x := x0; x <= x1; x++ {
			z := float32(level + (float64(x)-a.X)*slope)
			if i := y*p.lens.wide + x; z > near[i] {
				near[i], p.shows[i] = z, part
			}
		}
	}
}

// span is where a level line crosses the triangle.
func span(y float64, a, b, c r3.Vec) (from, to float64) {
	from, to = math.Inf(1), math.Inf(-1)
	for _, e := range [3][2]r3.Vec{{a, b}, {b, c}, {c, a}} {
		p, q := e[0], e[1]
		if min(p.Y, q.Y) > y || max(p.Y, q.Y) < y {
			continue
		}
		if p.Y == q.Y {
			from, to = min(from, p.X, q.X), max(to, p.X, q.X)
			continue
		}
		x := p.X + (y-p.Y)/(q.Y-p.Y)*(q.X-p.X)
		from, to = min(from, x), max(to, x)
	}
	return from, to
}

// part is the number of the part that a pixel shows, -1 for none.
func (p picture) part(x, y int) int {
	if x < 0 || y < 0 || x >= p.lens.wide || y >= p.lens.high {
		return -1
	}
	if k := p.shows[y*p.lens.wide+x]; k >= 0 {
		return p.of[k].Number
	}
	return -1
}

// each goes through the pixels that show a part.
func (p picture) each(do func(x, y int)) {
	for y := range p.lens.high {
		for x, k := range p.shows[y*p.lens.wide : (y+1)*p.lens.wide] {
			if k >= 0 {
				do(x, y)
			}
		}
	}
}

// rim tells whether a covered pixel has one beside it that is not; covered ones
// never lie at the border.
func (p picture) rim(x, y int) bool {
	w := p.lens.wide
	i := y*w + x
	return p.shows[i-1] < 0 || p.shows[i+1] < 0 || p.shows[i-w] < 0 || p.shows[i+w] < 0
}

// nearest is the angle from a pixel to the nearest that shows a part, looked for in
// widening squares: outlines move by few pixels. The width of the picture where
// there is none at all.
func (p picture) nearest(x, y int) float64 {
	best, reach := math.MaxInt, max(p.lens.wide, p.lens.high)
	u, v := x+reach, y
	look := func(dx, dy int) {
		if d := dx*dx + dy*dy; d < best && p.part(x+dx, y+dy) >= 0 {
			best, u, v = d, x+dx, y+dy
		}
	}
	for r := 1; r <= reach && r*r <= best; r++ {
		for t := -r; t <= r; t++ {
			look(t, -r)
			look(t, r)
			look(-r, t)
			look(r, t)
		}
	}
	return p.lens.angle(x, y, u, v)
}

// rimNear tells whether a pixel within reach of one has covered and bare
// neighbours.
func (p picture) rimNear(x, y int, reach float64) bool {
	r := int(reach)
	for dy := -r; dy <= r; dy++ {
		for dx := -r; dx <= r; dx++ {
			if float64(dx*dx+dy*dy) <= reach*reach && p.part(x+dx, y+dy) >= 0 && p.rim(x+dx, y+dy) {
				return true
			}
		}
	}
	return false
}
