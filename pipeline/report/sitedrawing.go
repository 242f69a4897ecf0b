package report

import (
	"fmt"
	"html/template"
	"math"
	"strings"

	"pointup/pipeline/quantity"
	"pointup/pipeline/site"
)

// siteDrawings are the wind by direction and what the cases do to the frame.
func siteDrawings(r *site.Report) []drawing {
	var out []drawing
	if d := windRose(r.Wind); d != nil {
		out = append(out, *d)
	}
	if len(r.Wire.Cases) == 0 || len(r.Wire.Beams) == 0 {
		return out
	}
	f := newWireView(r)
	return append(out, f.deflected(), f.bending(), f.used())
}

// Width of a panel and room about the frame in it, in units of the drawing.
const (
	panelWide  = 180.0
	panelTall  = 250.0
	panelInset = 22.0
	panelText  = 62.0 // under the frame
)

// wireView is the frame seen from beside the worst wind, in panels of one scale.
type wireView struct {
	wire  site.Wire
	climb site.Climbing
	deg   float64
	scale float64 // units for a mm
	lo    [2]float64
}

// The view: the wind blows to the right and away, the eye is a little over it.
const (
	viewTurnDeg = 60.0
	viewOverDeg = 12.0
)

func newWireView(r *site.Report) wireView {
	f := wireView{wire: r.Wire, climb: r.Climbing}
	for _, c := range f.wire.Cases {
		if c.TowardsDeg != nil {
			f.deg = *c.TowardsDeg
			break
		}
	}
	hi := [2]float64{math.Inf(-1), math.Inf(-1)}
	f.lo = [2]float64{math.Inf(1), math.Inf(1)}
	for _, n := range f.wire.NodesMM {
		p := f.flat(n)
		for k := range 2 {
			f.lo[k], hi[k] = min(f.lo[k], p[k]), max(hi[k], p[k])
		}
	}
	f.scale = min((panelWide-2*panelInset)/max(hi[0]-f.lo[0], 1), (panelTall-panelInset-panelText)/max(hi[1]-f.lo[1], 1))
	f.lo[0] -= ((panelWide-2*panelInset)/f.scale - (hi[0] - f.lo[0])) / 2
	return f
}

// flat is a place as the eye sees it, mm to the right and up.
func (f wireView) flat(v [3]float64) [2]float64 {
	sin, cos := math.Sincos(f.deg * math.Pi / 180)
	along, across := v[0]*cos+v[1]*sin, -v[0]*sin+v[1]*cos
	turn, over := math.Pi/180*viewTurnDeg, math.Pi/180*viewOverDeg
	back := along*math.Sin(turn) + across*math.Cos(turn)
	return [2]float64{along*math.Cos(turn) - across*math.Sin(turn), v[2]*math.Cos(over) + back*math.Sin(over)}
}

func (f wireView) at(p [2]float64) (x, y float64) {
	return panelInset + (p[0]-f.lo[0])*f.scale, panelTall - panelText - (p[1]-f.lo[1])*f.scale
}

func (f wireView) node(n int) (x, y float64) { return f.at(f.flat(f.wire.NodesMM[n])) }

// panels lays one panel a case side by side, each with its name and words under it.
func (f wireView) panels(draw func(b *strings.Builder, c site.WireCase) []string) template.HTML {
	var b strings.Builder
	fmt.Fprintf(&b, `<svg viewBox="0 0 %g %g" font-size="10" fill="#26241f" aria-hidden="true">`, panelWide*float64(len(f.wire.Cases)), panelTall)
	for i, c := range f.wire.Cases {
		fmt.Fprintf(&b, `<g transform="translate(%g 0)">`, panelWide*float64(i))
		words := append([]string{caseName(c)}, draw(&b, c)...)
		for k, s := range words {
			bold := ""
			if k == 0 {
				bold = ` font-weight="bold"`
			}
			fmt.Fprintf(&b, `<text x="%g" y="%g"%s>%s</text>`, panelInset/2, panelTall-panelText+18+13*float64(k), bold, template.HTMLEscapeString(s))
		}
		b.WriteString("</g>")
	}
	b.WriteString("</svg>")
	return template.HTML(b.String())
}

func caseName(c site.WireCase) string {
	if c.TowardsDeg == nil {
		return c.Name
	}
	return c.Name + ", towards " + fixed(*c.TowardsDeg, 0) + "°"
}

// frame draws links dashed and beams plain, and the place of the climbing load.
func (f wireView) frame(b *strings.Builder, c site.WireCase, ink string) {
	for _, l := range f.wire.Links {
		x, y := f.node(l[0])
		u, v := f.node(l[1])
		if math.Hypot(u-x, v-y) > 1 {
			fmt.Fprintf(b, `<path d="M%.1f %.1fL%.1f %.1f" stroke="#c4bcad" stroke-dasharray="2 2"/>`, x, y, u, v)
		}
	}
	f.chains(b, f.node, ink, 1)
	if strings.Contains(c.Name, "climb") || strings.Contains(c.Name, "L") || strings.Contains(c.Name, "Q") {
		x, y := f.at(f.flat(f.climb.AtMM))
		fmt.Fprintf(b, `<path d="M%.1f %.1fv-20m-3 14l3 6l3 -6" stroke="#26241f" fill="none"/>`, x, y)
	}
	if c.TowardsDeg != nil {
		sin, cos := math.Sincos(*c.TowardsDeg * math.Pi / 180)
		d := f.flat([3]float64{cos, sin, 0})
		fmt.Fprintf(b, `<path d="M%.1f %.1fl%.1f %.1f" stroke="#26241f"/><circle cx="%.1f" cy="%.1f" r="2"/>`, panelInset, panelInset, 20*d[0], -20*d[1], panelInset, panelInset)
	}
}

// chains draws beams that follow each other as one line.
func (f wireView) chains(b *strings.Builder, place func(n int) (x, y float64), ink string, wide float64) {
	last := -1
	for i, m := range f.wire.Beams {
		if i == 0 || m.A != last {
			if i > 0 {
				fmt.Fprintf(b, `" stroke="%s" stroke-width="%.1f" fill="none"/>`, ink, wide)
			}
			x, y := place(m.A)
			fmt.Fprintf(b, `<path d="M%.1f %.1f`, x, y)
		}
		x, y := place(m.B)
		fmt.Fprintf(b, `L%.1f %.1f`, x, y)
		last = m.B
	}
	fmt.Fprintf(b, `" stroke="%s" stroke-width="%.1f" fill="none"/>`, ink, wide)
}

// deflected is the bent shape, times a round number that makes the greatest shift a
// tenth of the panel.
func (f wireView) deflected() drawing {
	svg := f.panels(func(b *strings.Builder, c site.WireCase) []string {
		most := 0.0
		for _, v := range c.ShiftMM {
			most = max(most, math.Sqrt(v[0]*v[0]+v[1]*v[1]+v[2]*v[2]))
		}
		f.frame(b, c, "#8b8274")
		times := 0.0
		if most > 0 {
			times = roundDown(0.1 * panelWide / (most * f.scale))
		}
		bent := func(n int) (float64, float64) {
			at, v := f.wire.NodesMM[n], c.ShiftMM[n]
			for k := range at {
				at[k] += times * v[k]
			}
			return f.at(f.flat(at))
		}
		f.chains(b, bent, "#9a3d14", 1.4)
		return []string{
			fmt.Sprintf("shift to %s mm, drawn × %s", fixed(most, 1), quantity.Decimal(times, 3)),
			fmt.Sprintf("down %s kN, shear %s kN", fixed(c.Base.DownN/1000, 1), fixed(c.Base.ShearN/1000, 1)),
			fmt.Sprintf("overturning %s kNm", fixed(c.Base.OverturnNMM/1e6, 2)),
		}
	})
	return drawing{SVG: svg, Alt: "Views of the frame under four loads, the bent shape over the straight one. The forces on the ground stand under each.",
		Caption: fmt.Sprintf("Loads, what they put on the ground, and the shape that they bend the frame to (red, the shift exaggerated as said). Seen from %.0f° beside the wind towards %s° and %.0f° above; a metre of height is %s of a panel's width. Dashed: rigid; the line from a dot: where the wind or the earthquake pushes; the arrow: the climbing load. Preliminary, for a licensed engineer.",
			viewTurnDeg, fixed(f.deg, 0), viewOverDeg, percent(1000*f.scale*math.Cos(math.Pi/180*viewOverDeg)/panelWide, 0))}
}

// bending draws moments square to the beams, one scale a panel.
func (f wireView) bending() drawing {
	svg := f.panels(func(b *strings.Builder, c site.WireCase) []string {
		most, where := 0.0, ""
		for i, m := range c.BendingNMM {
			if x := max(m[0], m[1]); x > most {
				most, where = x, f.wire.Beams[i].ID
			}
		}
		if most > 0 {
			for i, m := range f.wire.Beams {
				f.moment(b, m, c.BendingNMM[i], 0.14*panelWide/most)
			}
		}
		f.frame(b, c, "#26241f")
		return []string{"greatest " + fixed(most/1e6, 2) + " kNm, in " + orDash(where)}
	})
	return drawing{SVG: svg, Alt: "Views of the frame under four loads with the bending moment drawn square to each beam. The greatest value stands under each.",
		Caption: "Bending moment along the pieces, of both ways together, drawn square to them; in each panel the greatest, whose value it gives in kNm, is 14 % of the panel's width. Preliminary, for a licensed engineer."}
}

func (f wireView) moment(b *strings.Builder, m site.WireBeam, ends [2]float64, scale float64) {
	x, y := f.node(m.A)
	u, v := f.node(m.B)
	l := math.Hypot(u-x, v-y)
	if l < 0.01 || max(ends[0], ends[1])*scale < 0.4 {
		return // seen from its end, or nothing to see
	}
	nx, ny := (v-y)/l*scale, -(u-x)/l*scale
	fmt.Fprintf(b, `<path d="M%.1f %.1fL%.1f %.1fL%.1f %.1fL%.1f %.1fZ" fill="#9a3d14" fill-opacity="0.35"/>`, x, y, x+nx*ends[0], y+ny*ends[0], u+nx*ends[1], v+ny*ends[1], u, v)
}

// used draws beams as thick as their stress is near what is allowed.
func (f wireView) used() drawing {
	svg := f.panels(func(b *strings.Builder, c site.WireCase) []string {
		f.frame(b, c, "#c4bcad")
		most, where := 0.0, ""
		for i, m := range f.wire.Beams {
			use := max(c.Use[i][0], c.Use[i][1])
			if use > most {
				most, where = use, m.ID
			}
			if use < 0.02 {
				continue
			}
			ink := "#26241f"
			if use > 1 {
				ink = "#9a3d14"
			}
			x, y := f.node(m.A)
			u, v := f.node(m.B)
			fmt.Fprintf(b, `<path d="M%.1f %.1fL%.1f %.1f" stroke="%s" stroke-width="%.1f"/>`, x, y, u, v, ink, 0.3+6*min(use, 1.5))
		}
		return []string{"greatest " + percent(most, 0) + ", in " + orDash(where)}
	})
	return drawing{SVG: svg, Alt: "Views of the frame under four loads, each piece as thick as its stress is high. The greatest share stands under each.",
		Caption: "Stress along the pieces as a share of what is allowed: a line of 6 units is 100 %, red is over it. Single loads carry no factors; the last panel is the sum of loads with the greatest utilisation of pieces and welds. Preliminary, for a licensed engineer."}
}

// roundDown takes a number to 1, 2 or 5 times a power of ten.
func roundDown(x float64) float64 {
	ten := math.Pow(10, math.Floor(math.Log10(x)))
	for _, k := range []float64{5, 2} {
		if x >= k*ten {
			return k * ten
		}
	}
	return ten
}
