package render

import (
	"fmt"
	"image"
	"math"
)

// Compared is what two models of one work cover as seen from one place, a class a
// pixel, rows from below.
type Compared struct {
	Wide, High   int
	Class        []uint8 // of Cover…
	At           [2]int  // the pixel that the enlarged part shows
	StepArcmin   float64 // a pixel
	MMPerArcmin  float64 // at the distance of the work's middle
	First, After string  // what the models are, for the legend
}

// The classes of a pixel.
const (
	CoverNone = iota
	CoverBoth
	CoverFirst // only the first model
	CoverAfter // only the second
)

// insetArcmin is the side of the enlarged part.
const insetArcmin = 40

// Outlines draws the whole view and, enlarged beside it, the place where the
// outline moves most. What only one model covers is hatched, each its own way.
//
// Errors: [ErrInput].
func Outlines(c Compared, s Sheet) (*image.RGBA, error) {
	if err := s.check(); err != nil {
		return nil, err
	}
	if c.Wide < 1 || c.High < 1 || len(c.Class) != c.Wide*c.High || !(c.StepArcmin > 0) {
		return nil, fmt.Errorf("%w: a view of %d × %d pixels with %d classes", ErrInput, c.Wide, c.High, len(c.Class))
	}
	p, err := newPen(s)
	if err != nil {
		return nil, err
	}
	l := ruleSheet(p, s)
	u := p.u
	side := l.drawing.x1 - 560*u
	p.line(inkColour(), 1.2, pt{side, l.drawing.y0}, pt{side, l.drawing.y1})
	whole := rect{l.drawing.x0 + 40*u, l.drawing.y0 + 40*u, side - 40*u, l.drawing.y1 - 40*u}
	k := math.Min(whole.width()/float64(c.Wide), whole.height()/float64(c.High))
	whole = rect{(whole.x0+whole.x1)/2 - k*float64(c.Wide)/2, whole.y1 - k*float64(c.High), (whole.x0+whole.x1)/2 + k*float64(c.Wide)/2, whole.y1}
	c.paint(p.img, whole, 0, 0, 1/k)

	box := rect{side + 40*u, l.drawing.y0 + 90*u, l.drawing.x1 - 40*u, l.drawing.y0 + 90*u + 480*u}
	px := insetArcmin / c.StepArcmin
	x0, y0 := float64(c.At[0])-px/2, float64(c.At[1])-px/2
	c.paint(p.img, box, x0, y0, px/box.width())
	p.frame(inkColour(), 1.6, box)
	at := func(x, y float64) pt { return pt{whole.x0 + x*k, whole.y1 - y*k} }
	a, b := at(x0, y0), at(x0+px, y0+px)
	p.frame(inkColour(), 1.6, rect{a[0], b[1], b[0], a[1]})
	p.text(inkColour(), 24, 0, pt{box.x0, box.y0 - 44*u}, "Where it changes most")
	p.text(paleInk(), 18, 0, pt{box.x0, box.y0 - 16*u}, fmt.Sprintf("%d arc-minutes wide; framed in the view", insetArcmin))
	c.legend(p, box)
	return p.img, nil
}

// legend explains the hatches and the scale under the enlarged part.
func (c Compared) legend(p *pen, box rect) {
	u := p.u
	five := 5 / float64(insetArcmin) * box.width()
	y := box.y1 + 34*u
	p.line(inkColour(), 3, pt{box.x0, y}, pt{box.x0 + five, y})
	p.text(inkColour(), 19, 0, pt{box.x0 + five + 14*u, y + 7*u}, fmt.Sprintf("5 arc-minutes, %.0f mm at the middle of the work", 5*c.MMPerArcmin))
	for i, row := range []struct {
		class uint8
		text  string
	}{{CoverBoth, "both"}, {CoverFirst, "only " + c.First}, {CoverAfter, "only " + c.After}} {
		key := rect{box.x0, y + (30+44*float64(i))*u, box.x0 + 60*u, y + (62+44*float64(i))*u}
		for py := int(key.y0); py < int(key.y1); py++ {
			for px := int(key.x0); px < int(key.x1); px++ {
				p.img.SetRGBA(px, py, classColour(row.class, px, py, u).over())
			}
		}
		p.frame(inkColour(), 1.4, key)
		p.text(inkColour(), 21, 0, pt{key.x1 + 18*u, key.y0 + 24*u}, row.text)
	}
}

// paint fills a rectangle with the view from pixel (x0, y0) on, step pixels of it
// to one of the sheet; where several fall on one, the changed ones show.
func (c Compared) paint(img *image.RGBA, r rect, x0, y0, step float64) {
	u := math.Max(float64(img.Bounds().Dx())/1600, 0.1)
	for py := int(math.Ceil(r.y0)); py < int(r.y1); py++ {
		for px := int(math.Ceil(r.x0)); px < int(r.x1); px++ {
			x, y := x0+(float64(px)-r.x0)*step, y0+(r.y1-1-float64(py))*step
			if k := c.classAt(x, y, step); k != CoverNone {
				img.SetRGBA(px, py, classColour(k, px, py, u).over())
			}
		}
	}
}

func (c Compared) classAt(x, y, step float64) uint8 {
	most := uint8(CoverNone)
	n := max(1, int(math.Ceil(step)))
	for dy := range n {
		for dx := range n {
			i, k := int(math.Floor(x))+dx, int(math.Floor(y))+dy
			if i >= 0 && k >= 0 && i < c.Wide && k < c.High {
				most = max(most, c.Class[k*c.Wide+i])
			}
		}
	}
	return most
}

// classColour: stone for both; hatches rising and falling for one alone.
func classColour(class uint8, x, y int, u float64) rgb {
	pitch := max(4, int(9*u))
	stroke := max(2, pitch/2)
	switch class {
	case CoverBoth:
		return wash(0)
	case CoverFirst:
		if (x+y)%pitch < stroke {
			return rgb{58, 84, 110}
		}
		return rgb{206, 216, 224}
	case CoverAfter:
		if ((x-y)%pitch+pitch)%pitch < stroke {
			return rgb{140, 62, 40}
		}
		return rgb{236, 208, 192}
	}
	return paperColour()
}
