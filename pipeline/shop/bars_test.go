package shop

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func singles(lengths ...float64) []BarPiece {
	var out []BarPiece
	for i, l := range lengths {
		out = append(out, BarPiece{fmt.Sprintf("A%d", i+1), l, 1})
	}
	return out
}

// lay checks a plan by plain arithmetic: every piece once, no bar overfull, kerf
// and remnant add up, the bound is none that the plan beats.
func lay(t require.TestingT, p BarPlan, pieces []BarPiece, kerf float64) {
	got := map[string]int{}
	bought := 0.0
	for _, b := range p.Bars {
		sum, n := 0.0, 0
		for _, c := range b.Cuts {
			sum += c.LengthMM * float64(c.Quantity)
			n += c.Quantity
			got[c.Mark] += c.Quantity * b.Count
		}
		require.InDelta(t, b.StockMM, sum+b.KerfMM+b.RemnantMM, 0.001*float64(n+1), "a bar is its pieces, cuts and remnant")
		require.GreaterOrEqual(t, b.RemnantMM, 0.0)
		require.GreaterOrEqual(t, b.KerfMM+1e-9, kerf*float64(n-1))
		require.LessOrEqual(t, b.KerfMM, kerf*float64(n)+1e-9)
		if b.RemnantMM > 0 {
			require.InDelta(t, kerf*float64(n), b.KerfMM, 1e-9, "every piece is cut off where something is left")
		}
		bought += b.StockMM * float64(b.Count)
	}
	for _, x := range pieces {
		require.Equal(t, x.Quantity, got[x.Mark], x.Mark)
	}
	require.InDelta(t, bought, p.BoughtMM, 1e-6)
	require.LessOrEqual(t, p.BoundMM, p.BoughtMM+1e-6)
	if p.Exact {
		require.InDelta(t, p.BoundMM, p.BoughtMM, 1e-6)
	}
}

// By hand: 3 pieces of 1998 and 2 cuts of 3 are 6000; with 1998.001 they are not.
func TestKerfDecidesToTheLastBit(t *testing.T) {
	p, err := NestBars([]BarPiece{{"A1", 1998, 3}}, []float64{6000}, 3, DefaultNestOptions())
	require.NoError(t, err)
	assert.Equal(t, []Bar{{StockMM: 6000, Count: 1, Cuts: []BarPiece{{"A1", 1998, 3}}, KerfMM: 6}}, p.Bars)
	p, err = NestBars([]BarPiece{{"A1", 1998.001, 3}}, []float64{6000}, 3, DefaultNestOptions())
	require.NoError(t, err)
	assert.Equal(t, 12000.0, p.BoughtMM)
	assert.True(t, p.Exact)
	p, err = NestBars([]BarPiece{{"A1", 1997, 3}}, []float64{6000}, 3, DefaultNestOptions())
	require.NoError(t, err)
	assert.Equal(t, 0.0, p.Bars[0].RemnantMM, "3 mm are left and the last cut takes them")
	assert.Equal(t, 9.0, p.Bars[0].KerfMM)
	p, err = NestBars([]BarPiece{{"A1", 1000, 3}}, []float64{6000}, 3, DefaultNestOptions())
	require.NoError(t, err)
	assert.Equal(t, 2991.0, p.Bars[0].RemnantMM)
}

// Of two stock lengths the cheaper mixture: 4 + 2 m in one 6 m bar, 5 m in one of
// 5 m; only 6 m bars would be 12 m.
func TestSeveralStockLengths(t *testing.T) {
	p, err := NestBars(singles(4000, 5000, 2000), []float64{6000, 5000}, 0, DefaultNestOptions())
	require.NoError(t, err)
	assert.Equal(t, 11000.0, p.BoughtMM)
	assert.True(t, p.Exact)
}

// Triplets after Falkenauer, A hybrid grouping genetic algorithm for bin packing,
// Journal of Heuristics 2 (1996) 5: three pieces fill each bar of 1000 with
// nothing left, so n/3 bars is the optimum by construction.
func triplets(seed uint64, bars int) []BarPiece {
	r := rand.New(rand.NewPCG(seed, 1996))
	var l []float64
	for range bars {
		a := 380 + r.IntN(111)
		b := 250 + r.IntN((1000-a)/2-250+1)
		l = append(l, float64(a), float64(b), float64(1000-a-b))
	}
	r.Shuffle(len(l), func(i, k int) { l[i], l[k] = l[k], l[i] })
	return singles(l...)
}

func TestTripletsAreWithinTwoPercentOfTheOptimum(t *testing.T) {
	for bars, seeds := range map[int]uint64{20: 4, 40: 3, 83: 1, 167: 1} {
		for seed := range seeds {
			pieces := triplets(seed, bars)
			p, err := NestBars(pieces, []float64{1000}, 0, DefaultNestOptions())
			require.NoError(t, err)
			lay(t, p, pieces, 0)
			t.Logf("%d pieces, seed %d: %.0f bars of %d, bound %.0f, exact %v", 3*bars, seed, p.BoughtMM/1000, bars, p.BoundMM/1000, p.Exact)
			assert.LessOrEqual(t, p.BoughtMM/1000, 1.02*float64(bars))
			assert.Equal(t, float64(bars), p.BoundMM/1000)
		}
	}
}

// Lists cut from twelve bars with a kerf and at most 40 mm lost on each: eleven
// bars are less than the pieces, so twelve is the optimum by construction.
func TestConstructedShopLists(t *testing.T) {
	for seed := range uint64(6) {
		r := rand.New(rand.NewPCG(seed, 7))
		var l []float64
		bars := 12
		for range bars {
			left := 6096.0
			for left > 2200 {
				x := float64(400 + r.IntN(1500))
				l = append(l, x)
				left -= x + 3.2
			}
			l = append(l, left-float64(r.IntN(41)))
		}
		p, err := NestBars(singles(l...), []float64{6096}, 3.2, DefaultNestOptions())
		require.NoError(t, err)
		lay(t, p, singles(l...), 3.2)
		t.Logf("seed %d: %d pieces: %.0f bars, bound %.0f", seed, len(l), p.BoughtMM/6096, p.BoundMM/6096)
		assert.InDelta(t, float64(bars), p.BoughtMM/6096, 1e-9)
	}
}

// cheapest tries every way of dealing pieces to bars.
func cheapest(sizes, rooms []int) int {
	best := 1 << 30
	var bars []int
	var walk func(i int)
	walk = func(i int) {
		if i == len(sizes) {
			sum := 0
			for _, b := range bars {
				k := slices.IndexFunc(rooms, func(r int) bool { return r >= b })
				sum += rooms[k]
			}
			best = min(best, sum)
			return
		}
		for b := range bars {
			if bars[b]+sizes[i] <= rooms[len(rooms)-1] {
				bars[b] += sizes[i]
				walk(i + 1)
				bars[b] -= sizes[i]
			}
		}
		bars = append(bars, sizes[i])
		walk(i + 1)
		bars = bars[:len(bars)-1]
	}
	walk(0)
	return best
}

func TestSmallListsAgainstEveryPlan(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for trial := range 300 {
		rooms := []int{100}
		if trial%2 == 1 {
			rooms = []int{60 + r.IntN(20), 100}
		}
		var sizes []int
		var pieces []float64
		for range 3 + r.IntN(5) {
			s := 8 + r.IntN(70)
			sizes, pieces = append(sizes, s), append(pieces, float64(s))
		}
		stock := []float64{}
		for _, x := range rooms {
			stock = append(stock, float64(x))
		}
		p, err := NestBars(singles(pieces...), stock, 0, DefaultNestOptions())
		require.NoError(t, err)
		lay(t, p, singles(pieces...), 0)
		require.Equal(t, float64(cheapest(sizes, rooms)), p.BoughtMM, "%v on %v", sizes, rooms)
		require.True(t, p.Exact, "%v on %v", sizes, rooms)
	}
}

func TestBarPlanIsTheSameEveryTime(t *testing.T) {
	pieces := triplets(9, 30)
	a, err := NestBars(pieces, []float64{1000}, 1, DefaultNestOptions())
	require.NoError(t, err)
	b, err := NestBars(pieces, []float64{1000}, 1, DefaultNestOptions())
	require.NoError(t, err)
	assert.Equal(t, a, b)
}

func TestBadBarListsAreRefused(t *testing.T) {
	opt := DefaultNestOptions()
	for part, f := range map[string]func() error{
		"longer than the longest bar": func() error { _, err := NestBars(singles(7000), []float64{6000}, 0, opt); return err },
		"no stock length":             func() error { _, err := NestBars(singles(7000), nil, 0, opt); return err },
		"a stock length is -1":        func() error { _, err := NestBars(singles(7000), []float64{-1}, 0, opt); return err },
		"the kerf is":                 func() error { _, err := NestBars(singles(7000), []float64{6000}, -1, opt); return err },
		"a length over 0":             func() error { _, err := NestBars(singles(0), []float64{6000}, 0, opt); return err },
		"over 20000 pieces":           func() error { _, err := NestBars([]BarPiece{{"A1", 1, 1 << 40}}, []float64{6000}, 0, opt); return err },
	} {
		err := f()
		require.Error(t, err, part)
		assert.Contains(t, err.Error(), part)
	}
	p, err := NestBars(nil, []float64{6000}, 3, opt)
	require.NoError(t, err)
	assert.Empty(t, p.Bars)
}
