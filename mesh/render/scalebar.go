package render

import (
	"math"
	"strconv"
)

// niceLengthMM returns the largest 1, 2 or 5 times a power of ten that is not
// over max, which is more than zero.
func niceLengthMM(max float64) float64 {
	p := math.Pow(10, math.Floor(math.Log10(max)+1e-12))
	for _, k := range []float64{5, 2, 1} {
		if k*p <= max*(1+1e-12) {
			return k * p
		}
	}
	return p
}

// lengthText writes a length that a reader would say: whole metres in m, the
// rest in mm.
func lengthText(mm float64) string {
	if mm >= 1000 {
		return strconv.FormatFloat(mm/1000, 'f', -1, 64) + " m"
	}
	return strconv.FormatFloat(mm, 'f', -1, 64) + " mm"
}

// heightText writes a height both in mm and in m.
func heightText(mm float64) string {
	switch {
	case mm >= 1000:
		return spaced(math.Round(mm)) + " mm (" + strconv.FormatFloat(mm/1000, 'f', 2, 64) + " m)"
	case mm >= 100:
		return strconv.FormatFloat(mm, 'f', 0, 64) + " mm"
	}
	return strconv.FormatFloat(mm, 'f', 1, 64) + " mm"
}

// spaced writes a whole number with a thin gap between thousands.
func spaced(v float64) string {
	s := strconv.FormatFloat(v, 'f', 0, 64)
	for i := len(s) - 3; i > 0; i -= 3 {
		s = s[:i] + " " + s[i:]
	}
	return s
}

// scaleBar draws a bar of a round length, at most roomPx long, from its lower
// left corner; caption says what it is true for.
func scaleBar(p *pen, at pt, pxPerMM, roomPx float64, caption string) {
	if !(pxPerMM > 0) || !(roomPx > 0) {
		return
	}
	mm := niceLengthMM(roomPx / pxPerMM)
	px, h := mm*pxPerMM, 9*p.u
	const parts = 4
	for i := range parts {
		c := inkColour()
		if i%2 == 1 {
			c = paperColour()
		}
		x := at[0] + px*float64(i)/parts
		p.rectangle(c, rect{x, at[1] - h, x + px/parts, at[1]})
	}
	p.frame(inkColour(), 1.6, rect{at[0], at[1] - h, at[0] + px, at[1]})
	p.text(inkColour(), 21, 0.5, pt{at[0], at[1] - h - 9*p.u}, "0")
	p.text(inkColour(), 21, 0.5, pt{at[0] + px, at[1] - h - 9*p.u}, lengthText(mm))
	p.text(paleInk(), 18, 0, pt{at[0], at[1] + 24*p.u}, caption)
}
