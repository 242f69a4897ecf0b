package shop

import (
	"cmp"
	"math"
	"slices"
)

// rect is a free or a taken rectangle of a sheet.
type rect struct{ x, y, l, w float64 }

// bin is a sheet while it is filled: its maximal free rectangles.
type bin struct {
	sheet int
	free  []rect
	taken []rect
	items []item
}

// The number of orders in which pieces are taken and of rules by which a place
// is chosen.
const (
	orders = 6
	rules  = 4
)

// sorted returns the items in one of the orders, largest first: by area, long
// side, short side, girth, slimness, and long side in steps of a tenth.
func (t sheetTask) sorted(order int) []item {
	key := func(i item) float64 {
		switch order {
		case 0:
			return i.l * i.w
		case 1:
			return i.l
		case 2:
			return i.w
		case 3:
			return i.l + i.w
		case 4:
			return i.l / i.w
		}
		return math.Ceil(i.l / (t.room[len(t.room)-1][0] / 10))
	}
	out := slices.Clone(t.items)
	slices.SortStableFunc(out, func(a, b item) int {
		return cmp.Or(cmp.Compare(key(b), key(a)), cmp.Compare(b.l, a.l), cmp.Compare(b.w, a.w))
	})
	return out
}

// place fills sheets of the allowed sizes; nil where a piece fits on none.
func (t sheetTask) place(allowed []int, order, rule int) []bin {
	var bins []bin
	for _, it := range t.sorted(order) {
		if !t.put(bins, it, rule) {
			s := t.open(allowed, it)
			if s < 0 {
				return nil
			}
			bins = append(bins, bin{sheet: s, free: []rect{{0, 0, t.room[s][0], t.room[s][1]}}})
			t.put(bins[len(bins)-1:], it, rule)
		}
	}
	for i := range bins {
		bins[i] = t.smaller(bins[i])
	}
	return bins
}

// open chooses the size of a new sheet: the largest allowed that takes the piece.
func (t sheetTask) open(allowed []int, it item) int {
	for i := len(allowed) - 1; i >= 0; i-- {
		if it.fits(t.room[allowed[i]]) {
			return allowed[i]
		}
	}
	return -1
}

// smaller gives a sheet's pieces a smaller sheet where they lie within it as they are.
func (t sheetTask) smaller(b bin) bin {
	var l, w float64
	for _, r := range b.taken {
		l, w = max(l, r.x+r.l), max(w, r.y+r.w)
	}
	for s := range b.sheet {
		if l <= t.room[s][0]+1e-9 && w <= t.room[s][1]+1e-9 {
			b.sheet = s
			break
		}
	}
	return b
}

// put places an item where the rule likes it best; false where it fits nowhere.
func (t sheetTask) put(bins []bin, it item, rule int) bool {
	const eps = 1e-9
	best, at := [3]float64{math.Inf(1)}, rect{}
	where := -1
	for b := range bins {
		for _, f := range bins[b].free {
			for _, s := range [2][2]float64{{it.l, it.w}, {it.w, it.l}} {
				if s[0] > f.l+eps || s[1] > f.w+eps {
					continue
				}
				score := rate(f, s, rule)
				if slices.Compare(score[:], best[:]) < 0 {
					best, at, where = score, rect{f.x, f.y, s[0], s[1]}, b
				}
			}
		}
	}
	if where < 0 {
		return false
	}
	bins[where].take(at)
	bins[where].items = append(bins[where].items, it)
	return true
}

// rate scores a place, less being better: what is left on the short side, on the
// long side, of the area, or how near the start of the sheet the piece ends.
func rate(f rect, s [2]float64, rule int) [3]float64 {
	dl, dw := f.l-s[0], f.w-s[1]
	switch rule {
	case 0:
		return [3]float64{min(dl, dw), max(dl, dw), f.x}
	case 1:
		return [3]float64{max(dl, dw), min(dl, dw), f.x}
	case 2:
		return [3]float64{f.l*f.w - s[0]*s[1], min(dl, dw), f.x}
	}
	return [3]float64{f.x + s[0], f.y, dw}
}

// take cuts a rectangle out of all free ones and keeps the maximal ones.
func (b *bin) take(r rect) {
	const eps = 1e-9
	var next []rect
	for _, f := range b.free {
		if r.x >= f.x+f.l-eps || r.x+r.l <= f.x+eps || r.y >= f.y+f.w-eps || r.y+r.w <= f.y+eps {
			next = append(next, f)
			continue
		}
		if r.x > f.x+eps {
			next = append(next, rect{f.x, f.y, r.x - f.x, f.w})
		}
		if r.x+r.l < f.x+f.l-eps {
			next = append(next, rect{r.x + r.l, f.y, f.x + f.l - r.x - r.l, f.w})
		}
		if r.y > f.y+eps {
			next = append(next, rect{f.x, f.y, f.l, r.y - f.y})
		}
		if r.y+r.w < f.y+f.w-eps {
			next = append(next, rect{f.x, r.y + r.w, f.l, f.y + f.w - r.y - r.w})
		}
	}
	b.free = maximal(next)
	b.taken = append(b.taken, r)
}

// maximal drops rectangles that lie within another.
func maximal(rs []rect) []rect {
	const eps = 1e-9
	var out []rect
	for i, a := range rs {
		inside := false
		for k, b := range rs {
			if i == k || a.x < b.x-eps || a.y < b.y-eps || a.x+a.l > b.x+b.l+eps || a.y+a.w > b.y+b.w+eps {
				continue
			}
			if inside = k < i || a.l*a.w < b.l*b.w-eps; inside {
				break
			}
		}
		if !inside {
			out = append(out, a)
		}
	}
	return out
}

func (t sheetTask) area(bins []bin) float64 {
	sum := 0.0
	for _, b := range bins {
		sum += t.sheets[b.sheet][0] * t.sheets[b.sheet][1]
	}
	return sum
}

// less says that plan a is better than b: less area, then a shorter last sheet.
func (t sheetTask) less(a, b []bin) bool {
	x, y := t.area(a), t.area(b)
	if math.Abs(x-y) > 1e-6*y {
		return x < y
	}
	return used(a[len(a)-1]) < used(b[len(b)-1])-1e-9
}

func used(b bin) float64 {
	far := 0.0
	for _, r := range b.taken {
		far = max(far, r.x+r.l)
	}
	return far
}

// plan takes gaps and edges off again.
func (t sheetTask) plan(bins []bin) SheetPlan {
	p := SheetPlan{BoughtMM2: t.area(bins), BoundMM2: min(t.bound(), t.area(bins))}
	net := 0.0
	for _, b := range bins {
		s := CutSheet{LengthMM: t.sheets[b.sheet][0], WidthMM: t.sheets[b.sheet][1]}
		for i, r := range b.taken {
			l, w := r.l-t.opt.GapMM, r.w-t.opt.GapMM
			s.Pieces = append(s.Pieces, Placed{Mark: b.items[i].of.Mark, AtMM: [2]float64{r.x + t.opt.EdgeMM, r.y + t.opt.EdgeMM},
				LengthMM: l, WidthMM: w, Turned: l < w})
			a := b.items[i].of.AreaMM2
			if a <= 0 || a > l*w {
				a = l * w
			}
			s.AreaMM2 += a
		}
		s.UsedLengthMM = min(s.LengthMM, used(b)+2*t.opt.EdgeMM-t.opt.GapMM)
		net += s.AreaMM2
		p.Sheets = append(p.Sheets, s)
	}
	p.YieldShare, p.GapShare = net/p.BoughtMM2, p.BoughtMM2/p.BoundMM2-1
	return p
}
