package render

import "fmt"

// anchors are the eleven colours of the diverging scheme RdBu, from the most
// negative (blue) to the most positive (red), safe for red-green colour
// blindness and for print. Source: Cynthia A. Brewer, ColorBrewer 2.0,
// The Pennsylvania State University (colorbrewer2.org, 11-class RdBu, order
// reversed); Apache License 2.0.
func anchors() [11]rgb {
	return [11]rgb{
		{0x05, 0x30, 0x61}, {0x21, 0x66, 0xac}, {0x43, 0x93, 0xc3}, {0x92, 0xc5, 0xde}, {0xd1, 0xe5, 0xf0},
		{0xf7, 0xf7, 0xf7},
		{0xfd, 0xdb, 0xc7}, {0xf4, 0xa5, 0x82}, {0xd6, 0x60, 0x4d}, {0xb2, 0x18, 0x2b}, {0x67, 0x00, 0x1f},
	}
}

// diverging returns the colour of t from -1 (inside the ideal) over 0 (neutral)
// to 1 (outside), between anchors on a straight line in sRGB.
func diverging(t float64) rgb {
	a := anchors()
	p := (max(-1, min(1, t)) + 1) / 2 * float64(len(a)-1)
	i := min(int(p), len(a)-2)
	return a[i].mix(a[i+1], p-float64(i))
}

// DivergingColours are the anchors of the scale of [Deviation] as #rrggbb, from the
// most negative to the most positive, evenly spaced.
func DivergingColours() []string {
	var out []string
	for _, c := range anchors() {
		out = append(out, fmt.Sprintf("#%02x%02x%02x", int(c[0]), int(c[1]), int(c[2])))
	}
	return out
}

// The colours outside the scale, and of no value. They differ from the scale in
// hue, from each other in lightness, and the two ends are hatched as well, so
// that they hold in a grey print.
func overColour() rgb    { return rgb{247, 206, 60} }
func underColour() rgb   { return rgb{72, 190, 176} }
func noValueColour() rgb { return rgb{176, 172, 164} }

// valueColour is the colour of a value code at a sample. Over the scale is
// hatched to the upper right, under it to the lower right; pitch is that of the
// hatch in samples.
func valueColour(code uint8, x, y, pitch int) rgb {
	switch code {
	case 0:
		return noValueColour()
	case codeOver:
		if hatched(x+y, pitch) {
			return anchors()[10]
		}
		return overColour()
	case codeUnder:
		if hatched(x-y, pitch) {
			return anchors()[0]
		}
		return underColour()
	}
	return diverging(float64(int(code)-codeZero) / codeSpan)
}

func hatched(d, pitch int) bool {
	return ((d%pitch)+pitch)%pitch < max(1, pitch/5)
}

// valueTint colours by value. Light takes at most a fifth away, so that a
// colour can be found again in the legend.
func valueTint(pitch int) tint {
	return func(_ uint16, value uint8, light float64, back bool, x, y int) rgb {
		c := valueColour(value, x, y, pitch)
		s := 0.20 * (1 - light)
		if back {
			s = 0.30
		}
		return c.mix(rgb{30, 28, 26}, s)
	}
}
