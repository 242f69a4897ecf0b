package render

import (
	"context"
	"image"
	"math"
)

// Overview draws the whole piece at full size on a floor, its elements in
// washes that differ, with a person 1.75 m tall, a scale bar and a staff that
// says the height of the highest point drawn above z = 0.
//
// Shapes: see [Piece]. Errors: [ErrInput], or ctx's.
func Overview(ctx context.Context, p Piece, v View, s Sheet) (*image.RGBA, error) {
	g, err := onGround(ctx, p, v, s, margins{150, 44, 60, 104}, washTint)
	if err != nil {
		return nil, err
	}
	pn, box, u := g.pen, g.box, g.pen.u
	g.paintStaff(pn, g.cam)
	scaleBar(pn, pt{box.x0 + 30*u, box.y1 - 40*u}, g.cam.pxPerMM, 0.26*box.width(),
		"true for heights and for widths across the sheet; floor lines every "+lengthText(g.floor.gridMM()))
	pn.text(paleInk(), 18, 1, pt{box.x1 - 24*u, box.y1 - 16*u}, "figure: 1.75 m tall")
	return pn.img, nil
}

// margins round what is drawn, in units of the pen: left, top, right, bottom.
type margins [4]float64

// staged is a scene as it was drawn on a sheet.
type staged struct {
	*scene
	pen *pen
	cam camera
	box rect // of the drawing on the sheet
}

// onGround draws a piece on a floor with its shadow and a person beside it.
func onGround(ctx context.Context, p Piece, v View, s Sheet, m margins, t tint) (staged, error) {
	if err := s.check(); err != nil {
		return staged{}, err
	}
	sc, err := newScene(p, v)
	if err != nil {
		return staged{}, err
	}
	pn, err := newPen(s)
	if err != nil {
		return staged{}, err
	}
	box, u := ruleSheet(pn, s).drawing, pn.u
	cam := sc.stand(v, rect{box.x0 + m[0]*u, box.y0 + m[1]*u, box.x1 - m[2]*u, box.y1 - m[3]*u})
	sc.floor.paint(pn, cam)
	shade := newShadow(s)
	shade.cast(sc.piece, cam, v)
	shade.cast(sc.person, cam, v)
	shade.paint(pn)
	sc.floor.paintGrid(pn, cam)
	r := newRaster(s.WidthPx, s.HeightPx)
	if err := r.draw(ctx, sc.piece, cam, s.progress("picture overview", len(p.Faces))); err != nil {
		return staged{}, err
	}
	if err := r.draw(ctx, sc.person, cam, nil); err != nil {
		return staged{}, err
	}
	r.paint(pn.img, t, sheetInk(u))
	return staged{sc, pn, cam, box}, nil
}

func washTint(id uint16, _ uint8, light float64, back bool, _, _ int) rgb {
	if id >= shoeID {
		return lit(personColour(id), light, back)
	}
	return lit(wash(id), light, back)
}

// sheetInk is 0.3 mm outside and 0.15 mm inside on a sheet 180 mm wide.
func sheetInk(u float64) ink {
	return ink{
		outline: max(1, int(math.Round(1.5*u*subPx))),
		inner:   max(1, int(math.Round(0.9*u*subPx))),
		colour:  inkColour(),
	}
}

func (s Sheet) progress(stage string, total int) func(int) {
	if s.Tell == nil {
		return nil
	}
	return func(done int) { s.Tell(stage, int64(done), int64(total)) }
}

// scene is what stands on the floor.
type scene struct {
	piece, person body
	bounds        box // of the piece, in view
	heightMM      float64
	staff         [2]float64 // SITE x, y
	floor         ground
}

// newScene sets the person to the right of the piece and the staff to the left,
// both at the depth of its middle.
func newScene(p Piece, v View) (*scene, error) {
	if err := p.check(); err != nil {
		return nil, err
	}
	sc := &scene{piece: body{points: p.Points, faces: p.Faces, place: p.Site, ids: p.Element, id: 1}}
	sa, ca := math.Sincos(v.AzimuthDeg * math.Pi / 180)
	plan := affine{-sa, ca, 0, 0, ca, sa, 0, 0, 0, 0, 1, 0} // right, towards, up
	b := boundsOf(sc.piece, plan)
	if err := checkSize(b); err != nil {
		return nil, err
	}
	sc.bounds, sc.heightMM = b, math.Max(b.hi[2], 0)
	site := func(right, towards float64) [2]float64 {
		return [2]float64{-sa*right + ca*towards, ca*right + sa*towards}
	}
	mid := (b.lo[1] + b.hi[1]) / 2
	gap := 180 + 0.05*(b.hi[0]-b.lo[0])
	personAt := b.hi[0] + gap + 290
	staffAt := b.lo[0] - gap
	at := site(personAt, mid+0.2*(b.hi[1]-mid))
	sc.person = personBody(at, v.AzimuthDeg)
	sc.staff = site(staffAt, mid)
	lo, hi := staffAt-0.2*gap, personAt+720
	c := site((lo+hi)/2, mid)
	radius := math.Hypot((hi-lo)/2, 0.35*(b.hi[1]-b.lo[1]))
	sc.floor = ground{c[0], c[1], 1.02 * radius}
	return sc, nil
}

// personBody turns the figure a quarter of the way from the reader towards the
// piece.
func personBody(at [2]float64, azimuthDeg float64) body {
	f := person()
	s, c := math.Sincos((azimuthDeg + 90 - 28) * math.Pi / 180)
	return body{points: f.points, faces: f.faces, ids: f.parts, place: affine{c, -s, 0, at[0], s, c, 0, at[1], 0, 0, 1, 0}}
}

// stand returns the camera that shows all of the scene in r.
func (sc *scene) stand(v View, r rect) camera {
	view := v.oblique()
	b := boundsOf(sc.piece, view)
	b.join(boundsOf(sc.person, view))
	for _, q := range sc.floor.rim() {
		b.add(view.at(q[0], q[1], q[2]))
	}
	b.add(view.at(sc.staff[0], sc.staff[1], sc.heightMM))
	return fit(view, b, r)
}

// paintStaff draws the staff with a mark every metre (or other round length).
func (sc *scene) paintStaff(p *pen, cam camera) {
	foot, top := cam.px(sc.staff[0], sc.staff[1], 0), cam.px(sc.staff[0], sc.staff[1], sc.heightMM)
	if !(sc.heightMM > 0) {
		return
	}
	p.line(inkColour(), 2, foot, top)
	step := niceLengthMM(math.Max(sc.heightMM/3, 1e-6))
	for k := 1; float64(k)*step < sc.heightMM && k < 10; k++ {
		q := cam.px(sc.staff[0], sc.staff[1], float64(k)*step)
		p.line(inkColour(), 1.2, pt{q[0] - 7*p.u, q[1]}, pt{q[0] + 7*p.u, q[1]})
	}
	for _, q := range []pt{foot, top} {
		p.line(inkColour(), 2, pt{q[0] - 16*p.u, q[1]}, pt{q[0] + 16*p.u, q[1]})
		p.line(inkColour(), 2, pt{q[0] - 8*p.u, q[1] + 8*p.u}, pt{q[0] + 8*p.u, q[1] - 8*p.u})
	}
	p.textUp(inkColour(), 24, pt{foot[0] - 26*p.u, (foot[1] + top[1]) / 2}, heightText(sc.heightMM))
}

// boundsOf is the box of b's facets in view; empty where no point is finite.
func boundsOf(b body, view affine) box {
	used := make([]bool, len(b.points))
	for _, f := range b.faces {
		used[f[0]], used[f[1]], used[f[2]] = true, true, true
	}
	m := view.after(b.place)
	r := emptyBox()
	for i, p := range b.points {
		if !used[i] {
			continue
		}
		q := m.at(float64(p[0]), float64(p[1]), float64(p[2]))
		if sum := q[0] + q[1] + q[2]; !math.IsNaN(sum) && !math.IsInf(sum, 0) {
			r.add(q)
		}
	}
	return r
}
