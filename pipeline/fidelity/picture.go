package fidelity

import (
	"math"
	"math/bits"

	"gonum.org/v1/gonum/spatial/r3"
)

// picture says which pixels show a model.
type picture struct {
	mask
	lens lens
	of   []body
	at   [][]r3.Vec // by part: its points in pixels; Z is 1 over the depth, negative behind the eyes
}

// draw takes points on the plane at distance 1, as project gives them, to pixels
// and sets those whose middle a triangle covers.
func draw(l lens, model []body, flat [][]r3.Vec) picture {
	p := picture{mask: newMask(l.wide, l.high), lens: l, of: model, at: flat}
	var c contours
	for k, points := range flat {
		for i, q := range points {
			points[i] = r3.Vec{X: (q.X - l.x0) / l.step, Y: (q.Y - l.y0) / l.step, Z: 1 / q.Z}
			if q.Z <= nearPlane {
				points[i].Z = -1
			}
		}
		if model[k].Closed {
			c.draw(p.mask, model[k], points)
			continue
		}
		for _, t := range model[k].Triangles {
			a, b, c := points[t[0]], points[t[1]], points[t[2]]
			if shown(model[k].Part, a, b, c) {
				p.rows(a, b, c, p.set)
			}
		}
	}
	return p
}

// shown tells whether a triangle is before the eyes and not on the far side of its
// part, nor so thin that it is a line.
func shown(part Part, a, b, c r3.Vec) bool {
	area := doubleArea(a, b, c)
	return a.Z >= 0 && b.Z >= 0 && c.Z >= 0 && (area >= areaLeast || area <= -areaLeast && !part.Closed)
}

// rows gives the rows of a triangle that cover pixels' middles, from x0 to x1 and
// both.
func (p picture) rows(a, b, c r3.Vec, do func(y, x0, x1 int)) {
	if b.Y < a.Y {
		a, b = b, a
	}
	if c.Y < a.Y {
		a, c = c, a
	}
	if c.Y < b.Y {
		b, c = c, b
	}
	low, high := max(0, int(math.Ceil(a.Y))), min(p.high-1, int(math.Floor(c.Y)))
	if low > high {
		return
	}
	long, lower, upper := slope(a, c), slope(a, b), slope(b, c)
	for y := low; y <= high; y++ {
		from, to := a.X+(float64(y)-a.Y)*long, 0.0
		if float64(y) < b.Y {
			to = a.X + (float64(y)-a.Y)*lower
		} else {
			to = b.X + (float64(y)-b.Y)*upper
		}
		x0, x1 := max(0, int(math.Ceil(min(from, to)))), min(p.wide-1, int(math.Floor(max(from, to))))
		if x0 <= x1 {
			do(y, x0, x1)
		}
	}
}

// areaLeast is twice the area, in pixels, under which a triangle is a line.
const areaLeast = 1e-12

func doubleArea(a, b, c r3.Vec) float64 { return (b.X-a.X)*(c.Y-a.Y) - (b.Y-a.Y)*(c.X-a.X) }

// slope is how far an edge leans a row; 0 where it is level.
func slope(p, q r3.Vec) float64 {
	if q.Y <= p.Y {
		return 0
	}
	return (q.X - p.X) / (q.Y - p.Y)
}

// sight is a pixel and the number of the part that it shows.
type sight struct{ x, y, part int }

// fronts are the parts that the pixels of a mask show, row by row: depths are kept
// for these pixels alone, and triangles that come near none of them passed over.
func (p picture) fronts(of mask) []sight {
	before := make([]int, len(of.bits)) // pixels of the words before
	var out []sight
	for i, w := range of.bits {
		before[i] = len(out)
		for ; w != 0; w &= w - 1 {
			out = append(out, sight{i%of.words*64 + bits.TrailingZeros64(w), i / of.words, -1})
		}
	}
	if len(out) == 0 {
		return nil
	}
	coarse := of.coarse()
	near := make([]float32, len(out)) // 1 over the depth: linear in the plane
	for k, points := range p.at {
		for _, t := range p.of[k].Triangles {
			a, b, c := points[t[0]], points[t[1]], points[t[2]]
			if !shown(p.of[k].Part, a, b, c) || !coarse.touches(a, b, c, blockBits) || !of.touches(a, b, c, 0) {
				continue
			}
			area := doubleArea(a, b, c)
			right := ((c.Y-a.Y)*(b.Z-a.Z) - (b.Y-a.Y)*(c.Z-a.Z)) / area
			up := ((b.X-a.X)*(c.Z-a.Z) - (c.X-a.X)*(b.Z-a.Z)) / area
			p.rows(a, b, c, func(y, x0, x1 int) {
				row := of.row(y)[:x1>>6+1]
				for x := next(row, x0, ^uint64(0)); x <= x1; x = next(row, x+1, ^uint64(0)) {
					i := before[y*of.words+x>>6] + bits.OnesCount64(row[x>>6]&(1<<(x&63)-1))
					if z := float32(a.Z + (float64(x)-a.X)*right + (float64(y)-a.Y)*up); z > near[i] {
						near[i], out[i].part = z, p.of[k].Number
					}
				}
			})
		}
	}
	return out
}

// off is the angle from a pixel to the nearest that shows a part; the width of the
// picture where there is none at all.
func (p picture) off(x, y int) float64 {
	u, v, ok := p.nearest(x, y)
	if !ok {
		u, v = x+max(p.lens.wide, p.lens.high), y
	}
	return p.lens.angle(x, y, u, v)
}
