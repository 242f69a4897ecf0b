package site

import (
	"cmp"
	"math"
	"slices"
)

// Ledge is an upward surface on which a foot finds hold.
type Ledge struct {
	ID       string     `json:"id"`
	HeightMM float64    `json:"height_mm"` // over the ground: how far one falls from it
	AtMM     [3]float64 `json:"at_mm"`
	LongMM   float64    `json:"long_mm"` // of its box in plan
	WideMM   float64    `json:"wide_mm"`
	Stands   bool       `json:"stands"`  // room for a foot: a standing surface
	Reached  bool       `json:"reached"` // from the ground, over other ledges
	Falls    string     `json:"falls"`   // the limit that its height passes, empty for none
	low      [2]float64
	high     [2]float64
}

// A surface to stand on is over 2 × 2 in and leans by less than 30 degrees (CPSC pub. 325,
// 1.8, designated play surface). A foothold is 15 mm deep and 50 mm long (National Building
// Code of Canada 9.8.8.6 has 15 mm; from memory). It needs room over it for a foot.
const (
	standMM       = 50.8
	footDeepMM    = 15.0
	footLongMM    = 50.0
	footRoomMM    = 100.0
	levelCos      = 0.8660254 // of 30 degrees
	stepMostMM    = 1143.0    // 45 in between the tops of level members that count as no ladder (CPSC pub. 362)
	asideMostMM   = 600.0     // from one foothold to the next (common practice, no source)
	reachAsideMM  = 1000.0    // an arm (common practice, no source)
	reachOverMM   = 2500.0    // over a standing surface (ISO 13857, low risk; from memory)
	railFromMM    = 762.0     // 30 in: a guardrail for school age (CPSC pub. 325, table 4)
	barrierFromMM = 1219.2    // 48 in: a barrier (the same, the 48 from memory)
	fallMostMM    = 3000.0    // greatest free fall (EN 1176-1, by pages that quote it)
	softGroundMM  = 600.0     // from here ground that takes up shock (EN 1177, by pages that quote it)
)

// ledgesOf finds them, lowest first.
func (f *flooded) ledgesOf(pieces []Piece) []Ledge {
	foot := func(v void) bool {
		return v.on >= 0 && v.flat && v.ceiling-v.floor >= footRoomMM && !math.IsInf(v.level, 1)
	}
	seen := make([]bool, len(f.voids))
	out := []Ledge{}
	for i, v := range f.voids {
		if seen[i] || !foot(v) {
			continue
		}
		list := []int{i}
		seen[i] = true
		for k := 0; k < len(list); k++ {
			u := f.voids[list[k]]
			f.around(list[k], func(n int, pass float64) {
				if w := f.voids[n]; !seen[n] && foot(w) && w.on == v.on && math.Abs(w.floor-u.floor) <= f.pitch*0.6+1 {
					seen[n] = true
					list = append(list, n)
				}
			})
		}
		if l, ok := f.ledge(list, pieces); ok {
			out = append(out, l)
		}
	}
	slices.SortStableFunc(out, func(a, b Ledge) int { return cmp.Or(cmp.Compare(a.HeightMM, b.HeightMM), cmp.Compare(a.ID, b.ID)) })
	climb(out)
	return out
}

// ledge measures a patch; false where it is no foothold.
func (f *flooded) ledge(list []int, pieces []Piece) (Ledge, bool) {
	l := Ledge{ID: pieces[f.voids[list[0]].on].Part.ID, low: [2]float64{math.Inf(1), math.Inf(1)}, high: [2]float64{math.Inf(-1), math.Inf(-1)}}
	cells := map[int]bool{}
	for _, k := range list {
		x, y, z := f.floorOf(k)
		cells[f.voids[k].column] = true
		for i, q := range [3]float64{x, y, z} {
			l.AtMM[i] += q / float64(len(list))
		}
		l.HeightMM = max(l.HeightMM, z)
		l.low, l.high = [2]float64{min(l.low[0], x), min(l.low[1], y)}, [2]float64{max(l.high[0], x), max(l.high[1], y)}
	}
	a, b := l.high[0]-l.low[0]+f.pitch, l.high[1]-l.low[1]+f.pitch
	l.LongMM, l.WideMM = max(a, b), min(a, b)
	l.Stands = f.square(cells, standMM)
	switch {
	case !l.Stands:
	case l.HeightMM > fallMostMM:
		l.Falls = "over 3 m, the greatest free fall (EN 1176-1)"
	case l.HeightMM > barrierFromMM:
		l.Falls = "over 48 in: a barrier (CPSC pub. 325)"
	case l.HeightMM > railFromMM:
		l.Falls = "over 30 in: a guardrail (CPSC pub. 325)"
	case l.HeightMM > softGroundMM:
		l.Falls = "over 0.6 m: ground that takes up shock (EN 1177)"
	}
	return l, l.Stands || f.square(cells, footDeepMM) && math.Hypot(a, b) >= footLongMM
}

// square tells whether a square of a side fits into cells.
func (f *flooded) square(cells map[int]bool, side float64) bool {
	n := max(int(math.Ceil(side/f.pitch)), 1)
	for c := range cells {
		i, fits := c%f.nx, true
		for k := 0; k < n*n && fits; k++ {
			fits = i+k%n < f.nx && cells[c+k%n+k/n*f.nx]
		}
		if fits {
			return true
		}
	}
	return false
}

// climb marks what can be reached from the ground, ledge by ledge.
func climb(ledges []Ledge) {
	for changed := true; changed; {
		changed = false
		for i := range ledges {
			l := &ledges[i]
			if l.Reached {
				continue
			}
			ok := l.HeightMM <= stepMostMM
			for _, from := range ledges {
				up := l.HeightMM - from.HeightMM
				ok = ok || from.Reached && up <= stepMostMM && up >= -stepMostMM && boxesApart(from, *l) <= asideMostMM
			}
			if ok {
				l.Reached, changed = true, true
			}
		}
	}
}

func boxesApart(a, b Ledge) float64 {
	d := [2]float64{}
	for k := range d {
		d[k] = max(a.low[k]-b.high[k], b.low[k]-a.high[k], 0)
	}
	return math.Hypot(d[0], d[1])
}

// grasp is what people touch from the ground and from ledges on which they stand.
type grasp struct {
	groundMM float64
	ledges   []Ledge
}

func (r grasp) touches(x, y, z float64) bool {
	if z <= r.groundMM {
		return true
	}
	for _, l := range r.ledges {
		if l.Reached && l.Stands && z <= l.HeightMM+reachOverMM && boxesApart(l, Ledge{low: [2]float64{x, y}, high: [2]float64{x, y}}) <= reachAsideMM {
			return true
		}
	}
	return false
}

// topMM is the greatest height that anyone touches.
func (r grasp) topMM() float64 {
	top := r.groundMM
	for _, l := range r.ledges {
		if l.Reached && l.Stands {
			top = max(top, l.HeightMM+reachOverMM)
		}
	}
	return top
}
