package primitive

import (
	"math"
	"slices"
	"sort"

	"gonum.org/v1/gonum/spatial/r3"
)

// leastWall is the share of its own wall that a hole shows at least; splinters of
// wall beside a weld show less.
const leastWall = 0.3

// joinWalls puts together what welds and gaps of the scan have broken: the parts
// of the outer wall to one, in order round the middle of the faces, and arcs of
// a round hole to the circle that they lie on. Walls of a whole scan, or whose
// outer one is closed, stay as they are.
func joinWalls(p *Patch, c *slab, walls []wallLoop) []wallLoop {
	if p.OpenEdges == 0 {
		return walls
	}
	centre, faceMM2 := faceMiddle(p, c)
	every := slices.Clone(walls)
	out := holeArcs(p, &walls)
	walls = slices.DeleteFunc(walls, func(w wallLoop) bool { return w.splinter(p, c) })
	var parts []wallLoop
	for i, w := range walls {
		switch closed := w.closed(p.EdgeMM); {
		case closed && !w.Hole && w.AreaMM2 > roundAll*faceMM2:
			walls[i].followJumps(p, every)
			return append(walls, out...)
		case closed && w.Hole && w.closure() < -0.3, len(w.Point) < 8, outward(w, centre) <= 0:
			out = append(out, w)
		default:
			parts = append(parts, w)
		}
	}
	if len(parts) == 0 {
		return append(walls, out...)
	}
	return append(out, chained(parts, centre))
}

// roundAll is the share of the faces' area that a wall which goes round all of
// them encloses at least; its rim may be cut short where it is rounded off.
const roundAll = 0.8

// splinter tells a hole that is none: a piece of slanting rim beside a weld. A
// hole is as wide as a facet, shows a fair share of its wall, and in a sheet of
// several facets' thickness some of that away from both rims.
func (w *wallLoop) splinter(p *Patch, c *slab) bool {
	const rows = 4 // facets across the sheet, of which two are at rims
	l := chainLength(w.Chain)
	return w.Hole && (w.WallMM2 < leastWall*l*c.thicknessMM() || w.thin(p.EdgeMM) ||
		len(w.Point) == 0 && c.thicknessMM() > rows*p.EdgeMM)
}

// thin tells a chain round less than a facet's width.
func (w *wallLoop) thin(edgeMM float64) bool { return 4*w.AreaMM2 < chainLength(w.Chain)*edgeMM }

// faceMiddle is the centroid of both faces, and the mean area of one.
func faceMiddle(p *Patch, c *slab) (centre [2]float64, faceMM2 float64) {
	total := 0.0
	for f, n := range p.FacetS {
		if math.Abs(r3.Dot(n, c.f.D)) > 0.9 {
			u, v, _ := c.f.local(p.FacetC[f])
			w := p.FacetMM2[f]
			centre[0] += w * u
			centre[1] += w * v
			total += w
		}
	}
	if total > 0 {
		centre[0] /= total
		centre[1] /= total
	}
	return centre, total / 2
}

// closed tells whether the chain ends where it began.
func (w *wallLoop) closed(edgeMM float64) bool {
	a, b := w.Chain[0], w.Chain[len(w.Chain)-1]
	return hypot(b[0]-a[0], b[1]-a[1]) <= max(6*edgeMM, 0.03*chainLength(w.Chain))
}

// closure is 1 for a wall whose normals all point away from its own middle, -1
// for one whose normals point there, near 0 for a part of one.
func (w *wallLoop) closure() float64 {
	if len(w.Point) < 4 { // a wall of one row of facets
		if w.Hole {
			return -1
		}
		return 1
	}
	cu, cv := centroidOf(w.Chain)
	turn, reach := 0.0, 0.0
	for i, q := range w.Point {
		x, y := q[0]-cu, q[1]-cv
		turn += x*w.Normal[i][0] + y*w.Normal[i][1]
		reach += hypot(x, y)
	}
	if reach == 0 {
		return 0
	}
	return turn / reach
}

// outward is positive where the wall's normals point away from the centre.
func outward(w wallLoop, centre [2]float64) float64 {
	s := 0.0
	for i, q := range w.Point {
		s += (q[0]-centre[0])*w.Normal[i][0] + (q[1]-centre[1])*w.Normal[i][1]
	}
	return s
}

// chained makes one wall of parts, each turned counter-clockwise about the
// centre, in order of where they start.
func chained(parts []wallLoop, centre [2]float64) wallLoop {
	angle := func(q [2]float64) float64 { return math.Atan2(q[1]-centre[1], q[0]-centre[0]) }
	start := make([]float64, len(parts))
	for k := range parts {
		ch := openedAtGap(parts[k].Chain)
		turn := 0.0
		for i := 1; i < len(ch); i++ {
			turn += math.Remainder(angle(ch[i])-angle(ch[i-1]), 2*math.Pi)
		}
		if turn < 0 {
			for i, j := 0, len(ch)-1; i < j; i, j = i+1, j-1 {
				ch[i], ch[j] = ch[j], ch[i]
			}
		}
		parts[k].Chain, start[k] = ch, angle(ch[0])
	}
	order := make([]int, len(parts))
	for k := range order {
		order[k] = k
	}
	sort.SliceStable(order, func(i, j int) bool { return start[order[i]] < start[order[j]] })
	var w wallLoop
	for _, k := range order {
		w.Chain = append(w.Chain, parts[k].Chain...)
		w.Jump = append(w.Jump, make([]bool, len(parts[k].Chain))...)
		w.Jump[len(w.Jump)-1] = true
		w.Point = append(w.Point, parts[k].Point...)
		w.Normal = append(w.Normal, parts[k].Normal...)
		w.Edge = append(w.Edge, parts[k].Edge...)
		w.WallMM2 += parts[k].WallMM2
	}
	w.AreaMM2 = polygonAreaMM2(w.Chain)
	return w
}

// openedAtGap starts a chain after its longest step, on a copy: a wall that goes
// round three sides of a piece may come back to its middle over the fourth.
func openedAtGap(chain [][2]float64) [][2]float64 {
	at, long := 0, 0.0
	for i, a := range chain {
		b := chain[(i+1)%len(chain)]
		if l := hypot(b[0]-a[0], b[1]-a[1]); l > long {
			at, long = (i+1)%len(chain), l
		}
	}
	return slices.Concat(chain[at:], chain[:at])
}

func polygonAreaMM2(chain [][2]float64) float64 { return math.Abs(loopArea(chain)) }

// Arcs of one hole agree in centre and radius within this share of the radius;
// together they show this share of the turn at least.
const (
	holeAgree = 0.04
	holeSeen  = 0.4
	holeChain = 72
)

// holeArcs takes the open hollow arcs out of walls and returns the round holes
// that they make up.
func holeArcs(p *Patch, walls *[]wallLoop) []wallLoop {
	type arc struct {
		wallLoop
		c [2]float64
		r float64
	}
	var arcs []arc
	var rest []wallLoop
	for _, w := range *walls {
		if c, r, ok := hollowArc(p, w); ok {
			arcs = append(arcs, arc{w, c, r})
		} else {
			rest = append(rest, w)
		}
	}
	used := make([]bool, len(arcs))
	var out []wallLoop
	for i, a := range arcs {
		if used[i] {
			continue
		}
		all := wallLoop{Hole: true}
		for j := i; j < len(arcs); j++ {
			b := arcs[j]
			near := holeAgree*a.r + 3*p.NoiseMM
			if used[j] || hypot(a.c[0]-b.c[0], a.c[1]-b.c[1]) > near || math.Abs(a.r-b.r) > near {
				continue
			}
			used[j] = true
			all.Point, all.Normal = append(all.Point, b.Point...), append(all.Normal, b.Normal...)
			all.WallMM2 += b.WallMM2
		}
		c, r, _, _, ok := circleOf(all.Point)
		if !ok || turnSeen(all.Point, c) < holeSeen {
			continue
		}
		for k := 0; k < holeChain; k++ {
			sin, cos := math.Sincos(2 * math.Pi * float64(k) / holeChain)
			all.Chain = append(all.Chain, [2]float64{c[0] + r*cos, c[1] + r*sin})
		}
		all.AreaMM2 = math.Pi * r * r
		out = append(out, all)
	}
	*walls = rest
	return out
}

// hollowArc tells an open part of a round hole: its points lie on a circle and
// its normals point to the circle's centre.
func hollowArc(p *Patch, w wallLoop) (c [2]float64, r float64, ok bool) {
	if len(w.Point) < 12 || w.closed(p.EdgeMM) && w.Hole && w.closure() < -0.3 {
		return c, 0, false
	}
	c, r, rms, _, ok := circleOf(some(w.Point, arcPoints))
	if !ok || r > 0.4*p.SizeMM || rms > max(3*p.NoiseMM, 0.02*r) {
		return c, 0, false
	}
	in := 0.0
	for i, q := range w.Point {
		if l := hypot(q[0]-c[0], q[1]-c[1]); l > 0 {
			in -= ((q[0]-c[0])*w.Normal[i][0] + (q[1]-c[1])*w.Normal[i][1]) / l
		}
	}
	return c, r, in > 0.8*float64(len(w.Point)) && turnSeen(w.Point, c) > 0.08
}

// arcPoints are enough to tell whether a wall is part of a circle.
const arcPoints = 300

// turnSeen is the share of the turn about c in which there are points.
func turnSeen(pts [][2]float64, c [2]float64) float64 {
	const sectors = 48
	var seen [sectors]bool
	n := 0
	for _, q := range pts {
		k := min(int((math.Atan2(q[1]-c[1], q[0]-c[0])/(2*math.Pi)+0.5)*sectors), sectors-1)
		if !seen[k] {
			seen[k] = true
			n++
		}
	}
	return float64(n) / sectors
}
