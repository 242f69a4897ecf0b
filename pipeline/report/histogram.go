package report

import (
	"fmt"
	"html/template"
	"math"
	"strings"

	"pointup/pipeline/quantity"
	"pointup/pipeline/result"
)

// histogramDrawing shows how the deviation of an element is spread; nil where that
// is not known. The axis goes reachMM to each side of zero, or to the histogram's own edges
// where that is 0.
func histogramDrawing(e result.Element, reachMM float64, small bool) *drawing {
	d := e.Deviation
	if d == nil || d.Histogram == nil || len(d.Histogram.EdgesMM) != len(d.Histogram.Shares)+1 || len(d.Histogram.Shares) == 0 {
		return nil
	}
	h := d.Histogram
	if reachMM <= 0 {
		reachMM = float64(h.EdgesMM[len(h.EdgesMM)-1])
	}
	if !(reachMM > 0) {
		return nil
	}
	wide, high, letters := 360.0, 120.0, 11.0
	if small {
		wide, high, letters = 180, 74, 11
	}
	base, pad := high-20, 14.0
	x := func(mm float64) float64 { return wide/2 + mm/reachMM*(wide/2-pad) }
	most := 0.0
	for _, s := range h.Shares {
		most = max(most, float64(s))
	}
	var b strings.Builder
	fmt.Fprintf(&b, `<svg viewBox="0 0 %g %g" font-size="%g" fill="#26241f" aria-hidden="true">`, wide, high, letters)
	for i, s := range h.Shares {
		lo, hi := x(float64(h.EdgesMM[i])), x(float64(h.EdgesMM[i+1]))
		tall := float64(s) / max(most, 1e-12) * (base - 16)
		if tall < 0.3 || lo < pad-1 || hi > wide-pad+1 {
			continue
		}
		fmt.Fprintf(&b, `<rect x="%.1f" y="%.1f" width="%.1f" height="%.1f" fill="#8b8274"/>`, lo+0.4, base-tall, max(hi-lo-0.8, 0.6), tall)
	}
	fmt.Fprintf(&b, `<path d="M%.1f %.1fH%.1fM%.1f 6V%.1f" stroke="#26241f" stroke-width="1" fill="none"/>`, pad, base, wide-pad, x(0), base+4)
	marks := []float64{-reachMM, -reachMM / 2, 0, reachMM / 2, reachMM}
	if small {
		marks = []float64{-reachMM, 0, reachMM}
	}
	for _, m := range marks {
		fmt.Fprintf(&b, `<path d="M%.1f %.1fv4" stroke="#26241f" stroke-width="1"/>`, x(m), base)
		anchor := "middle"
		if math.Abs(m) == reachMM && small {
			anchor = map[bool]string{true: "start", false: "end"}[m < 0]
		}
		at := x(m)
		if anchor == "start" {
			at = 0
		} else if anchor == "end" {
			at = wide
		}
		fmt.Fprintf(&b, `<text x="%.1f" y="%.1f" text-anchor="%s">%s</text>`, at, base+15, anchor, axisText(m))
	}
	if p := float64(d.P95MM); !small && p > 0 && p < reachMM {
		fmt.Fprintf(&b, `<path d="M%.1f 6v%.1fM%.1f 6v%.1f" stroke="#9a3d14" stroke-width="1" stroke-dasharray="4 3"/>`, x(-p), base-6, x(p), base-6)
		fmt.Fprintf(&b, `<text x="%.1f" y="12" text-anchor="end" fill="#9a3d14">95 %% within</text>`, x(-p)-4)
		fmt.Fprintf(&b, `<text x="%.1f" y="12" fill="#9a3d14">±%s mm</text>`, x(p)+4, deviationText(p))
	}
	b.WriteString("</svg>")
	out := &drawing{SVG: template.HTML(b.String())} // numbers and fixed words only
	out.Alt = fmt.Sprintf("Histogram of the deviation of %s at full size: 95 %% of the surface within %s mm, largest %s mm.", e.ID, deviationText(float64(d.P95MM)), deviationText(float64(d.MaxMM)))
	out.Caption = "How the deviation is spread over the surface, mm at full size: − inside, + outside of the fitted shape."
	if beyond := float64(h.Below + h.Above); beyond > 0 {
		out.Caption += " Beyond the axis: " + percent(beyond, 1) + "."
	}
	return out
}

// axisText is a number of an axis with its sign.
func axisText(x float64) string {
	s := minus(quantity.Decimal(x, 3))
	if x > 0 {
		return "+" + s
	}
	return s
}

// spreadMM is the reach that the histograms of all elements have in common: the widest.
func spreadMM(doc result.Document) float64 {
	reach := 0.0
	for _, e := range doc.Elements {
		if d := e.Deviation; d != nil && d.Histogram != nil && len(d.Histogram.EdgesMM) > 0 {
			reach = max(reach, float64(d.Histogram.EdgesMM[len(d.Histogram.EdgesMM)-1]))
		}
	}
	return reach
}
