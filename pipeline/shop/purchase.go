package shop

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"pointup/pipeline/job"
	"pointup/pipeline/stock"
)

// Nesting is how everything of one stock is cut from what is bought.
type Nesting struct {
	Stock   stock.Size
	Process string
	KerfMM  float64
	Bars    *BarPlan
	Sheets  *SheetPlan
	Joints  []Joint // splices and seams, since the stock is too short
	Problem string  // why it could not be nested
}

// Purchase is one item to buy.
type Purchase struct {
	Stock             stock.Size
	Count             int
	LengthMM, WidthMM float64 // of one bar or sheet
	MassKG            float64 // of all
	UsedKG            float64 // without remnants that are kept: bars over 300 mm, the uncut ends of sheets
	Lead              bool
	For               []string // marks
}

// Nest cuts all lines from bars and sheets, stock by stock in the order of the
// list.
func Nest(list List, s job.Shop) []Nesting {
	var out []Nesting
	for _, mark := range stocksOf(list) {
		lines := ofStock(list, mark)
		if lines[0].From == "bar" {
			out = append(out, nestBars(lines, s))
		} else {
			out = append(out, nestSheets(lines, s))
		}
	}
	return out
}

func stocksOf(list List) []string {
	var out []string
	for _, l := range list.Lines {
		if l.From != "" && l.LengthMM > 0 && !slices.Contains(out, l.Stock.Mark) {
			out = append(out, l.Stock.Mark)
		}
	}
	return out
}

func ofStock(list List, mark string) []Line {
	var out []Line
	for _, l := range list.Lines {
		if l.Stock.Mark == mark && l.From != "" && l.LengthMM > 0 {
			out = append(out, l)
		}
	}
	return out
}

// nestBars splices what is longer than the longest bar, and places the rest.
func nestBars(lines []Line, s job.Shop) Nesting {
	n := Nesting{Stock: lines[0].Stock, Process: "saw", KerfMM: kerfMM("saw", s)}
	longest := slices.Max(s.BarLengthsMM)
	var pieces []BarPiece
	for _, l := range lines {
		parts, where := Splice(l.LengthMM, longest)
		for i, mm := range parts {
			mark := l.Mark
			if len(parts) > 1 {
				mark = fmt.Sprintf("%s part %d of %d", l.Mark, i+1, len(parts))
			}
			pieces = append(pieces, BarPiece{Mark: mark, LengthMM: mm, Quantity: l.Quantity})
		}
		for _, at := range where {
			n.Joints = append(n.Joints, Joint{Mark: l.Mark, AtMM: at, Along: "length", SeamMM: girthMM(l.Stock), ThickMM: thickMM(l.Stock), PiecesOf1: len(parts)})
		}
	}
	plan, err := NestBars(pieces, s.BarLengthsMM, n.KerfMM, DefaultNestOptions())
	if err != nil {
		n.Problem = err.Error()
		return n
	}
	n.Bars = &plan
	return n
}

// partGapMM is left between parts beside the kerf (a plasma cutting guide).
const partGapMM = 5

// nestSheets cuts blanks that fit on no sheet into a grid of equal pieces with
// seams between.
func nestSheets(lines []Line, s job.Shop) Nesting {
	n := Nesting{Stock: lines[0].Stock, Process: cutter(lines[0].Stock.ThicknessMM)}
	n.KerfMM = kerfMM(n.Process, s)
	opt := DefaultSheetOptions()
	opt.GapMM = partGapMM + n.KerfMM
	var sheets [][2]float64
	for _, x := range s.Sheets {
		sheets = append(sheets, [2]float64{x.LengthMM, x.WidthMM})
	}
	var pieces []FlatPiece
	for _, l := range lines {
		nx, ny := SplitFlat(l.LengthMM, l.WidthMM, sheets, opt)
		if nx == 0 {
			n.Problem = fmt.Sprintf("%s: %.0f × %.0f mm cannot be pieced from the sheets of the job; give larger ones under shop.sheets", l.Mark, l.LengthMM, l.WidthMM)
			return n
		}
		many := nx * ny
		pieces = append(pieces, FlatPiece{Mark: l.Mark, LengthMM: l.LengthMM / float64(nx), WidthMM: l.WidthMM / float64(ny), AreaMM2: l.AreaMM2 / float64(many), Quantity: many * l.Quantity})
		n.Joints = append(n.Joints, seams(l, nx, ny)...)
	}
	plan, err := NestSheets(pieces, sheets, opt)
	if err != nil {
		n.Problem = err.Error()
		return n
	}
	n.Sheets = &plan
	return n
}

func seams(l Line, nx, ny int) []Joint {
	var out []Joint
	for i := 1; i < nx; i++ {
		out = append(out, Joint{Mark: l.Mark, AtMM: l.LengthMM * float64(i) / float64(nx), Along: "length", SeamMM: l.WidthMM, ThickMM: l.Stock.ThicknessMM, PiecesOf1: nx})
	}
	for i := 1; i < ny; i++ {
		out = append(out, Joint{Mark: l.Mark, AtMM: l.WidthMM * float64(i) / float64(ny), Along: "width", SeamMM: l.LengthMM, ThickMM: l.Stock.ThicknessMM, PiecesOf1: ny})
	}
	return out
}

// girthMM is the length of the weld round a section.
func girthMM(s stock.Size) float64 {
	switch s.Form {
	case "pipe", "tube", "round":
		return math.Pi * s.ODMM
	case "angle":
		return s.HeightMM + s.WidthMM
	case "flat":
		return s.WidthMM
	}
	return 2 * (s.HeightMM + s.WidthMM)
}

// thickMM is what a weld through a section joins: its wall, or half of a solid one
// from each side.
func thickMM(s stock.Size) float64 {
	switch {
	case s.WallMM > 0:
		return s.WallMM
	case s.ThicknessMM > 0:
		return s.ThicknessMM
	case s.Form == "square":
		return s.WidthMM / 2
	}
	return s.ODMM / 2
}

// Purchases lists what is bought, long-lead things first, then by mark.
func Purchases(list List, nests []Nesting) []Purchase {
	var out []Purchase
	for _, n := range nests {
		p := Purchase{Stock: n.Stock, Lead: n.Stock.ODMM > leadOD || isPlate(n.Stock) && n.Stock.ThicknessMM >= leadPlate}
		for _, l := range ofStock(list, n.Stock.Mark) {
			p.Lead = p.Lead || l.Lead
			if !slices.Contains(p.For, l.Mark) {
				p.For = append(p.For, l.Mark)
			}
		}
		out = append(out, p.counted(n)...)
	}
	slices.SortStableFunc(out, func(a, b Purchase) int {
		return cmp.Or(cmp.Compare(boolRank(b.Lead), boolRank(a.Lead)), strings.Compare(a.Stock.Form, b.Stock.Form))
	})
	return out
}

// counted is an item for each length of bar or size of sheet.
func (p Purchase) counted(n Nesting) []Purchase {
	var out []Purchase
	add := func(count int, length, width, kg, used float64) {
		i := slices.IndexFunc(out, func(q Purchase) bool { return q.LengthMM == length && q.WidthMM == width })
		if i < 0 {
			i = len(out)
			q := p
			q.LengthMM, q.WidthMM = length, width
			out = append(out, q)
		}
		out[i].Count += count
		out[i].MassKG += float64(count) * kg
		out[i].UsedKG += float64(count) * used
	}
	if n.Bars != nil {
		for _, b := range n.Bars.Bars {
			used := b.StockMM
			if b.RemnantMM >= shortestMM {
				used -= b.RemnantMM
			}
			add(b.Count, b.StockMM, 0, b.StockMM*1e-3*n.Stock.MassKGM, used*1e-3*n.Stock.MassKGM)
		}
	}
	if n.Sheets != nil {
		for _, c := range n.Sheets.Sheets {
			m2 := c.WidthMM * 1e-6 * n.Stock.MassKGM2
			add(1, c.LengthMM, c.WidthMM, c.LengthMM*m2, min(c.UsedLengthMM, c.LengthMM)*m2)
		}
	}
	return out
}
