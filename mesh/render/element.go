package render

import (
	"context"
	"fmt"
	"image"
	"image/draw"
	"math"
	"slices"
)

// Frame is an element's own frame in the directions of [Piece].Points: its axis
// and a direction across it. Lengths do not matter; where the two are not
// finite or parallel, the axes of the piece take their place.
type Frame struct{ Axis, Ref [3]float64 }

// Element draws the facets of one element in an isometric drawing along its own
// frame, at full size, lengths along the three axes of the frame true to the
// scale bar. loc, where it is not nil, shows the place of the element in the
// piece.
//
// Errors: [ErrInput], also where no facet has that number; or ctx's.
func Element(ctx context.Context, p Piece, number uint32, f Frame, loc *Locator, s Sheet) (*image.RGBA, error) {
	if err := checkAll(p, s); err != nil {
		return nil, err
	}
	b := oneElement(p, number)
	if len(b.faces) == 0 {
		return nil, fmt.Errorf("%w: no facet belongs to element %d", ErrInput, number)
	}
	view := f.view(p, b)
	bounds := boundsOf(b, view)
	if err := checkSize(bounds); err != nil {
		return nil, err
	}
	pn, err := newPen(s)
	if err != nil {
		return nil, err
	}
	pn.u *= elementLetters
	l := ruleSheet(pn, s)
	u := pn.u
	right := l.drawing.x1
	if loc != nil {
		right -= float64(loc.img.Rect.Dx())
	}
	cam := fit(view, bounds, rect{l.drawing.x0 + 40*u, l.drawing.y0 + 36*u, right - 30*u, l.drawing.y1 - 104*u})
	r := newRaster(s.WidthPx, s.HeightPx)
	if err := r.draw(ctx, b, cam, nil); err != nil {
		return nil, err
	}
	r.paint(pn.img, washTint, sheetInk(u))
	scaleBar(pn, pt{l.drawing.x0 + 30*u, l.drawing.y1 - 40*u}, cam.pxPerMM, 0.26*l.drawing.width(), "full size; true along the element's three axes")
	if loc == nil {
		return pn.img, nil
	}
	return pn.img, insert(ctx, pn, loc, b, pt{right, l.drawing.y0})
}

// elementLetters makes letters larger than on a full sheet, since the pictures
// of elements are printed about two thirds as wide.
const elementLetters = 1.4

// insert puts the marked locator with its upper left corner at.
func insert(ctx context.Context, p *pen, loc *Locator, b body, at pt) error {
	img, err := loc.mark(ctx, b)
	if err != nil {
		return err
	}
	side := img.Rect.Dx()
	x, y := int(math.Round(at[0])), int(math.Round(at[1]))
	draw.Draw(p.img, image.Rect(x, y, x+side, y+side), img, image.Point{}, draw.Src)
	corner := pt{float64(x), float64(y + side)}
	p.line(inkColour(), 1.2, pt{corner[0], at[1]}, corner)
	p.line(inkColour(), 1.2, corner, pt{corner[0] + float64(side), corner[1]})
	p.frame(inkColour(), 2.4, rect{26 * p.u, 26 * p.u, float64(p.img.Rect.Dx()) - 26*p.u, float64(p.img.Rect.Dy()) - 26*p.u})
	return nil
}

// oneElement returns the facets of an element with the points that they use.
func oneElement(p Piece, number uint32) body {
	b := body{place: p.Site, id: number, closed: p.Closed}
	if p.Element == nil {
		if number == 1 {
			b.points, b.faces = p.Points, p.Faces
		}
		return b
	}
	if !slices.ContainsFunc(p.Element, func(n uint32) bool { return n != number }) {
		b.points, b.faces = p.Points, p.Faces
		return b
	}
	place := make([]uint32, len(p.Points)) // 1 + the new index
	for i, f := range p.Faces {
		if p.Element[i] != number {
			continue
		}
		for k, v := range f {
			if place[v] == 0 {
				b.points = append(b.points, p.Points[v])
				place[v] = uint32(len(b.points))
			}
			f[k] = place[v] - 1
		}
		b.faces = append(b.faces, f)
	}
	return b
}

// view stands the element on its axis, or lays a long one along it, what is
// upper in the piece up.
func (f Frame) view(p Piece, b body) affine {
	dir := func(v [3]float64) [3]float64 {
		m := affine(p.Site)
		m[3], m[7], m[11] = 0, 0, 0
		return unit(m.at(v[0], v[1], v[2]))
	}
	w := dir(f.Axis)
	v := unit(cross(w, dir(f.Ref)))
	if !(math.Abs(norm(w)-1) < 1e-6) || !(math.Abs(norm(v)-1) < 1e-6) {
		w, v = [3]float64{0, 0, 1}, [3]float64{0, 1, 0}
	}
	u := cross(v, w)
	e := boundsOf(b, affine{u[0], u[1], u[2], 0, v[0], v[1], v[2], 0, w[0], w[1], w[2], 0})
	up, right := w, v
	if e.hi[2]-e.lo[2] > 1.2*math.Max(e.hi[0]-e.lo[0], e.hi[1]-e.lo[1]) {
		up, right = v, w
		if math.Abs(u[2]) > math.Abs(v[2]) {
			up = u
		}
	}
	if up[2] < 0 {
		up = [3]float64{-up[0], -up[1], -up[2]}
	}
	return isometric(cross(right, up), right, up)
}
