package shop

import (
	"fmt"
	"math"

	"pointup/pipeline/job"
	"pointup/pipeline/quantity"
	"pointup/pipeline/stock"
)

// CostLine is one kind of work or material: how much of it, the hours and the
// money that it takes.
type CostLine struct {
	What     string
	Quantity float64
	Unit     string
	Hours    float64
	Money    float64 // 0 where the job gives no rate
}

// Estimate is what the work takes. Low and high are from the uncertainty of the
// scan and from the decisions that stand open; they hold no fault of the pace or
// the prices.
type Estimate struct {
	Currency string // empty: no rates in the job
	Lines    []CostLine

	NetKG, UsedKG, BoughtKG, WeldKG float64 // used: bought less remnants that are kept

	Hours, HoursLow, HoursHigh float64
	Money, MoneyLow, MoneyHigh float64
	Priced                     bool // every rate that is needed is given
	Assumptions                []string
}

// Cost estimates hours and money of the cut list: cut metres, pierces, saw cuts,
// bends, welding (mass over deposition and operating factor), lifts, set-ups,
// steel used. The pace is the job's.
func Cost(list List, buy []Purchase, welds []Weld, s job.Shop, choice stock.Choice, parts []stock.Part) Estimate {
	e := Estimate{}
	var cutM, pierces, saws, bends, lifts float64
	for _, l := range list.Lines {
		q := float64(l.Quantity)
		cutM += q * l.CutMM / 1000
		pierces += q * float64(l.Pierces)
		saws += q * float64(l.SawCuts)
		bends += q * float64(l.Bends)
		e.NetKG += q * l.MassKG
		if l.MassKG > HandKG {
			lifts += q
		}
	}
	for _, p := range buy {
		e.BoughtKG += p.MassKG
		e.UsedKG += p.UsedKG
	}
	for _, w := range welds {
		e.WeldKG += w.MassKG
	}
	p := s.Pace
	add := func(what string, n float64, unit string, hours float64) {
		e.Lines = append(e.Lines, CostLine{What: what, Quantity: n, Unit: unit, Hours: hours})
	}
	add("plate edge cut", cutM, "m", cutM/p.CutMH)
	add("pierces", pierces, "pieces", pierces*p.PierceS/3600)
	add("saw cuts", saws, "pieces", saws*p.SawS/3600)
	add("bends and rolls", bends, "pieces", bends*p.BendH)
	add("welding", e.WeldKG, "kg", e.WeldKG/(p.DepositionKGH*p.ArcShare))
	add(fmt.Sprintf("lifts of pieces over %d kg", HandKG), lifts, "lifts", lifts*p.LiftH)
	setups := float64(setUps(list))
	add("set-ups of machines", setups, "set-ups", setups*p.SetupH)
	for _, l := range e.Lines {
		e.Hours += l.Hours
	}
	e.Lines = append(e.Lines, CostLine{What: steelUsed, Quantity: e.UsedKG, Unit: "kg"}, CostLine{What: weldMetal, Quantity: e.WeldKG, Unit: "kg"})
	e.price(s.Rates)
	e.spread(choice, parts, s.Rates)
	e.Assumptions = assumptions(p)
	return e
}

// HandKG is what one person lifts near the body: 25 kg, guidance on manual handling,
// from memory.
const HandKG = 25

// The lines that are priced by the kilogram.
const (
	steelUsed = "steel used, scrap with it"
	weldMetal = "weld metal"
)

// setUps counts one for each stock on each machine.
func setUps(list List) int {
	seen := map[string]bool{}
	for _, l := range list.Lines {
		for _, p := range l.Processes {
			seen[p+" "+l.Stock.Mark] = true
		}
	}
	return len(seen)
}

// price puts the job's rates on hours and kilograms.
func (e *Estimate) price(r *job.Rates) {
	if r == nil {
		return
	}
	e.Currency = r.Currency
	e.Priced = r.Hour != nil && r.SteelKG != nil && r.WeldKG != nil
	for i := range e.Lines {
		l := &e.Lines[i]
		switch {
		case l.What == steelUsed && r.SteelKG != nil:
			l.Money = l.Quantity * *r.SteelKG
		case l.What == weldMetal && r.WeldKG != nil:
			l.Money = l.Quantity * *r.WeldKG
		case l.Hours > 0 && r.Hour != nil:
			l.Money = l.Hours * *r.Hour
		}
		e.Money += l.Money
	}
}

// spread is the range: masses within the scan's uncertainty, and every open
// decision taken the lightest and the heaviest way.
func (e *Estimate) spread(choice stock.Choice, parts []stock.Part, r *job.Rates) {
	var share2, low, high float64
	for _, f := range choice.Families {
		for _, each := range f.Each {
			share2 += square(each.MassKG * relativeU95(parts[each.Part]))
		}
	}
	doubt := math.Sqrt(share2)
	for _, d := range choice.Decisions {
		least, most := 0.0, 0.0
		for _, w := range d.Ways {
			least, most = min(least, w.MassKG), max(most, w.MassKG)
		}
		low, high = low+least, high+most
	}
	perKG := 0.0
	if e.NetKG > 0 {
		perKG = e.Hours / e.NetKG
	}
	e.HoursLow, e.HoursHigh = max(0, e.Hours+perKG*(low-doubt)), e.Hours+perKG*(high+doubt)
	if r != nil && r.SteelKG != nil {
		e.MoneyLow, e.MoneyHigh = *r.SteelKG*(low-doubt), *r.SteelKG*(high+doubt)
	}
	if r != nil && r.Hour != nil {
		e.MoneyLow += (e.HoursLow - e.Hours) * *r.Hour
		e.MoneyHigh += (e.HoursHigh - e.Hours) * *r.Hour
	}
	e.MoneyLow, e.MoneyHigh = max(0, e.Money+e.MoneyLow), e.Money+e.MoneyHigh
}

// relativeU95 is the uncertainty of a piece's size: of its longest dimension.
func relativeU95(p stock.Part) float64 {
	most, share := 0.0, 0.0
	for _, d := range p.Dims {
		if !d.Count && d.Value > most && len(d.Key) > 3 && d.Key[len(d.Key)-3:] == "_mm" {
			most, share = d.Value, d.U95/d.Value
		}
	}
	return share
}

func square(x float64) float64 { return x * x }

func assumptions(p job.Pace) []string {
	n := func(x float64) string { return quantity.Exact(x) }
	return []string{
		fmt.Sprintf("pace of the job: %s m of plate edge an hour, %s s a pierce, %s s a saw cut, %s h a bend, %s h a lift, %s h a set-up (defaults are common practice, no source)",
			n(p.CutMH), n(p.PierceS), n(p.SawS), n(p.BendH), n(p.LiftH), n(p.SetupH)),
		fmt.Sprintf("welds: the least fillet of AWS D1.1 table 7.7 along seams, or what the joint's kind takes, %s kg of weld metal an hour of arc, %s of the hours under the arc; what the joints must be is for the engineer to say",
			n(p.DepositionKGH), quantity.ShareText(p.ArcShare)),
		"steel is priced by what is used of bars and sheets; remnants are taken to be kept",
		"not in it: fit-up, straightening, grinding, blasting, coating, templates, trial assembly, transport, site work, engineering, overheads",
	}
}
