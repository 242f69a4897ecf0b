package pipeline

import (
	"fmt"
	"reflect"

	"pointup/mesh"
	"pointup/pipeline/quantity"
	"pointup/pipeline/site"
	"pointup/pipeline/stock"
)

// checkSite runs the engineer's preliminary check where the job says what wind acts
// on the work, and looks for openings in which people may be caught. A finding says
// why there is none.
func (w *work) checkSite() {
	if w.job.Site == nil || len(w.elements) == 0 {
		return
	}
	opt := site.CheckOptionsOf(*w.job.Site)
	pieces := w.sitePieces()
	w.outdoors(pieces, opt.ReachMM)
	if w.job.Site.Wind == nil {
		return
	}
	report, err := w.siteReport(pieces, opt)
	if err != nil {
		w.find([]mesh.Finding{{Code: "site-not-checked", Severity: "warning", What: "the work was not checked for wind and its own weight: " + err.Error(),
			Advice: "have an engineer check it; correct pieces and contacts first where they are wrong"}})
		return
	}
	rounded(reflect.ValueOf(&report))
	w.site = &report
	w.findOverloaded(report)
}

// findOverloaded says what is over 1 as the work stands, and while it is built or hangs.
func (w *work) findOverloaded(r site.Report) {
	if r.Utilisation > 1 {
		w.find([]mesh.Finding{{Code: "overloaded", Severity: "warning", What: fmt.Sprintf("%s is used to %.0f %% under %s, by a preliminary check", r.UtilisationOf, 100*r.Utilisation, r.Code),
			Advice: "see what it needs in the report's site section; a licensed engineer decides"}})
	}
	for _, g := range r.Stages {
		if g.Utilisation > 1 {
			w.find([]mesh.Finding{{Code: "overloaded-stage", Severity: "warning", What: fmt.Sprintf("%s: %s is used to %.0f %%, by a preliminary check", g.Name, g.UtilisationOf, 100*g.Utilisation),
				Advice: "hold it elsewhere or in parts, or strengthen it; a qualified person decides"}})
		}
	}
}

// outdoors says what rain, air and sun do to the work, and what people meet on it.
func (w *work) outdoors(pieces []site.Piece, reachMM float64) {
	density := 0.0
	if m, err := stock.MaterialOf(w.job.Metal.Grade); err == nil {
		density = m.DensityKGM3
	}
	weather, access := site.Outdoors(pieces, w.metal.contacts, site.WeatherOptionsOf(*w.job.Site, w.job.Metal, density), reachMM)
	rounded(reflect.ValueOf(&weather))
	rounded(reflect.ValueOf(&access))
	w.weather, w.access = &weather, &access
}

func (w *work) siteReport(pieces []site.Piece, opt site.CheckOptions) (site.Report, error) {
	material, err := stock.MaterialOf(w.job.Metal.Grade)
	if err != nil {
		return site.Report{}, err
	}
	metal, err := site.MetalOf(material)
	if err != nil {
		return site.Report{}, err
	}
	pressure, err := site.NewPressure(*w.job.Site.Wind)
	if err != nil {
		return site.Report{}, err
	}
	frame, err := site.Build(pieces, w.metal.contacts, metal, site.DefaultOptions())
	if err != nil {
		return site.Report{}, err
	}
	report, err := site.Check(frame, metal, pressure, opt)
	if err != nil {
		return report, err
	}
	report.Basis = append(report.Basis, site.StageBasis)
	report.Stages = site.Stages(pieces, w.metal.contacts, metal, pressure, w.partialBuilds(), w.hanging(pieces))
	return report, nil
}

// sitePieces are the as-stock parts with their stock, mass and surface.
func (w *work) sitePieces() []site.Piece {
	m := w.metal
	out := make([]site.Piece, len(m.assembly.Parts))
	for i, p := range stock.MeetEnds(m.assembly.Parts, m.contacts) {
		out[i] = site.Piece{Part: p, MassKG: m.massKG[i]}
		if best, _, err := w.solidFor(p, false); err == nil && best.shape != nil {
			if s, err := meshOf(best, siteChord*w.partSize(p)); err == nil {
				out[i].PointsMM, out[i].Triangles = s.Points, s.Triangles
			}
		}
	}
	for _, pick := range m.choice.Families {
		for _, at := range pick.Members {
			out[at].Size = pick.Size
		}
	}
	return out
}

// siteChord is how far triangles leave a piece, of its size: projected areas are
// then right to a thousandth.
const siteChord = 0.002

// rounded leaves six significant digits of every number: more than any of these
// figures has.
func rounded(v reflect.Value) {
	switch v.Kind() {
	case reflect.Pointer, reflect.Interface:
		if !v.IsNil() {
			rounded(v.Elem())
		}
	case reflect.Struct:
		for i := range v.NumField() {
			rounded(v.Field(i))
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			rounded(v.Index(i))
		}
	case reflect.Float64:
		if v.CanSet() {
			v.SetFloat(quantity.RoundSignificant(v.Float(), 6))
		}
	}
}

// utilisation is the greatest of members and welds, nil where it was not checked.
func (w *work) utilisation() *float64 {
	if w.site == nil {
		return nil
	}
	return &w.site.Utilisation
}
