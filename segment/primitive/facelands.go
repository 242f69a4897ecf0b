package primitive

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// Land is an annulus of the faces of a wheel at even heights: FrontMM and BackMM
// from the middle of the rim's thickness, along the frame's axis and against it.
// U95MM is the half-width of either's 95 % interval.
type Land struct{ FromMM, ToMM, FrontMM, BackMM, U95MM float64 }

// A step between lands is told where it is over six deviations of the noise and a
// twentieth of the thickness, and a land where it is two and a half edges wide:
// less is a fillet, a bead or a dent.
const (
	stepNoise = 6
	stepShare = 0.05
	landEdges = 2.5
)

// faceFacet is a facet of a face: its distance from the axis, its height and area.
type faceFacet struct{ r, h, mm2 float64 }

// landsOf measures the faces of what turns about the place at of frame f, between
// two radii: medians round each annulus, so that holes, spokes and what stands on
// less than half of it do not count, parted into lands by dynamic programming
// (least cost of a piecewise constant line: Jackson et al., IEEE Signal Processing
// Letters 12 (2005) 105). The rim is the last land. nil where a face is not made
// of lands, as a dished one, or where both are flat.
func landsOf(p *Patch, f frame, at [2]float64, fromMM, toMM, thickMM float64) []Land {
	var faces [2][]faceFacet
	for i, n := range p.FacetS {
		if k := r3.Dot(n, f.D); math.Abs(k) > 0.9 {
			u, v, h := f.local(p.FacetC[i])
			s := (1 + sign(k)) / 2
			faces[s] = append(faces[s], faceFacet{hypot(u-at[0], v-at[1]), h, p.FacetMM2[i]})
		}
	}
	least := max(stepNoise*p.NoiseMM, stepShare*thickMM)
	var borders []float64
	for s := range faces {
		b, ok := landBorders(faces[s], fromMM, toMM, p.EdgeMM, least)
		if !ok {
			return nil
		}
		borders = append(borders, b...)
	}
	if len(borders) == 0 {
		return nil
	}
	slices.Sort(borders)
	edges := []float64{fromMM}
	for _, b := range borders {
		if b-edges[len(edges)-1] > landEdges*p.EdgeMM && toMM-b > landEdges*p.EdgeMM {
			edges = append(edges, stepRadius(p, f, at, b))
		}
	}
	return heights(faces, append(edges, toMM), p)
}

// landBorders are the radii at which a face steps; ok is false where over a sixth of
// it lies on no land, a land slopes by half a step, or much was not seen.
func landBorders(face []faceFacet, fromMM, toMM, edgeMM, leastMM float64) (borders []float64, ok bool) {
	n := min(max(int((toMM-fromMM)/edgeMM), 1), 64)
	width := (toMM - fromMM) / float64(n)
	ring := make([]weighted, n)
	for _, q := range face {
		if k := int((q.r - fromMM) / width); k >= 0 && k < n {
			ring[k].add(q.h, q.mm2)
		}
	}
	var rows []landRow
	for k := range ring {
		r := fromMM + (float64(k)+0.5)*width
		if ring[k].total > 0.1*2*math.Pi*r*width {
			rows = append(rows, landRow{r, ring[k].median()})
		}
	}
	if len(rows) < 4 || len(rows) < n/3 {
		return nil, false
	}
	runs := partRows(rows, leastMM/4)
	runs = slices.DeleteFunc(runs, func(r landRun) bool { return float64(r.to-r.from)*width < landEdges*edgeMM })
	stray := len(rows)
	for i, r := range runs {
		third := max((r.to-r.from)/3, 1)
		if math.Abs(meanHeight(rows[r.from:r.from+third])-meanHeight(rows[r.to-third:r.to])) > leastMM/2 {
			return nil, false
		}
		for _, q := range rows[r.from:r.to] {
			if math.Abs(q.h-r.h) < leastMM {
				stray--
			}
		}
		if i > 0 && math.Abs(r.h-runs[i-1].h) > leastMM {
			borders = append(borders, (rows[runs[i-1].to-1].r+rows[r.from].r)/2)
		}
	}
	return borders, len(runs) > 0 && 6*stray <= len(rows)
}

func meanHeight(rows []landRow) float64 {
	sum := 0.0
	for _, q := range rows {
		sum += q.h
	}
	return sum / float64(len(rows))
}

// landRow is the median height of an annulus, landRun a run of them at one height.
type landRow struct{ r, h float64 }

type landRun struct {
	from, to int
	h        float64
}

// partRows parts rows into runs of one height: squares of departures over sigma,
// capped at 9, and 12 a run, so that a single stray row makes no run of its own.
func partRows(rows []landRow, sigmaMM float64) []landRun {
	const most, each = 9, 12
	cost := make([]float64, len(rows)+1)
	run := make([]landRun, len(rows)+1)
	for to := 1; to <= len(rows); to++ {
		cost[to] = math.Inf(1)
		for from := range to {
			var h []float64
			for _, q := range rows[from:to] {
				h = append(h, q.h)
			}
			mid, sum := median(h), cost[from]+each
			for _, x := range h {
				d := (x - mid) / sigmaMM
				sum += min(d*d, most)
			}
			if sum < cost[to] {
				cost[to], run[to] = sum, landRun{from, to, mid}
			}
		}
	}
	var out []landRun
	for at := len(rows); at > 0; at = run[at].from {
		out = append(out, run[at])
	}
	slices.Reverse(out)
	return out
}

// stepRadius is where the wall of a step about the radius r stands: the median
// distance of facets that face across within two edges of it.
func stepRadius(p *Patch, f frame, at [2]float64, r float64) float64 {
	var wall weighted
	for i, n := range p.FacetS {
		if math.Abs(r3.Dot(n, f.D)) < 0.7 {
			u, v, _ := f.local(p.FacetC[i])
			if q := hypot(u-at[0], v-at[1]); math.Abs(q-r) < 2*p.EdgeMM {
				wall.add(q, p.FacetMM2[i])
			}
		}
	}
	if len(wall.v) < 8 {
		return r
	}
	return wall.median()
}

// heights measures both faces between the edges, an edge away from them where
// there is room. A land whose faces have the heights of the one before is part of
// it.
func heights(faces [2][]faceFacet, edges []float64, p *Patch) []Land {
	var out []Land
	for i := 1; i < len(edges); i++ {
		from, to := edges[i-1], edges[i]
		room := min(p.EdgeMM, (to-from)/4)
		l := Land{FromMM: from, ToMM: to}
		for s := range faces {
			var h []float64
			for _, q := range faces[s] {
				if q.r > from+room && q.r < to-room {
					h = append(h, q.h)
				}
			}
			if len(h) < 8 {
				return nil
			}
			mid := median(h)
			for k := range h {
				h[k] = math.Abs(h[k] - mid)
			}
			// The median's standard error is 1.25 of the mean's; of neighbouring facets
			// one in six is independent.
			u := coverage95(float64(len(h))/6) * 1.25 * 1.4826 * median(h) / math.Sqrt(max(float64(len(h))/6, 1))
			l.U95MM = max(l.U95MM, u)
			if s == 1 {
				l.FrontMM = mid
			} else {
				l.BackMM = -mid
			}
		}
		out = append(out, l)
	}
	slices.SortFunc(out, func(a, b Land) int { return cmp.Compare(a.FromMM, b.FromMM) })
	return out
}

// steps are the lands of a slab that turns about a place of its frame.
type steps struct {
	at      [2]float64
	rimMM   float64 // where the rim's land begins
	lands   []Land  // heights in the slab's frame
	section *contourLine
}

func newSteps(at [2]float64, lands []Land, edgeMM float64) *steps {
	n := len(lands)
	s := &steps{at: at, lands: lands, rimMM: lands[n-1].FromMM + min(edgeMM, (lands[n-1].ToMM-lands[n-1].FromMM)/4)}
	far := 2 * lands[n-1].ToMM // beyond what the contour bounds
	var low, high [][2]float64
	for i, l := range lands {
		from, to := l.FromMM, l.ToMM
		if i == 0 {
			from = -far
		}
		if i == n-1 {
			to = far
		}
		low = append(low, [2]float64{from, -l.BackMM}, [2]float64{to, -l.BackMM})
		high = append(high, [2]float64{from, l.FrontMM}, [2]float64{to, l.FrontMM})
	}
	slices.Reverse(high)
	s.section = newContourLine(append(low, high...))
	return s
}

// radius is how far a place of the slab's frame lies from the axis.
func (s *steps) radius(u, v float64) float64 { return hypot(u-s.at[0], v-s.at[1]) }
