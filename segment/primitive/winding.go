package primitive

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/segment/fit"
)

// winding is a centreline that winds about an axis, its radius and its height
// linear in the angle: a helix (no growth), a spiral of Archimedes in a plane (no
// lead), or a helix on a cone. At angle φ about f the radius is rc + growth φ mm,
// the height lead φ mm.
type winding struct {
	f                frame
	rc, growth, lead float64
	from, to         float64 // angles of the path's ends, from < to
	offMM            float64 // of the nodes, the root of the mean square
	score            float64 // of the nodes, as tubePath.score has it
}

// windingParams are those of the axis, height, radius, growth and lead.
const windingParams = axialParams + 4

// leastWinding is the angle from which a piece is said to wind: a turn and a
// tenth, so that each part of it has a part of another turn beside it.
const leastWinding = 2.2 * math.Pi

// windingOf is the winding nearest to the path's nodes by least squares of their
// distances from it, in radius and, square to the centreline, in height. ok is
// false where the path goes round for less than leastWinding.
func windingOf(w tubePath) (wound winding, ok bool) {
	s := winding{f: windingStart(w)}
	phi := make([]float64, len(w.node))
	s.start(w, phi)
	ssq := 0.0
	for range 6 {
		pr := s.problem(w, phi)
		x, err := fit.Solve(pr, make([]float64, windingParams))
		if err != nil {
			return s, false
		}
		s.move(x.X)
		ssq = x.SSQ
	}
	s.angles(w, phi)
	s.from, s.to = min(phi[0], phi[len(phi)-1]), max(phi[0], phi[len(phi)-1])
	s.offMM, s.score = math.Sqrt(ssq/float64(len(phi))), w.score(ssq, windingParams)
	return s, s.turning() > leastWinding && s.radius(s.from) > 0 && s.radius(s.to) > 0
}

func (s *winding) turning() float64 { return s.to - s.from }

func (s *winding) radius(phi float64) float64 { return s.rc + s.growth*phi }

// windingStart is an axis for the path: the direction across which the way
// changes most, through the point that the planes across the way come nearest to.
func windingStart(w tubePath) frame {
	var m [6]float64
	var mean r3.Vec
	n := len(w.node) - 1
	way := make([]r3.Vec, n)
	for i := range way {
		way[i] = r3.Sub(w.node[i+1].c, w.node[i].c)
		mean = r3.Add(mean, r3.Scale(1/float64(n), way[i]))
	}
	for _, d := range way {
		addOuter(&m, r3.Sub(d, mean), 1)
	}
	f := newFrame(w.node[0].c, eigen(m)[0])
	var a [5]float64
	for i, d := range way {
		tu, tv := r3.Dot(d, f.E1), r3.Dot(d, f.E2)
		u, v, _ := f.local(r3.Scale(0.5, r3.Add(w.node[i].c, w.node[i+1].c)))
		k := u*tu + v*tv
		a[0], a[1], a[2] = a[0]+tu*tu, a[1]+tu*tv, a[2]+tv*tv
		a[3], a[4] = a[3]+tu*k, a[4]+tv*k
	}
	if det := a[0]*a[2] - a[1]*a[1]; det > 0 {
		f.C = f.at((a[2]*a[3]-a[1]*a[4])/det, (a[0]*a[4]-a[1]*a[3])/det, 0)
	}
	return f
}

// angles are those of the nodes about the axis, each on from the one before.
func (s *winding) angles(w tubePath, phi []float64) {
	last := 0.0
	for i, q := range w.node {
		u, v, _ := s.f.local(q.c)
		last += math.Remainder(math.Atan2(v, u)-last, 2*math.Pi)
		phi[i] = last
	}
}

// start finds radius and height about the axis by two lines over the angle.
func (s *winding) start(w tubePath, phi []float64) {
	s.angles(w, phi)
	rho, height := make([]float64, len(phi)), make([]float64, len(phi))
	for i, q := range w.node {
		rho[i], height[i] = s.f.radial(q.c)
	}
	var at float64
	s.rc, s.growth = lineThrough(phi, rho)
	at, s.lead = lineThrough(phi, height)
	s.f.C = s.f.at(0, 0, at)
}

// lineThrough is the least squares a + b x through the points.
func lineThrough(x, y []float64) (a, b float64) {
	n := float64(len(x))
	var mx, my, xx, xy float64
	for i := range x {
		mx, my = mx+x[i]/n, my+y[i]/n
	}
	for i := range x {
		xx, xy = xx+(x[i]-mx)*(x[i]-mx), xy+(x[i]-mx)*(y[i]-my)
	}
	if xx == 0 {
		return my, 0
	}
	return my - xy/xx*mx, xy / xx
}

// problem is that of the nodes' distances. A node's angle moves with the axis as
// its radius does, along the turn in place of outwards.
func (s *winding) problem(w tubePath, phi []float64) fit.Problem {
	var ax axial
	now := *s
	slope := hypot(1, s.lead/max(math.Abs(s.rc), 1e-9))
	return fit.Problem{N: 2 * len(w.node), P: windingParams, Coarse: true,
		Prepare: func(x []float64) {
			ax.set(s.f, x)
			now.f = ax.frame()
			now.angles(w, phi)
		},
		Residual: func(x []float64, i int, grad []float64) float64 {
			q := w.node[i/2].c
			at := ax.place(q)
			rho, h := at.rho, at.h
			dRho, dH := ax.slopes(at)
			sin, cos := math.Sincos(phi[i/2])
			round := now.f.dir(-sin, cos, 0)
			du, dv := -r3.Dot(round, s.f.E1)/rho, -r3.Dot(round, s.f.E2)/rho
			dPhi := [axialParams]float64{du, dv, h * du, h * dv}
			clear(grad)
			if i%2 == 0 {
				growth := s.growth + x[6]
				for k := range dPhi {
					grad[k] = dRho[k] - growth*dPhi[k]
				}
				grad[5], grad[6] = -1, -phi[i/2]
				return rho - s.rc - x[5] - growth*phi[i/2]
			}
			lead := s.lead + x[7]
			for k := range dPhi {
				grad[k] = (dH[k] - lead*dPhi[k]) / slope
			}
			grad[4], grad[7] = -1/slope, -phi[i/2]/slope
			return (h - x[4] - lead*phi[i/2]) / slope
		}}
}

func (s *winding) move(x []float64) {
	var ax axial
	ax.set(s.f, x)
	s.f = ax.frame()
	s.f.C = s.f.at(0, 0, x[4])
	s.rc, s.growth, s.lead = s.rc+x[5], s.growth+x[6], s.lead+x[7]
}
