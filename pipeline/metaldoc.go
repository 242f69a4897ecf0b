package pipeline

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/quantity"
	"pointup/pipeline/result"
	"pointup/pipeline/shop"
	"pointup/pipeline/stock"
)

// stockDoc writes the choice of stock and the assembly that comes of it.
func (w *work) stockDoc() *result.Stock {
	m := w.metal
	c := m.choice
	s := &result.Stock{System: w.job.Metal.System, Grade: w.job.Metal.Grade, Missing: c.Missing,
		Objective: result.Objective{Cost: result.Factor(c.Cost), LowerBound: result.Factor(c.LowerBound), GapShare: result.Share(c.GapShare), Exact: c.Exact, Sizes: c.Sizes},
		Assembly:  w.assemblyDoc(), Fidelity: w.fidelity, Gauge: w.gaugeDoc()}
	for _, r := range m.readings {
		s.Measure = append(s.Measure, result.Reading{Element: w.elements[r.Part].id, Key: r.Key, Chance: result.Share(r.Chance), ScanMM: result.MM(r.ValueMM / w.scaled.Ratio),
			BorderMM: result.MM(r.BorderMM / w.scaled.Ratio), Other: r.Other})
	}
	for _, pick := range c.Families {
		s.Families = append(s.Families, w.familyDoc(pick))
	}
	for i := range m.assembly.Parts {
		s.Parts = append(s.Parts, w.partDoc(i))
		s.MassKG += result.KG(m.massKG[i])
	}
	for _, d := range c.Decisions {
		x := result.Decision{Elements: w.ids(d.Parts), What: d.What, Taken: d.Taken}
		for _, way := range d.Ways {
			x.Ways = append(x.Ways, result.Way{Name: way.Name, Stock: way.Mark, ChangeMM: result.MM(way.ChangeMM), MassKG: result.KG(way.MassKG), Text: way.Text})
		}
		s.Decisions = append(s.Decisions, x)
	}
	return s
}

// gaugeDoc writes what the maquette's own metal tells of the scan's scale.
func (w *work) gaugeDoc() *result.Gauge {
	g := w.metal.gauge
	out := &result.Gauge{Verdict: g.Verdict, What: g.Text}
	if g.Verdict != "uninformative" {
		e, low, high := result.Factor(quantity.Round(g.ErrorShare, 6)), result.Factor(quantity.Round(g.Low, 6)), result.Factor(quantity.Round(g.High, 6))
		out.Error, out.Low, out.High = &e, &low, &high
		for i, m := range g.Matches {
			f := w.metal.found[i]
			out.Fitted = append(out.Fitted, result.Match{Element: w.elements[f.Part].id, Key: f.Key, FoundMM: result.MM(f.ValueMM), Mark: m.Mark, SizeMM: result.MM(m.SizeMM), Chance: result.Share(m.Standard)})
		}
	}
	return out
}

func (w *work) familyDoc(p stock.Pick) result.Family {
	m := w.metal
	f := result.Family{Letter: p.Letter, Class: p.Class, Elements: w.ids(p.Members), Missing: p.Missing, Pinned: p.Pinned, OpenEnd: p.End,
		Nearest: markOf(p.Nearest), Below: markOf(p.Below), Above: markOf(p.Above), ChangeOf: p.ChangeOf, ChangeMM: result.MM(p.ChangeMM),
		ChangeShare: result.Share(p.ChangeShare), ChangeU95MM: result.MM(p.ChangeU95MM), Within: p.Within, WhyWall: p.WhyWall}
	if p.Size.Mark != "" {
		f.Stock = sizeDoc(p.Size)
	}
	if r := p.Route; r != nil {
		f.Route = &result.Route{Kind: r.Kind, Text: r.Text}
		for _, s := range r.From {
			f.Route.From = append(f.Route.From, s.Mark)
		}
	}
	for _, l := range p.Lead {
		x := result.Lead{Key: l.Key, ScanMM: result.MM(l.ValueMM), U95MM: result.MM(l.U95MM)}
		if mm := p.Size.Of(l.Key); mm > 0 {
			v := result.MM(mm)
			x.StockMM = &v
		}
		f.Sizes = append(f.Sizes, x)
	}
	for _, e := range p.Each {
		x := result.Each{ID: w.elements[e.Part].id, ChangeMM: result.MM(e.ChangeMM), ChangeShare: result.Share(e.ChangeShare), WhyNoMass: m.whyNot[e.Part]}
		x.MassKG = m.kg(e.Part)
		f.Marks = append(f.Marks, m.list.Marks[e.Part])
		if v := w.elements[e.Part].deviation; v != nil && (f.FitRMSMM == nil || result.MM(v.rmsMM) > *f.FitRMSMM) {
			rms := result.MM(v.rmsMM)
			f.FitRMSMM = &rms
		}
		f.MassKG += result.KG(m.massKG[e.Part])
		f.Each = append(f.Each, x)
	}
	return f
}

// tilt is a turn without the spin about the part's own axis, where that changes
// nothing.
func tilt(p stock.Part, turn r3.Vec) r3.Vec {
	if len(p.Holes) == 0 && slices.Contains([]string{"tube", "bar", "disc", "ring", "cone"}, p.Kind) {
		return r3.Sub(turn, r3.Scale(r3.Dot(turn, p.Frame.Axis), p.Frame.Axis))
	}
	return turn
}

// stockOf is the mark of a part's stock, empty where it has none.
func (m *metal) stockOf(part int) string {
	for _, pick := range m.choice.Families {
		if slices.Contains(pick.Members, part) {
			return pick.Size.Mark
		}
	}
	return ""
}

// kg is the mass of a part, nil where it is not known.
func (m *metal) kg(part int) *result.KG {
	if m.massKG[part] <= 0 {
		return nil
	}
	kg := result.KG(m.massKG[part])
	return &kg
}

func markOf(s *stock.Size) string {
	if s == nil {
		return ""
	}
	return s.Mark
}

func sizeDoc(s stock.Size) *result.StockSize {
	return &result.StockSize{Mark: s.Mark, Form: s.Form, System: s.System, Standard: s.Standard, FromMemory: s.FromMemory, ODMM: result.MM(s.ODMM),
		WallMM: result.MM(s.WallMM), DesignMM: result.MM(s.WallDesignMM), WidthMM: result.MM(s.WidthMM), HeightMM: result.MM(s.HeightMM),
		ThickMM: result.MM(s.ThicknessMM), MassKGM: result.Factor(s.MassKGM), MassKGM2: result.Factor(s.MassKGM2)}
}

// partDoc is a piece as it will be built.
func (w *work) partDoc(i int) result.Part {
	m := w.metal
	p := m.assembly.Parts[i]
	out := result.Part{ID: p.ID, Mark: m.list.Marks[i], MassKG: m.kg(i),
		Frame:   result.Frame{OriginMM: point(p.Frame.OriginMM), Axis: vector(p.Frame.Axis), Ref: vector(p.Frame.Ref)},
		ShiftMM: result.MM(r3.Norm(m.assembly.Moves[i].ShiftMM)), TurnDeg: result.Deg(r3.Norm(tilt(p, m.assembly.Moves[i].TurnDeg)))}
	out.Stock = m.stockOf(i)
	for _, d := range p.Dims {
		out.FullSize = append(out.FullSize, result.Named{Key: d.Key, Value: result.Factor(quantity.Round(d.Value, 4))})
	}
	return out
}

func (w *work) assemblyDoc() result.Assembly {
	m := w.metal
	a := result.Assembly{Solved: m.unsolved == "" && m.assembly.Settled, WhyNot: m.unsolved}
	if m.unsolved == "" && !m.assembly.Settled {
		a.WhyNot = "the solution did not come to rest; take gaps as they stand"
	}
	if m.assembly.Datum >= 0 && len(m.assembly.Parts) > 0 {
		a.Datum = m.assembly.Parts[m.assembly.Datum].ID
	}
	id := func(i int) string { return m.scan[i].ID }
	for _, v := range m.assembly.Moves {
		a.ShiftMM = max(a.ShiftMM, result.MM(r3.Norm(v.ShiftMM)))
	}
	for _, j := range m.assembly.Joints {
		a.Joints = append(a.Joints, result.Joint{A: id(j.A), B: id(j.B), Way: j.Way, GapMM: result.MM(j.GapMM), BeforeMM: result.MM(j.BeforeMM)})
		a.GapMM = max(a.GapMM, result.MM(math.Abs(j.GapMM)))
		a.BeforeMM = max(a.BeforeMM, result.MM(math.Abs(j.BeforeMM)))
	}
	for _, t := range m.assembly.Trims {
		a.Trims = append(a.Trims, result.Trim{ID: id(t.Part), End: [2]string{"low", "high"}[t.End], ByMM: result.MM(t.ByMM), LeanDeg: result.Deg(t.LeanDeg)})
	}
	for _, c := range m.assembly.Conflicts {
		a.Conflicts = append(a.Conflicts, result.Conflict{Elements: w.ids(c.Parts), WorstMM: result.MM(c.WorstMM),
			What: conflictText(len(c.Contacts), len(c.Relations), c.WorstMM)})
	}
	for _, b := range m.assembly.Broken {
		r := w.relations[b.Relation]
		a.Conflicts = append(a.Conflicts, result.Conflict{Elements: w.ids(r.Bodies), WorstMM: result.MM(b.ByMM),
			What: fmt.Sprintf("the pieces were %s and cannot stay so: off by %.1f mm", r.Kind, b.ByMM)})
	}
	return a
}

// shopDoc writes the cut list, how it is cut and what is bought.
func (w *work) shopDoc() *result.Shop {
	m := w.metal
	s := &result.Shop{NotCovered: result.List[string]{
		"lengths are net: what a bender or roller needs to hold a piece, and trial-fit allowance, come on top",
		"nesting of plate is by enclosing rectangles",
	}}
	for _, l := range m.list.Lines {
		s.CutList = append(s.CutList, w.cutDoc(l))
	}
	for _, n := range m.nests {
		s.Nesting = append(s.Nesting, nestDoc(n))
		for _, j := range n.Joints {
			s.Splices = append(s.Splices, result.Splice{Mark: j.Mark, Along: j.Along, AtMM: result.MM(j.AtMM), SeamMM: result.MM(j.SeamMM)})
		}
	}
	for _, p := range m.buy {
		s.Purchase = append(s.Purchase, result.Item{Stock: p.Stock.Mark, Standard: p.Stock.Standard, Count: p.Count, LengthMM: result.MM(p.LengthMM),
			WidthMM: result.MM(p.WidthMM), MassKG: result.KG(p.MassKG), Lead: p.Lead, For: p.For})
	}
	for _, x := range shop.Simplifications(m.list, m.choice, m.assembly.Parts, m.massKG, w.job.Shop) {
		s.Simplify = append(s.Simplify, result.Simple{Mark: x.Mark, Way: x.Way, ChangeMM: result.MM(x.ChangeMM), MassKG: result.KG(x.MassKG), Hours: result.Hours(x.Hours), Text: x.Text})
	}
	s.WeldKG = result.KG(m.cost.WeldKG)
	return s
}

func (w *work) cutDoc(l shop.Line) result.Cut {
	c := result.Cut{Mark: l.Mark, Of: l.Of, Quantity: l.Quantity, Elements: w.ids(l.Parts), Kind: l.Kind, Name: l.Name, Stock: l.Stock.Mark, From: l.From,
		Processes: l.Processes, CutMM: result.MM(l.CutMM), Pierces: l.Pierces, SawCuts: l.SawCuts, Bends: l.Bends, Lead: l.Lead, Notes: l.Notes}
	if l.LengthMM > 0 {
		mm := result.MM(l.LengthMM)
		c.LengthMM, c.FeetIn = &mm, quantity.FeetInches(l.LengthMM)
	}
	if l.WidthMM > 0 {
		mm := result.MM(l.WidthMM)
		c.WidthMM = &mm
	}
	if l.From == "bar" {
		c.Ends = l.Ends[:]
	}
	if l.MassKG > 0 {
		kg := result.KG(l.MassKG)
		c.MassKG = &kg
	}
	return c
}

func nestDoc(n shop.Nesting) result.Nesting {
	out := result.Nesting{Stock: n.Stock.Mark, Process: n.Process, KerfMM: result.MM(n.KerfMM), Problem: n.Problem}
	if b := n.Bars; b != nil {
		out.Bought, out.Bound, out.GapShare = result.Factor(b.BoughtMM), result.Factor(b.BoundMM), result.Share(b.GapShare)
		out.Yield = result.Share(b.UsedMM / max(b.BoughtMM, 1))
		for _, bar := range b.Bars {
			x := result.Bar{StockMM: result.MM(bar.StockMM), Count: bar.Count, RemnantMM: result.MM(bar.RemnantMM)}
			for _, c := range bar.Cuts {
				x.Cuts = append(x.Cuts, result.BarCut{Mark: c.Mark, LengthMM: result.MM(c.LengthMM), Quantity: c.Quantity})
			}
			out.Bars = append(out.Bars, x)
		}
	}
	if p := n.Sheets; p != nil {
		out.Bought, out.Bound, out.GapShare, out.Yield = result.Factor(p.BoughtMM2), result.Factor(p.BoundMM2), result.Share(p.GapShare), result.Share(p.YieldShare)
		for _, s := range p.Sheets {
			x := result.CutSheet{LengthMM: result.MM(s.LengthMM), WidthMM: result.MM(s.WidthMM)}
			for _, q := range s.Pieces {
				x.Pieces = append(x.Pieces, result.Placed{Mark: q.Mark, AtMM: pair(q.AtMM), LengthMM: result.MM(q.LengthMM), WidthMM: result.MM(q.WidthMM), Turned: q.Turned})
			}
			out.Sheets = append(out.Sheets, x)
		}
	}
	return out
}

// costDoc writes the estimate.
func (w *work) costDoc() *result.Cost {
	e := w.metal.cost
	c := &result.Cost{Currency: e.Currency, Priced: e.Priced, NetKG: result.KG(e.NetKG), UsedKG: result.KG(e.UsedKG), BoughtKG: result.KG(e.BoughtKG), WeldKG: result.KG(e.WeldKG),
		Hours: result.Hours(e.Hours), HoursLow: result.Hours(e.HoursLow), HoursHigh: result.Hours(e.HoursHigh), Assumptions: e.Assumptions}
	money := func(x float64) *result.Money {
		if e.Currency == "" {
			return nil
		}
		v := result.Money(x)
		return &v
	}
	c.Money, c.MoneyLow, c.MoneyHigh = money(e.Money), money(e.MoneyLow), money(e.MoneyHigh)
	for _, l := range e.Lines {
		x := result.CostLine{What: l.What, Quantity: result.Factor(quantity.Round(l.Quantity, 3)), Unit: l.Unit, Hours: result.Hours(l.Hours)}
		if l.Money > 0 {
			x.Money = money(l.Money)
		}
		c.Lines = append(c.Lines, x)
	}
	return c
}

// conflictText says what cannot close, and what to do.
func conflictText(contacts, relations int, worstMM float64) string {
	what := "a contact cannot close with these sizes"
	if contacts > 1 {
		what = fmt.Sprintf("%d contacts cannot all close with these sizes", contacts)
	}
	if relations > 0 {
		what += " while the pieces stay parallel, coaxial or the like as they were"
	}
	return fmt.Sprintf("%s: %.1f mm are left at the worst; name another size for one of the pieces, or cut one to fit on trial assembly", what, worstMM)
}
