package render

import (
	"context"
	"fmt"
	"image"
	"math"
)

// Part is an element as [Exploded] draws it.
type Part struct {
	Number uint32
	Label  string
	Parent int          // index of the part that it is drawn away from; -1: none
	Ways   [][3]float64 // directions in SITE along which it may be moved, both senses
	JoinMM [3]float64   // SITE: where it meets its parent
	MoveMM [3]float64   // SITE: how far it is moved, set by [Apart]
}

// Exploded draws the elements of a piece apart, at full size, each moved away
// from the one it is joined to along a direction of the two, no further than it
// takes to stand clear on the sheet. A thin line leads from where it was joined
// on its parent to where that place is now. Lengths on a part are true to the
// scale bar, distances between parts are not.
//
// Shapes: parts in the order in which they are placed, each after its parent.
// Errors: [ErrInput], or ctx's.
func Exploded(ctx context.Context, p Piece, parts []Part, v View, s Sheet) (*image.RGBA, error) {
	if err := checkAll(p, s); err != nil {
		return nil, err
	}
	bodies, boxes, parts, err := placed(p, parts, v)
	if err != nil {
		return nil, err
	}
	view := v.oblique()
	all := emptyBox()
	for i := range bodies {
		m := parts[i].MoveMM
		bodies[i].place = affine{1, 0, 0, m[0], 0, 1, 0, m[1], 0, 0, 1, m[2]}.after(bodies[i].place)
		all.join(moved(boxes[i], turned(view, m)))
	}
	pn, err := newPen(s)
	if err != nil {
		return nil, err
	}
	l := ruleSheet(pn, s)
	u := pn.u
	cam := fit(view, all, rect{l.drawing.x0 + 60*u, l.drawing.y0 + 50*u, l.drawing.x1 - 60*u, l.drawing.y1 - 120*u})
	paintLeads(pn, cam, parts)
	r := newRaster(s.WidthPx, s.HeightPx)
	for i := range bodies {
		if err := r.draw(ctx, bodies[i], cam, nil); err != nil {
			return nil, err
		}
	}
	r.paint(pn.img, washTint, sheetInk(u))
	for i := range parts {
		label(pn, cam, moved(boxes[i], turned(view, parts[i].MoveMM)), parts[i].Label)
	}
	scaleBar(pn, pt{l.drawing.x0 + 30*u, l.drawing.y1 - 40*u}, cam.pxPerMM, 0.26*l.drawing.width(),
		"true on each part, for heights and for widths across the sheet; not between parts")
	return pn.img, nil
}

// Apart returns parts with MoveMM set: how [Exploded] draws them apart. Shapes and
// errors: see there.
func Apart(p Piece, parts []Part, v View) ([]Part, error) {
	if err := p.check(); err != nil {
		return nil, err
	}
	_, _, parts, err := placed(p, parts, v)
	return parts, err
}

// placed are the bodies of parts, their boxes in view, and the parts moved.
func placed(p Piece, parts []Part, v View) ([]body, []box, []Part, error) {
	view := v.oblique()
	bodies := make([]body, len(parts))
	boxes := make([]box, len(parts))
	for i, x := range parts {
		if x.Parent >= i {
			return nil, nil, nil, fmt.Errorf("%w: part %d stands before its parent", ErrInput, i)
		}
		bodies[i] = oneElement(p, x.Number)
		if len(bodies[i].faces) == 0 {
			return nil, nil, nil, fmt.Errorf("%w: no facet belongs to element %d", ErrInput, x.Number)
		}
		boxes[i] = boundsOf(bodies[i], view)
		if err := checkSize(boxes[i]); err != nil {
			return nil, nil, nil, err
		}
	}
	if len(parts) == 0 {
		return nil, nil, nil, fmt.Errorf("%w: no parts", ErrInput)
	}
	return bodies, boxes, spread(parts, boxes, view), nil
}

// paintLeads draws the lines from a parent's place of joining to the part's.
func paintLeads(p *pen, cam camera, parts []Part) {
	for _, x := range parts {
		if x.Parent < 0 {
			continue
		}
		from, to := x.JoinMM, x.JoinMM
		for k := range 3 {
			from[k] += parts[x.Parent].MoveMM[k]
			to[k] += x.MoveMM[k]
		}
		a, b := cam.px(from[0], from[1], from[2]), cam.px(to[0], to[1], to[2])
		n := math.Hypot(b[0]-a[0], b[1]-a[1]) / (14 * p.u)
		for k := 0.0; k < min(n, 500); k++ { // dashes of 9, gaps of 5
			t, e := k/n, math.Min((k+9./14)/n, 1)
			p.line(paleInk(), 1.6, pt{a[0] + t*(b[0]-a[0]), a[1] + t*(b[1]-a[1])}, pt{a[0] + e*(b[0]-a[0]), a[1] + e*(b[1]-a[1])})
		}
	}
}

// label writes a part's name over its upper right corner, within the sheet.
func label(p *pen, cam camera, b box, s string) {
	const size = 24
	x := cam.dx + cam.pxPerMM*(b.lo[0]+b.hi[0])/2
	y := cam.dy - cam.pxPerMM*b.hi[1] - 8*p.u
	p.text(inkColour(), size, 0.5, pt{x, math.Max(y, 60*p.u)}, p.shorten(size, 260*p.u, s))
}

// turned is a way in SITE as it looks in view.
func turned(view affine, d [3]float64) [3]float64 {
	view[3], view[7], view[11] = 0, 0, 0
	return view.at(d[0], d[1], d[2])
}

func moved(b box, d [3]float64) box {
	for k := range 3 {
		b.lo[k] += d[k]
		b.hi[k] += d[k]
	}
	return b
}
