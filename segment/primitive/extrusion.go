package primitive

import (
	"math"
	"runtime"
	"slices"

	"golang.org/x/sync/errgroup"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh"
)

// extrusion is a slab with its outline: what is between two parallel faces and
// has walls along one direction. The faces are fitted jointly; the contour is
// fitted on its own, in the plane of the faces.
type extrusion struct {
	slab
	netMM2      float64 // area of a face
	perimeterMM float64 // of all contours
}

// wall is the signed distance of p from the side walls, and their normal there.
func (c *extrusion) wall(p r3.Vec) (float64, r3.Vec) {
	const h = 1e-4
	u, v, z := c.f.local(p)
	d := c.bounds(u, v)
	n := c.f.dir(c.bounds(u+h, v)-d, c.bounds(u, v+h)-d, 0)
	if l := norm(n); l > 0 {
		n = r3.Scale(1/l, n)
	}
	if beyond := max(c.z[0]-z, z-c.z[1]); beyond > 0 { // a wall ends at the faces
		d = math.Copysign(hypot(d, beyond), d)
	}
	return d, n
}

func (c *extrusion) areaMM2() float64 {
	faces := 2.0
	if c.standing() {
		faces = 1
	}
	return faces*c.netMM2 + c.perimeterMM*c.thicknessMM()
}

// opening is a hole's contour.
type opening struct {
	chain    *contourLine // nil for a circle
	u, v, r  float64      // circle, or the circle about the chain
	rU, rms  float64
	areaMM2  float64
	lengthMM float64
}

// distance is the signed distance from the opening's contour, positive inside
// the opening, where there is no metal.
func (o *opening) distance(u, v float64) float64 {
	d := o.r - hypot(u-o.u, v-o.v)
	if o.chain == nil {
		return d
	}
	if d < -2*o.r {
		return d // far off: the circle about it will do
	}
	return -o.chain.distance(u, v)
}

// faceContour is the outline of a flat piece with its openings.
type faceContour struct {
	outer *contourLine
	inner []*opening
}

// distance is the signed distance from the contour, outside positive.
func (c faceContour) distance(u, v float64) float64 {
	d := c.outer.distance(u, v)
	for _, o := range c.inner {
		d = max(d, o.distance(u, v))
	}
	return d
}

// insideChain tells whether q lies within the closed chain.
func insideChain(q [2]float64, chain [][2]float64) bool {
	in := false
	for i, a := range chain {
		b := chain[(i+1)%len(chain)]
		if (a[1] > q[1]) != (b[1] > q[1]) && q[0] < a[0]+(q[1]-a[1])/(b[1]-a[1])*(b[0]-a[0]) {
			in = !in
		}
	}
	return in
}

// wallVertices are enough to place two faces and to see how far edges reach in.
const wallVertices = 15000

// slabWalls fits the faces of c and sorts the walls into the outer contour
// and those inside it. It goes twice: the rough contours of the first time tell
// how far from an edge the scan is biased by it.
//
// ok is false where walls are missing, and where they are those of a plain round
// piece, which is neither plate nor wheel.
//
// rim is the outer contour of a wheel: where the scan is open, parts of it round
// the gaps between teeth look like parts of holes, and are not in outer.
func slabWalls(scout *Patch, c *slab) (a association, outer, rim wallLoop, inner []wallLoop, ok bool) {
	p := scout.whole()
	for pass, q := range []*Patch{scout, p.thin(wallVertices)} {
		a, err := associate(q, c, c.gateMM, [2]aim{scouting, placing}[pass], pass == 1)
		if err != nil {
			return a, outer, rim, nil, false
		}
		walls := wallLoops(p, c, a.MarginMM)
		var open []wallLoop
		if p.OpenEdges > 0 {
			if rim, _, ok = sortWalls(joinWalls(p, c, slices.Clone(walls))); !ok {
				return a, outer, rim, nil, false
			}
			open = sheetOpenings(p, c, walls, a.MarginMM)
		}
		if outer, inner, ok = sortWalls(joinWalls(p, c, outsideOf(open, walls))); !ok {
			return a, outer, rim, nil, false
		}
		if inner = append(open, inner...); p.OpenEdges == 0 {
			rim = outer
		}
		if pass == 1 {
			return a, outer, rim, inner, true
		}
		if roundWalls(p, &outer, inner) {
			return a, outer, rim, nil, false
		}
		lines := []*contourLine{newContourLine(outer.Chain)}
		for _, w := range inner {
			lines = append(lines, newContourLine(w.Chain))
		}
		c.bounds = func(u, v float64) float64 {
			d := lines[0].distance(u, v)
			for _, l := range lines[1:] {
				d = max(d, -l.distance(u, v))
			}
			return d
		}
	}
	return a, outer, rim, inner, true
}

// leastClosure tells a hole from a splinter of wall: a slot eight times as long
// as wide has twice as much.
const leastClosure = 0.12

func sortWalls(walls []wallLoop) (outer wallLoop, inner []wallLoop, ok bool) {
	most := -1
	for i, w := range walls {
		if !w.Hole && (most < 0 || w.AreaMM2 > walls[most].AreaMM2) {
			most = i
		}
	}
	if most < 0 {
		return outer, nil, false
	}
	outer = walls[most]
	for i, w := range walls {
		if i != most && w.Hole && w.closure() < -leastClosure && w.AreaMM2 < 0.95*outer.AreaMM2 && insideChain(polygonCentroid(w.Chain), outer.Chain) {
			inner = append(inner, w)
		}
	}
	return outer, inner, true
}

// openingOf fits a circle to an inner wall, or keeps its chain.
func openingOf(p *Patch, w wallLoop) opening {
	o := opening{areaMM2: w.AreaMM2, lengthMM: chainLength(w.Chain)}
	c, r, rms, _, ok := circleOf(wallPoints(w))
	if ok && rms < max(4*p.NoiseMM, 0.02*r) {
		o.u, o.v, o.r, o.rms = c[0], c[1], r, rms
		o.rU, _ = circleU95(wallPoints(w), c, r, rms)
		return o
	}
	o.chain = newContourLine(w.Chain)
	m := polygonCentroid(w.Chain)
	o.u, o.v = m[0], m[1]
	for _, q := range w.Chain {
		o.r = max(o.r, hypot(q[0]-m[0], q[1]-m[1]))
	}
	return o
}

// proposeSlab looks for wheels and plates: what has two parallel faces and walls
// across them. Directions alone are enough.
func proposeSlab(scout *Patch, axes []motion) []candidate {
	return slabs(scout, axes, startSlab)
}

// proposeStepped looks for wheels whose hub, web and rim differ in thickness.
func proposeStepped(scout *Patch, axes []motion) []candidate {
	return slices.DeleteFunc(slabs(scout, axes, startStepped), func(c candidate) bool {
		w, wheel := c.sol.(*toothedWheel)
		return !wheel || w.steps == nil
	})
}

// proposeStanding looks for those of which one face is hidden: a plate that lies
// on another, a profile that stands on one. Of their walls a half is seen, of a wheel's,
// which its teeth tell, a third, over some facets' height: else anything with a flat side
// would be one.
func proposeStanding(scout *Patch, axes []motion) []candidate {
	const rows, seen, seenTeeth = 3, 0.5, 0.3
	out := slabs(scout, axes, startStanding)
	out = slices.DeleteFunc(out, func(c candidate) bool {
		pl, ok := c.sol.(*plate)
		return ok && pl.thicknessMM() <= rows*scout.whole().EdgeMM
	})
	for i := range out {
		out[i].leastSeen = seen
		if _, ok := out[i].sol.(*toothedWheel); ok {
			out[i].leastSeen = seenTeeth
		}
	}
	return out
}

// slabs makes candidates along each direction, as many at a time as there are
// processors.
func slabs(scout *Patch, axes []motion, start func(*Patch, r3.Vec) (*slab, bool)) []candidate {
	found := make([][]candidate, len(axes))
	var g errgroup.Group
	g.SetLimit(runtime.GOMAXPROCS(0))
	for i, m := range axes {
		if m.located {
			continue
		}
		g.Go(mesh.Guarded(func() error {
			found[i] = slabAlong(scout, m.f.D, start)
			return nil
		}))
	}
	if err := g.Wait(); err != nil {
		panic(err) // a fault, brought to where it can be told
	}
	return slices.Concat(found...)
}

// slabAlong makes a wheel or plate of what stands across direction d; none where there
// is neither.
func slabAlong(scout *Patch, d r3.Vec, start func(*Patch, r3.Vec) (*slab, bool)) (out []candidate) {
	c, ok := start(scout, d)
	if !ok {
		return nil
	}
	a, outer, rim, inner, ok := slabWalls(scout, c)
	if !ok {
		return nil
	}
	p := scout.whole()
	if w, ok := newWheel(p, c, a, rim, slices.Clone(inner)); ok {
		wheel := candidate{sol: w, gateMM: c.gateMM, sizeMM: 2 * w.teeth.tip, sheet: true, describe: w.describe}
		holds := wheel.settle(scout, DefaultOptions(), scouting)
		wheel.settled = false
		if out = append(out, wheel); holds {
			return out
		} // a plate's holes may pass for teeth
	}
	if _, wound := woundStrip(p, c, outer, DefaultOptions()); wound {
		return out
	}
	add := func(outer wallLoop, inner []wallLoop) {
		if pl, ok := newPlate(p, c, a, outer, inner); ok {
			out = append(out, candidate{sol: pl, gateMM: c.gateMM, sizeMM: pl.sizeMM(), sheet: true,
				more: pl.freedom(), describe: pl.describe})
		}
	}
	add(outer, inner)
	if p.OpenEdges > 0 {
		walls := wallLoops(p, c, a.MarginMM)
		if outer, inner, ok := polygonalWalls(p, c, walls); ok {
			add(outer, inner)
		}
	}
	return out
}

func wallPoints(w wallLoop) [][2]float64 {
	if len(w.Point) >= 8 {
		return w.Point
	}
	return w.Chain
}

func chainLength(chain [][2]float64) float64 {
	l := 0.0
	for i, a := range chain {
		b := chain[(i+1)%len(chain)]
		l += hypot(b[0]-a[0], b[1]-a[1])
	}
	return l
}
