package report

import (
	"fmt"
	"html/template"
	"strings"

	"math"

	"pointup/pipeline/quantity"
	"pointup/pipeline/site"
)

// rose is a curve over the directions of the wind.
type rose struct {
	values []float64
	style  string
	name   string
}

// windRose draws force and area against the direction that the wind blows towards.
func windRose(w site.Wind) *drawing {
	if len(w.Towards) == 0 {
		return nil
	}
	var force, members, lattice, moment, sum, seen []float64
	solid := false
	for _, d := range w.Towards {
		force, members, lattice = append(force, d.ForceN/1000), append(members, d.MembersN/1000), append(lattice, d.LatticeN/1000)
		moment = append(moment, d.BaseMomentNMM/1e6)
		sum, seen = append(sum, total(d.SumMM2)/1e6), append(seen, total(d.SilhouetteMM2)/1e6)
		solid = solid || d.LatticeN > 0
	}
	const thick, thin, dashed = `stroke="#9a3d14" stroke-width="2"`, `stroke="#26241f" stroke-width="1"`, `stroke="#26241f" stroke-width="1" stroke-dasharray="4 3"`
	forces := []rose{{force, thick, "force that counts"}, {members, thin, "sum of the pieces"}}
	if solid {
		forces = append(forces, rose{lattice, dashed, "by solidity"})
	}
	var b strings.Builder
	fmt.Fprintf(&b, `<svg viewBox="0 0 720 300" font-size="11" fill="#26241f" aria-hidden="true">`)
	roseAt(&b, 120, "Force, kN", forces)
	roseAt(&b, 360, "Moment at the ground, kNm", []rose{{moment, thick, "of the force that counts"}})
	roseAt(&b, 600, "Area, m²", []rose{{sum, thick, "sum of the pieces"}, {seen, dashed, "silhouette, fully shielded"}})
	b.WriteString("</svg>")
	return &drawing{SVG: template.HTML(b.String()), Alt: "Three roses over the 36 directions of the wind: force, moment at the ground, area. A table below has the numbers.",
		Caption: fmt.Sprintf("Wind from 36 sides, drawn in the direction that it blows towards, seen from above, 0° along x of the site, 90° along y. %s. Forces carry no factor of a combination. Preliminary, for a licensed engineer.", w.Code)}
}

// roseAt draws curves about a middle, with two rings of round values.
func roseAt(b *strings.Builder, cx float64, title string, curves []rose) {
	const cy, reach = 138.0, 92.0
	most := 0.0
	for _, c := range curves {
		for _, v := range c.values {
			most = max(most, v)
		}
	}
	fmt.Fprintf(b, `<text x="%g" y="14" text-anchor="middle" font-weight="bold">%s</text>`, cx, title)
	if !(most > 0) {
		fmt.Fprintf(b, `<text x="%g" y="%g" text-anchor="middle">not covered</text>`, cx, cy)
		return
	}
	ring := roundDown(most)
	for r := ring; r <= most*1.001; r += ring {
		fmt.Fprintf(b, `<circle cx="%g" cy="%g" r="%.1f" fill="none" stroke="#c4bcad"/>`, cx, cy, r/most*reach)
		fmt.Fprintf(b, `<text x="%.1f" y="%.1f" fill="#5d574d" font-size="9">%s</text>`, cx+2, cy-r/most*reach-1, quantity.Decimal(r, 3))
	}
	for k, name := range []string{"0°", "90°", "180°", "270°"} {
		x, y := polar(cx, cy, reach+12, 90*float64(k))
		fmt.Fprintf(b, `<path d="M%g %gL%.1f %.1f" stroke="#c4bcad"/>`, cx, cy, cx+(x-cx)*reach/(reach+12), cy+(y-cy)*reach/(reach+12))
		fmt.Fprintf(b, `<text x="%.1f" y="%.1f" text-anchor="middle" font-size="9">%s</text>`, x, y+3, name)
	}
	for i, c := range curves {
		path := ""
		for k, v := range c.values {
			x, y := polar(cx, cy, v/most*reach, 360*float64(k)/float64(len(c.values)))
			path += fmt.Sprintf("%s%.1f %.1f", map[bool]string{true: "M", false: "L"}[k == 0], x, y)
		}
		fmt.Fprintf(b, `<path d="%sZ" fill="none" %s/>`, path, c.style)
		y := 258 + 14*float64(i)
		fmt.Fprintf(b, `<path d="M%g %gh22" %s/><text x="%g" y="%g">%s</text>`, cx-84, y-4, c.style, cx-56, y, c.name)
	}
}

// polar is a place on the sheet, angles counter-clockwise from the right.
func polar(cx, cy, r, deg float64) (x, y float64) {
	sin, cos := math.Sincos(deg * math.Pi / 180)
	return cx + r*cos, cy - r*sin
}

func total(all []float64) float64 {
	sum := 0.0
	for _, x := range all {
		sum += x
	}
	return sum
}
