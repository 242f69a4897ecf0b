package shop

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// FlatPiece is what is cut from sheets: Quantity pieces with one enclosing
// rectangle.
type FlatPiece struct {
	Mark              string
	LengthMM, WidthMM float64 // of the rectangle, length ≥ width
	AreaMM2           float64 // of the piece itself, holes taken out; 0: the rectangle's
	Quantity          int
}

// Placed is one piece on a sheet: its lower left corner from the sheet's, and
// whether its length lies across the sheet.
type Placed struct {
	Mark              string
	AtMM              [2]float64
	LengthMM, WidthMM float64 // along and across the sheet
	Turned            bool
}

// CutSheet is one sheet with what is cut from it.
type CutSheet struct {
	LengthMM, WidthMM float64
	Pieces            []Placed
	AreaMM2           float64 // of its pieces
	UsedLengthMM      float64 // from the end at which cutting starts; the rest is kept
}

// SheetPlan says how flat pieces of one stock are cut. BoundMM2 is an area of
// sheets that no plan by rectangles can go below, YieldShare the pieces' own area
// over the area of the sheets.
type SheetPlan struct {
	Sheets     []CutSheet
	BoughtMM2  float64
	BoundMM2   float64
	GapShare   float64
	YieldShare float64
}

// SheetOptions are distances in mm. Plasma asks for 5 mm between parts (a cutting
// guide); the edge of 10 mm is common practice, no source.
type SheetOptions struct {
	GapMM  float64 // between pieces, the kerf included
	EdgeMM float64 // from the edges of the sheet
}

// DefaultSheetOptions leave 5 mm and a kerf of 3 mm between pieces.
func DefaultSheetOptions() SheetOptions { return SheetOptions{GapMM: 8, EdgeMM: 10} }

// NestSheets places pieces on sheets by their enclosing rectangles, turned by 90°
// where that helps.
//
// Six orders of pieces and four rules of choice of the free rectangle (Jylänki, A
// thousand ways to pack the bin, 2010: maximal rectangles) are tried on each
// size of sheet and on all together; the least area of sheets wins, then the
// least used length of the last one. A round piece counts as its square.
//
// The bound is the greater of the rectangles' area and, for one size of sheet,
// the number of pieces of which no two share a sheet. Errors: sizes that are not
// positive numbers, a piece that fits on no sheet (see SplitFlat), over 3000 pieces.
func NestSheets(pieces []FlatPiece, sheets [][2]float64, opt SheetOptions) (SheetPlan, error) {
	t, err := newSheetTask(pieces, sheets, opt)
	if err != nil || len(t.items) == 0 {
		return SheetPlan{}, err
	}
	var best []bin
	choices := [][]int{}
	for i := range t.sheets {
		choices = append(choices, []int{i})
	}
	if len(t.sheets) > 1 {
		all := make([]int, len(t.sheets))
		for i := range all {
			all[i] = i
		}
		choices = append(choices, all)
	}
	for _, allowed := range choices {
		for order := range orders {
			for rule := range rules {
				if b := t.place(allowed, order, rule); b != nil && (best == nil || t.less(b, best)) {
					best = b
				}
			}
		}
	}
	return t.plan(best), nil
}

// sheetTask is the problem with gaps taken into the pieces: each is larger by one
// gap, so is the sheet within its edges.
type sheetTask struct {
	items  []item
	sheets [][2]float64 // as bought, by rising area
	room   [][2]float64
	opt    SheetOptions
}

// item is one piece with its gap.
type item struct {
	of   *FlatPiece
	l, w float64
}

const flatMax = 3000

func newSheetTask(pieces []FlatPiece, sheets [][2]float64, opt SheetOptions) (sheetTask, error) {
	t := sheetTask{opt: opt}
	if !(opt.GapMM >= 0 && opt.GapMM <= 1000 && opt.EdgeMM >= 0 && opt.EdgeMM <= 1000) {
		return t, fmt.Errorf("sheets: gap %v mm, edge %v mm; give 0 to 1000 mm", opt.GapMM, opt.EdgeMM)
	}
	if len(sheets) == 0 {
		return t, fmt.Errorf("sheets: no size is given; give one under shop.sheets")
	}
	for _, s := range sheets {
		if !(s[0] > 0 && s[1] > 0 && s[0] <= 1e6 && s[1] <= 1e6) {
			return t, fmt.Errorf("sheets: a sheet is %v × %v mm; give lengths over 0", s[0], s[1])
		}
		t.sheets = append(t.sheets, [2]float64{max(s[0], s[1]), min(s[0], s[1])})
	}
	slices.SortFunc(t.sheets, func(a, b [2]float64) int {
		return cmp.Or(cmp.Compare(a[0]*a[1], b[0]*b[1]), cmp.Compare(a[0], b[0]))
	})
	t.sheets = slices.Compact(t.sheets)
	for _, s := range t.sheets {
		t.room = append(t.room, [2]float64{s[0] - 2*opt.EdgeMM + opt.GapMM, s[1] - 2*opt.EdgeMM + opt.GapMM})
	}
	for i := range pieces {
		if err := t.add(&pieces[i]); err != nil {
			return t, err
		}
	}
	return t, nil
}

func (t *sheetTask) add(p *FlatPiece) error {
	if !(p.LengthMM > 0 && p.WidthMM > 0 && p.LengthMM <= 1e6 && p.WidthMM <= 1e6) || p.Quantity < 0 {
		return fmt.Errorf("sheets: %s: %d pieces of %v × %v mm; sizes over 0 and a quantity are needed", p.Mark, p.Quantity, p.LengthMM, p.WidthMM)
	}
	it := item{p, max(p.LengthMM, p.WidthMM) + t.opt.GapMM, min(p.LengthMM, p.WidthMM) + t.opt.GapMM}
	if !slices.ContainsFunc(t.room, func(r [2]float64) bool { return it.fits(r) }) {
		last := t.sheets[len(t.sheets)-1]
		return fmt.Errorf("sheets: %s: %.1f × %.1f mm fits on no sheet, the largest is %.1f × %.1f mm less %.1f mm at the edges; split it",
			p.Mark, p.LengthMM, p.WidthMM, last[0], last[1], t.opt.EdgeMM)
	}
	if p.Quantity > flatMax || len(t.items)+p.Quantity > flatMax {
		return fmt.Errorf("sheets: over %d pieces of one stock; take them in lots", flatMax)
	}
	for range p.Quantity {
		t.items = append(t.items, it)
	}
	return nil
}

// fits says whether the item lies in a rectangle, lying or turned.
func (it item) fits(r [2]float64) bool {
	const eps = 1e-9
	return it.l <= r[0]+eps && it.w <= r[1]+eps || it.w <= r[0]+eps && it.l <= r[1]+eps
}

// bound is an area of sheets that no plan goes below.
func (t sheetTask) bound() float64 {
	area, rate := 0.0, math.Inf(1)
	for _, it := range t.items {
		area += it.l * it.w
	}
	for i, s := range t.sheets {
		rate = min(rate, s[0]*s[1]/(t.room[i][0]*t.room[i][1]))
	}
	if len(t.sheets) > 1 {
		return max(area*rate, t.sheets[0][0]*t.sheets[0][1])
	}
	r, whole := t.room[0], t.sheets[0][0]*t.sheets[0][1]
	large := 0
	for _, it := range t.items {
		// Two such pieces overlap in both directions however they are turned.
		if it.w > r[1]/2+1e-9 && it.w > r[0]/2+1e-9 || it.w > r[1]/2+1e-9 && it.l > r[1]+1e-9 && it.l > r[0]/2+1e-9 {
			large++
		}
	}
	return whole * math.Max(math.Ceil(area/(r[0]*r[1])-1e-9), float64(large))
}
