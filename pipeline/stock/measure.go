package stock

import (
	"math"
	"slices"
	"strings"
)

// Reading is a size of the maquette that is worth taking with a caliper.
type Reading struct {
	Part    int
	Letter  string
	Key     string
	ValueMM float64 // at full size, as the scan has it
	U95MM   float64
	Chance  float64 // that the true size would change the choice
	// BorderMM is the size, at full size, nearest to the scan's where the choice
	// turns, and Other what it turns to.
	BorderMM float64
	Other    string
}

// leastChance: rarer turns are not worth a caliper.
const leastChance = 0.001

// readingSteps of a half standard deviation are tried either way.
const readingSteps = 10

// MeasureFirst ranks caliper readings, at most n, by the chance that each would
// change a choice of stock: the true size is normal about the scan's with its u95,
// and for each size that it may have the family is chosen anew, all others kept. A
// family's reading is taken of its piece that is known least. Readings that change
// nothing in 999 of 1000 cases are left out.
func MeasureFirst(c Choice, parts []Part, n int) []Reading {
	m, err := MaterialOf(c.options.Grade)
	if err != nil {
		return nil // Choose would have refused it
	}
	ch := &choosing{parts: parts, cat: c.catalogue, whole: c.catalogue, opt: c.options, kgM3: m.DensityKGM3}
	var out []Reading
	for k, f := range c.Families {
		if f.Pinned || f.Made {
			continue
		}
		others := c.boughtBeside(k)
		for i := range f.Lead {
			if r := ch.reading(f, i, others); r.Chance >= leastChance {
				out = append(out, r)
			}
		}
	}
	slices.SortStableFunc(out, func(a, b Reading) int { return compare(b.Chance, a.Chance) })
	return out[:max(0, min(n, len(out)))]
}

// boughtBeside are the marks that all other families take.
func (c Choice) boughtBeside(k int) map[string]bool {
	out := map[string]bool{}
	for i, p := range c.Families {
		if i == k || p.Made || p.Missing {
			continue
		}
		for _, m := range p.buys() {
			out[m] = true
		}
	}
	return out
}

// buys are the marks of the stock that a pick is made of.
func (p Pick) buys() []string {
	if p.Route == nil {
		return []string{p.Size.Mark}
	}
	var out []string
	for _, s := range p.Route.From {
		out = append(out, s.Mark)
	}
	return out
}

// reading integrates over the true size of one lead.
func (c *choosing) reading(f Pick, i int, others map[string]bool) Reading {
	l := f.Lead[i]
	r := Reading{Part: leastKnown(c.parts, f, l.Key), Letter: f.Letter, Key: l.Key, ValueMM: l.ValueMM, U95MM: l.U95MM}
	sd := l.U95MM / 1.96
	if !(sd > 0) {
		return r
	}
	at := func(z float64) string { return c.wouldBe(f.Family, i, l.ValueMM+z*sd, others) }
	own := at(0)
	nearest := math.Inf(1)
	for _, side := range []float64{-1, 1} {
		was := own
		for k := range readingSteps {
			from, to := side*float64(k)/2, side*float64(k+1)/2
			is := at(to)
			border := from
			if is != was {
				border = turn(at, from, to, was)
				if (was == own || is == own) && math.Abs(border) < nearest {
					nearest, r.BorderMM, r.Other = math.Abs(border), l.ValueMM+border*sd, cmpOther(own, was, is)
				}
			}
			if was != own {
				r.Chance += normalBetween(from, border)
			}
			if is != own {
				r.Chance += normalBetween(border, to)
			}
			was = is
		}
	}
	return r
}

func cmpOther(own, a, b string) string {
	if a != own {
		return a
	}
	return b
}

// turn halves an interval down to where the choice leaves what it was.
func turn(at func(float64) string, from, to float64, was string) float64 {
	for range 20 {
		mid := (from + to) / 2
		if at(mid) == was {
			from = mid
		} else {
			to = mid
		}
	}
	return (from + to) / 2
}

// normalBetween is the standard normal probability between two values.
func normalBetween(a, b float64) float64 {
	return math.Abs(math.Erf(b/math.Sqrt2)-math.Erf(a/math.Sqrt2)) / 2
}

// wouldBe names what a family would be made of if a lead had a size.
func (c *choosing) wouldBe(f Family, i int, mm float64, others map[string]bool) string {
	if mm <= 0 {
		return "none"
	}
	f.Lead = slices.Clone(f.Lead)
	f.Lead[i].ValueMM = mm
	list, err := c.candidates(f)
	if err != nil {
		return "none"
	}
	best, least := "none", math.Inf(1)
	for _, x := range list {
		cost := x.cost()
		for _, m := range x.buys {
			if !others[m] {
				cost += c.opt.SizeWeight
			}
		}
		if cost < least-searchSlack {
			best, least = x.name(), cost
		}
	}
	return best
}

// name of what is bought and how it is made, without the odd size itself.
func (x candidate) name() string {
	if x.route == nil {
		return x.size.Mark
	}
	return x.route.Kind + " of " + strings.Join(x.buys, " + ")
}

// leastKnown is the piece of a family whose size is least certain.
func leastKnown(parts []Part, f Pick, key string) int {
	best, most := f.Members[0], -1.0
	for _, i := range f.Members {
		for _, l := range demandOf(parts[i]).lead {
			if l.Key == key && l.U95MM > most {
				best, most = i, l.U95MM
			}
		}
	}
	return best
}
