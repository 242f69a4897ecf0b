package pipeline

import (
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/stock"
	"pointup/segment/primitive"
)

// partAtSite is an element at full size, in SITE.
func (w *work) partAtSite(e *element) stock.Part {
	k := w.scaled.Ratio
	p := stock.Part{ID: e.id, Name: e.name, Kind: e.Kind, Section: e.Section, Hand: e.Hand, Dims: dimsTimes(e.Dims, k),
		Hidden: append([]string(nil), e.Hidden...), AreaMM2: e.areaMM2 * k * k}
	p.Frame = stock.Frame{OriginMM: w.scaled.SiteMM(e.Frame.OriginMM), Axis: w.siteWay(e.Frame.Axis), Ref: w.siteWay(e.Frame.Ref)}
	for _, x := range e.Ends {
		end := stock.End{Kind: x.Kind, AngleDeg: x.AngleDeg}
		if x.Out != (r3.Vec{}) {
			end.AtMM, end.Out = w.scaled.SiteMM(x.AtMM), w.siteWay(x.Out)
		}
		p.Ends = append(p.Ends, end)
	}
	for _, h := range e.Holes {
		p.Holes = append(p.Holes, stock.Hole{Shape: h.Shape, CentreMM: times(h.CentreMM, k), DiameterMM: h.DiameterMM * k,
			AcrossMM: times(h.AcrossMM, k), AngleDeg: h.AngleDeg, Outline: stepsTimes(h.Outline, k)})
	}
	p.Outline = stepsTimes(e.Outline, k)
	for _, s := range e.Segments {
		p.Segments = append(p.Segments, stock.Segment{Kind: s.Kind, Dims: dimsTimes(s.Dims, k)})
	}
	for _, l := range e.Lands {
		p.Lands = append(p.Lands, stock.Land{FromMM: k * l.FromMM, ToMM: k * l.ToMM, FrontMM: k * l.FrontMM, BackMM: k * l.BackMM})
	}
	if len(e.vertex) > 0 {
		p.BoxMM[0], p.BoxMM[1] = w.scaled.SiteBox(e.vertex)
	}
	if e.row >= 0 {
		p.Pin, p.Made = w.job.Pieces.Rows[e.row].Stock, w.job.Pieces.Rows[e.row].Made
	}
	return p
}

// siteWay turns a direction from SCAN to SITE.
func (w *work) siteWay(d r3.Vec) r3.Vec {
	return r3.Scale(1/w.scaled.Ratio, r3.Sub(w.scaled.SiteMM(d), w.scaled.SiteMM(r3.Vec{})))
}

// dimsTimes multiplies lengths, areas and volumes; angles and counts stay.
func dimsTimes(dims []primitive.Dimension, k float64) []stock.Dim {
	var out []stock.Dim
	for _, d := range dims {
		x := stock.Dim{Key: d.Key, Value: d.Value, U95: d.U95, Count: d.Count}
		f := 1.0
		switch {
		case strings.HasSuffix(d.Key, "_mm"):
			f = k
		case strings.HasSuffix(d.Key, "_mm2"):
			f = k * k
		case strings.HasSuffix(d.Key, "_mm3"):
			f = k * k * k
		}
		x.Value, x.U95 = f*x.Value, f*x.U95
		out = append(out, x)
	}
	return out
}

func times(q [2]float64, k float64) [2]float64 { return [2]float64{k * q[0], k * q[1]} }

func stepsTimes(steps []primitive.Step, k float64) []stock.Step {
	var out []stock.Step
	for _, s := range steps {
		out = append(out, stock.Step{To: times(s.To, k), Via: times(s.Via, k), Arc: s.Arc})
	}
	return out
}
