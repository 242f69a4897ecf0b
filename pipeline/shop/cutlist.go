package shop

import (
	"math"

	"pointup/pipeline/job"
	"pointup/pipeline/stock"
)

// Line is one line of the cut list: pieces that are cut alike from one stock.
// A piece that is built of several stocks has a line for each.
type Line struct {
	Mark     string // A1
	Of       string // what of the piece it is, where it is not all of it: layer, wall, strip …
	Quantity int
	Parts    []int // indices of parts, rising
	Kind     string
	Name     string // of the first piece that has one

	Stock     stock.Size // Mark is empty where there is none
	From      string     // bar, plate, or empty: bought as it is, or missing
	LengthMM  float64    // cut length, or of the rectangle round the blank
	WidthMM   float64    // of that rectangle
	AreaMM2   float64    // of the blank itself
	Ends      [2]string  // of bars
	MassKG    float64    // of one
	Processes []string   // in their order
	CutMM     float64    // by torch or beam, one piece
	Pierces   int
	SawCuts   int
	Bends     int
	Lead      bool // order first
	Notes     []string
}

// List is the cut list with the piece mark of each part, empty for one that no
// family holds.
type List struct {
	Lines []Line
	Marks []string
}

// CutList says what is cut for every piece of the as-stock assembly; marks are
// those of its pieces (stock.Remark), massKG the mass of each, 0 where it is not
// known. What cannot be cut, since a size of it is not known, stands in the list
// with a note and without a length.
func CutList(parts []stock.Part, choice stock.Choice, marks [][]string, massKG []float64) List {
	list := List{Marks: make([]string, len(parts))}
	for f, pick := range choice.Families {
		of := map[string][]int{}
		var order []string
		for k, at := range pick.Members {
			m := marks[f][k]
			if of[m] == nil {
				order = append(order, m)
			}
			of[m] = append(of[m], at)
			list.Marks[at] = m
		}
		for _, m := range order {
			at := of[m]
			for _, l := range linesOf(parts[at[0]], pick, massKG[at[0]]) {
				l.Mark, l.Parts = m, at
				l.Quantity *= len(at)
				l.Name = nameOf(parts, at)
				list.Lines = append(list.Lines, l)
			}
		}
	}
	return list
}

func nameOf(parts []stock.Part, at []int) string {
	for _, i := range at {
		if parts[i].Name != "" {
			return parts[i].Name
		}
	}
	return ""
}

// linesOf are the lines of one piece, quantity for one.
func linesOf(p stock.Part, pick stock.Pick, massKG float64) []Line {
	base := Line{Quantity: 1, Kind: p.Kind, Stock: pick.Size, MassKG: massKG}
	switch {
	case p.Made:
		base.Notes = append(base.Notes, "exists at full size: nothing to cut")
		return []Line{base}
	case pick.Missing:
		base.Notes = append(base.Notes, "no stock in the tables makes it")
		return []Line{base}
	case pick.Route == nil:
		return []Line{base.cut(p, pick.Size)}
	}
	return routeLines(p, pick, base)
}

// routeLines are the plates and bars that an odd piece is made of.
func routeLines(p stock.Part, pick stock.Pick, base Line) []Line {
	r := pick.Route
	base.Lead = true
	base.Notes = append(base.Notes, r.Text)
	if len(r.From) == 0 || r.Kind == "formed" {
		base.Processes = []string{r.Kind} // spun or pressed by a specialist: no blank of ours
		return []Line{base}
	}
	var out []Line
	for _, from := range distinct(r.From) {
		l := base
		l.Stock = from
		l.Quantity = countOf(r.From, from)
		switch {
		case isPlate(from) && r.StripMM > 0:
			out = append(out, l.skinned(p, r)...)
			continue
		case isPlate(from) && r.DevelopedMM > 0:
			l = l.wrapped(p, r)
		default:
			l = l.cut(p, from)
		}
		out = append(out, l.made(r))
	}
	return out
}

// distinct are the different sizes in their order.
func distinct(sizes []stock.Size) []stock.Size {
	var out []stock.Size
	for _, s := range sizes {
		if countOf(out, s) == 0 {
			out = append(out, s)
		}
	}
	return out
}

func countOf(sizes []stock.Size, s stock.Size) int {
	n := 0
	for _, x := range sizes {
		if x.Mark == s.Mark {
			n++
		}
	}
	return n
}

// made is a line with the work of its route, and a mass of its own where its
// stock is a plate of several.
func (l Line) made(r *stock.Route) Line {
	l.Processes = append(l.Processes, r.Kind)
	if isPlate(l.Stock) && (len(r.From) > 1 || r.StripMM > 0 || r.DevelopedMM > 0) {
		l.MassKG = l.AreaMM2 * 1e-6 * l.Stock.MassKGM2
	}
	return l
}

// skinned is a hollow plate: two skins, and the strip that closes its edges.
func (l Line) skinned(p stock.Part, r *stock.Route) []Line {
	skin := l.cut(p, l.Stock)
	skin.Of, skin.Quantity = "skin", 2*l.Quantity
	strip := l
	strip.Of, strip.From = "edge strip", "plate"
	strip.LengthMM, strip.WidthMM = skin.CutMM, r.StripMM
	strip.AreaMM2, strip.CutMM, strip.Processes = strip.LengthMM*strip.WidthMM, 2*strip.LengthMM, []string{cutter(l.Stock.ThicknessMM)}
	return []Line{skin.made(r), strip.made(r)}
}

func isPlate(s stock.Size) bool { return s.Form == "plate" || s.Form == "sheet" }

// wrapped is a tube rolled or mitred of plate: the rectangle that its wall
// develops to, or one for each straight length of a mitred hoop.
func (l Line) wrapped(p stock.Part, r *stock.Route) Line {
	long, err := longOf(p)
	if err != nil {
		l.Notes = append(l.Notes, err.Error())
		return l
	}
	l.From, l.Of = "plate", "wall"
	n := 1
	if d, ok := centreline(p); ok && r.Segments > 0 {
		n = max(1, int(math.Ceil(float64(r.Segments)*long.lengthMM/(math.Pi*d)-1e-9)))
	}
	l.Quantity *= n
	l.LengthMM, l.WidthMM = max(long.lengthMM/float64(n), r.DevelopedMM), min(long.lengthMM/float64(n), r.DevelopedMM)
	l.AreaMM2 = l.LengthMM * l.WidthMM
	l.CutMM, l.Bends = 2*(l.LengthMM+l.WidthMM), 1
	l.Processes = []string{cutter(l.Stock.ThicknessMM)}
	return l
}

// cut is the piece from bar or plate as the stock's form says.
func (l Line) cut(p stock.Part, from stock.Size) Line {
	if isPlate(from) {
		f, err := FlatOf(p, DefaultFlatOptions())
		if err != nil {
			l.Notes = append(l.Notes, err.Error())
			return l
		}
		l.From, l.LengthMM, l.WidthMM = "plate", max(f.BoxMM[0], f.BoxMM[1]), min(f.BoxMM[0], f.BoxMM[1])
		l.CutMM, l.Pierces, l.AreaMM2 = f.CutMM, f.Pierces, f.NetMM2
		l.Processes = []string{cutter(from.ThicknessMM)}
		if p.Kind == "rolled_plate" || p.Kind == "cone" {
			l.Bends = 1
			l.Processes = append(l.Processes, "roll")
		}
		return l
	}
	g, err := longOf(p)
	if err != nil {
		l.Notes = append(l.Notes, err.Error())
		return l
	}
	l.From, l.LengthMM, l.Ends, l.Bends, l.SawCuts = "bar", g.lengthMM, g.ends, g.bends, 2
	l.Processes = []string{"saw"}
	if g.saddles > 0 {
		l.Processes = append(l.Processes, "cope")
		l.CutMM = float64(g.saddles) * math.Pi * from.ODMM
	}
	if g.bends > 0 {
		l.Processes = append(l.Processes, "bend")
		l.Notes = append(l.Notes, "length of the centreline; what the bender needs to hold it comes on top")
	}
	l.Lead = l.Lead || g.bends > 0 || from.ODMM > leadOD
	if len(p.Holes) > 0 {
		l.Pierces += len(p.Holes)
	}
	return l
}

// Long-lead things are ordered first: large pipe, heavy plate, rolled and bent
// pieces (common practice, no source).
const (
	leadOD    = 219
	leadPlate = 38
)

// The thickest steel that a beam and plasma usually cut in a shop, mm; flame above
// (common practice, no source; ISO 9013 covers laser to 32 mm, plasma to 150 mm).
const (
	laserMM  = 20
	plasmaMM = 50
)

func cutter(thicknessMM float64) string {
	switch {
	case thicknessMM <= laserMM:
		return "laser"
	case thicknessMM <= plasmaMM:
		return "plasma"
	}
	return "flame"
}

// kerfMM is the width of cut: the job's, or a middling one of the process (formulas
// from guides: plasma 1.5 to 3.5 mm, flame 1.5 to 4 mm; saw 1/8 in, common
// practice, no source).
func kerfMM(process string, s job.Shop) float64 {
	if k, ok := s.KerfMM[process]; ok {
		return k
	}
	return map[string]float64{"laser": 0.3, "plasma": 3, "flame": 3, "waterjet": 1, "saw": 3.2}[process]
}

func boolRank(b bool) int {
	if b {
		return 1
	}
	return 0
}
