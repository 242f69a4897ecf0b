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
		return slices.ContainsFunc(o.Chain, func(q [2]float64) bool { return hypot(q[0]-t.centre[0], q[1]-t.centre[1]) > t.root })
	})
	w := &toothedWheel{teeth: t, inner: inner}
	w.slab = *c
	w.finish(p, inner, outer)
	return w, true
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
	phi := math.Sqrt(max(a.Surface[0].Inflation, a.Surface[1].Inflation, 1)) // of the faces: seats and gaps have too few rows to tell
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
	e.Notes = append(e.Notes, slices.Compact(pl.notes)...)
}
