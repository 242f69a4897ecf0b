package primitive

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// arcEnds are the two ends of a piece swept about an axis: each a plane of its
// own, near square to the centreline. Frame k stands on the centreline where the
// plane cuts it, D along the centreline out of the piece, E1 away from the axis.
type arcEnds struct {
	f     [2]frame
	e     [2]endPlane
	trial [2]endPlane
	seen  [2]bool
	// square ends have no lean of their own.
	square [2]bool
	phi    [2]float64 // angle about the axis frame, rising from end 0 to end 1
	lead   float64    // advance of the centreline in mm a radian; 0: an arc
}

func (a *arcEnds) params() int {
	return a.width(0) + a.width(1)
}

// width is the number of parameters of end k.
func (a *arcEnds) width(k int) int {
	switch {
	case !a.seen[k]:
		return 0
	case a.square[k]:
		return 1
	}
	return 3
}

// at is the first parameter of end k after those of the sweep.
func (a *arcEnds) at(k, first int) int {
	if k == 1 {
		return first + a.width(0)
	}
	return first
}

func (a *arcEnds) prepare(x []float64, first int) {
	a.trial = a.e
	for k := range a.trial {
		if a.seen[k] {
			i := a.at(k, first)
			a.trial[k].z += x[i]
			if !a.square[k] {
				a.trial[k].tu += x[i+1]
				a.trial[k].tv += x[i+2]
			}
		}
	}
}

// residual is the signed distance from the plane of end k, outward positive.
func (a *arcEnds) residual(p r3.Vec, k int, grad []float64, first int) float64 {
	if !a.seen[k] {
		return math.Inf(1)
	}
	u, v, h := a.f[k].local(p)
	e := a.trial[k]
	l := math.Sqrt(1 + e.tu*e.tu + e.tv*e.tv)
	d := (h - e.height(u, v)) / l
	if grad == nil {
		return d
	}
	i := a.at(k, first)
	grad[i] = -1 / l
	if a.square[k] {
		return d
	}
	grad[i+1] = -u/l - d*e.tu/(l*l)
	grad[i+2] = -v/l - d*e.tv/(l*l)
	return d
}

func (a *arcEnds) normal(k int) r3.Vec {
	e := a.e[k]
	return unit(a.f[k].dir(-e.tu, -e.tv, 1))
}

// signed is the distance of p from end k as it stands, outward positive; the
// angle phi serves where the end was not seen.
func (a *arcEnds) signed(p r3.Vec, k int) float64 {
	u, v, h := a.f[k].local(p)
	e := a.e[k]
	return (h - e.height(u, v)) / math.Sqrt(1+e.tu*e.tu+e.tv*e.tv)
}

// centreline returns the point of a centreline of radius rc about f at angle
// phi, its derivative by phi, and the direction away from the axis.
func centreline(f *frame, rc, lead, phi float64) (at, tangent, out r3.Vec) {
	sin, cos := math.Sincos(phi)
	return centrelineAt(f, rc, lead, angle{phi, sin, cos})
}

// angle is an angle, rad, with its sine and cosine.
type angle struct{ phi, sin, cos float64 }

func centrelineAt(f *frame, rc, lead float64, a angle) (at, tangent, out r3.Vec) {
	return f.at(rc*a.cos, rc*a.sin, lead*a.phi), f.dir(-rc*a.sin, rc*a.cos, lead), f.dir(a.cos, a.sin, 0)
}

// stand places the frame of end k at angle phi on a centreline of radius rc
// about f.
func (a *arcEnds) stand(k int, f frame, rc float64) {
	at, along, out := centreline(&f, rc, a.lead, a.phi[k])
	along = unit(along)
	if k == 0 {
		along = r3.Scale(-1, along)
	}
	a.f[k] = frame{at, out, r3.Cross(along, out), along}
}

// accept moves the frames to where the planes cut the new centreline.
func (a *arcEnds) accept(f frame, rc float64) {
	phi := a.angles(f, rc)
	for k := range a.f {
		from, e := a.f[k], a.trial[k]
		a.phi[k] = phi[k]
		a.stand(k, f, rc)
		switch {
		case a.square[k]: // it turns with the centreline
			a.e[k] = endPlane{}
		case a.seen[k]:
			a.e[k] = e.moved(from, a.f[k])
		}
	}
	a.trial = a.e
}

// squareUp is that of squaring for ends whose first surface of sol is given.
func (a *arcEnds) squareUp(p *Patch, fit *association, sol solid, first int) bool {
	any := false
	for k := range a.e {
		if !a.seen[k] || a.square[k] {
			continue
		}
		at := endPoints(p, sol, fit, first+k, func(q r3.Vec) float64 { _, _, h := a.f[k].local(q); return h })
		if len(at.height.v) == 0 || !at.squarer() {
			continue
		}
		a.e[k], a.square[k], any = endPlane{z: at.middle()}, true, true
		sol.prepare(make([]float64, sol.params()))
	}
	return any
}

// angles are where the trial planes cut the centreline, by Newton's method on
// the angle from where they stood.
func (a *arcEnds) angles(f frame, rc float64) [2]float64 {
	phi := a.phi
	for k := range phi {
		if !a.seen[k] {
			continue
		}
		e := a.trial[k]
		for it := 0; it < 20; it++ {
			q, t, _ := centreline(&f, rc, a.lead, phi[k])
			u, v, h := a.f[k].local(q)
			slope := r3.Dot(t, a.f[k].D) - e.tu*r3.Dot(t, a.f[k].E1) - e.tv*r3.Dot(t, a.f[k].E2)
			if slope == 0 {
				break
			}
			step := (h - e.height(u, v)) / slope
			step = min(max(step, -0.2), 0.2)
			phi[k] -= step
			if math.Abs(step) < 1e-14 {
				break
			}
		}
	}
	return phi
}

// startEnds finds the gap in the angles of the patch about f and the end planes
// at its sides: facets that face along the sweep. ok is false for a full turn.
// Facets within reach mm of the centreline of radius rc count.
func startEnds(p *Patch, f frame, rc, reach float64) (a arcEnds, ok bool) {
	const sectors = 720
	var filled [sectors]bool
	var cap [2][]int
	var wall []float64 // angles of the facets along the sweep
	for i, q := range p.FacetC {
		u, v, _ := f.local(q)
		rho := hypot(u, v)
		if rho == 0 || math.Abs(rho-rc) > reach {
			continue
		}
		phi := math.Atan2(v, u)
		filled[min(int((phi+math.Pi)/(2*math.Pi)*sectors), sectors-1)] = true
		t := f.dir(-v/rho, u/rho, 0)
		switch along := r3.Dot(p.FacetN[i], t); {
		case along > 0.8:
			cap[1] = append(cap[1], i)
		case along < -0.8:
			cap[0] = append(cap[0], i)
		default:
			wall = append(wall, phi)
		}
	}
	from, n := longestGap(filled[:])
	least := 4 + int(math.Ceil(2*p.spacing()/rc/(2*math.Pi)*sectors))
	if n < least {
		return a, false
	}
	step := 2 * math.Pi / sectors
	a.phi[1] = -math.Pi + step*float64(from)
	a.phi[0] = -math.Pi + step*float64(from+n) - 2*math.Pi
	a.narrow(wall)
	a.find(p, f, rc, reach, cap)
	return a, true
}

// narrow moves the ends, known to a sector, to where the wall ends: of an arc of
// large radius a sector is many facets long. One facet in 500 may be astray.
func (a *arcEnds) narrow(wall []float64) {
	if len(wall) < 100 {
		return
	}
	mid := (a.phi[0] + a.phi[1]) / 2
	for i := range wall {
		wall[i] = math.Remainder(wall[i]-mid, 2*math.Pi)
	}
	a.phi[0] = max(a.phi[0], mid+quantile(wall, 0.002))
	a.phi[1] = min(a.phi[1], mid+quantile(wall, 0.998))
}

// find stands the ends at their angles and looks for their planes among the cap
// facets near by.
func (a *arcEnds) find(p *Patch, f frame, rc, reach float64, cap [2][]int) {
	for k := range cap {
		a.stand(k, f, rc)
		var w weighted
		for _, i := range cap[k] {
			_, _, h := a.f[k].local(p.FacetC[i])
			if math.Abs(h) > max(4*p.spacing(), 0.1*reach) || norm(r3.Sub(p.FacetC[i], a.f[k].C)) > 1.5*reach {
				continue
			}
			w.add(h, p.FacetMM2[i])
		}
		if len(w.v) >= 3 {
			a.seen[k] = true
			a.e[k].z = w.median()
		}
	}
	a.trial = a.e
}

// spacing is about the distance between neighbouring vertices of the patch,
// thinned or not.
func (p *Patch) spacing() float64 {
	return max(p.EdgeMM, math.Sqrt(p.TotalMM2/float64(max(len(p.P), 1))))
}

// longestGap returns the start and length of the longest cyclic run of false.
func longestGap(filled []bool) (from, n int) {
	m := len(filled)
	run := 0
	for i := 0; i < 2*m; i++ {
		if filled[i%m] {
			run = 0
			continue
		}
		if run++; run > n && run <= m {
			n, from = run, i-run+1
		}
	}
	return from % m, n
}

// gradient is the derivative of value, which reads the trial state, by the
// parameters of sol at its current state: central differences of 1e-6.
func gradient(sol solid, value func() float64) []float64 {
	n := sol.params()
	g, x := make([]float64, n), make([]float64, n)
	const h = 1e-6
	for i := range x {
		x[i] = h
		sol.prepare(x)
		up := value()
		x[i] = -h
		sol.prepare(x)
		g[i] = (up - value()) / (2 * h)
		x[i] = 0
	}
	sol.prepare(x)
	return g
}
