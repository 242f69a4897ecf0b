package render

import "math"

// View is where the reader stands: AzimuthDeg counter-clockwise from +x seen
// from above, ElevationDeg above the horizon, under 80.
type View struct{ AzimuthDeg, ElevationDeg float64 }

// DefaultView stands in front (-y) and to the left of +x, a little above, so
// that three sides show and heights stay nearly unforeshortened.
func DefaultView() View { return View{AzimuthDeg: -62, ElevationDeg: 14} }

// affine is a 3x4 row-major matrix.
type affine [12]float64

func (m affine) at(x, y, z float64) [3]float64 {
	return [3]float64{
		m[0]*x + m[1]*y + m[2]*z + m[3],
		m[4]*x + m[5]*y + m[6]*z + m[7],
		m[8]*x + m[9]*y + m[10]*z + m[11],
	}
}

// after returns m∘n: n first.
func (m affine) after(n affine) affine {
	var r affine
	for i := range 3 {
		for j := range 4 {
			r[4*i+j] = m[4*i]*n[j] + m[4*i+1]*n[4+j] + m[4*i+2]*n[8+j]
		}
		r[4*i+3] += m[4*i+3]
	}
	return r
}

// oblique returns SITE to view: x to the reader's right, y up, z towards the
// reader, all in mm. The vertical is stretched by 1/cos(elevation), which makes
// it an oblique parallel projection: heights, and widths across the sheet, are
// both true to the scale bar.
func (v View) oblique() affine {
	sa, ca := math.Sincos(v.AzimuthDeg * math.Pi / 180)
	t := math.Tan(math.Max(-80, math.Min(80, v.ElevationDeg)) * math.Pi / 180)
	return affine{
		-sa, ca, 0, 0,
		-t * ca, -t * sa, 1, 0,
		ca, sa, t, 0,
	}
}

// isometric returns the view of a frame, its axes a (to the lower left), b (to
// the lower right) and c (up), unit vectors. Lengths along the three axes are
// true to the scale bar, as the isometric drawing of a workshop has it.
func isometric(a, b, c [3]float64) affine {
	const h, w = 0.5, 0.8660254037844386 // sin and cos of 30 degrees
	var m affine
	for j := range 3 {
		m[j] = w * (b[j] - a[j])
		m[4+j] = c[j] - h*(a[j]+b[j])
		m[8+j] = a[j] + b[j] + c[j]
	}
	return m
}

// box is an axis-aligned box in view coordinates.
type box struct{ lo, hi [3]float64 }

func emptyBox() box {
	inf := math.Inf(1)
	return box{[3]float64{inf, inf, inf}, [3]float64{-inf, -inf, -inf}}
}

func (b *box) add(p [3]float64) {
	for k := range 3 {
		b.lo[k] = min(b.lo[k], p[k])
		b.hi[k] = max(b.hi[k], p[k])
	}
}

func (b *box) join(o box) {
	b.add(o.lo)
	b.add(o.hi)
}

func (b box) isEmpty() bool { return !(b.lo[0] <= b.hi[0]) }

// rect is a part of the sheet, in pixels from its upper left corner.
type rect struct{ x0, y0, x1, y1 float64 }

func (r rect) width() float64  { return r.x1 - r.x0 }
func (r rect) height() float64 { return r.y1 - r.y0 }

// camera maps view coordinates (mm) to the sheet.
type camera struct {
	view    affine  // SITE to view
	pxPerMM float64 // pixels of the finished sheet
	dx, dy  float64 // pixel of view (0, 0)
	zLo     float64 // view depth range that the drawing may use, mm
	zHi     float64
}

// fit returns the camera that shows b as large as r allows, centred across and
// standing on the lower edge where low is set.
func fit(view affine, b box, r rect) camera {
	w := math.Max(b.hi[0]-b.lo[0], 1e-9)
	h := math.Max(b.hi[1]-b.lo[1], 1e-9)
	s := math.Min(r.width()/w, r.height()/h)
	return camera{
		view: view, pxPerMM: s,
		dx:  (r.x0+r.x1)/2 - s*(b.lo[0]+b.hi[0])/2,
		dy:  (r.y0+r.y1)/2 + s*(b.lo[1]+b.hi[1])/2,
		zLo: b.lo[2], zHi: b.hi[2],
	}
}

// px returns the pixel of a SITE point.
func (c camera) px(x, y, z float64) [2]float64 {
	v := c.view.at(x, y, z)
	return [2]float64{c.dx + c.pxPerMM*v[0], c.dy - c.pxPerMM*v[1]}
}
