package render

import (
	"context"
	"image"
)

// Standing draws the whole piece at full size as a visitor would see it: all in
// one colour of steel, on a ground plane, with a person 1.75 m tall and no
// dimension. The ground's lines are a round length apart, which the sheet says.
//
// Shapes: see [Piece]. Errors: [ErrInput], or ctx's.
func Standing(ctx context.Context, p Piece, v View, s Sheet) (*image.RGBA, error) {
	if err := s.check(); err != nil {
		return nil, err
	}
	sc, err := newScene(p, v)
	if err != nil {
		return nil, err
	}
	pn, err := newPen(s)
	if err != nil {
		return nil, err
	}
	l := ruleSheet(pn, s)
	u := pn.u
	cam := sc.stand(v, rect{l.drawing.x0 + 60*u, l.drawing.y0 + 50*u, l.drawing.x1 - 60*u, l.drawing.y1 - 90*u})
	sc.floor.paint(pn, cam)
	shade := newShadow(s)
	shade.cast(sc.piece, cam, v)
	shade.cast(sc.person, cam, v)
	shade.paint(pn)
	sc.floor.paintGrid(pn, cam)
	r := newRaster(s.WidthPx, s.HeightPx)
	for _, b := range []body{sc.piece, sc.person} {
		if err := r.draw(ctx, b, cam, nil); err != nil {
			return nil, err
		}
	}
	r.paint(pn.img, steelTint, sheetInk(u))
	pn.text(paleInk(), 22, 0, pt{l.drawing.x0 + 24*u, l.drawing.y1 - 20*u}, "figure: 1.75 m tall; floor lines every "+lengthText(sc.floor.gridMM()))
	return pn.img, nil
}

// steelTint is plain steel for every piece.
func steelTint(id uint16, _ uint8, light float64, back bool, _, _ int) rgb {
	if id >= shoeID {
		return lit(personColour(id), light, back)
	}
	return lit(rgb{186, 190, 192}, light, back)
}
