package pipeline

import (
	"fmt"
	"math"
	"slices"

	"pointup/mesh"
	"pointup/pipeline/job"
	"pointup/segment/primitive"
)

// compareByHand holds hand measurements against the fit. They are applied only
// where the job says enlarge.trust: by_hand; always they give a suggested
// correction of the scan's scale: the mean of hand over scan, weighted by the
// inverse variances (GUM), with its 95 % interval.
func (w *work) compareByHand() {
	sum, weight, n := 0.0, 0.0, 0
	for _, h := range w.job.ByHand {
		e := w.named(h.Piece)
		if e == nil {
			w.find([]mesh.Finding{{Code: "by-hand-piece", Severity: "warning",
				What: fmt.Sprintf("measured by hand: there is no piece %q", h.Piece), Advice: "use a name or id of pieces.rows"}})
			continue
		}
		d := dimension(e, h.Dimension)
		if d == nil {
			w.find([]mesh.Finding{{Code: "by-hand-dimension", Severity: "warning",
				What:   fmt.Sprintf("measured by hand: %s, a %s, has no %s", h.Piece, e.Kind, h.Dimension),
				Advice: "name a dimension of the result"}})
			continue
		}
		hand := 0.0
		if h.U95 != nil {
			hand = *h.U95
		}
		u := math.Hypot(hand, w.u95(e, *d))
		if math.Abs(d.Value-h.Value) > u {
			w.find([]mesh.Finding{{Code: "by-hand-disagrees", Severity: "warning",
				What:   fmt.Sprintf("%s of %s: %.3f by hand, %.3f in the scan; they differ by %+.3f, more than their common uncertainty of ± %.3f %s", h.Dimension, h.Piece, h.Value, d.Value, d.Value-h.Value, u, unitOf(h.Dimension)),
				Advice: "measure again; if all differ alike, correct the scan's scale"}})
		}
		if unitOf(h.Dimension) == "mm" && d.Value > 0 && u > 0 {
			k := (d.Value / u) * (d.Value / u)
			sum += k * h.Value / d.Value
			weight += k
			n++
		}
	}
	if n == 0 {
		return
	}
	scale, u := sum/weight, 1/math.Sqrt(weight)
	f := mesh.Finding{Code: "scale-by-hand", Severity: "note",
		What: fmt.Sprintf("%d hand measurements suggest multiplying the scan by %.5f ± %.5f (95 %%)", n, scale, u)}
	switch {
	case w.job.Enlarge.Trust == "by_hand":
		w.correct(scale)
		f.Advice = "applied, as the job asks (enlarge.trust: by_hand)"
	case math.Abs(scale-1) <= u:
		f.Advice = "the scan's scale agrees with them; nothing to do"
	default:
		f.Severity = "warning"
		f.Advice = "not applied; set enlarge.trust: by_hand to apply it"
	}
	w.find([]mesh.Finding{f})
}

// correct multiplies the ratio, so that full size follows the hand measurements.
func (w *work) correct(k float64) {
	opt := mesh.DefaultScaleOptions()
	opt.Up, opt.Ratio = w.scaled.Up, w.scaled.Ratio*k
	s, _, err := mesh.Scale(w.scaled.Mesh, opt)
	if err != nil {
		return
	}
	s.From = w.scaled.From
	w.scaled = s
	for i := range w.elements {
		e := &w.elements[i]
		e.vertexMM2 = w.scaled.VertexAreas(e.faces, e.vertex)
		e.deviation = newDeviation(e, s.Ratio, w.job.Limits.SurfaceMM)
		e.vertexMM2 = nil
	}
}

func (w *work) named(name string) *element {
	for i := range w.elements {
		if e := &w.elements[i]; name != "" && (e.id == name || e.name == name || slices.Contains(e.also, name)) {
			return e
		}
	}
	return nil
}

func dimension(e *element, key string) *primitive.Dimension {
	for i := range e.Dims {
		if e.Dims[i].Key == key {
			return &e.Dims[i]
		}
	}
	return nil
}

// u95 adds to a dimension's own uncertainty what the job gives: the scanner's
// scale, and a coating, which may stand on both sides of a length.
func (w *work) u95(e *element, d primitive.Dimension) float64 {
	u := d.U95
	if unitOf(d.Key) != "mm" {
		return u
	}
	if s := w.job.Scan.ScaleU95; s != nil {
		u = math.Hypot(u, *s*d.Value)
	}
	if c := w.job.Scan.CoatingMM; c != nil {
		u = math.Hypot(u, 2**c)
	}
	return u
}

func unitOf(key string) string {
	switch {
	case len(key) > 3 && key[len(key)-3:] == "_mm":
		return "mm"
	case len(key) > 4 && key[len(key)-4:] == "_deg":
		return "deg"
	}
	return ""
}

// missingUncertainty says what the job does not give.
func missingUncertainty(j job.Job) []mesh.Finding {
	if j.Scan.ScaleU95 != nil && j.Scan.CoatingMM != nil {
		return nil
	}
	what := "the scanner's scale uncertainty and the thickness of a coating are"
	advice := "give scan.scale_u95 (from the scanner's certificate) and scan.coating in the job"
	switch {
	case j.Scan.ScaleU95 != nil:
		what, advice = "the thickness of a coating is", "give scan.coating in the job, 0 mm if there was none"
	case j.Scan.CoatingMM != nil:
		what, advice = "the scanner's scale uncertainty is", "give scan.scale_u95 in the job, from the scanner's certificate"
	}
	return []mesh.Finding{{Code: "uncertainty-incomplete", Severity: "warning", What: what + " not known and not in any u95", Advice: advice}}
}
