package render

import "math"

// Room that parts keep on the sheet, as a share of the piece's size; names need
// some more above each part.
const (
	partGap    = 0.02
	partLabel  = 0.05
	partLetter = 0.014 // width of a letter
	spreadFar  = 400   // steps of half a gap that are tried
	// spreadShape is how many times wider than high the drawing's place is.
	spreadShape = 1.6
)

// footprint is a part's box in view with room for its name above it.
func footprint(b box, name string, size float64) box {
	half := partLetter * size * float64(len([]rune(name))) / 2
	mid := (b.lo[0] + b.hi[0]) / 2
	b.lo[0], b.hi[0] = math.Min(b.lo[0], mid-half), math.Max(b.hi[0], mid+half)
	b.hi[1] += partLabel * size
	return b
}

// spread moves each part along one of its ways, away from its parent, until its
// box in view is clear of all parts placed before. Of the ways it takes the one
// that costs least: the distance moved on the sheet, dearer the more it leads
// back over the parent, and the sheet that the drawing then needs.
func spread(parts []Part, boxes []box, view affine) []Part {
	out := append([]Part(nil), parts...)
	all := emptyBox()
	for _, b := range boxes {
		all.join(b)
	}
	size := math.Max(math.Hypot(all.hi[0]-all.lo[0], all.hi[1]-all.lo[1]), 1e-9)
	placed := make([]box, 0, len(parts))
	for i := range out {
		base := [3]float64{}
		centre := [2]float64{(all.lo[0] + all.hi[0]) / 2, (all.lo[1] + all.hi[1]) / 2}
		if k := out[i].Parent; k >= 0 {
			base = out[k].MoveMM
			centre = [2]float64{(boxes[k].lo[0] + boxes[k].hi[0]) / 2, (boxes[k].lo[1] + boxes[k].hi[1]) / 2}
		}
		out[i].MoveMM = base
		if i > 0 {
			out[i].MoveMM = bestMove(out[i], footprint(boxes[i], out[i].Label, size), base, centre, placed, view, size)
		}
		placed = append(placed, moved(footprint(boxes[i], out[i].Label, size), turned(view, out[i].MoveMM)))
	}
	return out
}

func bestMove(x Part, b box, base [3]float64, parent [2]float64, placed []box, view affine, size float64) [3]float64 {
	ways := append([][3]float64{}, x.Ways...)
	ways = append(ways, [3]float64{0, 0, 1}, [3]float64{view[0], view[1], 0})
	out := [2]float64{(b.lo[0]+b.hi[0])/2 - parent[0], (b.lo[1]+b.hi[1])/2 - parent[1]}
	if l := math.Hypot(out[0], out[1]); l > 0.02*size {
		out[0], out[1] = out[0]/l, out[1]/l
	} else {
		out = [2]float64{}
	}
	all := emptyBox()
	for _, o := range placed {
		all.join(o)
	}
	best, least := base, math.Inf(1)
	for k, w := range ways {
		for _, sense := range []float64{1, -1} {
			d := unit([3]float64{sense * w[0], sense * w[1], sense * w[2]})
			t := turned(view, d)
			seen := math.Hypot(t[0], t[1])
			if !(seen > 0.25) || math.IsInf(seen, 0) {
				continue
			}
			step := 0.5 * partGap * size / seen
			for n := 1; n <= spreadFar; n++ {
				l := float64(n) * step
				m := [3]float64{base[0] + l*d[0], base[1] + l*d[1], base[2] + l*d[2]}
				if !isClear(moved(b, turned(view, m)), placed, size) {
					continue
				}
				with := all
				with.join(moved(b, turned(view, m)))
				cost := l*seen*(1.5-(out[0]*t[0]+out[1]*t[1])/seen) + 4*(need(with)-need(all))
				if k >= len(x.Ways) { // no direction of the piece itself
					cost *= 2
				}
				if cost < least {
					best, least = m, cost
				}
				break
			}
		}
	}
	return best
}

// isClear tells whether a box in view keeps its room from all placed ones.
func isClear(b box, placed []box, size float64) bool {
	gap := partGap * size
	for _, o := range placed {
		if b.lo[0] < o.hi[0]+gap && o.lo[0] < b.hi[0]+gap && b.lo[1] < o.hi[1]+gap && o.lo[1] < b.hi[1]+gap {
			return false
		}
	}
	return true
}

// need is the height of the sheet's place that takes all of a box.
func need(b box) float64 {
	return math.Max(b.hi[1]-b.lo[1], (b.hi[0]-b.lo[0])/spreadShape)
}
