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

func draw(l lens, model []Part) picture {
	p := picture{lens: l, shows: make([]int16, l.wide*l.high), of: model}
	near := make([]float32, len(p.shows)) // 1 over the depth: linear in the plane
	for i := range p.shows {
		p.shows[i] = -1
	}
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

// offsets leads from every pixel to the nearest that shows a part: two sweeps over
// eight neighbours (Danielsson, Euclidean distance mapping, Computer Graphics and
// Image Processing 14 (1980) 227), which err by a small part of a pixel.
type offsets struct {
	lens lens
	to   [][2]int16
}

const none = math.MaxInt16 // nothing is shown within reach

func (p picture) offsets() offsets {
	w, h := p.lens.wide, p.lens.high
	o := offsets{p.lens, make([][2]int16, w*h)}
	for i, k := range p.shows {
		if k < 0 {
			o.to[i] = [2]int16{none, none}
		}
	}
	for y := 1; y < h-1; y++ { // a picture has a bare margin
		o.sweep(y, -w)
	}
	for y := h - 2; y > 0; y-- {
		o.sweep(y, w)
	}
	return o
}

// sweep takes over from the row beside, which lies step pixels on, and from both
// neighbours in the row.
func (o offsets) sweep(y, step int) {
	w := o.lens.wide
	first, dy := y*w, int16(1)
	if step < 0 {
		dy = -1
	}
	for i := first + 1; i < first+w-1; i++ {
		if own := o.to[i]; own != [2]int16{} {
			own = nearer(own, o.to[i+step], 0, dy)
			own = nearer(own, o.to[i+step-1], -1, dy)
			own = nearer(own, o.to[i+step+1], 1, dy)
			o.to[i] = nearer(own, o.to[i-1], -1, 0)
		}
	}
	for i := first + w - 2; i > first; i-- {
		if own := o.to[i]; own != [2]int16{} {
			o.to[i] = nearer(own, o.to[i+1], 1, 0)
		}
	}
}

// nearer is the shorter of a way and that over a neighbour.
func nearer(own, next [2]int16, dx, dy int16) [2]int16 {
	if next[0] == none {
		return own
	}
	c := [2]int16{next[0] + dx, next[1] + dy}
	if own[0] == none || square(c) < square(own) {
		return c
	}
	return own
}

func square(d [2]int16) int32 { return int32(d[0])*int32(d[0]) + int32(d[1])*int32(d[1]) }

// arcmin is the angle to the nearest pixel that shows a part; the width of the
// picture where none does.
func (o offsets) arcmin(x, y int) float64 {
	d := o.to[y*o.lens.wide+x]
	if d[0] == none {
		return o.lens.angle(0, y, o.lens.wide-1, y)
	}
	return o.lens.angle(x, y, x+int(d[0]), y+int(d[1]))
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
