package fit

import (
	"fmt"
	"math"
)

// finish relates lines, fits all steps together and builds the outline.
func (f *outlineFitter) finish(opt OutlineOptions) (Outline, error) {
	f.untangle()
	for round := 0; ; round++ {
		if len(f.Segs) == 1 && !f.Segs[0].Arc {
			return Outline{}, ErrOutlineFlat
		}
		f.freeFillets()
		group := f.relate(opt.Relate)
		m, pts := f.adjust(group)
		l := f.newLayout()
		steps := l.steps(m.curves(make([]float64, m.N)))
		if k := f.inverted(steps, l); k >= 0 && round < 4 && len(f.Segs) > 2 {
			f.remove(k)
			continue
		}
		o := Outline{Steps: steps, model: m, layout: l, shift: f.L.Shift, Circle: l.Circle}
		f.describe(&o, group, pts, opt)
		return o, nil
	}
}

// untangle removes steps whose corners lie in the wrong order along them.
func (f *outlineFitter) untangle() {
	for range 50 {
		if len(f.Segs) < 3 {
			return
		}
		f.freeFillets()
		l := f.newLayout()
		c := make([]outlineCurve, len(f.Segs))
		for k, s := range f.Segs {
			c[k] = s.C
		}
		k := f.inverted(l.steps(c), l)
		if k < 0 {
			return
		}
		f.remove(k)
	}
}

// freeFillets makes plain arcs of fillets that no longer lie between two lines.
func (f *outlineFitter) freeFillets() {
	for k := range f.Segs {
		if s := &f.Segs[k]; s.Fillet && (f.Segs[f.prev(k)].Arc || f.Segs[f.next(k)].Arc) {
			s.Fillet = false
		}
	}
}

// adjustRounds are enough for weights to settle to a thousandth.
const adjustRounds = 4

// adjust fits all steps, those that share parameters together. The weights of
// the points are settled in a few rounds. A set of steps that the points do not
// determine stays as it is, without a covariance.
func (f *outlineFitter) adjust(group []int) (*outlineModel, [][]outlinePoint) {
	var m *outlineModel
	pts := make([][]outlinePoint, len(f.Segs))
	for round := range adjustRounds {
		m = newOutlineModel(f.Segs, group)
		x := make([]float64, m.N)
		for k, s := range f.Segs {
			pts[k] = f.weighted(k, s)
		}
		for _, part := range m.parts() {
			before := append([]float64(nil), x...)
			if err := m.solve(part, pts, x, round < adjustRounds-1); err != nil {
				copy(x, before)
			}
		}
		curves := m.curves(x)
		for k := range f.Segs {
			if c := curves[k]; outlineFinite(c.Q[0]) && outlineFinite(c.Q[1]) && (c.K != 0) == f.Segs[k].Arc {
				f.Segs[k].C = c
			}
		}
	}
	m.Segs = append([]outlineSeg(nil), f.Segs...)
	for k, s := range m.Segs {
		if s.Fillet {
			a, b := m.around(k)
			m.Balls[k], _ = outlineTouching(m.Segs[a].C, m.Segs[b].C)
		}
	}
	return m, pts
}

// weighted returns the points of step k with robust weights at its curve.
func (f *outlineFitter) weighted(k int, s outlineSeg) []outlinePoint {
	var ma, mb *outlineMeeting
	if !s.Fillet {
		ma, mb = f.meetings(k)
	}
	var pts []outlinePoint
	side := f.sideOf(k)
	if !f.SideOnly || len(side) < 8 {
		pts = f.gather(s.Lo, s.Hi, s.C, ma, mb)
		if len(pts) < 2 {
			pts = f.gather(s.Lo, s.Hi, s.C, nil, nil)
		}
	}
	pts = append(pts, side...)
	for i := range pts {
		d := s.C.Dist(pts[i].P)
		pts[i].W *= outlineTukey(d * d / pts[i].Var)
	}
	return pts
}

// inverted returns a step whose corners lie in the wrong order along it, or off
// it so far that the arc through them is another one, or -1.
func (f *outlineFitter) inverted(steps []Step, l *outlineLayout) int {
	if l.Circle {
		return -1
	}
	from := steps[len(steps)-1].To
	for i, s := range steps {
		if k := l.Steps[i]; k >= 0 {
			c := f.Segs[k].C
			length := f.L.path(f.Segs[k].Lo, f.Segs[k].Hi)
			if c.K == 0 {
				u := c.u()
				if (s.To[0]-from[0])*u[0]+(s.To[1]-from[1])*u[1] <= 0 {
					return k
				}
			} else if sweep := outlineSweep(c, from, s.To); sweep/c.K > 2*length+math.Pi/math.Abs(c.K) || !s.sweeps(from, sweep) {
				return k
			}
		}
		from = s.To
	}
	return -1
}

// sweeps tells whether the arc from a through s.Via turns by about the angle
// given: a short arc whose ends lie off its circle does not, and the circle
// through them may be of any size.
func (s Step) sweeps(a [2]float64, rad float64) bool {
	x, y := s.Via[0]-a[0], s.Via[1]-a[1]
	u, v := s.To[0]-s.Via[0], s.To[1]-s.Via[1]
	return math.Abs(2*math.Atan2(x*v-y*u, x*u+y*v)-rad) < max(0.5, math.Abs(rad)/2)
}

// remove gives the points of step k to its neighbours.
func (f *outlineFitter) remove(k int) {
	p, n := f.prev(k), f.next(k)
	s := f.Segs[k]
	mid := (s.Lo + s.Hi) / 2
	f.Segs[p].Hi += mid - s.Lo
	f.Segs[n].Lo -= s.Hi - mid
	f.Segs[p].Fillet, f.Segs[n].Fillet = false, false
	f.normalise(n)
	f.Segs = append(f.Segs[:k], f.Segs[k+1:]...)
	if k < len(f.BySeg) {
		f.BySeg = append(f.BySeg[:k], f.BySeg[k+1:]...)
	}
	f.settle(3)
}

// describe fills the numbers of the outline and moves it back to its place.
func (f *outlineFitter) describe(o *Outline, group []int, pts [][]outlinePoint, opt OutlineOptions) {
	o.Fits = make([]StepFit, len(o.Steps))
	fits := f.stepFits(o, group, pts, opt)
	for i, k := range o.layout.Steps {
		o.Fits[i].Group = -1
		if k >= 0 {
			o.Fits[i] = fits[k]
		}
	}
	if o.Circle {
		c := f.Segs[0].C
		o.CentreMM, o.RadiusMM = c.Centre(), 1/math.Abs(c.K)
		o.CentreMM[0] += f.L.Shift[0]
		o.CentreMM[1] += f.L.Shift[1]
	}
	o.Steps = outlineMoved(o.Steps, f.L.Shift)
	o.MaxFormMM = f.maxForm()
}

func outlineMoved(steps []Step, by [2]float64) []Step {
	for i := range steps {
		s := &steps[i]
		s.To[0], s.To[1] = s.To[0]+by[0], s.To[1]+by[1]
		if s.Arc {
			s.Via[0], s.Via[1] = s.Via[0]+by[0], s.Via[1]+by[1]
		}
	}
	return steps
}

// stepFits fills the sums over all points and returns what is known of each step.
func (f *outlineFitter) stepFits(o *Outline, group []int, pts [][]outlinePoint, opt OutlineOptions) []StepFit {
	fits := make([]StepFit, len(f.Segs))
	var ssq, dof, chi float64
	lo, hi := 0.0, 0.0
	for k, s := range f.Segs {
		sum := 0.0
		for _, p := range pts[k] {
			if p.W <= 0 || p.Var > 1.5*f.L.Sigma*f.L.Sigma {
				o.LeftOut++
				continue
			}
			d := s.C.Dist(p.P)
			sum += d * d
			lo, hi = math.Min(lo, d), math.Max(hi, d)
			fits[k].N++
			o.Points++
		}
		ssq += sum
		chi += float64(fits[k].N)
		fits[k].RMSMM = math.Sqrt(sum / math.Max(1, float64(fits[k].N)))
		fits[k].Tangent, fits[k].Group = s.Fillet, -1
		if s.Arc {
			fits[k].RadiusMM = 1 / math.Abs(s.C.K)
			c := s.C.Centre()
			fits[k].Centre = [2]float64{c[0] + f.L.Shift[0], c[1] + f.L.Shift[1]}
		}
	}
	outlineGroups(fits, group)
	dof = chi - float64(o.model.N)
	o.RMSMM = math.Sqrt(ssq / math.Max(1, chi))
	o.PeakToValleyMM = hi - lo
	o.SigmaMM = opt.NoiseMM
	if dof > 0 {
		// Residuals take over where chance does not explain them: 3 sigma of chi².
		if s := math.Sqrt(ssq / dof); s > opt.NoiseMM*math.Sqrt(1+3*math.Sqrt(2/dof)) {
			o.SigmaMM = s
		}
	}
	f.uncertainty(o.model, fits, f.waves(pts, math.Max(o.SigmaMM, o.RMSMM)))
	return fits
}

func outlineGroups(fits []StepFit, group []int) {
	many := map[int]bool{}
	for k, g := range group {
		if g != k {
			many[g] = true
		}
	}
	for k, g := range group {
		if many[g] {
			fits[k].Group = g
		}
	}
}

// uncertainty takes the standard deviations of every step from the blocks. The
// covariance is per variance of the solver's weights, which are 1/Sigma²; waves
// is by how much it is to be multiplied.
func (f *outlineFitter) uncertainty(m *outlineModel, fits []StepFit, waves float64) {
	for b := range m.Cov {
		block := &m.Cov[b]
		for i := range block.M {
			block.M[i] *= waves / (f.L.Sigma * f.L.Sigma)
		}
		place := map[int]int{}
		for i, p := range block.Par {
			place[p] = i
		}
		n := len(block.Par)
		sd := func(p int) float64 { return math.Sqrt(math.Max(0, block.M[place[p]*n+place[p]])) }
		for k, s := range f.Segs {
			par := m.Par[k]
			if _, ok := place[par[0]]; !ok {
				continue
			}
			fits[k].OffsetSD = sd(par[0])
			switch {
			case s.Fillet:
				fits[k].RadiusSD = sd(par[0]) * math.Abs(m.Balls[k].R1)
			case s.Arc:
				fits[k].RadiusSD = sd(par[2]) / (s.C.K * s.C.K)
			default:
				fits[k].TurnSD = sd(par[1])
			}
		}
	}
}

// maxForm is the largest absolute median of seven neighbouring deviations.
func (f *outlineFitter) maxForm() float64 {
	worst := 0.0
	for k, s := range f.Segs {
		var ma, mb *outlineMeeting
		if !s.Fillet {
			ma, mb = f.meetings(k)
		}
		var d []float64
		for _, p := range f.gather(s.Lo, s.Hi, s.C, ma, mb) {
			if p.Var <= 1.5*f.L.Sigma*f.L.Sigma {
				d = append(d, s.C.Dist(p.P))
			}
		}
		w := min(7, len(d))
		for i := 0; w > 0 && i+w <= len(d); i++ {
			worst = math.Max(worst, math.Abs(outlineMedian(append([]float64(nil), d[i:i+w]...))))
		}
	}
	return worst
}

// check refuses an outline that is not one simple counter-clockwise loop.
func (o Outline) check() error {
	for _, s := range o.Steps {
		if !outlineFinite(s.To[0]) || !outlineFinite(s.To[1]) || s.Arc && !(outlineFinite(s.Via[0]) && outlineFinite(s.Via[1])) {
			return fmt.Errorf("%w: a corner is not finite", ErrDiverged)
		}
	}
	if !(o.Area() > 0) {
		return ErrOutlineFlat
	}
	if i, k, ok := o.crossing(); ok {
		return fmt.Errorf("%w: steps %d and %d", ErrOutlineCrossing, i, k)
	}
	return nil
}
