package primitive

import (
	"fmt"
	"math"

	"pointup/segment/fit"
)

// inferHoles adds the holes that a pattern of others says are where nothing of
// the sheet was seen, under a weld or another piece. A place that shows metal is
// a missing hole and stays one.
func inferHoles(list []fittedHole, r *sheetRaster) []fittedHole {
	holes := make([]Hole, len(list))
	for i, h := range list {
		holes[i] = Hole{Shape: h.hole.Shape, CentreMM: h.hole.CentreMM, DiameterMM: h.hole.DiameterMM,
			AcrossMM: [2]float64{h.hole.LongMM, h.hole.ShortMM}, AngleDeg: h.hole.AngleRad * 180 / math.Pi}
		if h.hole.Shape == "other" {
			for _, q := range h.line.p {
				holes[i].Outline = append(holes[i].Outline, Step{To: q})
			}
		}
	}
	patterns := Patterns(holes, nil, false)
	if len(patterns) == 0 || patterns[0].Arrangement == "ring" || 3*patterns[0].Holes < 2*len(holes) {
		return list
	}
	for _, q := range patterns[0].MissingMM {
		h := patterns[0].Hole
		h.CentreMM = q
		chain := h.chain()
		if len(chain) == 0 || r.share(chain, 0.7) > openingMetal {
			continue
		}
		list = append(list, fittedHole{inferred: true, line: newContourLine(chain), hole: fit.Hole{Shape: h.Shape, CentreMM: q,
			DiameterMM: h.DiameterMM, LongMM: h.AcrossMM[0], ShortMM: h.AcrossMM[1], AngleRad: h.AngleDeg * math.Pi / 180}})
	}
	return list
}

// chain is the contour of a hole that has sizes.
func (h *Hole) chain() [][2]float64 {
	var out [][2]float64
	switch a, b := h.AcrossMM[0]/2, h.AcrossMM[1]/2; h.Shape {
	case "round":
		for k := range openingSides {
			sin, cos := math.Sincos(2 * math.Pi * float64(k) / openingSides)
			out = append(out, [2]float64{h.DiameterMM / 2 * cos, h.DiameterMM / 2 * sin})
		}
	case "diamond":
		out = [][2]float64{{a, 0}, {0, b}, {-a, 0}, {0, -b}}
	case "slot", "rectangle":
		out = [][2]float64{{a, b}, {-a, b}, {-a, -b}, {a, -b}}
	}
	sin, cos := math.Sincos(h.AngleDeg * math.Pi / 180)
	for i, q := range out {
		out[i] = [2]float64{h.CentreMM[0] + q[0]*cos - q[1]*sin, h.CentreMM[1] + q[0]*sin + q[1]*cos}
	}
	return out
}

// inferredNote says how many of the holes are inferred; "" where none is.
func inferredNote(list []fittedHole) string {
	n := 0
	for _, h := range list {
		if h.inferred {
			n++
		}
	}
	if n == 0 {
		return ""
	}
	return fmt.Sprintf("%d of %d holes are under weld or another piece: they are there by the pattern of the rest, and were not seen", n, len(list))
}

// noted adds the note that came with holes, if any.
func (e *Element) noted(holes []Hole, note string) []Hole {
	if note != "" {
		e.Notes = append(e.Notes, note)
	}
	return holes
}
