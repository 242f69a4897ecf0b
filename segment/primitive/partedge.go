package primitive

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// seenWall is the share of its outline that a plate's side wall shows at least;
// where welds hide more of it, the outline is taken round the faces.
const seenWall = 0.75

// roundFaces replaces the chain of a wall that welds hide much of by the convex
// hull of the faces and of what is seen of the wall. It tells whether it did.
func roundFaces(p *Patch, c *slab, w *wallLoop) bool {
	if p.OpenEdges == 0 || w.Jump == nil && w.closed(p.EdgeMM) {
		return false
	}
	pts := slices.Clone(w.Point)
	for f, n := range p.FacetS {
		if math.Abs(r3.Dot(n, c.f.D)) > 0.9 {
			if u, v, h := c.f.local(p.FacetC[f]); math.Abs(h-c.z[0]) < c.gateMM || math.Abs(h-c.z[1]) < c.gateMM {
				pts = append(pts, [2]float64{u, v})
			}
		}
	}
	hull := convexHull(pts)
	if len(hull) < 3 || w.WallMM2 >= seenWall*chainLength(hull)*c.thicknessMM() {
		return false
	}
	w.Chain, w.Jump = dense(hull, p.EdgeMM), nil
	w.AreaMM2 = polygonAreaMM2(hull)
	return true
}

// A section that each ray from its middle leaves once is a starlike one: a square or
// a hexagonal bar.
const (
	starRays = 72
	starHits = 5   // wall points in a ray's sector, under which it is blind
	starSeen = 0.7 // of the rays, that are not
	starOn   = 0.8 // of the wall's points, that lie on the rim through the medians of the sectors
)

// starlike leads the rim of a wall from sector to sector round its middle, through
// their median points, where a scan with gaps has left a rim that turns back on
// itself, and tells whether the section is starlike, so that it can.
func (w *wallLoop) starlike(p *Patch) bool {
	if p.OpenEdges == 0 || len(w.Point) < starRays*starHits {
		return false
	}
	cu, cv := centroidOf(convexHull(w.Point))
	var sector [starRays][][2]float64 // distance, angle
	for _, q := range w.Point {
		a := math.Atan2(q[1]-cv, q[0]-cu)
		k := min(int((a/(2*math.Pi)+0.5)*starRays), starRays-1)
		sector[k] = append(sector[k], [2]float64{hypot(q[0]-cu, q[1]-cv), a})
	}
	var chain [][2]float64
	for _, s := range sector {
		if len(s) < starHits {
			continue
		}
		slices.SortFunc(s, func(a, b [2]float64) int { return slices.Compare(a[:], b[:]) })
		sin, cos := math.Sincos(s[len(s)/2][1])
		chain = append(chain, [2]float64{cu + s[len(s)/2][0]*cos, cv + s[len(s)/2][0]*sin})
	}
	if float64(len(chain)) < starSeen*starRays {
		return false
	}
	line := newContourLine(chain)
	pts, n := some(w.Point, arcPoints), 0
	for _, q := range pts {
		if math.Abs(line.distance(q[0], q[1])) <= max(6*p.NoiseMM, 0.5*p.EdgeMM) {
			n++
		}
	}
	if float64(n) < starOn*float64(len(pts)) {
		return false
	}
	w.Chain, w.Jump, w.AreaMM2 = chain, nil, polygonAreaMM2(chain)
	return true
}

// dense puts points between those of a closed chain, at most stepMM apart.
func dense(chain [][2]float64, stepMM float64) [][2]float64 {
	var out [][2]float64
	for i, a := range chain {
		b := chain[(i+1)%len(chain)]
		n := max(int(math.Ceil(hypot(b[0]-a[0], b[1]-a[1])/stepMM)), 1)
		for k := 0; k < n; k++ {
			s := float64(k) / float64(n)
			out = append(out, [2]float64{a[0] + s*(b[0]-a[0]), a[1] + s*(b[1]-a[1])})
		}
	}
	return out
}

// sideSeen is the share of a side of the smallest rectangle along which wall
// must be seen for the dimension across it to be known: a line through less of
// a side leans by more than the wall's own points scatter.
const sideSeen = 0.3

// unseenSides tells which of length and width end at a side of the smallest
// rectangle that shows no wall: weld covers it.
func (c *plate) unseenSides(w *wallLoop, reachMM float64) (length, width bool) {
	sin, cos := math.Sincos(c.box.AngleRad)
	half := [2]float64{c.box.LengthMM / 2, c.box.WidthMM / 2}
	const bins = 20
	var seen [2][2][bins]bool // across which dimension, at which end
	for _, q := range w.Point {
		x, y := q[0]-c.box.CentreMM[0], q[1]-c.box.CentreMM[1]
		at := [2]float64{x*cos + y*sin, y*cos - x*sin}
		for k := range at {
			for e, end := range []float64{-half[k], half[k]} {
				if math.Abs(at[k]-end) < reachMM && half[1-k] > 0 {
					b := int((at[1-k]/half[1-k] + 1) / 2 * bins)
					seen[k][e][min(max(b, 0), bins-1)] = true
				}
			}
		}
	}
	bare := func(k int) bool {
		for e := range seen[k] {
			n := 0
			for _, s := range seen[k][e] {
				if s {
					n++
				}
			}
			if float64(n) < sideSeen*bins {
				return true
			}
		}
		return false
	}
	return bare(0), bare(1)
}

// guessedLeast are the points that a step of an outline is seen by at least, guessedShare
// those that it has of as many as the best seen has on the same length; fewer are of the
// ends of a gap that it closes.
const (
	guessedLeast = 8
	guessedShare = 0.1
)

// guessedSides tells which of length and width end at a side of the smallest rectangle
// that only a guessed step of the outline touches: it closes a gap, and the piece may
// go on under the weld there, or end before.
func (c *plate) guessedSides() (length, width bool) {
	sin, cos := math.Sincos(c.box.AngleRad)
	half := [2]float64{c.box.LengthMM / 2, c.box.WidthMM / 2}
	n := len(c.outline.Steps)
	if c.outline.Circle || len(c.outline.Fits) < n {
		return false, false
	}
	from := func(i int) [2]float64 { return c.outline.Steps[(i+n-1)%n].To }
	chord := func(i int) float64 {
		a, b := from(i), c.outline.Steps[i].To
		return hypot(b[0]-a[0], b[1]-a[1])
	}
	most := 0.0 // points a millimetre
	for i, f := range c.outline.Fits {
		if f.N >= guessedLeast {
			most = max(most, float64(f.N)/chord(i))
		}
	}
	var guessed [2]bool
	for k, along := range [2][2]float64{{cos, sin}, {-sin, cos}} {
		for _, end := range []float64{-half[k], half[k]} {
			on := func(q [2]float64) bool {
				return math.Abs((q[0]-c.box.CentreMM[0])*along[0]+(q[1]-c.box.CentreMM[1])*along[1]-end) < 0.01*half[k]
			}
			touched, seen := false, false
			for i, s := range c.outline.Steps {
				line := [][2]float64{from(i), s.To}
				if s.Arc {
					line = append(line, chords(line[0], s.Via, s.To)...)
				}
				if m := c.outline.Fits[i].N; m < guessedLeast || float64(m) < guessedShare*most*chord(i) {
					touched = touched || slices.ContainsFunc(line, on)
				} else {
					seen = seen || !s.Arc && on(line[0]) && on(s.To) || s.Arc && slices.ContainsFunc(line[2:], on)
				}
			}
			guessed[k] = guessed[k] || touched && !seen
		}
	}
	return guessed[0], guessed[1]
}
