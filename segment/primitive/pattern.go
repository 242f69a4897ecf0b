package primitive

import (
	"cmp"
	"math"
	"slices"
)

// Pattern is how the like holes of a piece are set out. Lengths are mm at
// maquette scale in the element's u, v; for rolled_plate on its development.
//
// A lattice has rows along the direction that is nearer to u: AlongMM is the
// distance of neighbours in a row, AcrossMM that of rows, CentresMM the least
// distance of two holes. A ring has CircleMM and StepDeg instead.
type Pattern struct {
	Arrangement string // square, rectangular, staggered_60, staggered_45, staggered, oblique, row or ring
	Hole        Hole   // shape and sizes of the median hole
	Holes       int    // in the pattern
	Others      int    // holes of the piece that are not in it

	AlongMM, AcrossMM, CentresMM float64
	AngleDeg                     float64 // of the rows against u, over -90 to 90; of a ring's first hole
	Rows, Columns                int
	CircleMM, StepDeg            float64
	CentreMM                     [2]float64

	MissingMM []([2]float64) // places without a hole
	ScatterMM float64        // rms distance of the holes from their places
	PitchU95  float64        // half-width of the 95 % interval of a pitch, or of the circle
	HoleU95   float64        // that of the median hole's size

	OpenPercent    float64 // holes in it, by their own sizes, over the cells of all its places; 0 for a ring
	FormulaPercent float64 // by the trade's formula, from median hole and pitch; 0 where there is none
}

// leastLike is the least number of like holes that make a pattern.
const leastLike = 3

// Patterns finds the patterns of holes, the one of most holes first. edge is
// the outline that missing places must lie in, nil for none; round says that the
// piece is round about the origin, so that holes may be set out on circles there.
//
// Holes are like where their areas are: a worn diamond may read as another
// shape, and its place counts still. Noise of centres up to a tenth of the pitch
// and missing or odd holes up to a third leave the pattern found.
func Patterns(holes []Hole, edge [][2]float64, round bool) []Pattern {
	var out []Pattern
	for _, group := range likeHoles(holes) {
		p, ok := latticePattern(group, edge, round)
		if !ok {
			p, ok = ringPattern(group)
		}
		if ok {
			out = append(out, p)
			continue
		}
		if round {
			for _, circle := range byRadius(group) {
				if p, ok := ringPattern(circle); ok {
					out = append(out, p)
				}
			}
		}
	}
	for i := range out {
		out[i].Others = len(holes) - out[i].Holes
	}
	slices.SortStableFunc(out, func(a, b Pattern) int { return b.Holes - a.Holes })
	return out
}

// likeHoles parts holes by area: a new group begins where the next larger hole
// has over 1.35 times the area, 1.16 times the size. Groups of too few are left
// out; holes stand by place, so that their order in the scan does not count.
func likeHoles(holes []Hole) [][]Hole {
	all := slices.Clone(holes)
	slices.SortStableFunc(all, func(a, b Hole) int { return cmp.Compare(a.areaMM2(), b.areaMM2()) })
	var out [][]Hole
	from := 0
	for i := 1; i <= len(all); i++ {
		if i < len(all) && all[i].areaMM2() <= 1.35*all[i-1].areaMM2() {
			continue
		}
		if g := all[from:i]; len(g) >= leastLike && g[0].areaMM2() > 0 {
			slices.SortStableFunc(g, func(a, b Hole) int {
				return cmp.Or(cmp.Compare(a.CentreMM[0], b.CentreMM[0]), cmp.Compare(a.CentreMM[1], b.CentreMM[1]))
			})
			out = append(out, g)
		}
		from = i
	}
	return out
}

// byRadius parts holes by their distance from the origin.
func byRadius(holes []Hole) [][]Hole {
	all := slices.Clone(holes)
	r := func(h Hole) float64 { return hypot(h.CentreMM[0], h.CentreMM[1]) }
	slices.SortStableFunc(all, func(a, b Hole) int { return cmp.Compare(r(a), r(b)) })
	gap := 0.5 * math.Sqrt(median(areasOf(all)))
	var out [][]Hole
	from := 0
	for i := 1; i <= len(all); i++ {
		if i < len(all) && r(all[i])-r(all[i-1]) < gap {
			continue
		}
		if i-from >= leastLike {
			out = append(out, all[from:i])
		}
		from = i
	}
	return out
}

func areasOf(holes []Hole) []float64 {
	out := make([]float64, len(holes))
	for i, h := range holes {
		out[i] = h.areaMM2()
	}
	return out
}

// medianHole is the shape that most of the holes have with its median sizes, and
// the half-width of the 95 % interval of its size by the scatter among holes.
func medianHole(holes []Hole) (Hole, float64) {
	count := map[string]int{}
	for _, h := range holes {
		count[h.Shape]++
	}
	best := Hole{}
	for _, s := range []string{"round", "slot", "diamond", "rectangle", "other"} {
		if count[s] > count[best.Shape] {
			best.Shape = s
		}
	}
	var size, short []float64
	var turn [2]float64
	for _, h := range holes {
		if h.Shape != best.Shape {
			continue
		}
		if h.Shape == "round" {
			size = append(size, h.DiameterMM)
			continue
		}
		size, short = append(size, h.AcrossMM[0]), append(short, h.AcrossMM[1])
		sin, cos := math.Sincos(h.AngleDeg * math.Pi / 90) // a long way has no sense: twice the angle has
		turn[0], turn[1] = turn[0]+cos, turn[1]+sin
	}
	u := 1.2533 * 1.96 * 1.4826 * medianOff(size) / math.Sqrt(float64(max(len(size), 1)))
	switch best.Shape {
	case "round":
		best.DiameterMM = median(size)
	case "slot", "diamond", "rectangle":
		best.AcrossMM = [2]float64{median(size), median(short)}
		best.AngleDeg = math.Mod(math.Atan2(turn[1], turn[0])*90/math.Pi+180, 180)
	}
	return best, u
}

// medianOff is the median distance from the median.
func medianOff(v []float64) float64 {
	m := median(slices.Clone(v))
	off := make([]float64, len(v))
	for i, x := range v {
		off[i] = math.Abs(x - m)
	}
	return median(off)
}

// areaMM2 is the hole's opening by its own sizes.
func (h *Hole) areaMM2() float64 {
	a, b := h.AcrossMM[0], h.AcrossMM[1]
	switch h.Shape {
	case "round":
		return math.Pi / 4 * h.DiameterMM * h.DiameterMM
	case "slot":
		return a*b - (1-math.Pi/4)*b*b
	case "diamond":
		return a * b / 2
	case "rectangle":
		return a * b
	}
	return math.Abs(loopArea(stepLine(h.Outline)))
}

// stepLine is a closed outline as a chain, arcs in chords of 3 degrees.
func stepLine(steps []Step) [][2]float64 {
	var out [][2]float64
	for i, s := range steps {
		if s.Arc {
			out = append(out, chords(steps[(i+len(steps)-1)%len(steps)].To, s.Via, s.To)...)
		}
		out = append(out, s.To)
	}
	return out
}

// loopArea is the area within a closed chain, counter-clockwise positive.
func loopArea(chain [][2]float64) float64 {
	s := 0.0
	for i, a := range chain {
		b := chain[(i+1)%len(chain)]
		s += (a[0]*b[1] - a[1]*b[0]) / 2
	}
	return s
}

// Patterns finds the patterns of the element's holes, that of most holes first.
func (e *Element) Patterns() []Pattern {
	if len(e.Holes) < leastLike {
		return nil
	}
	return Patterns(e.Holes, e.edge(), e.round())
}

func (e *Element) round() bool {
	return e.Kind == "disc" || e.Kind == "ring" || e.Kind == "toothed_wheel"
}

// edge is the outline of the face that the holes are in, nil where it is not
// known.
func (e *Element) edge() [][2]float64 {
	if e.Kind == "plate" {
		return stepLine(e.Outline)
	}
	_, conical := e.Dim("developed_sweep_deg") // its development is no rectangle
	if l, ok := e.Dim("developed_length_mm"); ok && e.Kind == "rolled_plate" && !conical {
		w, _ := e.Dim("width_mm")
		return [][2]float64{{0, -w / 2}, {l, -w / 2}, {l, w / 2}, {0, w / 2}}
	}
	d, ok := e.Dim("outside_diameter_mm")
	if e.Kind == "toothed_wheel" {
		d, ok = e.Dim("root_diameter_mm")
	}
	if !ok || !e.round() {
		return nil
	}
	const n = 180
	out := make([][2]float64, n)
	for k := range out {
		sin, cos := math.Sincos(2 * math.Pi * float64(k) / n)
		out[k] = [2]float64{d / 2 * cos, d / 2 * sin}
	}
	return out
}
