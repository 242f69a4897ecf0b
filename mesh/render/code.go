package render

import (
	"math"

	"github.com/fogleman/fauxgl"
)

// A sample carries a code in the four bytes of the colour buffer, not a colour:
//
//	byte 0  0 nothing; 1-127 light on a front, 129-255 on a back
//	byte 1  value: 0 none, 1 under the scale, 255 over it, 2-254 with 128 = zero
//	byte 2, 3  the element's number, high byte first, modulo 65536
const (
	noValue   = 1e6 // stands for no value between setTriangle and the shader
	codeZero  = 128
	codeSpan  = 126 // codes from zero to an end of the scale
	codeUnder = 1
	codeOver  = 255
)

// codeShader writes codes. Its vertices come in samples; y0 is the row of the
// band's upper margin.
type codeShader struct{ y0, w float64 }

func (s *codeShader) Vertex(v fauxgl.Vertex) fauxgl.Vertex {
	p := v.Position
	v.Output = fauxgl.VectorW{X: 2*p.X/s.w - 1, Y: 1 - 2*(p.Y-s.y0)/(bandRows+2), Z: p.Z, W: 1}
	return v
}

func (s *codeShader) Fragment(v fauxgl.Vertex) fauxgl.Color {
	id := uint32(v.Texture.X + 0.5)
	return fauxgl.Color{
		R: (float64(lightCode(v.Normal, v.Texture.Z > 0.5)) + 0.5) / 255,
		G: (float64(valueCode(v.Texture.Y)) + 0.5) / 255,
		B: (float64(id>>8&255) + 0.5) / 255,
		A: (float64(id&255) + 0.5) / 255,
	}
}

// lightCode is the light on a surface, from above, from the left and from the
// reader. Half the cosine is added to a half, which keeps form in the shade.
func lightCode(n fauxgl.Vector, back bool) int {
	if back {
		n = n.Negate()
	}
	// The unit vector along (-0.50, 0.62, 0.60).
	d := -0.5014*n.X + 0.6217*n.Y + 0.6017*n.Z
	k := 1 + int(126*math.Max(0, math.Min(1, 0.5+0.5*d)))
	if back {
		return k + 128
	}
	return k
}

// valueCode maps [-1, 1] to 2..254, zero to 128.
func valueCode(t float64) int {
	switch {
	case t > noValue/2:
		return 0
	case t > 1:
		return codeOver
	case t < -1:
		return codeUnder
	}
	return codeZero + int(math.Round(codeSpan*t))
}

// drawCut draws the part of t between two rows, which lie in the band's
// margins. The band's own clipping is not used: it leaves new corners on one
// row, and the rasteriser divides by the difference of rows.
func drawCut(dc *fauxgl.Context, t *fauxgl.Triangle, lo, hi float64) {
	poly := cutRow(cutRow([]fauxgl.Vertex{t.V1, t.V2, t.V3}, lo, 1), hi, -1)
	for i := 2; i < len(poly); i++ {
		dc.DrawTriangle(&fauxgl.Triangle{V1: poly[0], V2: poly[i-1], V3: poly[i]})
	}
}

// cutRow keeps what lies below row y (side 1) or above it (side -1). New
// corners are moved apart by 1e-6 samples, outwards.
func cutRow(poly []fauxgl.Vertex, y, side float64) []fauxgl.Vertex {
	var out []fauxgl.Vertex
	n := 0.0
	for i, b := range poly {
		a := poly[(i+len(poly)-1)%len(poly)]
		da, db := side*(a.Position.Y-y), side*(b.Position.Y-y)
		if (da > 0) != (db > 0) {
			v := between(a, b, da/(da-db))
			n++
			v.Position.Y = y - side*1e-6*n
			out = append(out, v)
		}
		if db > 0 {
			out = append(out, b)
		}
	}
	return out
}

func between(a, b fauxgl.Vertex, t float64) fauxgl.Vertex {
	v := a
	v.Position = a.Position.Lerp(b.Position, t)
	v.Normal = a.Normal.Lerp(b.Normal, t)
	v.Texture.Y = a.Texture.Y + t*(b.Texture.Y-a.Texture.Y)
	return v
}
