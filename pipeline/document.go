package pipeline

import (
	"fmt"
	"math"
	"path/filepath"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh"
	"pointup/pipeline/result"
	"pointup/segment/primitive"
)

// document is the result of the work.
func (w *work) document(version string) result.Document {
	d := result.Document{
		Schema: result.SchemaName, Version: version, Job: w.jobOut(),
		Scan: ScanOf(w.report), Scale: w.scale(),
		Elements: result.List[result.Element]{},
	}
	for i := range w.elements {
		d.Elements = append(d.Elements, w.element(&w.elements[i]))
	}
	d.Contacts, d.Relations = w.contactList(), w.relationList()
	d.Unassigned = w.unassigned()
	var findings []result.Finding
	d.Stock, d.Shop, d.Cost, d.Joints, d.Rig, d.Order, d.Sections, d.Site, d.Access, d.Weather = w.stockDoc(), w.shopDoc(), w.costDoc(), w.jointsDoc(), w.rigDoc(), w.orderDoc(), w.haul, w.site, w.access, w.weather
	d.Revision = w.revisionDoc()
	d.Gates, findings = result.Gates(w.job.Gates, d.Elements, w.measured(d))
	for _, f := range append(w.findings, missingUncertainty(w.job)...) {
		d.Scan.Findings = append(d.Scan.Findings, findingOf(f))
	}
	d.Scan.Findings = append(append(d.Scan.Findings, findings...), revisionFindings(d.Revision)...)
	return d
}

// ScanOf is the scan object of the result: what checking found.
func ScanOf(r mesh.Report) result.Scan {
	s := result.Scan{
		File: filepath.Base(r.File), SHA256: r.SHA256, Unit: r.Unit, Triangles: r.Triangles, Vertices: r.Vertices,
		Shells: r.Shells, DustShells: r.DustShells, BoundaryLoops: r.BoundaryLoops, NonmanifoldEdges: r.NonmanifoldEdges,
		Watertight: r.Watertight, BoundsMM: result.Bounds{Min: point(r.MinMM), Max: point(r.MaxMM)},
		EdgeMedianMM: result.MM(r.EdgeMedianMM), NoiseMM: result.MM(r.NoiseMM), Findings: result.List[result.Finding]{},
	}
	for _, f := range r.Findings {
		s.Findings = append(s.Findings, findingOf(f))
	}
	return s
}

func findingOf(f mesh.Finding) result.Finding {
	out := result.Finding{Code: f.Code, Severity: f.Severity, What: f.What, Advice: f.Advice}
	if f.WhereMM != nil {
		p := result.Point{result.MM(f.WhereMM[0]), result.MM(f.WhereMM[1]), result.MM(f.WhereMM[2])}
		out.WhereMM = &p
	}
	return out
}

func point(p r3.Vec) result.Point {
	return result.Point{result.MM(p.X), result.MM(p.Y), result.MM(p.Z)}
}

func vector(p r3.Vec) result.Vector {
	return result.Vector{result.Direction(p.X), result.Direction(p.Y), result.Direction(p.Z)}
}

func (w *work) scale() result.Scale {
	s := result.Scale{Ratio: result.Factor(w.scaled.Ratio), From: w.scaled.From, HeightFullMM: result.MM(w.scaled.HeightFullMM)}
	for i, row := range w.scaled.SiteFromScan {
		for k, x := range row {
			s.SiteFromScan[i][k] = result.Factor(x)
		}
	}
	return s
}

// openLoop is the largest gap or overlap that stock sizes leave at a contact; nil
// where the assembly was not laid out.
func openLoop(s *result.Stock) *float64 {
	if !s.Assembly.Solved {
		return nil
	}
	gap := float64(s.Assembly.GapMM)
	return &gap
}

func (w *work) unassigned() result.Unassigned {
	u := result.Unassigned{Faces: w.soupFacets() - w.assigned(), AreaMM2: result.MM2(w.parts.DustAreaMM2), Why: "every facet belongs to an element"}
	if u.Faces > 0 {
		u.Why = "loose specks, facets of no area and second copies"
	}
	return u
}

func (w *work) soupFacets() int { return len(w.soup.Corners) }

func (w *work) assigned() int {
	n := 0
	for i := range w.elements {
		n += len(w.elements[i].faces) + len(w.elements[i].weld)
	}
	return n
}

// element writes one element as the contract has it.
func (w *work) element(e *element) result.Element {
	ratio := w.scaled.Ratio
	out := result.Element{
		ID: e.id, Name: e.name, Kind: e.Kind, Shell: e.shell, Faces: len(e.faces),
		Maquette: dims(&e.Element), U95: result.Widths{},
		Hidden: append(result.List[string]{}, e.Hidden...), Ends: result.List[result.End]{},
		Form:         formOf(e.Form),
		Frame:        result.Frame{OriginMM: point(e.Frame.OriginMM), Axis: vector(e.Frame.Axis), Ref: vector(e.Frame.Ref)},
		Alternatives: result.List[result.Alternative]{}, Coverage: result.Share(e.Coverage),
		Notes: append(result.List[string]{}, e.Notes...),
	}
	out.FullSize = atFullSize(out.Maquette.Times(ratio), &e.Element, ratio)
	for _, d := range e.Dims {
		if !d.Count && d.U95 > 0 {
			out.U95 = append(out.U95, result.Width{Key: d.Key, Value: w.u95(e, d)})
		}
	}
	for _, end := range e.Ends {
		x := result.End{Kind: end.Kind}
		if end.Kind != "open" && end.Kind != "hidden" {
			a := result.Deg(end.AngleDeg)
			x.AngleDeg = &a
		}
		out.Ends = append(out.Ends, x)
	}
	for _, a := range e.Alternatives {
		out.Alternatives = append(out.Alternatives, result.Alternative{Kind: a.Kind, RMSMM: result.MM(a.RMSMM)})
	}
	if v := e.deviation; v != nil {
		out.Deviation = &result.Deviation{RMSMM: result.MM(v.rmsMM), MeanMM: result.MM(v.meanMM), P95MM: result.MM(v.p95MM),
			MaxMM: result.MM(v.maxMM), Within: result.Share(v.within), Points: v.points, Histogram: histogramDoc(v.histogram)}
		if v.spikes > 0 {
			out.Notes = append(out.Notes, fmt.Sprintf("%d spikes left out of the largest deviation of %.2f mm at full size", v.spikes, v.maxMM))
		}
	}
	return out
}

func histogramDoc(h *histogram) *result.Histogram {
	out := &result.Histogram{Below: result.Share(h.below), Above: result.Share(h.above)}
	for _, x := range h.edgesMM {
		out.EdgesMM = append(out.EdgesMM, result.MM(x))
	}
	for _, x := range h.shares {
		out.Shares = append(out.Shares, result.Share(x))
	}
	return out
}

func formOf(f primitive.Form) result.Form {
	mm := func(x float64) *result.MM {
		if x < 0 || math.IsNaN(x) {
			return nil
		}
		v := result.MM(x)
		return &v
	}
	return result.Form{RoundnessMM: mm(f.RoundnessMM), StraightnessMM: mm(f.StraightnessMM), FlatnessMM: mm(f.FlatnessMM)}
}

// dims are the element's dimensions in the order they were found.
func dims(e *primitive.Element) result.Dims {
	out := result.Dims{}
	if e.Section != "" {
		out = append(out, result.Dim{Key: "section", Value: result.Text(e.Section)})
	}
	for _, d := range e.Dims {
		out = append(out, result.Dim{Key: d.Key, Value: valueOf(d)})
	}
	if e.Hand != "" {
		out = append(out, result.Dim{Key: "hand", Value: result.Text(e.Hand)})
	}
	for _, w := range e.Words {
		out = append(out, result.Dim{Key: w.Key, Value: result.Text(w.Text)})
	}
	if len(e.Holes) > 0 || e.Kind == "plate" || e.Kind == "rolled_plate" {
		out = append(out, result.Dim{Key: "holes", Value: holes(e.Holes)})
	}
	if len(e.Segments) > 0 {
		out = append(out, result.Dim{Key: "segments", Value: segments(e.Segments)})
	}
	out = append(out, features(e)...)
	if len(e.Outline) > 0 {
		key := "outline_mm"
		if e.Kind == "profile" {
			key = "section_mm"
		}
		if e.Kind == "profile" || e.Kind == "plate" {
			out = append(out, result.Dim{Key: key, Value: outline(e.Outline)})
		}
	}
	return out
}

func valueOf(d primitive.Dimension) result.Value {
	switch {
	case d.Count:
		return result.Count(int(math.Round(d.Value)))
	case unitOf(d.Key) == "mm":
		return result.MM(d.Value)
	case strings.HasSuffix(d.Key, "_mm2"):
		return result.MM2(d.Value)
	case strings.HasSuffix(d.Key, "_mm3"):
		return result.MM3(d.Value)
	case unitOf(d.Key) == "deg":
		return result.Deg(d.Value)
	}
	return result.Factor(d.Value)
}

func pair(p [2]float64) [2]result.MM { return [2]result.MM{result.MM(p[0]), result.MM(p[1])} }

func outline(steps []primitive.Step) result.Outline {
	out := result.Outline{}
	for _, s := range steps {
		x := result.Step{To: pair(s.To)}
		if s.Arc {
			via := pair(s.Via)
			x.Via = &via
		}
		out = append(out, x)
	}
	return out
}

// segments are the straights and arcs of a compound bend, as a bending shop
// reads them.
func segments(list []primitive.Segment) result.Segments {
	out := result.Segments{}
	for _, g := range list {
		x := result.Segment{Kind: g.Kind}
		for _, d := range g.Dims {
			mm, deg := result.MM(d.Value), result.Deg(d.Value)
			switch d.Key {
			case "length_mm":
				x.LengthMM = &mm
			case "centreline_diameter_mm":
				x.CentrelineDiameterMM = &mm
			case "sweep_deg":
				x.SweepDeg = &deg
			case "turn_deg":
				x.TurnDeg = &deg
			}
		}
		out = append(out, x)
	}
	return out
}

func holes(list []primitive.Hole) result.Holes {
	out := result.Holes{}
	for _, h := range list {
		x := result.Hole{Shape: h.Shape, CentreMM: pair(h.CentreMM)}
		switch h.Shape {
		case "round":
			d := result.MM(h.DiameterMM)
			x.DiameterMM = &d
		case "slot", "diamond", "rectangle":
			a, deg := pair(h.AcrossMM), result.Deg(h.AngleDeg)
			x.AcrossMM, x.AngleDeg = &a, &deg
		default:
			x.OutlineMM = outline(h.Outline)
		}
		out = append(out, x)
	}
	return out
}
