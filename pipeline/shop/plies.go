package shop

import (
	"errors"
	"fmt"
	"math"

	"pointup/pipeline/stock"
)

// Ply is one plate of a piece that is built up of several, with its own pattern.
type Ply struct {
	Flat
	Number int
	Of     string     // core, layer, front ring, back ring
	WantMM float64    // thickness by the scan; the pattern's is that of stock
	Stock  stock.Size // without a mark where no plate is as thick
}

// stepLeastMM is the least step of a face that is built up: below it a plate is
// machined, or filed.
const stepLeastMM = 1.5

// WheelPlies builds a wheel with stepped faces of plates: a core as thick as its
// thinnest land with the whole outline, and on either side rings on what stands
// higher, toothed where they reach the teeth. whole is its pattern as one plate,
// plates what may be bought; the nearest is taken. Errors: lands of which none
// runs through.
func WheelPlies(whole Flat, p stock.Part, plates []stock.Size, opt FlatOptions) ([]Ply, error) {
	if err := opt.check(); err != nil {
		return nil, err
	}
	if len(p.Lands) < 2 {
		return nil, fmt.Errorf("%s: its faces have no steps", p.ID)
	}
	// Stock has made the rim a little thicker or thinner: both faces move.
	rim := p.Lands[len(p.Lands)-1]
	more := (whole.ThicknessMM - rim.FrontMM - rim.BackMM) / 2
	sides := [2][]float64{}
	for _, l := range p.Lands {
		sides[0], sides[1] = append(sides[0], l.FrontMM+more), append(sides[1], l.BackMM+more)
	}
	low := [2]float64{math.Inf(1), math.Inf(1)}
	for s := range sides {
		for _, h := range sides[s] {
			low[s] = math.Min(low[s], h)
		}
	}
	core := low[0] + low[1]
	if !(core > 0) || math.IsInf(core, 0) {
		return nil, fmt.Errorf("%s: no plate runs through all its lands: cast or machine it", p.ID)
	}
	b := plyBuilder{whole: whole, part: p, plates: plates, opt: opt}
	b.add("core", core, 0, len(p.Lands), false)
	for s, name := range [2]string{"front ring", "back ring"} {
		b.rings(name, sides[s], low[s], 0, len(p.Lands))
	}
	if len(b.plies) < 2 {
		return nil, fmt.Errorf("%s: its steps are under %.1f mm: machine them", p.ID, stepLeastMM)
	}
	return b.plies, nil
}

type plyBuilder struct {
	whole  Flat
	part   stock.Part
	plates []stock.Size
	opt    FlatOptions
	plies  []Ply
}

// rings lays a ring on each run of lands that stand over level, and on that the
// next.
func (b *plyBuilder) rings(name string, high []float64, level float64, from, to int) {
	for i := from; i < to; i++ {
		k, top := i, math.Inf(1)
		for ; k < to && high[k] > level+stepLeastMM; k++ {
			top = math.Min(top, high[k])
		}
		if k == i {
			continue
		}
		b.add(name, top-level, i, k, true)
		b.rings(name, high, top, i, k)
		i = k
	}
}

// add cuts a plate over lands from one up to another.
func (b *plyBuilder) add(name string, thickMM float64, from, to int, plugged bool) {
	lands := b.part.Lands
	p := Ply{Number: len(b.plies) + 1, Of: name, WantMM: thickMM}
	var machined bool
	p.Stock, machined = plateFor(b.plates, thickMM)
	f := Flat{Mark: fmt.Sprintf("%s-ply-%d", b.whole.Mark, p.Number), Name: title(b.whole.Name, name), Kind: "toothed_wheel", ThicknessMM: thickMM, Outer: b.whole.Outer}
	switch {
	case p.Stock.Mark == "":
		f.Notes = append(f.Notes, "no plate is as thick")
	case machined:
		f.Notes = append(f.Notes, fmt.Sprintf("machined to %.1f mm from %s: no plate is within a tenth", thickMM, p.Stock.Mark))
	default:
		f.ThicknessMM = p.Stock.ThicknessMM
	}
	inner, outer := 0.0, math.Inf(1)
	if from > 0 {
		inner = lands[from].FromMM
		f.bore(2 * inner)
	}
	if to < len(lands) {
		f.Kind, outer = "ring", lands[to-1].ToMM
		f.Outer = round(0, 0, outer)
	}
	for _, o := range b.whole.Openings {
		if o.between(inner, outer) {
			f.Openings = append(f.Openings, o)
		}
	}
	f.Notes = append(f.Notes, fmt.Sprintf("%s of %s, %.1f mm by the scan", name, b.whole.Mark, thickMM))
	f.finish(plugged, b.opt)
	if name == "core" { // where others are seated
		f.Lines = append(f.Lines, b.whole.Lines[b.whole.own:]...)
	}
	p.Flat = f
	b.plies = append(b.plies, p)
}

// finish adds plug holes and marks, and measures.
func (f *Flat) finish(plugged bool, opt FlatOptions) {
	if plugged {
		f.plug()
	}
	f.setOut(opt)
	f.measure(opt)
}

// between tells whether an opening lies wholly between two circles about the
// middle.
func (o Opening) between(inner, outer float64) bool {
	for _, q := range o.Loop.line() {
		if r := math.Hypot(q[0], q[1]); r < inner || r > outer {
			return false
		}
	}
	return true
}

// plateOff is how far a plate's thickness may be from that of a ply, of which it
// is a share: nobody sees where one ends.
const plateOff = 0.1

// plateFor is the plate nearest to a thickness; machined where none is near enough
// and the next thicker one must be taken down. No mark where none is as thick.
func plateFor(plates []stock.Size, thickMM float64) (best stock.Size, machined bool) {
	var over stock.Size
	for _, s := range plates {
		off := math.Abs(s.ThicknessMM - thickMM)
		if !isPlate(s) {
			continue
		}
		if off <= plateOff*thickMM && (best.Mark == "" || off < math.Abs(best.ThicknessMM-thickMM)) {
			best = s
		}
		if s.ThicknessMM > thickMM && (over.Mark == "" || s.ThicknessMM < over.ThicknessMM) {
			over = s
		}
	}
	if best.Mark == "" {
		return over, over.Mark != ""
	}
	return best, false
}

// Laminated are the patterns of a flat piece that is laid of several plates: the
// first is whole, the others have holes for plug welds to the one below.
func Laminated(whole Flat, layers []stock.Size, opt FlatOptions) ([]Ply, error) {
	if err := opt.check(); err != nil {
		return nil, err
	}
	if len(layers) < 2 {
		return nil, errors.New("a laminated piece has two plates at least")
	}
	var out []Ply
	for i, s := range layers {
		if !(s.ThicknessMM > 0) {
			return nil, fmt.Errorf("%s: the thickness of layer %d is not known", whole.Mark, i+1)
		}
		f := Flat{Mark: fmt.Sprintf("%s-ply-%d", whole.Mark, i+1), Name: title(whole.Name, fmt.Sprintf("layer %d of %d", i+1, len(layers))), Kind: whole.Kind, ThicknessMM: s.ThicknessMM, Outer: whole.Outer}
		f.Openings = append(f.Openings, whole.Openings...)
		f.finish(i > 0, opt)
		if i == len(layers)-1 {
			f.Lines = append(f.Lines, whole.Lines[whole.own:]...)
		}
		out = append(out, Ply{Flat: f, Number: i + 1, Of: "layer", WantMM: s.ThicknessMM, Stock: s})
	}
	return out, nil
}
