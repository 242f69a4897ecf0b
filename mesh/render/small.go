package render

import (
	"math"

	"github.com/fogleman/fauxgl"
)

// smallSamples are those of a triangle's box up to which it is drawn here: the
// rasteriser takes the mean of all that a vertex may carry at each sample, and locks
// it, which costs several times what is needed of it here. Of larger ones its way
// along the edges saves more.
const smallSamples = 1024

// samples are the centres, k + 1/2, in the box of three corners: columns and rows
// from first to last. margin is added on all sides.
type samples struct{ x0, x1, y0, y1 float64 }

func samplesOf(p, q, s fauxgl.Vector, margin float64) samples {
	return samples{
		math.Ceil(min(p.X, q.X, s.X) - 0.5 - margin), math.Floor(max(p.X, q.X, s.X) - 0.5 + margin),
		math.Ceil(min(p.Y, q.Y, s.Y) - 0.5 - margin), math.Floor(max(p.Y, q.Y, s.Y) - 0.5 + margin),
	}
}

func (s samples) count() float64 { return (s.x1 - s.x0 + 1) * (s.y1 - s.y0 + 1) }

// drawSmall draws a triangle of few samples, all within the band, as
// [fauxgl.Context.DrawTriangle] would.
func (c *codeShader) drawSmall(dc *fauxgl.Context, t *fauxgl.Triangle, in samples) {
	p, q, r := t.V1.Position, t.V2.Position, t.V3.Position
	per := 1 / ((q.X-p.X)*(r.Y-p.Y) - (r.X-p.X)*(q.Y-p.Y))
	back := t.V1.Texture.Z > 0.5
	id := uint32(t.V1.Texture.X + 0.5)
	for row := in.y0; row <= in.y1; row++ {
		y := row + 0.5
		at, inside := int(row-c.y0)*dc.Width, false
		for column := in.x0; column <= in.x1; column++ {
			x := column + 0.5
			b0 := ((q.X-x)*(r.Y-y) - (r.X-x)*(q.Y-y)) * per
			b1 := ((r.X-x)*(p.Y-y) - (p.X-x)*(r.Y-y)) * per
			b2 := ((p.X-x)*(q.Y-y) - (q.X-x)*(p.Y-y)) * per
			if b0 < 0 || b1 < 0 || b2 < 0 {
				if inside {
					break
				}
				continue
			}
			inside = true
			i := at + int(column)
			z := (b0*p.Z+b1*q.Z+b2*r.Z)/2 + 0.5 // the depth buffer runs from 0 to 1
			if z > dc.DepthBuffer[i] {
				continue
			}
			dc.DepthBuffer[i] = z
			n := t.V1.Normal.MulScalar(b0).Add(t.V2.Normal.MulScalar(b1)).Add(t.V3.Normal.MulScalar(b2)).Normalize()
			value := b0*t.V1.Texture.Y + b1*t.V2.Texture.Y + b2*t.V3.Texture.Y
			to := dc.ColorBuffer.Pix[4*i : 4*i+4]
			to[0], to[1], to[2], to[3] = uint8(lightCode(n, back)), uint8(valueCode(value)), uint8(id>>8), uint8(id)
		}
	}
}

// betweenSamples are those of a triangle's box up to which it is worth to look whether
// it lies between all.
const betweenSamples = 4

// liesBetween says that a triangle of twice the area given is small and lies between
// sample centres.
func liesBetween(p, q, s fauxgl.Vector, area float64) bool {
	const margin = 1e-3 // samples; what rounding could move an edge by
	in := samplesOf(p, q, s, margin)
	if in.count() > betweenSamples {
		return false
	}
	sign := math.Copysign(1, area)
	left := func(a, b fauxgl.Vector, x, y float64) bool { // of the edge, or near it
		return sign*((b.X-a.X)*(y-a.Y)-(b.Y-a.Y)*(x-a.X)) >= -margin*(math.Abs(b.X-a.X)+math.Abs(b.Y-a.Y))
	}
	for y := in.y0 + 0.5; y < in.y1+1; y++ {
		for x := in.x0 + 0.5; x < in.x1+1; x++ {
			if left(p, q, x, y) && left(q, s, x, y) && left(s, p, x, y) {
				return false
			}
		}
	}
	return true
}
