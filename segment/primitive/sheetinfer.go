package primitive

import (
	"fmt"
	"math"
	"slices"

	"pointup/segment/fit"
)

// inferHoles adds the holes that a pattern of others says are where nothing of
// the sheet was seen, under a weld or another piece, and keeps one hole a place
// where broken walls gave several. A place that shows metal is a missing hole and
// stays one. centre is that of the sheet, nil where it is not known.
func inferHoles(list []fittedHole, r *sheetRaster, centre *[2]float64) []fittedHole {
	holes := make([]Hole, len(list))
	for i, h := range list {
		holes[i] = Hole{Shape: h.hole.Shape, CentreMM: h.hole.CentreMM, DiameterMM: h.hole.DiameterMM,
			AcrossMM: [2]float64{h.hole.LongMM, h.hole.ShortMM}, AngleDeg: h.hole.AngleRad * 180 / math.Pi}
		if h.hole.Shape == "other" {
			for _, q := range h.line.p {
				holes[i].Outline = append(holes[i].Outline, Step{To: q})
			}
		}
	}
	most := []Hole{}
	for _, g := range likeHoles(holes) {
		if len(g) > len(most) {
			most = g
		}
	}
	places, beyond, reach := latticePlaces(most, centre)
	if len(places) == 0 || 2*len(most) < len(holes) {
		places, reach = fourthCorner(most, centre)
		beyond = nil
	}
	if len(places) == 0 {
		return list
	}
	like, _ := medianHole(most)
	chainAt := func(q [2]float64) [][2]float64 {
		h := like
		h.CentreMM = q
		return h.chain()
	}
	bare := func(chain [][2]float64) bool { return len(chain) > 0 && r.share(chain, 0.7) <= openingMetal }
	if !slices.ContainsFunc(beyond, func(q [2]float64) bool { return !bare(chainAt(q)) }) {
		places = append(places, beyond...)
	}
	taken := make([]int, len(list)) // 1 + place
	for k, q := range places {
		best, off := -1, 0.0
		for i, h := range holes {
			if hypot(h.CentreMM[0]-q[0], h.CentreMM[1]-q[1]) > reach {
				continue
			}
			taken[i] = k + 1
			if d := math.Abs(math.Log(h.areaMM2() / like.areaMM2())); best < 0 || d < off {
				best, off = i, d
			}
		}
		for i := range holes {
			if taken[i] == k+1 && i != best {
				taken[i] = -1
			}
		}
		if chain := chainAt(q); best < 0 && bare(chain) {
			list = append(list, fittedHole{inferred: true, line: newContourLine(chain), hole: fit.Hole{Shape: like.Shape, CentreMM: q,
				DiameterMM: like.DiameterMM, LongMM: like.AcrossMM[0], ShortMM: like.AcrossMM[1], AngleRad: like.AngleDeg * math.Pi / 180}})
		}
	}
	var out []fittedHole
	for i, h := range list {
		if i >= len(taken) || taken[i] >= 0 {
			out = append(out, h)
		}
	}
	return out
}

// How many holes must be seen on a lattice, or in a row, to say where others are.
const (
	leastInLattice = 5
	leastInRow     = 4
)

// At most this many rows are added at the end of a lattice, where that puts it
// about the sheet's middle within this share of a pitch, and none of them shows metal
// where a hole would be: a tube across a strip hid three in a study scene.
const (
	mirrorRows = 4
	mirrorOff  = 0.05
)

// latticePlaces are the places of the lattice of like holes within their
// rectangle along its rows, and how far from its place a hole's centre may be. Those
// beyond are of rows that are lacking at one end only, by the sheet's middle.
func latticePlaces(holes []Hole, centre *[2]float64) (places, beyond [][2]float64, reach float64) {
	pts := make([][2]float64, len(holes))
	for i, h := range holes {
		pts[i] = h.CentreMM
	}
	l, ok := latticeOf(pts)
	if !ok || l.n < leastInRow || !l.row && l.n < leastInLattice {
		return nil, nil, 0
	}
	short := hypot(l.a[0], l.a[1])
	e := [2]float64{l.a[0] / short, l.a[1] / short}
	flat := func(q [2]float64) [2]float64 { return [2]float64{q[0]*e[0] + q[1]*e[1], q[1]*e[0] - q[0]*e[1]} }
	low, high := [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
	first, last := [2]int{math.MaxInt, math.MaxInt}, [2]int{math.MinInt, math.MinInt}
	for k, q := range pts {
		if !l.in[k] {
			continue
		}
		f := flat(q)
		for i := range f {
			low[i], high[i] = min(low[i], f[i]), max(high[i], f[i])
			first[i], last[i] = min(first[i], l.place[k][i]), max(last[i], l.place[k][i])
		}
	}
	seenLow, seenHigh := low, high
	if centre != nil {
		f, pitch := flat(*centre), [2]float64{short, math.Abs(flat(l.b)[1])}
		for i := range pitch {
			lacks := 2*f[i] - low[i] - high[i] // positive: at the high end
			n := math.Round(math.Abs(lacks) / pitch[i])
			if l.row && i > 0 || n < 1 || n > mirrorRows || math.Abs(math.Abs(lacks)-n*pitch[i]) > mirrorOff*pitch[i] {
				continue
			}
			low[i], high[i] = low[i]+min(lacks, 0), high[i]+max(lacks, 0)
			first[i], last[i] = first[i]-mirrorRows, last[i]+mirrorRows
		}
	}
	wide := last[0] - first[0] + last[1] - first[1] // rows may run aslant to the rectangle
	if wide*wide > latticeMost {
		return nil, nil, 0
	}
	in := func(f, low, high [2]float64) bool {
		s := 0.2 * short
		return f[0] > low[0]-s && f[0] < high[0]+s && f[1] > low[1]-s && f[1] < high[1]+s
	}
	for i := first[0] - wide; i <= last[0]+wide; i++ {
		for j := first[1] - wide; j <= last[1]+wide; j++ {
			if l.row && j != 0 {
				continue
			}
			q := l.at(i, j)
			switch f := flat(q); {
			case in(f, seenLow, seenHigh):
				places = append(places, q)
			case in(f, low, high):
				beyond = append(beyond, q)
			}
		}
	}
	return places, beyond, 0.35 * short // broken walls put a middle off; at half the next place begins
}

// Three holes are corners of a rectangle about the sheet's middle where the angle
// is within this cosine of square, and the middle this share of the diagonal off.
const (
	cornerCos    = 0.02
	cornerMiddle = 0.03
)

// fourthCorner completes three like holes to a rectangle about the sheet's middle.
func fourthCorner(holes []Hole, centre *[2]float64) (places [][2]float64, reach float64) {
	if len(holes) != 3 || centre == nil {
		return nil, 0
	}
	for k := range holes {
		a, b, c := holes[k].CentreMM, holes[(k+1)%3].CentreMM, holes[(k+2)%3].CentreMM
		u, v := [2]float64{b[0] - a[0], b[1] - a[1]}, [2]float64{c[0] - a[0], c[1] - a[1]}
		lu, lv, diagonal := hypot(u[0], u[1]), hypot(v[0], v[1]), hypot(c[0]-b[0], c[1]-b[1])
		off := hypot((b[0]+c[0])/2-centre[0], (b[1]+c[1])/2-centre[1])
		if math.Abs(u[0]*v[0]+u[1]*v[1]) <= cornerCos*lu*lv && off <= cornerMiddle*diagonal {
			return [][2]float64{a, b, c, {b[0] + c[0] - a[0], b[1] + c[1] - a[1]}}, 0.35 * min(lu, lv)
		}
	}
	return nil, 0
}

// chain is the contour of a hole that has sizes.
func (h *Hole) chain() [][2]float64 {
	var out [][2]float64
	switch a, b := h.AcrossMM[0]/2, h.AcrossMM[1]/2; h.Shape {
	case "round":
		for k := range openingSides {
			sin, cos := math.Sincos(2 * math.Pi * float64(k) / openingSides)
			out = append(out, [2]float64{h.DiameterMM / 2 * cos, h.DiameterMM / 2 * sin})
		}
	case "diamond":
		out = [][2]float64{{a, 0}, {0, b}, {-a, 0}, {0, -b}}
	case "slot", "rectangle":
		out = [][2]float64{{a, b}, {-a, b}, {-a, -b}, {a, -b}}
	}
	sin, cos := math.Sincos(h.AngleDeg * math.Pi / 180)
	for i, q := range out {
		out[i] = [2]float64{h.CentreMM[0] + q[0]*cos - q[1]*sin, h.CentreMM[1] + q[0]*sin + q[1]*cos}
	}
	return out
}

// inferredNote says how many of the holes are inferred; "" where none is.
func inferredNote(list []fittedHole) string {
	n := 0
	for _, h := range list {
		if h.inferred {
			n++
		}
	}
	if n == 0 {
		return ""
	}
	return fmt.Sprintf("%d of %d holes are under weld or another piece: they are there by the pattern of the rest, and were not seen", n, len(list))
}

// noted adds the note that came with holes, if any.
func (e *Element) noted(holes []Hole, note string) []Hole {
	if note != "" {
		e.Notes = append(e.Notes, note)
	}
	return holes
}
