package render

import (
	"fmt"
	"image"
	"image/color"
	"math"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
	"golang.org/x/image/vector"
)

// pen draws lines, areas and text on a sheet. Its unit is a pixel; u is a pixel
// of a sheet 1600 wide, so that line widths and letters follow the sheet.
type pen struct {
	img   *image.RGBA
	u     float64
	font  *opentype.Font
	faces map[float64]font.Face // by size
}

func newPen(s Sheet) (*pen, error) {
	f, err := opentype.Parse(goregular.TTF)
	if err != nil {
		return nil, fmt.Errorf("picture: the built-in font: %w", err)
	}
	w, h := s.WidthPx, s.HeightPx
	return &pen{
		img: newPaper(w, h), u: math.Min(float64(w)/1600, float64(h)/1200),
		font: f, faces: map[float64]font.Face{},
	}, nil
}

type pt = [2]float64

// area fills a polygon, its edges smoothed.
func (p *pen) area(c color.RGBA, poly ...pt) {
	lo, hi := pt{math.Inf(1), math.Inf(1)}, pt{math.Inf(-1), math.Inf(-1)}
	for _, q := range poly {
		for k := range 2 {
			lo[k], hi[k] = math.Min(lo[k], q[k]), math.Max(hi[k], q[k])
		}
	}
	b := image.Rect(int(math.Floor(lo[0])), int(math.Floor(lo[1])), int(math.Ceil(hi[0]))+1, int(math.Ceil(hi[1]))+1)
	if len(poly) < 3 || !b.Overlaps(p.img.Bounds()) || b.Dx() > 2*sideMaxPx || b.Dy() > 2*sideMaxPx {
		return
	}
	z := vector.NewRasterizer(b.Dx(), b.Dy())
	for i, q := range poly {
		x, y := float32(q[0]-float64(b.Min.X)), float32(q[1]-float64(b.Min.Y))
		if i == 0 {
			z.MoveTo(x, y)
		} else {
			z.LineTo(x, y)
		}
	}
	z.ClosePath()
	z.Draw(p.img, b, image.NewUniform(c), image.Point{})
}

// line draws from a to b, width in units of u.
func (p *pen) line(c rgb, width float64, a, b pt) {
	dx, dy := b[0]-a[0], b[1]-a[1]
	l := math.Hypot(dx, dy)
	if !(l > 0) || math.IsInf(l, 0) {
		return
	}
	h := width * p.u / 2 / l
	nx, ny := -dy*h, dx*h
	p.area(c.over(), pt{a[0] + nx, a[1] + ny}, pt{b[0] + nx, b[1] + ny}, pt{b[0] - nx, b[1] - ny}, pt{a[0] - nx, a[1] - ny})
}

func (p *pen) frame(c rgb, width float64, r rect) {
	h := width * p.u / 2
	p.line(c, width, pt{r.x0 - h, r.y0}, pt{r.x1 + h, r.y0})
	p.line(c, width, pt{r.x0 - h, r.y1}, pt{r.x1 + h, r.y1})
	p.line(c, width, pt{r.x0, r.y0}, pt{r.x0, r.y1})
	p.line(c, width, pt{r.x1, r.y0}, pt{r.x1, r.y1})
}

func (p *pen) rectangle(c rgb, r rect) {
	p.area(c.over(), pt{r.x0, r.y0}, pt{r.x1, r.y0}, pt{r.x1, r.y1}, pt{r.x0, r.y1})
}

// face returns letters of a size in units of u.
func (p *pen) face(size float64) (font.Face, error) {
	if f, ok := p.faces[size]; ok {
		return f, nil
	}
	f, err := opentype.NewFace(p.font, &opentype.FaceOptions{Size: math.Max(size*p.u, 4), DPI: 72, Hinting: font.HintingNone})
	if err != nil {
		return nil, fmt.Errorf("picture: the built-in font: %w", err)
	}
	p.faces[size] = f
	return f, nil
}

// width returns how long s is, in pixels.
func (p *pen) width(size float64, s string) float64 {
	f, err := p.face(size)
	if err != nil {
		return 0
	}
	return float64(font.MeasureString(f, s)) / 64
}

// text writes s with its base line through at; align 0 starts there, 1/2 is
// centred, 1 ends there.
func (p *pen) text(c rgb, size, align float64, at pt, s string) {
	f, err := p.face(size)
	if err != nil {
		return
	}
	d := font.Drawer{Dst: p.img, Src: image.NewUniform(c.over()), Face: f}
	d.Dot = fixed.Point26_6{
		X: fixed.Int26_6(math.Round(64 * (at[0] - align*p.width(size, s)))),
		Y: fixed.Int26_6(math.Round(64 * at[1])),
	}
	d.DrawString(s)
}

// textUp writes s upwards, centred on at, its base line to the right of it.
func (p *pen) textUp(c rgb, size float64, at pt, s string) {
	w, h := int(p.width(size, s))+4, int(size*p.u*1.5)+4
	flat := &pen{img: image.NewRGBA(image.Rect(0, 0, w, h)), u: p.u, font: p.font, faces: p.faces}
	base := math.Round(float64(h) * 0.7)
	flat.text(rgb{0, 0, 0}, size, 0.5, pt{float64(w) / 2, base}, s)
	x0, y0 := int(math.Round(at[0]-base)), int(math.Round(at[1]))+w/2
	for y := range h {
		for x := range w {
			a := float64(flat.img.RGBAAt(x, y).A) / 255
			if q := (image.Point{x0 + y, y0 - x}); a > 0 && q.In(p.img.Bounds()) {
				o := p.img.RGBAAt(q.X, q.Y)
				p.img.SetRGBA(q.X, q.Y, rgb{o.R, o.G, o.B}.mix(c, a).over())
			}
		}
	}
}

// shorten cuts s so that it is not longer than room, in pixels.
func (p *pen) shorten(size, room float64, s string) string {
	r := []rune(s)
	if len(r) > 400 { // far more than any strip holds
		r = r[:400]
	}
	if len(r) == len([]rune(s)) && p.width(size, s) <= room {
		return s
	}
	for len(r) > 0 && p.width(size, string(r)+"…") > room {
		r = r[:len(r)-1]
	}
	return string(r) + "…"
}
