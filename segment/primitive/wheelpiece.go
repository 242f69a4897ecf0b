package primitive

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// toothedWheel is a slab with teeth round its rim, perhaps a bore, bolt holes
// and openings between spokes.
type toothedWheel struct {
	extrusion
	teeth teeth
	bore  *opening
	inner []wallLoop
}

// newWheel looks for teeth round the outer contour.
func newWheel(p *Patch, c *slab, a association, outer wallLoop, inner []wallLoop) (*toothedWheel, bool) {
	if p.OpenEdges > 0 && outer.Jump == nil {
		outer.Jump = longSteps(outer.Chain, p.EdgeMM)
	}
	t, ok := findTeeth(&outer, max(p.NoiseMM, a.RMSMM), p.EdgeMM, a.MarginMM)
	if !ok || len(t.profile) < 4 {
		return nil, false
	}
	inner = slices.DeleteFunc(inner, func(o wallLoop) bool { // a gap between teeth that weld bridges is no hole
		return slices.ContainsFunc(o.Chain, func(q [2]float64) bool { return hypot(q[0]-t.centre[0], q[1]-t.centre[1]) > t.root }) || c.floored(p, o)
	})
	w := &toothedWheel{teeth: t, inner: inner}
	w.slab = *c
	w.finish(p, inner, outer)
	w.step(p)
	return w, true
}

// floored tells the wall of a step, as round a recess, from that of a hole: faces
// lie within it over a fifth of what it encloses, on either side.
func (c *slab) floored(p *Patch, o wallLoop) bool {
	lo, hi := [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
	for _, q := range o.Chain {
		for k := range q {
			lo[k], hi[k] = min(lo[k], q[k]), max(hi[k], q[k])
		}
	}
	floor := 0.0
	for i, n := range p.FacetN {
		if math.Abs(r3.Dot(n, c.f.D)) < 0.9 {
			continue
		}
		u, v, _ := c.f.local(p.FacetC[i])
		if u > lo[0] && u < hi[0] && v > lo[1] && v < hi[1] && insideChain([2]float64{u, v}, o.Chain) {
			floor += p.FacetMM2[i]
		}
	}
	return floor > 0.2*2*o.AreaMM2
}

// step measures the faces where they are stepped, and takes the rim's for those
// of the slab. An open scan tells too little of both faces.
func (w *toothedWheel) step(p *Patch) {
	if p.OpenEdges > 0 || w.standing() {
		return
	}
	from := 0.0
	if w.bore != nil {
		from = w.bore.r
	}
	lands := landsOf(p, w.f, w.teeth.centre, from, w.teeth.tip, w.thicknessMM())
	if len(lands) < 2 {
		return
	}
	rim := lands[len(lands)-1]
	w.z = [2]float64{-rim.BackMM, rim.FrontMM}
	w.steps = newSteps(w.teeth.centre, lands, p.EdgeMM)
}

// wall is the signed distance of p from the side walls or from the faces within
// the rim, whichever is nearer, and the normal there.
func (w *toothedWheel) wall(p r3.Vec) (float64, r3.Vec) {
	d, n := w.extrusion.wall(p)
	if w.steps == nil {
		return d, n
	}
	u, v, h := w.f.local(p)
	r := w.steps.radius(u, v)
	s := w.steps.section
	const e = 1e-4
	at := s.distance(r, h)
	if math.Abs(at) >= math.Abs(d) || r == 0 {
		return d, n
	}
	out, up := s.distance(r+e, h)-at, s.distance(r, h+e)-at
	x, y := (u-w.steps.at[0])/r, (v-w.steps.at[1])/r
	n = w.f.dir(out*x, out*y, up)
	if l := norm(n); l > 0 {
		n = r3.Scale(1/l, n)
	}
	return at, n
}

// areaMM2 has the walls of steps, and a bore as long as the hub.
func (w *toothedWheel) areaMM2() float64 {
	area := w.extrusion.areaMM2()
	if w.steps == nil {
		return area
	}
	l := w.steps.lands
	for i := 1; i < len(l); i++ {
		area += 2 * math.Pi * l[i].FromMM * (math.Abs(l[i].FrontMM-l[i-1].FrontMM) + math.Abs(l[i].BackMM-l[i-1].BackMM))
	}
	return area + 2*math.Pi*l[0].FromMM*(l[0].FrontMM+l[0].BackMM-w.thicknessMM())
}

// stepped puts the lands in the element's frame.
func (w *toothedWheel) stepped(e *Element) {
	if w.steps == nil {
		return
	}
	mid := (w.z[0] + w.z[1]) / 2
	for _, l := range w.steps.lands {
		l.FrontMM, l.BackMM = l.FrontMM-mid, l.BackMM+mid
		if e.Frame.Axis != w.f.D {
			l.FrontMM, l.BackMM = l.BackMM, l.FrontMM
		}
		e.Lands = append(e.Lands, l)
	}
}

// longSteps marks the steps of a chain that no wall can have made, where a piece
// in front hides the rim: over the six facets at which a chain still closes, and a
// fiftieth of the rim, the pitch of a wheel of fifty teeth. nil where there is none.
func longSteps(chain [][2]float64, edgeMM float64) []bool {
	jump, any := make([]bool, len(chain)), false
	for i, a := range chain {
		b := chain[(i+1)%len(chain)]
		if hypot(b[0]-a[0], b[1]-a[1]) > max(6*edgeMM, 0.02*chainLength(chain)) {
			jump[i], any = true, true
		}
	}
	if !any {
		return nil
	}
	return jump
}

// finish finds the bore among the inner walls and makes the signed distance of
// the whole contour.
func (w *toothedWheel) finish(p *Patch, inner []wallLoop, outer wallLoop) {
	whole := w.teeth.whole()
	w.netMM2, w.perimeterMM = outer.AreaMM2, chainLength(outer.Chain)
	if outer.Jump != nil { // the scan's own rim is broken
		w.netMM2, w.perimeterMM = polygonAreaMM2(whole.p), chainLength(whole.p)
	}
	var all []*opening
	for _, in := range inner {
		o := openingOf(p, in)
		all = append(all, &o)
		w.netMM2 -= o.areaMM2
		w.perimeterMM += o.lengthMM
		if o.chain == nil && w.central(o.u, o.v, p) {
			w.bore = &o
		}
	}
	w.contour = faceContour{outer: whole, inner: all}
	w.bounds = w.contour.distance
}

// central tells a place on the wheel's axis.
func (w *toothedWheel) central(u, v float64, p *Patch) bool {
	t := &w.teeth
	return hypot(u-t.centre[0], v-t.centre[1]) < max(0.02*t.tip, 5*p.NoiseMM)
}

func (w *toothedWheel) describe(e *Element, a association, p *Patch) {
	t := &w.teeth
	e.Kind = "toothed_wheel"
	e.count("tooth_count", t.n)
	phi := math.Sqrt(max(a.surface(0).Inflation, a.surface(1).Inflation, 1)) // of the faces: seats and gaps have too few rows to tell
	e.add("tip_diameter_mm", 2*t.tip, 2*t.tipU)
	e.add("root_diameter_mm", 2*t.root, 2*phi*t.rootU)
	if w.bore != nil {
		e.add("bore_diameter_mm", 2*w.bore.r, 2*w.bore.rU)
	}
	w.through(e, "thickness_mm", a)
	t.describe(e, phi)
	sin, cos := math.Sincos(t.phase)
	d := positive(w.f.D)
	mid := (w.z[0] + w.z[1]) / 2
	e.Frame = Frame{OriginMM: r3.Add(p.OriginMM, w.f.at(t.centre[0], t.centre[1], mid)), Axis: d, Ref: w.f.dir(cos, sin, 0)}
	w.place(e, a, p)
	w.stepped(e)
	e.Form = noForm
	e.Form.FlatnessMM = w.flatnessMM(p, a)
}

// describe gives tooth width, pitch errors, seats and form; phi widens intervals
// where residuals are correlated.
func (t *teeth) describe(e *Element, phi float64) {
	if t.widthMM > 0 {
		e.add("tooth_width_mm", t.widthMM, phi*t.widthU)
		e.add("pitch_error_single_mm", t.pitchSingle, phi*t.singleU)
		e.add("pitch_error_total_mm", t.pitchTotal, phi*t.totalU)
	}
	if t.form == "round-seated" {
		half := math.Sin(math.Pi / float64(t.n))
		e.add("seat_pitch_mm", 2*(t.root+t.seatMM)*half, 2*phi*t.seatAtU*half)
		e.add("seat_diameter_mm", 2*t.seatMM, 2*phi*t.seatU)
	}
	e.Words = append(e.Words, Word{"tooth_form", t.form})
}

// place writes holes and damaged teeth in the element's frame: seen from the
// other side, holes mirror and teeth count the other way.
func (w *toothedWheel) place(e *Element, a association, p *Patch) {
	t := &w.teeth
	flip := e.Frame.Axis != w.f.D
	for _, x := range t.worn {
		if flip {
			x.Number = (t.n - x.Number) % t.n
			if x.What == "bent" {
				x.ByMM = -x.ByMM
			}
		}
		e.Worn = append(e.Worn, x)
	}
	slices.SortFunc(e.Worn, func(a, b WornTooth) int { return a.Number - b.Number })
	ref, across := e.Frame.Ref, r3.Cross(e.Frame.Axis, e.Frame.Ref)
	to := func(q [2]float64) [2]float64 {
		s := w.f.dir(q[0]-t.centre[0], q[1]-t.centre[1], 0)
		return [2]float64{r3.Dot(s, ref), r3.Dot(s, across)}
	}
	pl := &plate{}
	pl.slab = w.slab
	pl.fitHoles(p.whole(), w.inner, a)
	for _, h := range pl.inner {
		if h.hole.Shape != "round" || w.bore == nil || !w.central(h.hole.CentreMM[0], h.hole.CentreMM[1], p) {
			e.Holes = append(e.Holes, holeIn(h, to, flip, w.f, ref, across))
		}
	}
	if w.steps == nil { // a hole in another land only looks as if it widened
		e.Notes = append(e.Notes, slices.Compact(pl.notes)...)
	}
}
