package primitive

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/segment/fit"
)

// plate is a slab with an outline of straight edges and arcs and any holes. The
// same fit serves discs and rings with bolt holes and profiles: what it is
// called follows from its outline and its length.
type plate struct {
	extrusion
	outline fit.Outline
	box     fit.Rectangle
	inner   []fittedHole
	notes   []string
	hidden  [2]bool // length, width: weld covers an end of it
	guessed bool    // hidden ends lie where the outline closes a gap
}

// fittedHole is a hole with its outline.
type fittedHole struct {
	hole    fit.Hole
	outline fit.Outline
	radiusU float64 // standard deviation of a round hole's radius
	centreU float64 // and of its centre, either way
	line    *contourLine

	inferred bool // not seen: its pattern says that it is there
}

// newPlate fits the outline and the holes.
func newPlate(p *Patch, c *slab, a association, outer wallLoop, inner []wallLoop) (*plate, bool) {
	covered := roundFaces(p, c, &outer)
	outer.trimToWalls(p)
	outer.meetSides(p, c)
	o, ok := outlineOf(p, &outer, a)
	if !ok && outer.starlike(p) {
		covered = true
		o, ok = outlineOf(p, &outer, a)
	}
	if !ok {
		if outer.Chain, ok = outer.sliced(p, c); ok {
			outer.Jump = nil
			o, ok = outlineOf(p, &outer, a)
		}
	}
	if !ok {
		return nil, false
	}
	pl := &plate{outline: o, box: fit.SmallestRectangle(o)}
	pl.slab = *c
	if covered {
		pl.hidden[0], pl.hidden[1] = pl.unseenSides(&outer, max(4*p.NoiseMM, 0.5*p.EdgeMM, 0.2))
	} else if p.OpenEdges > 0 {
		pl.hidden[0], pl.hidden[1] = pl.guessedSides()
		pl.guessed = true
	}
	pl.finish(p, inner, a)
	rim := polylineBy(pl.outline, 36)
	if outer.Jump != nil { // across gaps the outline is straight
		rim = outer.Point
	}
	return pl, !pl.plainRound(p, rim)
}

// freedom is the number of parameters of all contours.
func (c *plate) freedom() float64 {
	n := 3 * len(c.outline.Steps)
	for _, h := range c.inner {
		switch h.hole.Shape {
		case "round":
			n += 3
		case "slot", "diamond", "rectangle": // place, two sizes, angle
			n += 5
		default:
			n += 3 * max(len(h.outline.Steps), 1)
		}
	}
	return float64(n)
}

// sizeMM is the section's size that the form limit is a share of.
func (c *plate) sizeMM() float64 {
	if c.outline.Circle {
		return 2 * c.outline.RadiusMM
	}
	return min(c.thicknessMM(), 3*c.box.WidthMM)
}

// ownShare is how far from the axis of a round piece, in its radius, the centre of a
// hole lies that is no bore.
const ownShare = 0.03

// plainRound tells what the joint fits of round pieces do better: an outline
// that is round, as far as real metal is, without holes of its own, or longer
// than a disc.
func (c *plate) plainRound(p *Patch, rim [][2]float64) bool {
	q, r, _, _, ok := circleOf(rim)
	if !ok {
		return false
	}
	off := make([]float64, len(rim))
	for i, x := range rim {
		off[i] = math.Abs(hypot(x[0]-q[0], x[1]-q[1]) - r)
	}
	most := slices.Max(off)
	if p.OpenEdges > 0 { // weld may stand on it
		most = quantile(off, 0.95)
	}
	opt := DefaultOptions()
	if most > max(opt.FormNoise*p.NoiseMM, opt.FormShare*2*r) || turnSeen(rim, q) < 0.5 {
		return false
	}
	own := 0
	for _, h := range c.inner {
		if hypot(h.hole.CentreMM[0]-q[0], h.hole.CentreMM[1]-q[1]) > ownShare*r {
			own++
		}
	}
	return own == 0 || c.thicknessMM() > r
}

// polylineBy is the outline in steps of at most a share 1/n of its length.
func polylineBy(o fit.Outline, n int) [][2]float64 {
	line := polyline(o)
	most := o.Perimeter() / float64(n)
	var out [][2]float64
	for i, a := range line {
		b := line[(i+1)%len(line)]
		k := int(math.Ceil(hypot(b[0]-a[0], b[1]-a[1]) / most))
		for j := 0; j < max(k, 1); j++ {
			s := float64(j) / float64(max(k, 1))
			out = append(out, [2]float64{a[0] + s*(b[0]-a[0]), a[1] + s*(b[1]-a[1])})
		}
	}
	return out
}

// outlineOf fits lines and arcs to a wall: the rim gives the order, the wall's
// own points the place.
func outlineOf(p *Patch, w *wallLoop, a association) (fit.Outline, bool) {
	opt := fit.DefaultOutlineOptions()
	opt.NoiseMM = max(p.NoiseMM, min(a.RMSMM, 3*p.NoiseMM))
	opt.CornerMM = max(opt.CornerMM, 1.5*a.MarginMM)
	opt.SideReachMM = max(0.5, 6*opt.NoiseMM, 0.5*p.EdgeMM)
	var weight []float64
	side := make([]fit.SidePoint, len(w.Point))
	for i := range w.Point {
		side[i] = fit.SidePoint{P: w.Point[i], N: w.Normal[i]}
	}
	loop := w.Chain
	if a.MarginMM > 0 && len(side) > len(loop)/2 { // the rim is rounded off: its place is not to be trusted
		if l, ok := raised(w, p.EdgeMM); ok {
			loop = l
		} else {
			weight = make([]float64, len(loop))
			for i := range weight {
				weight[i] = 0.05
			}
		}
	}
	o, err := fit.FitOutline(loop, weight, side, opt)
	if err != nil {
		return o, false
	}
	return o, true
}

// raised moves each point of the rim out to the wall: by the mean distance of
// the wall's points near by along their normals. ok is false where too few rim
// points have such neighbours.
func raised(w *wallLoop, edgeMM float64) ([][2]float64, bool) {
	cells := map[[2]int][]int{}
	size := 1.5 * edgeMM
	at := func(q [2]float64) [2]int {
		return [2]int{int(math.Floor(q[0] / size)), int(math.Floor(q[1] / size))}
	}
	for i, q := range w.Point {
		k := at(q)
		cells[k] = append(cells[k], i)
	}
	out := make([][2]float64, 0, len(w.Chain))
	for _, q := range w.Chain {
		k := at(q)
		var nu, nv, d, n float64
		for x := k[0] - 1; x <= k[0]+1; x++ {
			for y := k[1] - 1; y <= k[1]+1; y++ {
				for _, i := range cells[[2]int{x, y}] {
					e := [2]float64{w.Point[i][0] - q[0], w.Point[i][1] - q[1]}
					if hypot(e[0], e[1]) < size {
						nu, nv = nu+w.Normal[i][0], nv+w.Normal[i][1]
						d += e[0]*w.Normal[i][0] + e[1]*w.Normal[i][1]
						n++
					}
				}
			}
		}
		if l := hypot(nu, nv); n >= 3 && l > 0.7*n { // not at a corner, where normals part
			out = append(out, [2]float64{q[0] + d/n*nu/l, q[1] + d/n*nv/l})
		} else {
			out = append(out, q)
		}
	}
	return out, len(out) >= 4
}

// finish fits the holes and makes the signed distance of the whole contour.
func (c *plate) finish(p *Patch, inner []wallLoop, a association) {
	c.netMM2, c.perimeterMM = c.outline.Area(), c.outline.Perimeter()
	line := newContourLine(polyline(c.outline))
	inner = slices.DeleteFunc(inner, func(w wallLoop) bool { return crosses(w.Chain, line) })
	c.fitHoles(p, inner, a)
	if p.OpenEdges > 0 {
		r := rasterOf(p, &c.slab)
		c.inner = inferHoles(c.inner, &r, &c.box.CentreMM)
		if n := inferredNote(c.inner); n != "" {
			c.notes = append(c.notes, n)
		}
	}
	c.contour = faceContour{outer: line}
	c.bounds = func(u, v float64) float64 {
		d := line.distance(u, v)
		for _, h := range c.inner {
			d = max(d, -h.line.distance(u, v))
		}
		return d
	}
}

// crosses tells a chain that lies on both sides of an outline: a nick of the edge,
// or weld on it, and no hole.
func crosses(chain [][2]float64, outline *contourLine) bool {
	in, out := false, false
	for _, q := range chain {
		d := outline.distance(q[0], q[1])
		in, out = in || d < 0, out || d > 0
	}
	return in && out
}

// holeSpan is how many times its own wall's width a hole is wide at most: of a flatter
// arc, a few facets beside a weld, nothing tells the radius.
const holeSpan = 4

// fitHoles fits the outline of every inner wall and names its shape.
func (c *plate) fitHoles(p *Patch, inner []wallLoop, a association) {
	for i := range inner {
		w := &inner[i]
		o, ok := outlineOf(p, w, a)
		h := fittedHole{outline: o}
		edge, area, length := w.Chain, w.AreaMM2, chainLength(w.Chain)
		if ok {
			h.hole = fit.ClassifyHole(o)
			edge, area, length = polyline(o), o.Area(), o.Perimeter()
		} else {
			h.hole = fit.Hole{Shape: "other", CentreMM: polygonCentroid(w.Chain)}
		}
		if q, r, rms, _, fine := circleOf(wallPoints(*w)); fine && insideChain(q, w.Chain) && (h.hole.Shape == "round" || rms < max(2*p.NoiseMM, 0.02*r)) {
			h.hole = fit.Hole{Shape: "round", CentreMM: q, DiameterMM: 2 * r}
			radius, centre := circleU95(wallPoints(*w), q, r, rms)
			h.radiusU, h.centreU = radius/1.96, centre/1.96
			if !ok || !o.Circle { // a loop that folds back: an arc may turn the wrong way round
				edge, area, length = circleChain(q, r), math.Pi*r*r, 2*math.Pi*r
			}
		}
		if lo, hi := boxOf(w.Chain); h.hole.DiameterMM > holeSpan*hypot(hi[0]-lo[0], hi[1]-lo[1]) {
			continue
		}
		h.line = newContourLine(edge)
		c.netMM2 -= area
		c.perimeterMM += length
		if h.hole.Shape == "round" {
			if r, ok := c.mouth(p, h.hole); ok {
				h.hole.DiameterMM, h.radiusU = 2*r, p.NoiseMM
				c.notes = append(c.notes, "a hole widens towards a face (countersunk or counterbored): its diameter is that at the face")
			}
		}
		c.inner = append(c.inner, h)
	}
	c.dropConcentric()
}

// mouth is the radius at which a face begins round a round hole; ok where that
// is clearly wider than the hole's own wall.
func (c *plate) mouth(p *Patch, h fit.Hole) (float64, bool) {
	r := h.DiameterMM / 2
	tol := max(3*p.NoiseMM, 1e-5*p.SizeMM)
	best := 0.0
	for k := range c.z {
		near := math.Inf(1)
		var d []float64
		for _, q := range p.P {
			u, v, z := c.f.local(q)
			if l := hypot(u-h.CentreMM[0], v-h.CentreMM[1]); math.Abs(z-c.z[k]) < tol && l < 3*r {
				d = append(d, l)
				near = min(near, l)
			}
		}
		if near < 1.15*r+6*p.NoiseMM || near > 2.8*r {
			continue
		}
		sum, n := 0.0, 0.0
		for _, l := range d {
			if l < near+max(6*p.NoiseMM, 1e-3*r) {
				sum += l
				n++
			}
		}
		if n >= 8 {
			best = max(best, sum/n)
		}
	}
	return best, best > 0
}

// dropConcentric keeps the widest of holes with one centre: steps of one hole.
func (c *plate) dropConcentric() {
	var out []fittedHole
	for i, h := range c.inner {
		inside := false
		for j, o := range c.inner {
			if i == j || h.hole.Shape != "round" || o.hole.Shape != "round" {
				continue
			}
			off := hypot(h.hole.CentreMM[0]-o.hole.CentreMM[0], h.hole.CentreMM[1]-o.hole.CentreMM[1])
			if off < 0.1*o.hole.DiameterMM && (o.hole.DiameterMM > h.hole.DiameterMM || o.hole.DiameterMM == h.hole.DiameterMM && j < i) {
				inside = true
			}
		}
		if !inside {
			out = append(out, h)
		}
	}
	c.inner = out
}

// polyline is the outline as a chain fine enough for distances: arcs in chords
// of 3 degrees.
func polyline(o fit.Outline) [][2]float64 {
	var out [][2]float64
	if len(o.Steps) == 0 {
		return out
	}
	from := o.Steps[len(o.Steps)-1].To
	for _, s := range o.Steps {
		if s.Arc {
			out = append(out, chords(from, s.Via, s.To)...)
		}
		out = append(out, s.To)
		from = s.To
	}
	return out
}

// circleChain is a circle as polyline has one.
func circleChain(c [2]float64, r float64) [][2]float64 {
	at := func(x, y float64) [2]float64 { return [2]float64{c[0] + x*r, c[1] + y*r} }
	return polyline(fit.Outline{Steps: []fit.Step{{To: at(1, 0), Via: at(0, -1), Arc: true}, {To: at(-1, 0), Via: at(0, 1), Arc: true}}})
}

// chords returns the inner points of the arc a → b through v, 3 degrees apart.
func chords(a, v, b [2]float64) [][2]float64 {
	return fit.Chords(a, v, b, 3*math.Pi/180)
}

// circleThrough is the circle through three points: centre and radius, 0 where
// they lie on a line.
func circleThrough(a, v, b [2]float64) [3]float64 {
	ax, ay, bx, by := v[0]-a[0], v[1]-a[1], b[0]-a[0], b[1]-a[1]
	d := 2 * (ax*by - ay*bx)
	if d == 0 {
		return [3]float64{}
	}
	la, lb := ax*ax+ay*ay, bx*bx+by*by
	x, y := (by*la-ay*lb)/d, (ax*lb-bx*la)/d
	return [3]float64{a[0] + x, a[1] + y, hypot(x, y)}
}

// describe names the piece by its outline and sizes.
func (c *plate) describe(e *Element, a association, p *Patch) {
	t := c.thicknessMM()
	phi := c.edgeInflation(a)
	if c.outline.Circle && t <= c.outline.RadiusMM {
		c.describeRound(e, a, phi)
	} else if c.isProfile() {
		c.describeProfile(e, a, phi)
	} else {
		e.Kind = "plate"
		k := 1.96 * c.outline.SigmaMM / max(c.outline.SigmaMM, 1e-12) * math.Sqrt(phi)
		c.through(e, "thickness_mm", a)
		c.addOrHide(e, 0, "length_mm", c.box.LengthMM, k*c.box.LengthSDMM)
		c.addOrHide(e, 1, "width_mm", c.box.WidthMM, k*c.box.WidthSDMM)
		e.count("hole_count", len(c.inner))
	}
	e.Notes = append(e.Notes, slices.Compact(c.notes)...)
	c.place(e, p, phi)
	e.Form = noForm
	if e.Kind != "profile" {
		e.Form.FlatnessMM = c.flatnessMM(p, a)
	}
}

// isProfile tells a plate that is thicker than wide: a length of some section.
func (c *plate) isProfile() bool {
	return c.thicknessMM() > c.box.WidthMM*1.0001 && !(c.outline.Circle && c.thicknessMM() <= c.outline.RadiusMM)
}

// addOrHide gives a dimension, or says that weld covers an end of it.
func (c *plate) addOrHide(e *Element, k int, key string, mm, u95 float64) {
	if !c.hidden[k] {
		e.add(key, mm, u95)
		return
	}
	e.hide(key)
	format := "weld covers an edge: %s is at least %.2f mm on the maquette"
	if c.guessed {
		format = "no point of an edge was seen: %s is about %.2f mm on the maquette, as far as what is beside it tells"
	}
	e.Notes = append(e.Notes, fmt.Sprintf(format, key, mm))
}

// edgeInflation takes the correlation of the faces' residuals for the edges'
// too: the edges have too few points to tell.
func (c *plate) edgeInflation(a association) float64 {
	return math.Sqrt(max(a.surface(0).Inflation, a.surface(1).Inflation, 1))
}

// describeRound is a disc, or with a concentric hole a ring; other holes stay
// listed.
func (c *plate) describeRound(e *Element, a association, phi float64) {
	r := c.outline.RadiusMM
	e.Kind = "disc"
	for i, h := range c.inner {
		off := hypot(h.hole.CentreMM[0]-c.outline.CentreMM[0], h.hole.CentreMM[1]-c.outline.CentreMM[1])
		if h.hole.Shape == "round" && off < ownShare*r {
			e.Kind, e.Section = "ring", "flat"
			c.inner = append(c.inner[:i:i], c.inner[i+1:]...)
			e.add("outside_diameter_mm", 2*r, c.roundU95(phi))
			e.add("inside_diameter_mm", h.hole.DiameterMM, 2*1.96*h.radiusU)
			c.through(e, "thickness_mm", a)
			return
		}
	}
	e.add("outside_diameter_mm", 2*r, c.roundU95(phi))
	c.through(e, "thickness_mm", a)
}

func (c *plate) roundU95(phi float64) float64 {
	sd := 0.0
	for _, f := range c.outline.Fits {
		sd = max(sd, f.RadiusSD)
	}
	return 2 * 1.96 * sd * c.outline.SigmaMM * math.Sqrt(phi)
}

func (c *plate) describeProfile(e *Element, a association, phi float64) {
	t := c.thicknessMM()
	bevel, bevelled := c.bevels(t)
	if len(c.inner) == 0 && (bevelled || c.rectangular()) {
		e.Kind = "plate" // a flat bar standing on end: its shortest side is the thickness
		if bevelled {
			c.notes = append(c.notes, fmt.Sprintf("ends are cut obliquely through the thickness, by %.1f and %.1f degrees", bevel[0], bevel[1]))
		}
		k := 1.96 * math.Sqrt(phi)
		c.addOrHide(e, 1, "thickness_mm", c.box.WidthMM, k*c.box.WidthSDMM)
		if t >= c.box.LengthMM {
			c.through(e, "length_mm", a)
			c.addOrHide(e, 0, "width_mm", c.box.LengthMM, k*c.box.LengthSDMM)
		} else {
			c.addOrHide(e, 0, "length_mm", c.box.LengthMM, k*c.box.LengthSDMM)
			c.through(e, "width_mm", a)
		}
		e.count("hole_count", 0)
		return
	}
	e.Kind = "profile"
	c.through(e, "length_mm", a)
}

// bevels are the angles from square of the ends of a flat bar that is cut
// obliquely through its thickness: seen along its width, t mm, its outline has two
// parallel long sides. ok is false for another outline, and for a piece longer
// than these.
func (c *plate) bevels(t float64) (deg [2]float64, ok bool) {
	o := c.outline.Steps
	if len(o) != 4 || slices.ContainsFunc(o, func(s fit.Step) bool { return s.Arc }) {
		return deg, false
	}
	var side [4][2]float64
	for i := range o {
		from := o[(i+3)%4].To
		side[i] = [2]float64{o[i].To[0] - from[0], o[i].To[1] - from[1]}
	}
	long := 0
	if hypot(side[1][0], side[1][1]) > hypot(side[0][0], side[0][1]) {
		long = 1
	}
	angle := func(a, b [2]float64) float64 {
		return math.Atan2(a[0]*b[1]-a[1]*b[0], a[0]*b[0]+a[1]*b[1]) * 180 / math.Pi
	}
	a, b := side[long], side[(long+2)%4]
	if math.Abs(180-math.Abs(angle(a, b))) > squareDeg || min(hypot(a[0], a[1]), hypot(b[0], b[1])) < t {
		return deg, false
	}
	for k := range deg {
		deg[k] = math.Abs(90 - math.Abs(angle(a, side[(long+1+2*k)%4])))
	}
	return deg, max(deg[0], deg[1]) > squareDeg
}

// rectangular tells whether the outline is its own smallest rectangle.
func (c *plate) rectangular() bool {
	return math.Abs(c.outline.Area()/(c.box.LengthMM*c.box.WidthMM)-1) < 0.02 && len(c.outline.Steps) <= 8
}

// place writes the frame of the contract, with outline and holes in it; phi widens
// intervals where residuals are correlated.
func (c *plate) place(e *Element, p *Patch, phi float64) {
	mid := (c.z[0] + c.z[1]) / 2
	d := positive(c.f.D)
	u0, v0 := c.box.CentreMM[0], c.box.CentreMM[1]
	sin, cos := math.Sincos(c.box.AngleRad)
	switch e.Kind {
	case "plate":
	case "profile":
		m := polygonCentroid(polyline(c.outline))
		u0, v0 = m[0], m[1]
	default:
		u0, v0 = c.outline.CentreMM[0], c.outline.CentreMM[1]
	}
	origin := c.f.at(u0, v0, mid)
	ref := c.f.dir(cos, sin, 0)
	if e.Kind != "plate" {
		x := leastParallel(d)
		ref = unit(r3.Sub(x, r3.Scale(r3.Dot(x, d), d)))
	}
	e.Frame = Frame{OriginMM: r3.Add(p.OriginMM, origin), Axis: d, Ref: ref}
	w := r3.Cross(d, ref)
	to := func(q [2]float64) [2]float64 {
		s := r3.Sub(c.f.at(q[0], q[1], mid), origin)
		return [2]float64{r3.Dot(s, ref), r3.Dot(s, w)}
	}
	flip := d != c.f.D
	e.Outline, e.OutlineU95MM = stepsIn(c.outline, to, flip), sidesU95(c.outline, phi, flip)
	if e.Kind == "profile" {
		half := r3.Scale(c.thicknessMM()/2, d)
		e.Ends = []End{{Kind: "square", AtMM: r3.Sub(e.Frame.OriginMM, half), Out: r3.Scale(-1, d)}, {Kind: "square", AtMM: r3.Add(e.Frame.OriginMM, half), Out: d}}
		for k, hidden := range c.unseen {
			if flip {
				k = 1 - k
			}
			if hidden {
				e.Ends[k].Kind = "hidden"
			}
		}
	}
	for _, h := range c.inner {
		e.Holes = append(e.Holes, holeIn(h, to, flip, c.f, ref, w))
	}
}

// stepsIn maps an outline; seen from the other side it runs the other way.
func stepsIn(o fit.Outline, to func([2]float64) [2]float64, flip bool) []Step {
	n := len(o.Steps)
	out := make([]Step, 0, n)
	for i := range o.Steps {
		s := o.Steps[i]
		end := s.To
		if flip {
			s = o.Steps[n-1-i]
			end = o.Steps[(2*n-2-i)%n].To
		}
		step := Step{To: to(end), Arc: s.Arc}
		if s.Arc {
			step.Via = to(s.Via)
		}
		out = append(out, step)
	}
	return out
}

// sidesU95 are the half-widths of the 95 % intervals of the outline's steps across,
// in the order of stepsIn.
func sidesU95(o fit.Outline, phi float64, flip bool) []float64 {
	out := make([]float64, len(o.Steps))
	for i := range out {
		k := i
		if flip {
			k = len(out) - 1 - i
		}
		if k < len(o.Fits) {
			out[i] = 1.96 * math.Sqrt(phi) * o.Fits[k].OffsetSD * o.SigmaMM
		}
	}
	return out
}

func holeIn(h fittedHole, to func([2]float64) [2]float64, flip bool, f frame, ref, w r3.Vec) Hole {
	out := Hole{Shape: h.hole.Shape, CentreMM: to(h.hole.CentreMM)}
	switch h.hole.Shape {
	case "round":
		out.DiameterMM = h.hole.DiameterMM
		out.DiameterU95MM, out.CentreU95MM = 2*1.96*h.radiusU, 1.96*h.centreU
	case "slot", "diamond", "rectangle":
		out.AcrossMM = [2]float64{h.hole.LongMM, h.hole.ShortMM}
		sin, cos := math.Sincos(h.hole.AngleRad)
		d := f.dir(cos, sin, 0)
		deg := math.Atan2(r3.Dot(d, w), r3.Dot(d, ref)) * 180 / math.Pi
		out.AngleDeg = math.Mod(deg+360, 180)
	default:
		out.Outline = stepsIn(h.outline, to, flip)
		if len(out.Outline) == 0 {
			for _, q := range h.line.p {
				out.Outline = append(out.Outline, Step{To: to(q)})
			}
		}
	}
	return out
}
