package stock

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// candidate is one way to make a family.
type candidate struct {
	size  Size
	route *Route
	end   string // how open ends are seen
	why   string // its wall

	change, metal, work float64 // parts of its cost, of all members
	buys                []string
}

func (c candidate) cost() float64 { return c.change + c.metal + c.work }

// formsOf are the forms of stock that a class may be made of.
func formsOf(class string) []string {
	switch class {
	case "hollow":
		return []string{"pipe", "tube"}
	case "round":
		return []string{"pipe", "tube", "round"}
	case "strip":
		return []string{"flat", "square", "plate", "sheet"}
	case "flat", "rolled", "formed":
		return []string{"plate", "sheet"}
	case "box", "angle":
		return []string{class}
	}
	return nil
}

// pinFormsOf are the forms that a user may pin besides.
func pinFormsOf(class string) []string {
	switch class {
	case "hollow":
		return []string{"pipe", "tube", "round"}
	case "flat", "rolled":
		return []string{"plate", "sheet", "flat"}
	case "box":
		return []string{"box", "square"}
	case "shape":
		return []string{"box", "angle", "square", "flat", "round", "pipe", "tube"}
	}
	return formsOf(class)
}

// choosing holds what a choice is made from.
type choosing struct {
	parts []Part
	cat   Catalogue // without what is banned
	whole Catalogue
	opt   Options
	kgM3  float64
	kept  map[string]shelf // by class
}

// shelf is the stock of a class, each outside with its strong wall, and why that.
type shelf struct {
	sizes []Size
	why   map[string]string
}

// stockOf keeps the shelf of a class: it is asked for often.
func (c *choosing) stockOf(class string) ([]Size, map[string]string) {
	s, made := c.kept[class]
	if !made {
		if c.kept == nil {
			c.kept = map[string]shelf{}
		}
		s.sizes, s.why = walled(c.cat.Of(formsOf(class)...), c.opt.WallMinMM)
		c.kept[class] = s
	}
	return s.sizes, s.why
}

// limitMM is how far a size may be changed.
func (o Options) limitMM(x float64) float64 { return min(o.ChangeShare*x, o.ChangeMM) }

// leastLimit keeps a limit of nothing from dividing by nothing: a millionth.
const leastLimit = 1e-6

// strain is the change of the lead that changes most, in limits; a lead that the
// size does not have (the width of a strip cut from plate) is cut to the scan's.
func (o Options) strain(s Size, lead []Lead) (strain float64, worst int) {
	worst = -1
	for i, l := range lead {
		x := s.Of(l.Key)
		if x == 0 || math.IsNaN(x) {
			continue
		}
		v := math.Abs(x-l.ValueMM) / max(o.limitMM(l.ValueMM), leastLimit*l.ValueMM)
		if worst < 0 || v > strain {
			strain, worst = v, i
		}
	}
	return strain, worst
}

// candidates lists what a family may be made of, in the order of preference where
// costs are equal: what the user pinned; stock within the limits; else the routes
// of an odd size.
func (c *choosing) candidates(f Family) ([]candidate, error) {
	switch {
	case f.Made:
		return []candidate{{size: asMade(c.parts[f.Members[0]])}}, nil
	case f.Pin != "":
		return c.pinned(f)
	case f.Class == "free":
		return nil, nil
	}
	stock, why := c.stockOf(f.Class)
	var out []candidate
	for _, s := range stock {
		if strain, _ := c.opt.strain(s, f.Lead); strain <= 1+1e-9 && (len(f.Lead) > 0 || c.plainPlate(s)) && f.Class != "formed" {
			out = append(out, candidate{size: s, why: why[s.Mark], buys: []string{s.Mark}, work: cutFromPlate(f, s)})
		}
	}
	if len(out) == 0 {
		out = c.odd(f)
	}
	out = c.ended(f, out)
	c.price(f, out)
	return c.few(out), nil
}

// plainPlate is what hidden edges get: the thinnest plate that reaches wall_min.
func (c *choosing) plainPlate(s Size) bool {
	p, ok := c.plateFrom(c.opt.WallMinMM)
	return ok && s.Mark == p.Mark
}

// stripCutWeight: cutting a strip from plate costs a quarter of a changed piece
// more than sawing flat bar. Common practice, no source.
const stripCutWeight = 0.25

func cutFromPlate(f Family, s Size) float64 {
	if f.Class == "strip" && s.MassKGM2 > 0 {
		return stripCutWeight * float64(len(f.Members))
	}
	return 0
}

// price fills the parts of the costs that compare candidates. Metal is what is
// bought: the bar before it is turned, the plate before it is machined.
func (c *choosing) price(f Family, list []candidate) {
	n, least := float64(len(f.Members)), math.Inf(1)
	bought := c.bought(f, list)
	for _, kg := range bought {
		least = min(least, kg)
	}
	for i := range list {
		strain, _ := c.opt.strain(list[i].size, f.Lead)
		list[i].change = n * c.opt.ChangeWeight * strain * strain
		if least > 0 {
			list[i].metal = n * c.opt.MetalWeight * (bought[i]/least - 1)
		}
	}
}

// bought is the mass of the family in each candidate, or where a length is not
// known that of a metre, or of a square metre.
func (c *choosing) bought(f Family, list []candidate) []float64 {
	out, rate := make([]float64, len(list)), make([]float64, len(list))
	all := true
	for i, x := range list {
		s := x.size
		if x.route != nil && x.route.TakeOffMM > 0 {
			s = x.route.From[0]
		}
		kg, ok := c.massOf(f, s)
		out[i], all = kg, all && ok
		rate[i] = s.MassKGM + s.MassKGM2
		if f.Class == "strip" && s.MassKGM2 > 0 {
			rate[i] = s.MassKGM + s.MassKGM2*f.Lead[len(f.Lead)-1].ValueMM*1e-3
		}
	}
	if !all {
		return rate
	}
	return out
}

// fewCandidates bounds the search; the cheapest stay, in their order.
const fewCandidates = 24

func (c *choosing) few(list []candidate) []candidate {
	if len(list) <= fewCandidates {
		return list
	}
	costs := make([]float64, len(list))
	for i, x := range list {
		costs[i] = x.cost()
	}
	slices.Sort(costs)
	var out []candidate
	for _, x := range list {
		if x.cost() <= costs[fewCandidates-1] {
			out = append(out, x)
		}
	}
	return out
}

// pinned is the one candidate that the user named.
func (c *choosing) pinned(f Family) ([]candidate, error) {
	id := c.parts[f.Members[0]].ID
	s, err := c.whole.find(f.Pin)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", id, err)
	}
	if _, ok := c.cat.Find(f.Pin); !ok {
		return nil, fmt.Errorf("%s is to be made of %s, which is banned; take one of the two away", id, s.Mark)
	}
	forms := pinFormsOf(f.Class)
	if !slices.Contains(forms, s.Form) {
		if len(forms) == 0 {
			return nil, fmt.Errorf("%s is to be made of %s, but is a %s, for which there is no stock; give it another kind or no stock", id, s.Mark, c.parts[f.Members[0]].Kind)
		}
		return nil, fmt.Errorf("%s is a %s and cannot be made of %s (%s); name one of the forms %s", id, c.parts[f.Members[0]].Kind, s.Mark, s.Form, strings.Join(forms, ", "))
	}
	out := []candidate{{size: s, why: "named by the user", buys: []string{s.Mark}}}
	if f.Class == "formed" {
		out[0].size, out[0].route = formedOf(f, s), &Route{Kind: "formed", From: []Size{s}, Text: "formed of " + s.Mark}
	}
	c.price(f, out)
	return out, nil
}
