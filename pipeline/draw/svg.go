package draw

import (
	"bufio"
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
)

// svgMargin keeps half a line and the foot of letters inside the picture, mm.
const svgMargin = 5

// WriteSVG writes the drawing 1:1: one user unit is one mm, and so the picture's
// width and height are given. Coordinates are the drawing's with y downwards
// (negated). A group a layer, named for it. Errors: see Check; a drawing that
// leaves the plane.
func WriteSVG(w io.Writer, d Drawing) error { return writeSVG(w, d, xml.Header, "id") }

// WriteInlineSVG is WriteSVG for a page that holds several: no XML declaration, and
// layers are classes.
func WriteInlineSVG(w io.Writer, d Drawing) error { return writeSVG(w, d, "", "class") }

func writeSVG(w io.Writer, d Drawing, head, name string) error {
	strokes, all, err := d.strokes()
	if err != nil {
		return fmt.Errorf("svg: %w", err)
	}
	b := bufio.NewWriterSize(w, 1<<16)
	width, height := all.hi[0]-all.lo[0]+2*svgMargin, all.hi[1]-all.lo[1]+2*svgMargin
	fmt.Fprintf(b, "%s<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"%smm\" height=\"%smm\" viewBox=\"%s %s %s %s\">\n", head,
		num(width), num(height), num(all.lo[0]-svgMargin), num(-all.hi[1]-svgMargin), num(width), num(height))
	fmt.Fprintf(b, "<title>%s</title>\n", xmlText(d.Title))
	for _, l := range d.used() {
		s := styles[l]
		fmt.Fprintf(b, "<g %s=\"%s\" fill=\"none\" stroke=\"%s\" stroke-width=\"%s\"%s>\n", name, l, hex(s.colour), num(s.widthMM), dashes(s.dashMM))
		for _, k := range strokes[l] {
			writeStroke(b, k, s)
		}
		b.WriteString("</g>\n")
	}
	b.WriteString("</svg>\n")
	return b.Flush()
}

// strokes are the drawing's by layer, and the box of all.
func (d Drawing) strokes() (map[Layer][]stroke, box, error) {
	all := emptyBox()
	if err := d.Check(); err != nil {
		return nil, all, err
	}
	out := map[Layer][]stroke{}
	for i, it := range d.Items {
		s, level := it.Shape.flat()
		if !level {
			return nil, all, fmt.Errorf("item %d on %s %w", i+1, it.Layer, errSpace)
		}
		for _, k := range s {
			b := k.box()
			all.take(b.lo)
			all.take(b.hi)
		}
		out[it.Layer] = append(out[it.Layer], s...)
	}
	return out, all, nil
}

func writeStroke(b *bufio.Writer, k stroke, s style) {
	if t := k.label; t != nil {
		anchor := ""
		if t.Middle {
			anchor = ` text-anchor="middle"`
		}
		x, y := num(t.At[0]), num(-t.At[1])
		turn := ""
		if t.TurnRad != 0 {
			turn = fmt.Sprintf(` transform="rotate(%s %s %s)"`, num(-t.TurnRad*180/math.Pi), x, y)
		}
		fmt.Fprintf(b, "<text x=\"%s\" y=\"%s\" font-family=\"Arial, Helvetica, sans-serif\" font-size=\"%s\" textLength=\"%s\" lengthAdjust=\"spacingAndGlyphs\" fill=\"%s\" stroke=\"none\"%s%s>%s</text>\n",
			x, y, num(t.HeightMM/capsShare), num(TextWidthMM(t.Text, t.HeightMM)), hex(s.colour), anchor, turn, xmlText(t.Text))
		return
	}
	if len(k.curves) == 1 && k.closed {
		c := k.curves[0]
		fmt.Fprintf(b, "<circle cx=\"%s\" cy=\"%s\" r=\"%s\"/>\n", num(c.centre[0]), num(-c.centre[1]), num(c.radius))
		return
	}
	fmt.Fprintf(b, "<path d=\"M%s %s", num(k.curves[0].a[0]), num(-k.curves[0].a[1]))
	for _, c := range k.curves {
		if c.sweep == 0 {
			fmt.Fprintf(b, "L%s %s", num(c.b[0]), num(-c.b[1]))
			continue
		}
		// Picture coordinates run down, so counter-clockwise is their flag 0.
		fmt.Fprintf(b, "A%s %s 0 %d %d %s %s", num(c.radius), num(c.radius), bit(math.Abs(c.sweep) > math.Pi, 1), bit(c.sweep < 0, 1), num(c.b[0]), num(-c.b[1]))
	}
	if k.closed {
		b.WriteByte('Z')
	}
	if k.filled {
		fmt.Fprintf(b, "\" fill=\"%s", hex(s.colour))
	}
	b.WriteString("\"/>\n")
}

// capsShare is the height of capitals as a share of a font's size: 0.72 in the Go
// fonts, near it in others.
const capsShare = 0.72

// num is a number to a ten-thousandth of a millimetre at least.
func num(x float64) string {
	t := strings.TrimRight(strings.TrimRight(strconv.FormatFloat(x, 'f', 6, 64), "0"), ".")
	if t == "-0" {
		return "0"
	}
	return t
}

func hex(c [3]uint8) string { return fmt.Sprintf("#%02x%02x%02x", c[0], c[1], c[2]) }

func dashes(mm []float64) string {
	if len(mm) == 0 {
		return ""
	}
	var t []string
	for _, x := range mm {
		t = append(t, num(x))
	}
	return ` stroke-dasharray="` + strings.Join(t, " ") + `"`
}

func xmlText(s string) string {
	var b strings.Builder
	_ = xml.EscapeText(&b, []byte(printable(s)))
	return b.String()
}
