package shop

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// BarPiece is what is cut from bars: Quantity pieces of one length.
type BarPiece struct {
	Mark     string
	LengthMM float64
	Quantity int
}

// Bar is one bar as bought, or Count bars that are cut alike.
type Bar struct {
	StockMM   float64
	Count     int
	Cuts      []BarPiece // of one bar, longest first
	RemnantMM float64    // left of one bar behind the last cut
	KerfMM    float64    // what the saw takes of one bar
}

// BarPlan says how the pieces of one stock are cut from bars.
//
// Every cut takes one kerf; the last one none where the piece ends with the bar.
// BoundMM is a length of bars that no plan can go below, GapShare how far
// BoughtMM lies above it; Exact that they meet, so that no plan is better.
type BarPlan struct {
	Bars     []Bar
	BoughtMM float64
	BoundMM  float64
	GapShare float64
	Exact    bool
	UsedMM   float64 // of the pieces
}

// NestOptions bound the search; it is by steps and not by time, so that every
// machine finds the same plan.
type NestOptions struct {
	Steps  int // of the exact search
	Rounds int // of the bound's linear programme

	Repairs int // times that some bars are taken apart and filled anew
}

// DefaultNestOptions suit some hundred pieces in about a second.
func DefaultNestOptions() NestOptions {
	return NestOptions{Steps: 400_000, Rounds: 1500, Repairs: 20_000}
}

// NestBars places pieces in bars so that the least length is bought.
//
// Upper: best fit decreasing, bars filled one by one as full as they can be
// (Gupta and Ho, Production Planning & Control 10 (1999) 598), the linear
// programme's patterns taken one by one, and a search over complete
// fillings of the bar that takes the longest piece (Korf, AAAI-02 731). Lower:
// material, Martello and Toth's L2 (Discrete Applied Mathematics 28 (1990) 59),
// and column generation (Gilmore and Gomory, Operations Research 9 (1961) 849)
// with its prices scaled until no pattern is worth more than its bar (Farley,
// Operations Research 38 (1990) 922), which holds whenever the programme stops.
//
// Lengths are taken to 0.001 mm, pieces rounded up, bars down. Errors: a length
// that is not a positive number, a piece longer than the longest bar (see
// Splice), over 20000 pieces.
func NestBars(pieces []BarPiece, stockMM []float64, kerfMM float64, opt NestOptions) (BarPlan, error) {
	t, err := newBarTask(pieces, stockMM, kerfMM)
	if err != nil || len(t.size) == 0 {
		return BarPlan{Exact: err == nil}, err
	}
	best := t.heuristics()
	bound := t.simpleBound()
	if t.cost(best) > bound {
		dual, columns := t.linear(opt.Rounds)
		bound = max(bound, dual)
		best = t.better(best, t.dive(columns, opt.Rounds, opt.Steps/8))
	}
	if t.pieces() > fewPieces {
		best = t.repairs(best, bound, opt.Repairs)
	}
	exact := t.cost(best) <= bound
	if !exact {
		found, complete := t.search(best, bound, opt.Steps)
		best = t.better(best, found)
		exact = complete || t.cost(best) <= bound
		if exact {
			bound = t.cost(best)
		}
	}
	return t.plan(pieces, best, bound, exact), nil
}

// barTask is the problem in whole thousandths of a millimetre. A piece counts
// with one kerf, a bar too, so that the last cut is free.
type barTask struct {
	kerf  int64
	size  []int64 // distinct, falling, kerf included
	need  []int
	stock []int64 // distinct, rising
	room  []int64 // stock + kerf
	step  int64   // every cost is a multiple of it
}

// pattern is a bar of a stock length (by index) with counts of each size.
type pattern struct {
	stock int
	take  []int
}

const pieceMax = 20000

func newBarTask(pieces []BarPiece, stockMM []float64, kerfMM float64) (barTask, error) {
	var t barTask
	if !(kerfMM >= 0 && kerfMM <= 1000) {
		return t, fmt.Errorf("bars: the kerf is %v mm; give 0 to 1000 mm", kerfMM)
	}
	t.kerf = int64(math.Round(kerfMM * 1000))
	for _, l := range stockMM {
		if !(l >= 1 && l <= 1e6) {
			return t, fmt.Errorf("bars: a stock length is %v mm; give 1 mm to 1000 m", l)
		}
		t.stock = append(t.stock, int64(math.Floor(l*1000+1e-6)))
	}
	slices.Sort(t.stock)
	t.stock = slices.Compact(t.stock)
	if len(t.stock) == 0 {
		return t, fmt.Errorf("bars: no stock length is given; give one under shop.bar_lengths")
	}
	for _, l := range t.stock {
		t.room, t.step = append(t.room, l+t.kerf), gcd(l, t.step)
	}
	return t, t.add(pieces)
}

func (t *barTask) add(pieces []BarPiece) error {
	count, total := map[int64]int{}, 0
	for _, p := range pieces {
		if !(p.LengthMM > 0 && p.LengthMM <= 1e6) || p.Quantity < 0 {
			return fmt.Errorf("bars: %s: %d pieces of %v mm; a length over 0 and a quantity are needed", p.Mark, p.Quantity, p.LengthMM)
		}
		size := micro(p.LengthMM) + t.kerf
		if size > t.room[len(t.room)-1] {
			return fmt.Errorf("bars: %s: %.1f mm is longer than the longest bar of %.1f mm; splice it", p.Mark, p.LengthMM, float64(t.stock[len(t.stock)-1])/1000)
		}
		if total += p.Quantity; total > pieceMax || p.Quantity > pieceMax {
			return fmt.Errorf("bars: over %d pieces of one stock; take them in lots", pieceMax)
		}
		if p.Quantity > 0 {
			count[size] += p.Quantity
		}
	}
	for s := range count {
		t.size = append(t.size, s)
	}
	slices.SortFunc(t.size, func(a, b int64) int { return cmp.Compare(b, a) })
	for _, s := range t.size {
		t.need = append(t.need, count[s])
	}
	return nil
}

// micro is a length in thousandths of a millimetre, rounded up but for the last
// bits of a product.
func micro(mm float64) int64 { return int64(math.Ceil(mm*1000 - 1e-6)) }

func gcd(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

func (t barTask) cost(bars []pattern) int64 {
	sum := int64(0)
	for _, b := range bars {
		sum += t.stock[b.stock]
	}
	return sum
}

// better returns the cheaper plan, the first where they are alike or the second
// is none.
func (t barTask) better(a, b []pattern) []pattern {
	if b != nil && (a == nil || t.cost(b) < t.cost(a)) {
		return b
	}
	return a
}

// up rounds a cost up to one that bars can have.
func (t barTask) up(x float64) int64 {
	n := int64(math.Ceil(x/float64(t.step) - 1e-7))
	return max(n, 0) * t.step
}

func (t barTask) used(take []int) int64 {
	sum := int64(0)
	for i, n := range take {
		sum += int64(n) * t.size[i]
	}
	return sum
}
