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
	g, err := onGround(ctx, p, v, s, margins{60, 50, 60, 90}, steelTint)
	if err != nil {
		return nil, err
	}
	u := g.pen.u
	g.pen.text(paleInk(), 22, 0, pt{g.box.x0 + 24*u, g.box.y1 - 20*u}, "figure: 1.75 m tall; floor lines every "+lengthText(g.floor.gridMM()))
	return g.pen.img, nil
}

// steelTint is plain steel for every piece.
func steelTint(id uint16, _ uint8, light float64, back bool, _, _ int) rgb {
	if id >= shoeID {
		return lit(personColour(id), light, back)
	}
	return lit(rgb{186, 190, 192}, light, back)
}
