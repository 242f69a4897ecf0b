package shop

import (
	"cmp"
	"slices"
)

// plan gives names back to sizes: pieces of one length are dealt in the order in
// which they were given; bars that are cut alike are counted.
func (t barTask) plan(pieces []BarPiece, bars []pattern, bound int64, exact bool) BarPlan {
	p := BarPlan{BoughtMM: float64(t.cost(bars)) / 1000, BoundMM: float64(bound) / 1000, Exact: exact}
	if bound > 0 {
		p.GapShare = float64(t.cost(bars)-bound) / float64(bound)
	}
	slices.SortStableFunc(bars, func(a, b pattern) int {
		return cmp.Or(cmp.Compare(b.stock, a.stock), slices.Compare(b.take, a.take))
	})
	deal := newDealer(t, pieces)
	for _, b := range bars {
		bar := Bar{StockMM: float64(t.stock[b.stock]) / 1000, Count: 1}
		n := int64(0)
		for i, k := range b.take {
			bar.Cuts = append(bar.Cuts, deal.take(i, k)...)
			n += int64(k)
		}
		left := t.stock[b.stock] - (t.used(b.take) - n*t.kerf) - (n-1)*t.kerf
		last := min(t.kerf, left)
		bar.RemnantMM, bar.KerfMM = float64(left-last)/1000, float64((n-1)*t.kerf+last)/1000
		if k := len(p.Bars) - 1; k >= 0 && p.Bars[k].StockMM == bar.StockMM && slices.Equal(p.Bars[k].Cuts, bar.Cuts) {
			p.Bars[k].Count++
		} else {
			p.Bars = append(p.Bars, bar)
		}
		for _, c := range bar.Cuts {
			p.UsedMM += c.LengthMM * float64(c.Quantity)
		}
	}
	return p
}

// dealer holds, for each size, the pieces that are still to be cut.
type dealer struct{ left [][]BarPiece }

func newDealer(t barTask, pieces []BarPiece) *dealer {
	d := &dealer{left: make([][]BarPiece, len(t.size))}
	for _, p := range pieces {
		if i := slices.Index(t.size, micro(p.LengthMM)+t.kerf); i >= 0 && p.Quantity > 0 {
			d.left[i] = append(d.left[i], p)
		}
	}
	return d
}

func (d *dealer) take(size, n int) []BarPiece {
	var out []BarPiece
	for n > 0 && len(d.left[size]) > 0 {
		p := &d.left[size][0]
		k := min(n, p.Quantity)
		out = append(out, BarPiece{p.Mark, p.LengthMM, k})
		n -= k
		if p.Quantity -= k; p.Quantity == 0 {
			d.left[size] = d.left[size][1:]
		}
	}
	return out
}
