package primitive

import (
	"fmt"
	"math"
)

// strip is a contour that is long and of one width: its centreline, in order, in
// the plane of a slab.
type strip struct {
	widthMM float64
	path    tubePath
}

// How alike the widths of a strip are, what share of its rim has them, and how
// many times longer than wide it is at least.
const (
	stripAlike = 0.15
	stripShare = 0.8
	stripLong  = 8
)

// stripOf takes the middles of the chords across a contour, counter-clockwise, on
// the slab of frame f at height h. ok is false for what is no strip.
func stripOf(chain [][2]float64, f frame, h float64) (s strip, ok bool) {
	length := chainLength(chain)
	if stripLong*polygonAreaMM2(chain) > length*length/4 {
		return s, false
	}
	line := evenly(chain, length/stripSteps)
	n := len(line)
	width := make([]float64, n)
	for i, q := range line {
		a, b := line[(i+n-1)%n], line[(i+1)%n]
		du, dv := b[0]-a[0], b[1]-a[1]
		l := hypot(du, dv)
		width[i] = across(line, i, q, [2]float64{-dv / l, du / l})
	}
	s.widthMM = median(append([]float64(nil), width...))
	like := func(i int) bool { return math.Abs(width[i%n]-s.widthMM) < stripAlike*s.widthMM }
	from, count, all := 0, 0, 0
	for i, run := 0, 0; i < 2*n; i++ {
		if run++; !like(i) {
			run = 0
		} else if i < n {
			all++
		}
		if run > count && run <= n {
			from, count = i-run+1, run
		}
	}
	if float64(all) < stripShare*float64(n) {
		return s, false
	}
	s.path.r = s.widthMM / 2
	for i := from; i < from+count; i++ {
		q, a, b := line[i%n], line[(i+n-1)%n], line[(i+1)%n]
		du, dv := b[0]-a[0], b[1]-a[1]
		k := width[i%n] / 2 / hypot(du, dv)
		s.path.node = append(s.path.node, tubeNode{c: f.at(q[0]-k*dv, q[1]+k*du, h), t: unit(f.dir(du, dv, 0)), share: 1})
	}
	return s, len(s.path.node) >= 8
}

// stripSteps is how many points stand round a strip: its chords are then within a
// few facets of those of any real scan.
const stripSteps = 1200

// evenly puts points every step along a closed chain.
func evenly(chain [][2]float64, step float64) [][2]float64 {
	var out [][2]float64
	next := 0.0
	for i, a := range chain {
		b := chain[(i+1)%len(chain)]
		l := hypot(b[0]-a[0], b[1]-a[1])
		for ; next < l; next += step {
			out = append(out, [2]float64{a[0] + (b[0]-a[0])*next/l, a[1] + (b[1]-a[1])*next/l})
		}
		next -= l
	}
	return out
}

// across is how far the line lies from its point i along the inward normal.
func across(line [][2]float64, i int, p, n [2]float64) float64 {
	best := math.Inf(1)
	for k := 2; k < len(line)-2; k++ {
		a, b := line[(i+k)%len(line)], line[(i+k+1)%len(line)]
		sa := (a[0]-p[0])*n[1] - (a[1]-p[1])*n[0]
		sb := (b[0]-p[0])*n[1] - (b[1]-p[1])*n[0]
		if (sa > 0) == (sb > 0) {
			continue
		}
		x := sa / (sa - sb)
		d := (a[0]+x*(b[0]-a[0])-p[0])*n[0] + (a[1]+x*(b[1]-a[1])-p[1])*n[1]
		if d > 0 {
			best = min(best, d)
		}
	}
	return best
}

// woundStrip tells a flat or square bar that is rolled to a spiral in one plane:
// its outline is a strip that winds, not wider across than the bar is along the
// axis. What is wider is cut from plate.
func woundStrip(p *Patch, c *slab, outer wallLoop, opt Options) (words string, ok bool) {
	if outer.Jump != nil || p.OpenEdges > 0 {
		return "", false
	}
	mid := (c.z[0] + c.z[1]) / 2
	s, ok := stripOf(outer.Chain, c.f, mid)
	if !ok || s.widthMM > 1.05*c.thicknessMM() {
		return "", false
	}
	w, ok := windingOf(s.path)
	if most := limit(p, s.widthMM, opt); !ok || w.offMM > most || math.Abs(w.growth)*w.turning() < most {
		return "", false
	}
	// Chords end where the ends' corners begin: half a width short at either end,
	// about; the outline's area gives the length.
	length := polygonAreaMM2(outer.Chain) / s.widthMM
	if short := length - w.lengthMM(); short > 0 {
		w.from -= short / 2 / hypot(w.radius(w.from), w.growth)
		w.to += short / 2 / hypot(w.radius(w.to), w.growth)
	}
	return w.words(fmt.Sprintf("a bar of %.2f × %.2f mm", c.thicknessMM(), s.widthMM), s.widthMM/2), true
}

// woundBar looks for such a strip along the directions.
func woundBar(p *Patch, opt Options) (words string, ok bool) {
	scout := p.thin(scoutVertices)
	for _, d := range principalDirections(scout) {
		c, fine := startSlab(scout, d)
		if !fine {
			continue
		}
		_, outer, _, inner, fine := slabWalls(scout, c)
		if !fine || len(inner) > 0 {
			continue
		}
		if words, ok = woundStrip(scout.whole(), c, outer, opt); ok {
			return words, true
		}
	}
	return "", false
}
