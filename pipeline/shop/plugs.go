package shop

import (
	"fmt"
	"math"
)

// Plug welds of plates laid on each other. A hole is as wide as the plate that has
// it is thick and 8 mm (AWS D1.1, AISC 360 J2.3: at least the thickness and 5/16
// in), their centres at least four diameters apart (from memory). How far at most
// is from memory: 300 mm, as for stitches of built-up members.
const (
	plugMoreMM  = 8
	plugApartMM = 300
	plugEdge    = 2.0 // from a centre to the nearest edge, in diameters: common practice, no source
	plugTimes   = 4.0
	plugFullMM  = 16 // up to here the hole is filled, above by half at least (AISC 360 J2.3: 5/8 in)
)

// plugWeld is what such an opening is for.
const plugWeld = "plug weld"

// plugMM is the diameter of plug holes in a plate.
func plugMM(thicknessMM float64) float64 { return math.Ceil(thicknessMM + plugMoreMM - 1e-9) }

// plug makes the holes in a plate that is laid on another: on circles round work
// that turns, else on a grid, nowhere too near an edge.
func (f *Flat) plug() {
	d := plugMM(f.ThicknessMM)
	lines := [][][2]float64{f.Outer.line()}
	for _, o := range f.Openings {
		lines = append(lines, o.Loop.line())
	}
	n := 0
	for _, q := range f.plugPlaces(d, lines) {
		if offEdges(q, lines) >= plugEdge*d && onMetal(q, lines) {
			f.Openings = append(f.Openings, Opening{Loop: round(q[0], q[1], d/2), WidthMM: d, For: plugWeld})
			n++
		}
	}
	if n == 0 {
		f.Notes = append(f.Notes, "too narrow for plug welds: weld it along its edges")
		return
	}
	fill := "filled"
	if f.ThicknessMM > plugFullMM {
		fill = fmt.Sprintf("filled %.0f mm deep at least", math.Max(plugFullMM, f.ThicknessMM/2))
	}
	f.Notes = append(f.Notes, fmt.Sprintf("%d plug welds of %.0f mm (thickness and %d mm, AWS D1.1), up to %.0f mm apart (from memory), %s; edges welded round; the size of welds is an engineer's", n, d, plugMoreMM, math.Max(plugApartMM, plugTimes*d), fill))
}

// plugPlaces are where plug welds could be.
func (f *Flat) plugPlaces(d float64, lines [][][2]float64) (out [][2]float64) {
	switch f.Kind {
	case "disc", "ring", "toothed_wheel":
		inner, outer := 0.0, math.Inf(1)
		for _, q := range lines[0] {
			outer = math.Min(outer, math.Hypot(q[0], q[1]))
		}
		for _, o := range f.Openings {
			if o.Loop.RadiusMM > 0 && o.Loop.CentreMM == ([2]float64{}) {
				inner = math.Max(inner, o.Loop.RadiusMM)
			}
		}
		for _, r := range circlesBetween(inner, outer, d) {
			for n, k := plugsRound(r, d), 0; k < n; k++ {
				sin, cos := math.Sincos(2 * math.Pi * (float64(k) + 0.5) / float64(n)) // beside the centreline
				out = append(out, [2]float64{r * cos, r * sin})
			}
		}
		return out
	}
	lo, hi := f.Outer.box()
	nu, nv := max(1, plugSteps(hi[0]-lo[0], d)), max(1, plugSteps(hi[1]-lo[1], d))
	for i := range nu {
		for k := range nv {
			out = append(out, [2]float64{lo[0] + (hi[0]-lo[0])*(float64(i)+0.5)/float64(nu), lo[1] + (hi[1]-lo[1])*(float64(k)+0.5)/float64(nv)})
		}
	}
	return out
}

// plugSteps is into how many even steps plug welds part a length: as few as may be
// that far apart, but none under the least.
func plugSteps(lengthMM, d float64) int {
	return min(int(math.Ceil(lengthMM/plugApartMM-1e-9)), int(lengthMM/(plugTimes*d)+1e-9))
}

// plugsRound is how many go round a circle, the least apart measured straight.
func plugsRound(r, d float64) int {
	if 2*r < plugTimes*d {
		return 0
	}
	return min(max(3, int(math.Ceil(2*math.Pi*r/plugApartMM-1e-9))), int(math.Pi/math.Asin(plugTimes*d/2/r)+1e-9))
}

// circlesBetween are radii of plug welds, evenly, far enough from both edges; the
// middle alone where there is no room for two.
func circlesBetween(inner, outer, d float64) []float64 {
	lo, hi := inner+plugEdge*d, outer-plugEdge*d
	n := plugSteps(hi-lo, d)
	switch {
	case hi < lo-1e-9:
		return nil
	case n < 1:
		return []float64{(lo + hi) / 2}
	}
	var out []float64
	for k := range n + 1 {
		out = append(out, lo+(hi-lo)*float64(k)/float64(n))
	}
	return out
}

func offEdges(q [2]float64, lines [][][2]float64) float64 {
	best := math.Inf(1)
	for _, l := range lines {
		for i, a := range l {
			best = math.Min(best, toChord(q, a, l[(i+1)%len(l)]))
		}
	}
	return best
}

func onMetal(q [2]float64, lines [][][2]float64) bool {
	for i, l := range lines {
		if within(l, q) != (i == 0) {
			return false
		}
	}
	return true
}
