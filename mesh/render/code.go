package render

import (
	"math"
)

// A sample carries a code in the four bytes of the colour buffer, not a colour:
//
//	byte 0  0 nothing; 1-127 light on a front, 129-255 on a back
//	byte 1  value: 0 none, 1 under the scale, 255 over it, 2-254 with 128 = zero
//	byte 2, 3  the element's number, high byte first, modulo 65536
const (
	noValue   = 1e6 // stands for no value between a triangle and its code
	codeZero  = 128
	codeSpan  = 126 // codes from zero to an end of the scale
	codeUnder = 1
	codeOver  = 255
)

// encode writes the code of the sample of a triangle where its corners have these
// weights.
func (t *triangle) encode(u, v, w float64, code []uint8) {
	mix := func(a, b, c float32) float64 { return u*float64(a) + v*float64(b) + w*float64(c) }
	n, l := t.normal, t.value
	code[0] = lightCode([3]float64{mix(n[0][0], n[1][0], n[2][0]), mix(n[0][1], n[1][1], n[2][1]), mix(n[0][2], n[1][2], n[2][2])}, t.back)
	code[1], code[2], code[3] = valueCode(mix(l[0], l[1], l[2])), uint8(t.id>>8), uint8(t.id)
}

// lightCode is the light on a surface, from above, from the left and from the
// reader. Half the cosine is added to a half, which keeps form in the shade.
func lightCode(n [3]float64, back bool) uint8 {
	// The unit vector along (-0.50, 0.62, 0.60).
	d := (-0.5014*n[0] + 0.6217*n[1] + 0.6017*n[2]) / norm(n)
	if back {
		d = -d
	}
	k := uint8(1 + 126*max(0, min(1, 0.5+0.5*d)))
	if back {
		return k + 128
	}
	return k
}

// valueCode maps [-1, 1] to 2..254, zero to 128.
func valueCode(t float64) uint8 {
	switch {
	case t > noValue/2:
		return 0
	case t > 1:
		return codeOver
	case t < -1:
		return codeUnder
	}
	return uint8(codeZero + int(math.Round(codeSpan*t)))
}
