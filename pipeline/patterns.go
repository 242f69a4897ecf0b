package pipeline

import (
	"bytes"
	"fmt"
	"io"
	"slices"
	"strings"

	"pointup/pipeline/draw"
	"pointup/pipeline/result"
	"pointup/pipeline/sheet"
	"pointup/pipeline/shop"
	"pointup/pipeline/stock"
)

// patterns are files of the folder patterns, all of one list of parts.
type patterns struct {
	folder *result.Folder
	paper  string
	why    []error // what could not be drawn
	err    error   // of writing
}

// writePatterns writes what goes to the floor: flat patterns, nested sheets, wheel
// jigs, bend templates, saddles, mitres, sections of freeform pieces, and their
// tables. What cannot be drawn is told in a finding.
func (w *work) writePatterns(folder *result.Folder, parts []stock.Part, contacts []stock.Contact) ([]result.Finding, error) {
	p := &patterns{folder: folder, paper: "A4"}
	if w.job.Metal.System == "us" {
		p.paper = "Letter"
	}
	grade := w.job.Metal.Grade
	opt := shop.DefaultFlatOptions()
	opt.DensityKGM3 = w.densityKGM3()
	flats, why := shop.FlatsOf(parts, contacts, opt)
	p.why = append(p.why, why...)
	flats = append(flats, w.rolledTubes(p, parts, opt)...)
	flats = append(flats, w.bentSheets(p, parts, opt)...)
	flats = w.plies(p, flats, parts, opt)
	for _, f := range flats {
		p.drawing(f.Mark, f.Drawing(grade))
	}
	p.sheets(w, flats)
	p.wheels(parts)
	p.bends(parts)
	p.tubes(parts, contacts)
	w.sections(p, parts)
	w.steps(p, parts)
	if len(flats) > 0 {
		p.table("flat", shop.FlatTable(flats))
	}
	var findings []result.Finding
	for _, e := range p.why {
		findings = append(findings, result.Finding{Code: "no-pattern", Severity: "note", What: e.Error(), Advice: "draw it by hand, or give what is missing in the job"})
	}
	return findings, p.err
}

// markedParts are the as-stock parts with their piece marks before their names, as
// the floor calls them.
func (w *work) markedParts() []stock.Part {
	parts := slices.Clone(w.metal.assembly.Parts)
	for i := range parts {
		parts[i].Name = strings.TrimSpace(w.metal.list.Marks[i] + " " + parts[i].Name)
	}
	return parts
}

// rootGapMM is left between the edges of a rolled tube's seam; common practice, no
// source.
const rootGapMM = 3

// rolledTubes are the plates of straight tubes that are rolled since none are sold.
func (w *work) rolledTubes(p *patterns, parts []stock.Part, opt shop.FlatOptions) []shop.Flat {
	var out []shop.Flat
	if w.metal == nil {
		return nil
	}
	for _, f := range w.metal.choice.Families {
		if f.Route == nil || f.Route.Kind != "rolled" {
			continue
		}
		for _, i := range f.Members {
			length, known := parts[i].Size("length_mm")
			if parts[i].Kind != "tube" || !known {
				continue
			}
			flat, err := shop.RolledTube(parts[i].ID, f.Size.ODMM, f.Size.WallMM, length, rootGapMM, opt)
			if err != nil {
				p.why = append(p.why, err)
				continue
			}
			flat.Name = parts[i].Name
			out = append(out, flat)
		}
	}
	return out
}

// densityKGM3 is that of the job's metal, of steel where the tables do not know it.
func (w *work) densityKGM3() float64 {
	if m, err := stock.MaterialOf(w.job.Metal.Grade); err == nil {
		return m.DensityKGM3
	}
	return shop.DefaultFlatOptions().DensityKGM3
}

// drawing writes one as DXF and SVG.
func (p *patterns) drawing(name string, d draw.Drawing) {
	p.file(name+".dxf", func(b io.Writer) error { return draw.WriteDXF(b, d) })
	p.file(name+".svg", func(b io.Writer) error { return draw.WriteSVG(b, d) })
}

// paged writes it for the shop's printer as well; too large a one is told.
func (p *patterns) paged(name string, d draw.Drawing) {
	p.drawing(name, d)
	p.printed(name, d)
}

func (p *patterns) printed(name string, d draw.Drawing) {
	var b bytes.Buffer
	if err := draw.WritePDF(&b, d, draw.PDFOptions{Paper: p.paper}); err != nil {
		p.why = append(p.why, fmt.Errorf("%s: %w", name, err))
		return
	}
	p.file(name+".pdf", func(out io.Writer) error { _, err := out.Write(b.Bytes()); return err })
}

func (p *patterns) file(name string, write func(io.Writer) error) {
	if p.err != nil {
		return
	}
	var b bytes.Buffer
	if err := write(&b); err != nil {
		p.err = fmt.Errorf("patterns/%s: %w", name, err)
		return
	}
	p.err = p.folder.Write("patterns/"+name, b.Bytes())
}

func (p *patterns) table(name string, t sheet.Table) {
	p.file(name+".csv", func(b io.Writer) error {
		data, err := sheet.CSV(t)
		if err == nil {
			_, err = b.Write(data)
		}
		return err
	})
}

// sheets draws the sheets that the cut list is nested on.
func (p *patterns) sheets(w *work, flats []shop.Flat) {
	if w.metal == nil {
		return
	}
	byMark := map[string][]shop.Flat{}
	for _, f := range flats {
		id, _, _ := strings.Cut(f.Mark, "-ply-")
		if i := w.indexOf(id); i >= 0 {
			m := w.metal.list.Marks[i]
			byMark[m] = append(byMark[m], f)
		}
	}
	for _, n := range w.metal.nests {
		for _, s := range shop.DrawSheets(n, byMark) {
			p.drawing(fmt.Sprintf("sheet-%s-%d", strings.NewReplacer(" ", "-", "/", "-").Replace(n.Stock.Mark), s.Number), s.Drawing)
		}
	}
}

func (p *patterns) wheels(parts []stock.Part) {
	var list []shop.WheelWork
	for _, x := range parts {
		if x.Kind != "toothed_wheel" || x.Made {
			continue
		}
		w, err := shop.WheelOf(x, shop.DefaultWheelOptions())
		if err != nil {
			p.why = append(p.why, err)
			continue
		}
		list = append(list, w)
		p.drawing(w.Mark+"-jig", w.JigDrawing())
	}
	if len(list) > 0 {
		p.table("teeth", shop.TeethTable(list))
	}
}

// templateMM is the chord of bend templates: what one hand holds; common
// practice, no source.
const templateMM = 600

func (p *patterns) bends(parts []stock.Part) {
	var list []shop.Forming
	for _, x := range parts {
		bent := x.Kind == "arc" || x.Kind == "coil" || x.Kind == "ring"
		if !bent || x.Made || shop.IsFlat(x) {
			continue
		}
		f, err := shop.FormingOf(x, templateMM)
		if err != nil {
			p.why = append(p.why, err)
			continue
		}
		list = append(list, f)
		for i := range f.Steps {
			if d, ok := f.Template(i); ok {
				p.drawing(fmt.Sprintf("%s-bend-%d", f.Mark, i+1), d)
			}
		}
	}
	if len(list) > 0 {
		p.table("bends", shop.BendTable(list))
	}
}

// tubes are ends of tubes that are not square.
func (p *patterns) tubes(parts []stock.Part, contacts []stock.Contact) {
	opt := shop.DefaultSaddleOptions()
	saddles, why := shop.SaddlesOf(parts, contacts, opt)
	p.why = append(p.why, why...)
	for _, s := range saddles {
		name := s.Branch + "-on-" + s.Header
		p.paged(name, s.Wrap())
		p.paged(name+"-hole", s.HoleTemplate())
	}
	var mitres []shop.Mitre
	for _, x := range parts {
		m, err := shop.MitresOf(x, opt.Stations)
		if err != nil {
			p.why = append(p.why, err)
		}
		arcs, err := shop.ArcEndsOf(x, opt.Stations)
		if err != nil {
			p.why = append(p.why, err)
		}
		mitres = append(append(mitres, m...), arcs...)
	}
	for _, m := range mitres {
		p.paged(fmt.Sprintf("%s-end-%d", m.Part, m.End), m.Wrap())
	}
	if len(saddles)+len(mitres) > 0 {
		p.table("saddles", shop.SaddleTable(saddles, mitres))
	}
}

// sections are ribs of freeform pieces.
func (w *work) sections(p *patterns, parts []stock.Part) {
	k := w.scaled.Ratio
	for _, x := range parts {
		if x.Kind != "freeform" || x.Made {
			continue
		}
		for i, s := range w.madeFrom(x).Sections {
			var loops [][][2]float64
			for _, l := range s.Loops {
				own := make([][2]float64, len(l))
				for n, q := range l {
					own[n] = times(q, k)
				}
				loops = append(loops, own)
			}
			if d, ok := shop.SectionTemplate(x.ID, x.Name, i+1, s.StationMM*k, loops); ok {
				p.paged(fmt.Sprintf("%s-section-%d", x.ID, i+1), d)
			}
		}
	}
}
