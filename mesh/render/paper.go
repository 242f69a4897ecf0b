package render

import (
	"image"
	"image/color"
)

type rgb [3]uint8

func (c rgb) over() color.RGBA { return color.RGBA{c[0], c[1], c[2], 255} }

// mix goes from c to d as t goes from 0 to 1.
func (c rgb) mix(d rgb, t float64) rgb {
	for k := range 3 {
		c[k] = uint8(float64(c[k])*(1-t) + float64(d[k])*t + 0.5)
	}
	return c
}

// The colours of the sheet: cream paper, one ink, a ground a little darker than
// the paper.
func paperColour() rgb  { return rgb{252, 249, 241} }
func inkColour() rgb    { return rgb{38, 36, 34} }
func paleInk() rgb      { return rgb{122, 116, 107} }
func groundColour() rgb { return rgb{244, 239, 226} }
func gridColour() rgb   { return rgb{214, 207, 190} }
func shadowColour() rgb { return rgb{203, 195, 178} }

// personColour is the wash of a part of the figure: greys, so that the piece
// keeps the colour of the sheet.
func personColour(id uint16) rgb {
	switch id {
	case jacketID:
		return rgb{172, 172, 170}
	case trousersID:
		return rgb{198, 194, 186}
	case shoeID:
		return rgb{142, 138, 132}
	}
	return rgb{220, 213, 202}
}

// wash is the colour of element id: muted, and different from its neighbours in
// the list in lightness as well as in hue.
func wash(id uint16) rgb {
	washes := [...]rgb{
		{214, 205, 187}, // stone, also for facets of no element
		{176, 195, 205}, // slate blue
		{222, 191, 148}, // ochre
		{178, 198, 172}, // sage
		{212, 168, 150}, // brick
		{198, 190, 210}, // heather
		{226, 212, 160}, // straw
		{158, 184, 182}, // verdigris
		{205, 184, 178}, // clay
	}
	if id == 0 {
		return washes[0]
	}
	return washes[1+(int(id)-1)%(len(washes)-1)]
}

// lit lays shade into a wash: towards a warm dark tone of the same wash, so
// that it stays a tint of ink on paper.
func lit(base rgb, light float64, back bool) rgb {
	dark := rgb{uint8(int(base[0]) * 88 / 255), uint8(int(base[1]) * 84 / 255), uint8(int(base[2]) * 82 / 255)}
	s := 0.62 * (1 - light) * (1 - light)
	s += 0.42 * (1 - light)
	if back {
		s = 0.35 + 0.5*s
	}
	c := base.mix(paperColour(), 0.55*light*light)
	return c.mix(dark, min(0.92, s))
}

// newPaper returns a sheet of paper.
func newPaper(w, h int) *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	p := paperColour()
	for i := 0; i < len(img.Pix); i += 4 {
		img.Pix[i], img.Pix[i+1], img.Pix[i+2], img.Pix[i+3] = p[0], p[1], p[2], 255
	}
	return img
}
