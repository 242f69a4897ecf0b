package render

import (
	"context"
	"image"
)

// Locator is a small faint picture of the whole piece, on which [Element] marks
// where an element sits. It is drawn once for all elements of a sheet size.
type Locator struct {
	piece Piece
	img   *image.RGBA
	cam   camera
}

// locatorShare is the side of the locator's square as a share of the sheet's
// width.
const locatorShare = 0.27

// NewLocator draws the piece for [Element] pictures on sheets like s. Errors:
// [ErrInput], or ctx's.
func NewLocator(ctx context.Context, p Piece, v View, s Sheet) (*Locator, error) {
	if err := checkAll(p, s); err != nil {
		return nil, err
	}
	b := body{points: p.Points, faces: p.Faces, place: p.Site, ids: nil, id: 1}
	bounds := boundsOf(b, v.oblique())
	if err := checkSize(bounds); err != nil {
		return nil, err
	}
	side := int(locatorShare * float64(s.WidthPx))
	pad := 0.07 * float64(side)
	l := &Locator{
		piece: p,
		img:   newPaper(side, side),
		cam:   fit(v.oblique(), bounds, rect{pad, pad, float64(side) - pad, float64(side) - pad}),
	}
	r := newRaster(side, side)
	if err := r.draw(ctx, b, l.cam, nil); err != nil {
		return nil, err
	}
	r.paint(l.img, faintTint, ink{outline: 1, colour: paleInk().mix(paperColour(), 0.35)})
	return l, nil
}

// faintTint is the rest of the piece.
func faintTint(_ uint16, _ uint8, light float64, back bool, _, _ int) rgb {
	return lit(rgb{226, 221, 211}, 0.45+0.5*light, back).mix(paperColour(), 0.35)
}

// mark returns the locator with b over it, whatever stands in front of b; as the
// piece that it was drawn of has b, unless it lacks that.
func (l *Locator) mark(ctx context.Context, b body) (*image.RGBA, error) {
	if own := oneElement(l.piece, b.id); len(own.faces) > 0 {
		b = own
	}
	img := image.NewRGBA(l.img.Rect)
	copy(img.Pix, l.img.Pix)
	r := newRaster(img.Rect.Dx(), img.Rect.Dy())
	if err := r.draw(ctx, b, l.cam, nil); err != nil {
		return nil, err
	}
	r.paint(img, func(uint16, uint8, float64, bool, int, int) rgb { return rgb{184, 92, 56} }, ink{})
	return img, nil
}
