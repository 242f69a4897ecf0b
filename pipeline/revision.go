package pipeline

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"pointup/mesh"
	"pointup/pipeline/quantity"
	"pointup/pipeline/result"
	"pointup/pipeline/shop"
	"pointup/pipeline/stock"
)

// revised is a piece that exists at full size: what it was cut to, and what this scan
// and these settings would make of it.
type revised struct {
	part     int
	from     string // where was comes from
	wasStock string
	nowStock string
	was, now []stock.Dim
	reshaped string // its kind in the earlier run, where that was another
}

// Where the size of a piece that is made is known from.
const (
	fromEarlier = "an earlier run"
	fromStock   = "the stock named in the job"
	fromScan    = "the scan"
)

// freeze gives pieces that are made the sizes to which they were cut: those of the
// result that stands in the output folder, or else of the stock that the job names,
// or else those of the scan. It returns the parts and what would change if they were
// cut anew.
func (w *work) freeze(scan []stock.Part, contacts []stock.Contact, relations []stock.Relation, cat stock.Catalogue) ([]stock.Part, []revised, error) {
	if !slices.ContainsFunc(scan, func(p stock.Part) bool { return p.Made }) {
		return scan, nil, nil
	}
	anew := slices.Clone(scan)
	for i := range anew {
		anew[i].Made = false
	}
	choice, err := stock.Choose(stock.MeetEnds(anew, contacts), relations, cat, w.stockOptions())
	if err != nil {
		return nil, nil, AsInput(fmt.Errorf("stock: %w", err))
	}
	now := stock.AsStock(anew, choice)
	before := w.earlier()
	out := slices.Clone(scan)
	var list []revised
	for i, p := range scan {
		if !p.Made {
			continue
		}
		r := revised{part: i, from: fromScan, was: p.Dims, now: now[i].Dims, nowStock: (&metal{choice: choice}).stockOf(i)}
		switch was, kind, mark := cutTo(before, p.ID); {
		case was != nil && kind == p.Kind:
			r.from, r.was, r.wasStock = fromEarlier, was, mark
		case was != nil:
			r.reshaped, r.wasStock = kind, mark
		case p.Pin != "":
			r.from, r.was, r.wasStock = fromStock, now[i].Dims, r.nowStock
		}
		out[i] = cutAs(p, r.was)
		list = append(list, r)
	}
	return out, list, nil
}

// earlierMost bounds the result that is read: no work has so many pieces.
const earlierMost = 256 << 20

// earlier is the result of the run before in the output folder, nil where there is
// none that can be read.
func (w *work) earlier() *result.Document {
	if w.keep == nil || w.keep.dir == "" {
		return nil
	}
	path := filepath.Join(w.keep.dir, "result.json")
	if info, err := os.Stat(path); err != nil || !info.Mode().IsRegular() || info.Size() > earlierMost {
		return nil
	}
	data, err := os.ReadFile(path)
	if err != nil {
		return nil
	}
	d, err := result.Decode(data)
	if err != nil {
		w.find([]mesh.Finding{{Code: "earlier-result-unread", Severity: "warning", What: "the result of an earlier run cannot be read, so that sizes of pieces that are made come from the scan: " + err.Error(),
			Advice: "put the result.json back from which the pieces were cut"}})
		return nil
	}
	return &d
}

// cutTo are the sizes of a piece in an earlier result, its kind and its stock.
func cutTo(d *result.Document, id string) (dims []stock.Dim, kind, mark string) {
	if d == nil || d.Stock == nil {
		return nil, "", ""
	}
	for i, p := range d.Stock.Parts {
		if p.ID != id || i >= len(d.Elements) {
			continue
		}
		for _, x := range p.FullSize {
			dims = append(dims, stock.Dim{Key: x.Key, Value: float64(x.Value), Count: !strings.Contains(x.Key, "_mm") && !strings.HasSuffix(x.Key, "_deg") && x.Key != "turns"})
		}
		kind, mark = d.Elements[i].Kind, p.Stock
	}
	if d.Revision != nil {
		for _, x := range d.Revision.Pieces {
			if x.ID == id && x.WasStock != "" {
				mark = x.WasStock // in the result it is as made
			}
		}
	}
	return dims, kind, mark
}

// cutAs is a part with other sizes; the outline of a plate is stretched to them.
func cutAs(p stock.Part, dims []stock.Dim) stock.Part {
	before := p
	p.Dims = slices.Clone(p.Dims)
	for i, d := range p.Dims {
		for _, x := range dims {
			if x.Key == d.Key && !d.Count {
				p.Dims[i] = stock.Dim{Key: d.Key, Value: x.Value}
			}
		}
	}
	for _, x := range dims {
		if _, known := before.Size(x.Key); !known && !x.Count {
			p.Dims = append(p.Dims, stock.Dim{Key: x.Key, Value: x.Value})
		}
	}
	p.Hidden = slices.DeleteFunc(slices.Clone(p.Hidden), func(key string) bool { _, known := p.Size(key); return known })
	if p.Kind == "plate" {
		p.Outline = slices.Clone(p.Outline)
		u, v := grown(before, p, "length_mm"), grown(before, p, "width_mm")
		for i := range p.Outline {
			s := &p.Outline[i]
			s.To, s.Via = [2]float64{u * s.To[0], v * s.To[1]}, [2]float64{u * s.Via[0], v * s.Via[1]}
		}
	}
	return p
}

// grown is the ratio of a size of a part to that of the same part before, 1 where
// either is not known.
func grown(before, now stock.Part, key string) float64 {
	a, okA := before.Size(key)
	b, okB := now.Size(key)
	if !okA || !okB || !(a > 0) || !(b > 0) {
		return 1
	}
	return b / a
}

// closesMM is the gap up to which a fillet needs no longer leg: 1/16 in (AWS D1.1,
// from memory).
const closesMM = 1.6

// revisionDoc lists what changes among pieces that are made; nil where none is.
func (w *work) revisionDoc() *result.Revision {
	if len(w.metal.revised) == 0 {
		return nil
	}
	out := &result.Revision{Assumptions: result.List[string]{
		"a piece that is made keeps its sizes; it is placed where the present scan has it, and does not move",
		"what it would be now is before the pieces are laid out: an end that is cut to fit what it meets changes its length by a little",
		"a change within the linear class of limits.work (ISO 13920) is within the shop's own tolerance",
		fmt.Sprintf("a joint closes where the gap or overlap with the made piece is at most %.1f mm (1/16 in, over which the leg of a fillet grows; AWS D1.1, from memory)", closesMM)},
		Cautions: result.List[string]{"measure the piece before it is kept or scrapped: what stands here is what it should have been cut to, not what it is"}}
	class := shop.ClassOf(w.job.Limits.Work)
	for _, r := range w.metal.revised {
		x := result.Revised{ID: w.elements[r.part].id, Name: w.elements[r.part].name, From: r.from, WasStock: r.wasStock, NowStock: r.nowStock, WasKind: r.reshaped}
		for _, d := range r.now {
			if c, changed := changeOf(r.was, d, class); changed {
				x.Changes = append(x.Changes, c)
				x.Changed = x.Changed || !c.Within
			}
		}
		x.Changed = x.Changed || r.reshaped != "" || r.wasStock != "" && r.wasStock != r.nowStock && r.wasStock != "as made"
		x.Joints = w.madeJoints(r.part)
		out.Pieces = append(out.Pieces, x)
	}
	return out
}

// angleDeg is what an angle of a piece may be off: 20', class B of ISO 13920 for legs
// over 1 m.
const angleDeg = 1.0 / 3

// changeOf is what becomes of one size, false where it is the same to 1e-3 mm.
func changeOf(was []stock.Dim, now stock.Dim, class string) (result.Change, bool) {
	for _, d := range was {
		by := quantity.Round(now.Value-d.Value, 3)
		if d.Key != now.Key || by == 0 {
			continue
		}
		c := result.Change{Key: d.Key, Was: result.Factor(quantity.Round(d.Value, 4)), Now: result.Factor(quantity.Round(now.Value, 4)), By: result.Factor(by)}
		switch {
		case strings.HasSuffix(d.Key, "_deg"):
			c.Within = math.Abs(by) <= angleDeg
		case !strings.HasSuffix(d.Key, "_mm"):
			c.Within = !d.Count && math.Abs(by) <= 0.01 // of a turn
		default:
			if tol, err := shop.LinearMM(class, d.Value); err == nil {
				c.PlusMinusMM, c.Within = new(result.MM(tol)), math.Abs(by) <= tol
			}
		}
		return c, true
	}
	return result.Change{}, false
}

// madeJoints are the joints of a piece with what is left open at each.
func (w *work) madeJoints(part int) (out result.List[result.MadeJoint]) {
	for _, j := range w.metal.assembly.Joints {
		if j.A == part || j.B == part {
			out = append(out, result.MadeJoint{With: w.elements[j.A+j.B-part].id, GapMM: result.MM(j.GapMM), Closes: math.Abs(j.GapMM) <= closesMM})
		}
	}
	return out
}

// madeChange is the largest change of a length of a made piece, nil where no earlier
// size is known.
func madeChange(r *result.Revision) *float64 {
	if r == nil {
		return nil
	}
	var most *float64
	for _, p := range r.Pieces {
		if p.From != fromEarlier {
			continue
		}
		if most == nil {
			most = new(0.0)
		}
		for _, c := range p.Changes {
			if strings.HasSuffix(c.Key, "_mm") {
				*most = max(*most, math.Abs(float64(c.By)))
			}
		}
	}
	return most
}

// revisionFindings say which pieces that are made would be cut otherwise now, and
// which of their joints do not close.
func revisionFindings(r *result.Revision) (out []result.Finding) {
	if r == nil {
		return nil
	}
	for _, p := range r.Pieces {
		if p.Changed {
			what := "the piece " + p.ID + " is made and would be another now:"
			for _, c := range p.Changes {
				if !c.Within {
					what += fmt.Sprintf(" %s %s, was %s;", c.Key, quantity.Decimal(float64(c.Now), 1), quantity.Decimal(float64(c.Was), 1))
				}
			}
			if p.WasKind != "" {
				what += " it was a " + p.WasKind + ";"
			}
			if p.WasStock != "" && p.WasStock != p.NowStock {
				what += " stock " + p.NowStock + ", was " + p.WasStock + ";"
			}
			out = append(out, result.Finding{Code: "made-piece-changed", Severity: "warning", What: strings.TrimSuffix(what, ";"), Advice: "keep it and take the sizes of the pieces that meet it from this result, or cut it anew and take made off its row"})
		}
		for _, j := range p.Joints {
			if !j.Closes {
				out = append(out, result.Finding{Code: "made-joint-open", Severity: "warning", What: fmt.Sprintf("the made piece %s and %s do not close: %.1f mm are left", p.ID, j.With, float64(j.GapMM)),
					Advice: "cut the piece that is not made yet to fit on trial assembly"})
			}
		}
	}
	return out
}
