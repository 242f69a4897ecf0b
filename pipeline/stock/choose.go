package stock

import (
	"fmt"
	"math"
)

// Choose picks stock for all families together: least visible change + metal +
// work + number of different sizes, with weights of the options. Sizes beyond the
// limits get a route by which they are made, or are missing. Hoops, arcs and coils
// are bent to the scan's centreline, which stock does not change. Pinned pieces get
// what was named, whatever its change; existing pieces stay as they are. The same
// input gives the same choice; of equal ones that with the earlier rows.
//
// Errors: options out of range, an unknown grade or ban, an unknown pin (with the
// nearest marks) or one that cannot be the kind.
func Choose(parts []Part, relations []Relation, cat Catalogue, opt Options) (Choice, error) {
	if err := opt.check(); err != nil {
		return Choice{}, err
	}
	metal, err := MaterialOf(opt.Grade)
	if err != nil {
		return Choice{}, err
	}
	allowed, err := cat.without(opt.Ban)
	if err != nil {
		return Choice{}, err
	}
	c := &choosing{parts: parts, cat: allowed, whole: cat, opt: opt, kgM3: metal.DensityKGM3}
	families := Families(parts, relations)
	lists := make([][]candidate, len(families))
	for i, f := range families {
		if lists[i], err = c.candidates(f); err != nil {
			return Choice{}, err
		}
	}
	return c.together(families, lists), nil
}

func (o Options) check() error {
	for _, x := range []struct {
		name  string
		value float64
		most  float64
	}{
		{"stock_change share", o.ChangeShare, 1}, {"stock_change size in mm", o.ChangeMM, 1e6}, {"wall_min in mm", o.WallMinMM, 1e4},
		{"weight of change", o.ChangeWeight, 1e9}, {"weight of metal", o.MetalWeight, 1e9}, {"weight of sizes", o.SizeWeight, 1e9}, {"weight of ends", o.EndWeight, 1e9},
		{"number of steps", float64(o.Steps), 1e12},
	} {
		if !(x.value >= 0 && x.value <= x.most) {
			return fmt.Errorf("the %s is %v; give a number from 0 to %v", x.name, x.value, x.most)
		}
	}
	return nil
}

// together solves for all families and writes the choice.
func (c *choosing) together(families []Family, lists [][]candidate) Choice {
	a := assignment{item: c.opt.SizeWeight}
	number := map[string]int{}
	var of []int // family of each row
	for i, list := range lists {
		if len(list) == 0 {
			continue
		}
		of = append(of, i)
		var costs []float64
		var buys [][]int
		for _, x := range list {
			var items []int
			for _, m := range x.buys {
				if _, seen := number[m]; !seen {
					number[m] = len(number)
				}
				items = append(items, number[m])
			}
			costs, buys = append(costs, x.cost()), append(buys, items)
		}
		a.cost, a.buys = append(a.cost, costs), append(a.buys, buys)
	}
	s := a.solve(c.opt.Steps)
	picked := make([]candidate, len(families))
	for row, i := range of {
		picked[i] = lists[i][s.pick[row]]
	}
	return c.write(families, lists, picked, s)
}

func (c *choosing) write(families []Family, lists [][]candidate, picked []candidate, s solution) Choice {
	out := Choice{Cost: s.cost, LowerBound: min(s.bound, s.cost), Exact: s.exact, catalogue: c.cat, options: c.opt}
	if s.cost > 0 {
		out.GapShare = (s.cost - out.LowerBound) / s.cost
	}
	bought := map[string]bool{}
	for i, f := range families {
		x := picked[i]
		for _, m := range x.buys {
			bought[m] = true
		}
		out.Terms.Change, out.Terms.Metal, out.Terms.Work = out.Terms.Change+x.change, out.Terms.Metal+x.metal, out.Terms.Work+x.work
		p := c.pick(f, x)
		if p.Missing {
			out.Missing += len(f.Members)
		}
		out.Families = append(out.Families, p)
		out.Decisions = append(out.Decisions, c.decisions(p, lists[i])...)
	}
	out.Sizes = len(bought)
	out.Terms.Sizes = c.opt.SizeWeight * float64(out.Sizes)
	return out
}

// pick tells what was chosen for a family against the scan.
func (c *choosing) pick(f Family, x candidate) Pick {
	p := Pick{Family: f, Size: x.size, Route: x.route, Missing: x.size.Form == "", Pinned: f.Pin != "" && !f.Made, End: x.end, WhyWall: x.why}
	if !f.Made && f.Class != "free" {
		p.Nearest, p.Below, p.Above = c.neighbours(f)
	}
	p.Within = !p.Missing
	strain, worst := c.opt.strain(x.size, f.Lead)
	if worst >= 0 && !f.Made {
		l := f.Lead[worst]
		p.ChangeOf, p.ChangeMM, p.ChangeU95MM = l.Key, x.size.Of(l.Key)-l.ValueMM, l.U95MM
		p.ChangeShare = p.ChangeMM / l.ValueMM
		p.Within = strain <= 1+1e-9
	}
	for _, i := range f.Members {
		e := c.each(i, p)
		p.Each = append(p.Each, e)
		p.MassKG += e.MassKG
	}
	p.EndMassKG = c.endMassKG(p)
	p.MassKG += p.EndMassKG
	return p
}

func (c *choosing) each(i int, p Pick) Each {
	e := Each{Part: i}
	for _, l := range demandOf(c.parts[i]).lead {
		if l.Key == p.ChangeOf && l.ValueMM > 0 {
			e.ChangeMM = p.Size.Of(l.Key) - l.ValueMM
			e.ChangeShare = e.ChangeMM / l.ValueMM
		}
	}
	kg, err := MassKG(c.parts[i], p.Size, c.kgM3)
	if err != nil {
		e.MassWhyNot = err.Error()
	}
	e.MassKG = kg
	return e
}

// neighbours are the nearest size of a family's forms by what leads, and the next
// one that is not larger and not smaller than it in any lead.
func (c *choosing) neighbours(f Family) (nearest, below, above *Size) {
	if len(f.Lead) == 0 {
		return nil, nil, nil
	}
	list, _ := c.stockOf(f.Class)
	nearest = nearestTo(list, f.Lead, func(Size) bool { return true })
	if nearest == nil {
		return nil, nil, nil
	}
	var at []Lead
	for _, l := range f.Lead {
		if x := nearest.Of(l.Key); x > 0 {
			at = append(at, Lead{Key: l.Key, ValueMM: x})
		}
	}
	side := func(sign float64) func(Size) bool {
		return func(s Size) bool {
			moved := false
			for _, l := range at {
				d := sign * (s.Of(l.Key) - l.ValueMM)
				if d < -1e-9 || !(s.Of(l.Key) > 0) {
					return false
				}
				moved = moved || d > 1e-9
			}
			return moved
		}
	}
	return nearest, nearestTo(list, at, side(-1)), nearestTo(list, at, side(1))
}

// nearestTo minimises the sum of the squared logarithms of the ratios; of equal
// ones the first.
func nearestTo(list []Size, lead []Lead, may func(Size) bool) *Size {
	best, least := -1, math.Inf(1)
	for i, s := range list {
		sum, has := 0.0, false
		for _, l := range lead {
			if x := s.Of(l.Key); x > 0 && l.ValueMM > 0 {
				sum, has = sum+sq(math.Log(x/l.ValueMM)), true
			}
		}
		if has && sum < least-1e-15 && may(s) {
			best, least = i, sum
		}
	}
	if best < 0 {
		return nil
	}
	s := list[best]
	return &s
}
