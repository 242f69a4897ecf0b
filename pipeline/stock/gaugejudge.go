package stock

import (
	"fmt"
	"math"
	"slices"
)

// densest is the set of greatest density that holds a share of the probability, in
// intervals half a step wider than their trials, the most probable first.
func densest(off, p []float64, share float64) []Peak {
	order := make([]int, len(p))
	for k := range order {
		order[k] = k
	}
	slices.SortStableFunc(order, func(a, b int) int { return compare(p[b], p[a]) })
	in, sum := make([]bool, len(p)), 0.0
	for _, k := range order {
		if sum >= share {
			break
		}
		in[k], sum = true, sum+p[k]
	}
	half := (off[len(off)-1] - off[0]) / float64(len(off)-1) / 2
	var out []Peak
	for k := 0; k < len(p); k++ {
		if !in[k] {
			continue
		}
		x, most := Peak{Low: off[k] - half}, -1.0
		for ; k < len(p) && in[k]; k++ {
			x.High, x.Probability = off[k]+half, x.Probability+p[k]
			if p[k] > most {
				x.ErrorShare, most = off[k], p[k]
			}
		}
		out = append(out, x)
	}
	slices.SortStableFunc(out, func(a, b Peak) int { return compare(b.Probability, a.Probability) })
	return out
}

// judge tells what the set is worth.
func (g *gauging) judge(out *Gauge) {
	width, named := 0.0, 0
	out.Low, out.High = math.Inf(1), math.Inf(-1)
	for _, x := range out.Peaks {
		width += x.High - x.Low
		out.Low, out.High = min(out.Low, x.Low), max(out.High, x.High)
		if x.Probability >= g.opt.PeakShare {
			named++
		}
	}
	top := out.Peaks[0]
	out.ErrorShare = top.ErrorShare
	percent := func(x float64) string { return fmt.Sprintf("%+.2f %%", 100*x) }
	switch {
	case len(g.found) == 0 || width > g.opt.WidthMost*2*g.opt.RangeShare:
		out.Verdict, out.ErrorShare = "uninformative", 0
		out.Text = fmt.Sprintf("the maquette's own metal does not tell the scan's scale: %d sizes fit many scales within %.1f %%", len(g.found), 100*g.opt.RangeShare)
	case named > 1:
		out.Verdict = "ambiguous"
		out.Text = fmt.Sprintf("%d scales fit the maquette's own metal; the likeliest error is %s (%s to %s, probability %.2f)", named, percent(top.ErrorShare), percent(top.Low), percent(top.High), top.Probability)
	default:
		out.Verdict = "clear"
		out.Text = fmt.Sprintf("by %d sizes of the maquette's own metal the scan is off by %s, 95 %% interval %s to %s", len(g.found), percent(top.ErrorShare), percent(out.Low), percent(out.High))
	}
}

// match tells what a found size most likely was, by the system and the error that
// are most probable.
func (g *gauging) match(i int, by Gauge) Match {
	f := g.found[i]
	out, least := Match{}, math.Inf(1)
	for _, s := range g.sizes[i] {
		if by.System != "mixed" && s.system != by.System {
			continue
		}
		r := f.ValueMM/(1+by.ErrorShare) - s.mean
		if z := math.Abs(r) / math.Hypot(f.U95MM/1.96, s.sd); z < least {
			out, least = Match{Mark: s.mark, SizeMM: s.mm, ResidualMM: r}, z
		}
	}
	a, b := (1-by.OddShare)*g.standardDensity(i, by.System, g.densities(i, by.ErrorShare)), by.OddShare*oddDensity(f.ValueMM)
	out.Standard = a / (a + b)
	return out
}
