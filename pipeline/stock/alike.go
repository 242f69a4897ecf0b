package stock

import (
	"math"
	"slices"
	"strconv"

	"gonum.org/v1/gonum/spatial/r3"
)

// marksOf numbers the different pieces of a family in the order of its members;
// pieces that are the same in everything share a mark.
func marksOf(parts []Part, f Family) []string {
	var kinds []int // first part of each
	var out []string
	for _, i := range f.Members {
		n := slices.IndexFunc(kinds, func(k int) bool { return alike(parts[k], parts[i]) })
		if n < 0 {
			n = len(kinds)
			kinds = append(kinds, i)
		}
		out = append(out, f.Letter+strconv.Itoa(n+1))
	}
	return out
}

// Remark numbers the pieces of all families anew, as after cutting to an assembly
// that closes, where lengths differ that were alike.
func Remark(parts []Part, families []Pick) [][]string {
	var out [][]string
	for _, f := range families {
		out = append(out, marksOf(parts, f.Family))
	}
	return out
}

// alike tells whether one piece may stand in for another: same kind, sizes within
// their uncertainty, same ends, holes and outline. A flat piece may be turned
// over, a bent or coiled one may not be mirrored.
func alike(a, b Part) bool {
	return a.Kind == b.Kind && a.Section == b.Section && a.Hand == b.Hand && a.Made == b.Made && dimsAlike(a.Dims, b.Dims) &&
		endsAlike(a, b) && holesAlike(a, b) && outlinesAlike(a, b) && segmentsAlike(a.Segments, b.Segments)
}

func dimsAlike(a, b []Dim) bool {
	if len(a) != len(b) {
		return false
	}
	for i, d := range a {
		e := b[i]
		if d.Key != e.Key || d.Count && d.Value != e.Value {
			return false
		}
		if math.Abs(d.Value-e.Value) > math.Sqrt(d.U95*d.U95+e.U95*e.U95+sq(likeWithin(d.Value))) {
			return false
		}
	}
	return true
}

func sq(x float64) float64 { return x * x }

// likeWithin is what like sizes differ by, uncertainty apart (mm, or degrees).
func likeWithin(x float64) float64 { return min(likeShare*math.Abs(x), likeMM) }

// endsDeg: ends that differ by less are cut with one setting of the saw: common
// practice, no source.
const endsDeg = 1.0

// endsAlike compares the ends either way round, and how far one plane is turned
// about the axis against the other; the hand of that turn counts.
func endsAlike(a, b Part) bool {
	if len(a.Ends) != len(b.Ends) {
		return false
	}
	same := func(x, y End) bool { return x.Kind == y.Kind && math.Abs(x.AngleDeg-y.AngleDeg) <= endsDeg }
	straight, crossed := true, true
	for i := range a.Ends {
		straight = straight && same(a.Ends[i], b.Ends[i])
		crossed = crossed && same(a.Ends[i], b.Ends[len(b.Ends)-1-i])
	}
	if !straight && !crossed {
		return false
	}
	ta, tb := endsTurnDeg(a), endsTurnDeg(b)
	return math.Abs(math.Remainder(ta-tb, 360)) <= 2*endsDeg
}

// endsTurnDeg is the turn from one end's tilt to the other's about the axis, the
// same from either end; 0 where an end is square or not a plane.
func endsTurnDeg(p Part) float64 {
	if len(p.Ends) != 2 || p.Ends[0].AngleDeg <= endsDeg || p.Ends[1].AngleDeg <= endsDeg {
		return 0
	}
	z := p.Frame.Axis
	off := func(v r3.Vec) r3.Vec { return r3.Sub(v, r3.Scale(r3.Dot(v, z), z)) }
	first, last := p.Ends[0], p.Ends[1]
	if r3.Dot(r3.Sub(last.AtMM, first.AtMM), z) < 0 {
		first, last = last, first
	}
	u, w := off(first.Out), off(last.Out)
	return math.Atan2(r3.Dot(r3.Cross(u, w), z), r3.Dot(u, w)) * 180 / math.Pi
}

// holesAlike matches holes under the turns that a part's shape allows.
func holesAlike(a, b Part) bool {
	if len(a.Holes) != len(b.Holes) {
		return false
	}
	switch a.Kind {
	case "disc", "ring", "toothed_wheel":
		return polarHolesAlike(a.Holes, b.Holes)
	}
	turns := [][2]float64{{1, 1}, {-1, -1}, {1, -1}, {-1, 1}}
	if a.Kind == "rolled_plate" {
		turns = turns[:2]
	}
	for _, s := range turns {
		if holesMatch(a.Holes, b.Holes, s) {
			return true
		}
	}
	return len(a.Holes) == 0
}

func holesMatch(a, b []Hole, sign [2]float64) bool {
	used := make([]bool, len(b))
	for _, h := range a {
		k := -1
		for j, g := range b {
			away := math.Hypot(sign[0]*h.CentreMM[0]-g.CentreMM[0], sign[1]*h.CentreMM[1]-g.CentreMM[1])
			if !used[j] && away <= likeMM && holeAlike(h, g) {
				k = j
				break
			}
		}
		if k < 0 {
			return false
		}
		used[k] = true
	}
	return true
}

func holeAlike(h, g Hole) bool {
	near := func(x, y float64) bool { return math.Abs(x-y) <= max(likeWithin(x), likeShare*likeMM) }
	return h.Shape == g.Shape && near(h.DiameterMM, g.DiameterMM) && near(h.AcrossMM[0], g.AcrossMM[0]) && near(h.AcrossMM[1], g.AcrossMM[1])
}

// polarHolesAlike compares holes about an axis that has no mark: their distances
// from it and from one another, both in order.
func polarHolesAlike(a, b []Hole) bool {
	by := func(h []Hole) []Hole {
		h = slices.Clone(h)
		slices.SortStableFunc(h, func(x, y Hole) int { return compare(polar(x), polar(y)) })
		return h
	}
	a, b = by(a), by(b)
	for i := range a {
		if math.Abs(polar(a[i])-polar(b[i])) > likeMM || !holeAlike(a[i], b[i]) {
			return false
		}
	}
	x, y := between(a), between(b)
	for i := range x {
		if math.Abs(x[i]-y[i]) > 2*likeMM {
			return false
		}
	}
	return true
}

func polar(h Hole) float64 { return math.Hypot(h.CentreMM[0], h.CentreMM[1]) }

// between lists the distances of all pairs of holes in order; of very many holes,
// those from the first.
func between(h []Hole) []float64 {
	firsts := len(h)
	if firsts > 100 {
		firsts = 1
	}
	var out []float64
	for i := range firsts {
		for j := i + 1; j < len(h); j++ {
			out = append(out, math.Hypot(h[i].CentreMM[0]-h[j].CentreMM[0], h[i].CentreMM[1]-h[j].CentreMM[1]))
		}
	}
	slices.Sort(out)
	return out
}

func outlinesAlike(a, b Part) bool {
	x, y := outlineAreaMM2(a.Outline), outlineAreaMM2(b.Outline)
	u, v := perimeterMM(a.Outline), perimeterMM(b.Outline)
	return math.Abs(x-y) <= 2*likeShare*max(x, y) && math.Abs(u-v) <= 2*likeShare*max(u, v)
}

func segmentsAlike(a, b []Segment) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if a[i].Kind != b[i].Kind || !dimsAlike(a[i].Dims, b[i].Dims) {
			return false
		}
	}
	return true
}
