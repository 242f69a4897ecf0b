package fit

import (
	"math"
	"slices"
)

// outlineSeg is one step in the making: points Lo to Hi, both included, the
// last shared with the next step. Hi may run over the end of the loop.
type outlineSeg struct {
	Lo, Hi int
	Arc    bool
	Fillet bool // an arc that is tangent to the lines before and after it
	C      outlineCurve
}

// Prices of the description length in units of the variance. A step costs its
// parameters (line 2, arc 3) and its break (1) times the logarithm of the
// number of points (Schwarz 1978, Ann. Statist. 6), and a prior: the best of
// many breaks is compared, and steps are lines more often than arcs.
const (
	outlinePriorStep = 5.0
	outlinePriorArc  = 9.0
	outlineDropPrice = 2.0 // a point left out beside a break; a kept one costs 1
)

type outlinePrice struct{ line, arc, log float64 }

func outlinePrices(l *outlineLoop) outlinePrice {
	n := 0.0
	for _, w := range l.W {
		n += w
	}
	log := math.Log(math.Max(50, n*l.Share))
	return outlinePrice{line: 3*log + outlinePriorStep, arc: 4*log + outlinePriorStep + outlinePriorArc, log: log}
}

// Up to outlineNodesAll points are all candidates; of more, outlineNodesMax are:
// the search takes their square, and breaks are moved at full resolution later.
const (
	outlineNodesAll = 320
	outlineNodesMax = 240
)

// outlineNodes returns rising candidate breaks from 0 to N: half of them even
// in number of points, half where the path strays most from the chords between them.
func outlineNodes(l *outlineLoop) []int {
	keep := make([]bool, l.N+1)
	half := outlineNodesMax / 2
	for i := 0; i <= half; i++ {
		keep[i*l.N/half] = true
	}
	if l.N > outlineNodesAll {
		outlineStray(l, keep, half)
	}
	var nodes []int
	for i, k := range keep {
		if k || l.N <= outlineNodesAll {
			nodes = append(nodes, i)
		}
	}
	return nodes
}

// outlineStray marks the n points that stray most from the chords between those
// it has marked before, one after the other.
func outlineStray(l *outlineLoop, keep []bool, n int) {
	type span struct {
		a, b, at int
		d        float64
	}
	stray := func(a, b int) span {
		s := span{a: a, b: b, at: -1}
		p, q := l.at(a), l.at(b)
		x, y := q[0]-p[0], q[1]-p[1]
		n := math.Hypot(x, y)
		for i := a + 1; i < b; i++ {
			r := l.at(i)
			d := math.Hypot(r[0]-p[0], r[1]-p[1])
			if n > 0 {
				d = math.Abs(x*(r[1]-p[1])-y*(r[0]-p[0])) / n
			}
			if d > s.d {
				s.d, s.at = d, i
			}
		}
		return s
	}
	spans := []span{stray(0, l.N/2), stray(l.N/2, l.N)}
	for range n {
		w := 0
		for i := range spans {
			if spans[i].d > spans[w].d {
				w = i
			}
		}
		s := spans[w]
		if s.at < 0 {
			break
		}
		keep[s.at] = true
		spans[w] = stray(s.a, s.at)
		spans = append(spans, stray(s.at, s.b))
	}
}

// segmentOutline cuts the loop, opened at point 0, into lines and arcs of least
// description length by dynamic programming. Starts that no longer can lead to
// the best cut are given up (Killick, Fearnhead and Eckley 2012, JASA 107).
func segmentOutline(l *outlineLoop, price outlinePrice) []outlineSeg {
	d := newOutlineCutter(l)
	m := len(d.nodes) - 1
	best, from, arc := make([]float64, m+1), make([]int, m+1), make([]bool, m+1)
	live := []int{0}
	for j := 1; j <= m; j++ {
		best[j] = math.Inf(1)
		d.maxChord, d.chordFrom = 0, d.nodes[j]
		kept := live[:0:0]
		costs := make([]float64, 0, len(live))
		for k := len(live) - 1; k >= 0; k-- {
			i := live[k]
			line, circ, circOK := d.costs(i, j)
			if c := best[i] + line + price.line; c < best[j] {
				best[j], from[j], arc[j] = c, i, false
			}
			if circOK {
				if c := best[i] + circ + price.arc; c < best[j] {
					best[j], from[j], arc[j] = c, i, true
				}
			}
			kept = append(kept, i)
			costs = append(costs, best[i]+math.Min(line, circ))
		}
		live = live[:0]
		for k := len(kept) - 1; k >= 0; k-- {
			if costs[k] <= best[j]+2*outlineDropPrice {
				live = append(live, kept[k])
			}
		}
		live = append(live, j)
	}
	var segs []outlineSeg
	for j := m; j > 0; j = from[j] {
		segs = append(segs, outlineSeg{Lo: d.nodes[from[j]], Hi: d.nodes[j], Arc: arc[j]})
	}
	slices.Reverse(segs)
	return segs
}

// outlineCutter gives the cost of a step between two nodes in constant time.
type outlineCutter struct {
	l         *outlineLoop
	sums      *outlineSums
	nodes     []int
	start     [][]int // choices of the first point kept, by node
	end       [][]int // choices of the last point kept
	per       float64 // independent share over variance
	maxChord  float64 // longest edge from chordFrom to the current end
	chordFrom int
}

func newOutlineCutter(l *outlineLoop) *outlineCutter {
	d := &outlineCutter{l: l, sums: newOutlineSums(l), nodes: outlineNodes(l)}
	sd := math.Max(l.Sigma, 1e-5*l.Size)
	d.per = l.Share / (sd * sd)
	for _, k := range d.nodes {
		a, b := k+1, k-1
		for a < l.N && l.S[a]-l.S[k] < l.Corner {
			a++
		}
		for b > 0 && l.S[k]-l.S[b] < l.Corner {
			b--
		}
		d.start = append(d.start, outlineChoices(k, k+1, a))
		d.end = append(d.end, outlineChoices(k, k-1, b))
	}
	return d
}

func outlineChoices(a, b, c int) []int {
	if b == c {
		return []int{a, b}
	}
	return []int{a, b, c}
}

// costs returns the least cost of a line and of an arc from node i to node j,
// each over what may be left out beside its ends. circOK tells whether the
// points may be taken for an arc. An arc is not looked for where the line
// already costs too little for one to pay.
func (d *outlineCutter) costs(i, j int) (line, circ float64, circOK bool) {
	a0, b0 := d.nodes[i], d.nodes[j]
	d.chords(a0)
	var m outlineMoments
	line = d.least(i, j, func(a, b int) float64 {
		d.sums.between(a, b, &m)
		return m.lineSSQ() * d.per
	})
	if line < 8 || b0-a0 < 3 {
		return line, math.Min(line, 0), false
	}
	circ = d.least(i, j, func(a, b int) float64 {
		if b-a < 3 {
			return 0
		}
		d.sums.between(a, b, &m)
		r, ssq, ok := d.sums.circleSSQ(a, b, &m)
		if !ok {
			return math.Inf(1)
		}
		circOK = circOK || d.arcLooks(a, b, r)
		return ssq * d.per
	})
	return line, circ, circOK
}

// least returns the least of cost over the choices of first and last point, each
// with the price of what it leaves out. Leaving out more never costs more, so
// that the shortest choice tells whether any can beat the whole.
func (d *outlineCutter) least(i, j int, cost func(a, b int) float64) float64 {
	starts, ends := d.start[i], d.end[j]
	a0, b0 := starts[0], ends[0]
	best := cost(a0, b0)
	if best <= outlineDropPrice {
		return best
	}
	a1, b1 := starts[len(starts)-1], ends[len(ends)-1]
	if d.mayDrop(a0, a1, b1, b0) {
		low := cost(a1, b1)
		if best <= low+outlineDropPrice {
			return best
		}
		best = math.Min(best, low+d.dropped(a0, a1, b1, b0))
	}
	for _, a := range starts {
		for _, b := range ends {
			if a == a0 && b == b0 || a == a1 && b == b1 || !d.mayDrop(a0, a, b, b0) {
				continue
			}
			if drop := d.dropped(a0, a, b, b0); drop < best {
				best = math.Min(best, drop+cost(a, b))
			}
		}
	}
	return best
}

// dropped is the price of leaving a0 to a and b to b0 out.
func (d *outlineCutter) dropped(a0, a, b, b0 int) float64 {
	p := d.sums.pre
	return outlineDropPrice * (p[b0+1][0] - p[a0][0] - p[b+1][0] + p[a][0])
}

// mayDrop tells whether the step from a0 to b0 may keep only a to b. What is
// left out must be short beside what is kept; between sparse points of a noisy
// scan one edge may span a corner, in a clean mesh it is a side of its own.
func (d *outlineCutter) mayDrop(a0, a, b, b0 int) bool {
	if a == a0 && b == b0 {
		return true
	}
	if b <= a {
		return false
	}
	s := d.l.S
	gap := math.Max(s[a]-s[a0], s[b0]-s[b])
	return b-a >= 2 && gap <= 0.5*(s[b]-s[a]) || gap <= 250*d.l.Sigma
}

// chords extends the longest edge back to point a.
func (d *outlineCutter) chords(a int) {
	for d.chordFrom > a {
		d.chordFrom--
		d.maxChord = math.Max(d.maxChord, d.l.S[d.chordFrom+1]-d.l.S[d.chordFrom])
	}
}

// arcLooks tells whether the edges between the points may be chords of an arc
// of radius r: a long straight edge that ends on a circle is a flat, and few
// edges with sharp turns are a polygon.
func (d *outlineCutter) arcLooks(a, b int, r float64) bool {
	mean := (d.l.S[b] - d.l.S[a]) / float64(b-a)
	return outlineChordsFit(d.maxChord, mean, r, d.l.Sigma)
}

func outlineChordsFit(longest, mean, r, sigma float64) bool {
	sag := longest * longest / (8 * r)
	if sag <= 3*sigma {
		return true
	}
	noisy := sigma > 2e-3*longest
	turn, ratio := 46.0, 1.7 // an octagon of vertices passes for a circle, a hexagon does not
	if noisy {
		turn, ratio = 60, 3
	}
	return longest <= ratio*mean && longest <= 2*r*math.Sin(turn/2*math.Pi/180) &&
		mean <= 2*r*math.Sin(46.0/2*math.Pi/180)
}
