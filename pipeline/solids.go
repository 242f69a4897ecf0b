package pipeline

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"sync"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/result"
	"pointup/pipeline/solid"
	"pointup/pipeline/stock"
	"pointup/segment/primitive"
)

// solids are parts as true solids at full size, in their order. A part of which
// none can be made is left out, and a finding says so. scanned tells that the
// parts have the sizes of the scan: only then can the fitted surface judge them.
func (w *work) solids(parts []stock.Part, scanned bool) ([]solid.Piece, []result.Finding) {
	var out []solid.Piece
	var findings []result.Finding
	for _, part := range parts {
		e := w.madeFrom(part)
		best, off, err := w.solidFor(part, scanned)
		if best.shape == nil {
			findings = append(findings, result.Finding{Code: "no-solid", Severity: "note",
				What:   fmt.Sprintf("%s has no solid model: %s", e.id, whyNoSolid(e, err)),
				Advice: "draw it from the scan, or give its kind in the job"})
			continue
		}
		p := pieceFor(part, best, w.job.Metal.Grade)
		if !scanned {
			p.Props = append(w.stockProps(part.ID), p.Props...)
		}
		if f, faceted := best.shape.(solid.Facets); faceted {
			p.Notes = append(p.Notes, facetsNote(f))
		} else if limit := max(w.scaled.Ratio*modelOff*e.RMSMM, modelShare*w.partSize(part)); scanned && off > limit {
			p.Notes = append(p.Notes, fmt.Sprintf("the model leaves the fitted surface by up to %.1f mm", off))
		}
		out = append(out, p)
	}
	return out, findings
}

// A model may leave the fitted surface by this many standard deviations of the
// scan, or this share of the part's size, before a note says so: at the cut
// corners of ends and the flanks of teeth it always does.
const (
	modelOff   = 6
	modelShare = 0.005
)

// madeFrom is what a part was made of.
func (w *work) madeFrom(p stock.Part) *element {
	if i := w.indexOf(p.ID); i >= 0 {
		return &w.elements[i]
	}
	return &element{Element: primitive.Element{Kind: p.Kind}} // a piece that was added
}

func (w *work) partSize(p stock.Part) float64 { return r3.Norm(r3.Sub(p.BoxMM[1], p.BoxMM[0])) }

func whyNoSolid(e *element, err error) string {
	if err != nil {
		return err.Error()
	}
	return "the scan does not show all that it takes"
}

// model is the solid of an element: which of the possible ones it is, and how far
// it leaves the ideal surface, mm at full size; err says why there is none.
type model struct {
	found sync.Once
	best  placed
	which int
	offMM float64
	err   error
}

// solidOf is the solid of an element, found once, whoever asks first.
func (w *work) solidOf(i int) (best placed, which int, offMM float64, err error) {
	w.modelsOnce.Do(func() { w.models = make([]model, len(w.elements)) })
	m := &w.models[i]
	m.found.Do(func() {
		e := &w.elements[i]
		m.best, m.which, m.offMM, m.err = w.nearestSolid(w.partAtSite(e), e)
	})
	return m.best, m.which, m.offMM, m.err
}

// stockProps are what the floor calls a piece: its mark, its stock, its mass.
func (w *work) stockProps(id string) []solid.Prop {
	i := w.indexOf(id)
	if i < 0 || w.metal == nil {
		return nil
	}
	out := []solid.Prop{{Key: "piece_mark", Text: w.metal.list.Marks[i]}, {Key: "stock", Text: w.metal.stockOf(i)}}
	if kg := w.metal.massKG[i]; kg > 0 {
		out = append(out, solid.Prop{Key: "mass_kg", Unit: "kg", Num: math.Round(kg*1000) / 1000})
	}
	return slices.DeleteFunc(out, func(p solid.Prop) bool { return p.Text == "" && p.Num == 0 })
}

// solidFor is the solid of a part. One with sizes of stock is the same of several
// possible ones as the element that it was made from; nothing else can judge it.
func (w *work) solidFor(part stock.Part, scanned bool) (best placed, offMM float64, err error) {
	i := w.indexOf(part.ID)
	if i < 0 {
		for _, c := range solidsOf(part) {
			return c, 0, nil // a piece that was added
		}
		return placed{}, 0, nil
	}
	best, which, off, err := w.solidOf(i)
	if scanned || best.shape == nil {
		return best, off, err
	}
	if _, faceted := best.shape.(solid.Facets); faceted {
		best.frame = solid.NewFrame(part.Frame.OriginMM, part.Frame.Axis, part.Frame.Ref)
		return best, 0, nil
	}
	all := solidsOf(part)
	if which >= len(all) {
		return placed{}, 0, nil
	}
	if _, err := all[which].shape.Body(); err != nil {
		return placed{}, 0, err
	}
	return all[which], 0, nil
}

// indexOf is the place of an element, -1 for none.
func (w *work) indexOf(id string) int {
	return slices.IndexFunc(w.elements, func(e element) bool { return e.id == id })
}

// nearestSolid is the one of a part's possible solids whose surface lies nearest
// to the element's ideal one.
func (w *work) nearestSolid(part stock.Part, e *element) (best placed, which int, offMM float64, err error) {
	if e.Kind == "freeform" && len(e.faces) > 0 {
		if best, err = w.facetsOf(part, e); err != nil {
			best.shape = nil
		}
		return best, 0, 0, err
	}
	offMM = math.Inf(1)
	for k, c := range solidsOf(part) {
		var m solid.Mesh
		if _, err = c.shape.Body(); err != nil {
			continue
		}
		if m, err = c.shape.Mesh(0.002 * w.partSize(part)); err != nil {
			continue
		}
		off := 0.0
		for i := 0; i < len(m.Points); i += len(m.Points)/solidLooks + 1 {
			q := m.Points[i]
			off = max(off, w.scaled.Ratio*math.Abs(e.DistanceMM(w.scanPoint(c.frame.Point(q.X, q.Y, q.Z)))))
		}
		if off < offMM {
			best, which, offMM = c, k, off
		}
	}
	if best.shape != nil {
		err = nil
	}
	return best, which, offMM, err
}

// solidLooks is how many points tell one solid from another.
const solidLooks = 300

// scanPoint takes a point of SITE back to SCAN.
func (w *work) scanPoint(p r3.Vec) r3.Vec {
	m := w.scaled.SiteFromScan
	k := 1 / (w.scaled.Ratio * w.scaled.Ratio) // rows are a rotation times the ratio
	d := r3.Vec{X: p.X - m[0][3], Y: p.Y - m[1][3], Z: p.Z - m[2][3]}
	return r3.Vec{
		X: k * (m[0][0]*d.X + m[1][0]*d.Y + m[2][0]*d.Z),
		Y: k * (m[0][1]*d.X + m[1][1]*d.Y + m[2][1]*d.Z),
		Z: k * (m[0][2]*d.X + m[1][2]*d.Y + m[2][2]*d.Z),
	}
}

// steel is the colour of the models: one, since kinds have names.
var steel = [3]uint8{152, 158, 163}

// pieceFor is a part as a solid with what a drafter needs to know of it.
func pieceFor(part stock.Part, at placed, grade string) solid.Piece {
	p := solid.Piece{Mark: part.ID, Name: part.Name, Kind: part.Kind, Material: grade, Colour: steel, Frame: at.frame, Shape: at.shape}
	for _, d := range part.Dims {
		x := solid.Prop{Key: d.Key, Num: math.Round(d.Value*1e4) / 1e4}
		switch {
		case strings.HasSuffix(d.Key, "_mm"), strings.HasSuffix(d.Key, "_mm2"), strings.HasSuffix(d.Key, "_mm3"):
			x.Unit = d.Key[strings.LastIndexByte(d.Key, '_')+1:]
		case strings.HasSuffix(d.Key, "_deg"):
			x.Unit = "deg"
		}
		p.Props = append(p.Props, x)
	}
	if len(part.Hidden) > 0 {
		p.Notes = append(p.Notes, "not seen by the scan: "+strings.Join(part.Hidden, ", "))
	}
	return p
}
