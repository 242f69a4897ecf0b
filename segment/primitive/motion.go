package primitive

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/segment/fit"
)

// motion is a helical motion under which a surface slides in itself: turning
// about the frame's axis and, a turn, advancing by PitchMM along it.
type motion struct {
	f       frame
	pitchMM float64
	located bool // f.C lies on the axis; otherwise only the direction is known
}

// slidingMotions finds motions under which the patch slides in itself: surfaces
// of revolution have one without pitch, coils one with. The normals of such a
// surface lie in a linear complex, n·(c̄ + c×p) = 0 (Pottmann and Randrup,
// Computing 60 (1998) 307–322). Least squares on that equation draws the axis
// into the patch, where the motion is slow; so it only starts the search, and
// what is minimised is the sine of the angle between motion and surface, by
// which end caps count little too. A search that comes to where another has ended
// ends too.
func slidingMotions(p *Patch, directions []r3.Vec) []motion {
	var out []motion
	var ended [2][]motion // without pitch, and from there with one
	for _, d := range directions {
		f := newFrame(r3.Vec{}, d)
		c, ok := turningCentre(p, f)
		f.C = c
		m := motion{f: f, located: true}
		for k := 0; k < len(ended) && ok; k++ {
			if m, ok = m.slide(p, k == 1, ended[k]); !ok {
				break
			}
			ended[k] = append(ended[k], m)
			if !listed(out, m, p.SizeMM) {
				out = append(out, m)
			}
		}
	}
	return out
}

// listed tells whether the motion is already in the list, within half a degree,
// a hundredth of the patch, and a tenth of the pitch.
func listed(list []motion, m motion, sizeMM float64) bool {
	for _, o := range list {
		rho, _ := o.f.radial(m.f.C)
		if math.Abs(r3.Dot(o.f.D, m.f.D)) > 0.99996 && rho < 0.01*sizeMM && math.Abs(o.pitchMM-m.pitchMM) <= 0.1*math.Abs(m.pitchMM) {
			return true
		}
	}
	return false
}

// turningCentre is the axis along f.D about which the patch turns in itself
// best: (n×d)·(p−c) = 0, linear in c, by least absolute distance.
func turningCentre(p *Patch, f frame) (r3.Vec, bool) {
	type row struct{ a, b, k, w float64 } // (n×d) in the frame is (nv, -nu)
	rows := make([]row, 0, min(len(p.FacetN), startFacets))
	for i := 0; i < len(p.FacetN); i += p.startStep() {
		n := p.FacetN[i]
		a, b := r3.Dot(n, f.E2), -r3.Dot(n, f.E1)
		x, y, _ := f.local(p.FacetC[i])
		rows = append(rows, row{a, b, a*x + b*y, p.FacetMM2[i]})
	}
	var u, v float64
	for it := range 20 {
		var m [5]float64
		for _, r := range rows {
			w := r.w
			if it > 0 {
				w /= 0.005*p.SizeMM + math.Abs(r.k-r.a*u-r.b*v)
			}
			m[0] += w * r.a * r.a
			m[1] += w * r.a * r.b
			m[2] += w * r.b * r.b
			m[3] += w * r.a * r.k
			m[4] += w * r.b * r.k
		}
		det := m[0]*m[2] - m[1]*m[1]
		if !(det > 1e-9*(m[0]+m[2])*(m[0]+m[2])) {
			return r3.Vec{}, false
		}
		nu, nv := (m[2]*m[3]-m[1]*m[4])/det, (m[0]*m[4]-m[1]*m[3])/det
		step := math.Abs(nu-u) + math.Abs(nv-v)
		if u, v = nu, nv; step < startShare*p.SizeMM {
			break
		}
	}
	return f.at(u, v, 0), true
}

// slide minimises the sine between motion and surface over the axis and, if
// pitched, the pitch, from m: Levenberg and Marquardt's method, reweighted
// towards the least absolute sine. ok is false where the points do not say, or where it
// comes to one that is known.
func (m motion) slide(p *Patch, pitched bool, known []motion) (_ motion, ok bool) {
	var at []int
	for i := 0; i < len(p.FacetN); i += p.startStep() {
		if p.FacetMM2[i] > 0 {
			at = append(at, i)
		}
	}
	n := axialParams
	if pitched {
		n++
	}
	w := make([]float64, len(at))
	for round := 0; round < 8; round++ {
		s := slip{start: m.f, lead: m.pitchMM / (2 * math.Pi)}
		s.prepare(make([]float64, n))
		for j, i := range at {
			w[j] = p.FacetMM2[i] / (0.03 + math.Abs(s.sine(p.FacetC[i], p.FacetN[i], nil)))
		}
		sol, err := fit.Solve(fit.Problem{N: len(at), P: n, Weight: w, Prepare: s.prepare, Coarse: true,
			Residual: func(_ []float64, j int, grad []float64) float64 {
				return s.sine(p.FacetC[at[j]], p.FacetN[at[j]], grad)
			}}, make([]float64, n))
		if err != nil {
			return m, false
		}
		s.prepare(sol.X)
		last := m.f
		m.f, m.pitchMM = s.ax.frame(), 2*math.Pi*s.k
		if listed(known, m, p.SizeMM) {
			return m, false
		}
		if rho, _ := m.f.radial(last.C); r3.Dot(last.D, m.f.D) > 1-1e-9 && rho < 1e-4*p.SizeMM {
			break
		}
	}
	if rho, _ := m.f.radial(r3.Vec{}); rho > 20*p.SizeMM {
		return m, false
	}
	return m, true
}

// slip is a trial motion; k is the advance in mm a radian.
type slip struct {
	start   frame
	lead, k float64
	ax      axial
	pitched bool
}

func (s *slip) prepare(x []float64) {
	s.ax.set(s.start, x)
	s.k, s.pitched = s.lead, len(x) > axialParams
	if s.pitched {
		s.k += x[axialParams]
	}
}

// sine is that of the angle between the motion at p and the surface of normal n
// there, with its derivatives unless grad is nil.
func (s *slip) sine(p, n r3.Vec, grad []float64) float64 {
	q := r3.Sub(p, s.ax.c)
	v := r3.Add(r3.Cross(s.ax.d, q), r3.Scale(s.k, s.ax.d))
	l := norm(v)
	if l == 0 {
		clear(grad)
		return 0
	}
	sin := r3.Dot(n, v) / l
	if grad == nil {
		return sin
	}
	along := r3.Scale(1/l, r3.Sub(n, r3.Scale(sin/l, v)))    // ∂sin = along·∂v
	turn := r3.Add(r3.Cross(q, along), r3.Scale(s.k, along)) // along·(e×q + k e) = e·turn
	across := r3.Cross(along, s.ax.d)                        // along·(d×e) = e·across
	grad[0], grad[1] = -r3.Dot(across, s.start.E1), -r3.Dot(across, s.start.E2)
	grad[2], grad[3] = r3.Dot(turn, s.ax.d2), r3.Dot(turn, s.ax.d3)
	if s.pitched {
		grad[4] = r3.Dot(along, s.ax.d)
	}
	return sin
}

// middle is the centre of the patch's box across the frame's axis.
func (p *Patch) middle(f frame) r3.Vec {
	lo, hi := [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
	for _, q := range p.P {
		u, v, _ := f.local(q)
		lo = [2]float64{min(lo[0], u), min(lo[1], v)}
		hi = [2]float64{max(hi[0], u), max(hi[1], v)}
	}
	return f.at((lo[0]+hi[0])/2, (lo[1]+hi[1])/2, 0)
}
