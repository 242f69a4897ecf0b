package primitive

import (
	"errors"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
	"gonum.org/v1/gonum/stat/distuv"

	"pointup/segment/fit"
)

// solid is a primitive with its current parameters: the ideal surfaces of one
// piece, tied by what makes it that piece.
type solid interface {
	// params is the number of free parameters.
	params() int
	// surfaces is the number of ideal surfaces.
	surfaces() int
	// prepare sets the trial state: x is relative to the current state.
	prepare(x []float64)
	// residual is the signed distance of p from surface s in the trial state,
	// positive outside the material, and its derivatives unless grad is nil.
	residual(p r3.Vec, s int, grad []float64) float64
	// accept makes the trial state the current one; x = 0 then stands for it.
	accept()
	// normal is the outward unit normal of surface s at the foot of p.
	normal(p r3.Vec, s int) r3.Vec
	// edge is the distance from the foot of p to the nearest edge of the bounded
	// surface s; negative beyond it.
	edge(p r3.Vec, s int) float64
	// sound tells whether the current state can be a piece of metal at all.
	sound() bool
	// areaMM2 is the area of the whole solid's surface.
	areaMM2() float64
	// distance is the signed distance of p from the solid's boundary.
	distance(p r3.Vec) float64
}

// sighting says that vertex V lies on surface S.
type sighting struct {
	V int32
	S int32
}

// association is a converged joint fit to the vertices of a patch. How sure the
// parameters are it knows once it was asked to weigh them.
type association struct {
	Seen     []sighting
	Residual []float64 // one a sighting
	Doubt    fit.Doubt
	DOF      float64
	RMSMM    float64
	MarginMM float64
	margin   []float64 // one a surface
	spare    []sighting
	to       aim
	patch    *Patch
	share    float64 // parameters for a sighting
	weighed  bool
	said     map[int]surfaceFit // of those asked for
}

// aim is what a fit is for.
type aim int

const (
	glancing  aim = iota // whether a patch could be this at all: few rounds, loose solutions
	scouting             // what a patch is: loose solutions
	placing              // where its surfaces are, for what is sought on them
	measuring            // its sizes: the last digit, and how sure they are
)

// surfaceFit is what the residuals of one surface say.
type surfaceFit struct {
	RMSMM     float64 // with the fit's degrees of freedom
	Inflation float64
}

// u95 is the half-width of the 95 % interval of a quantity with gradient g in
// the parameters (GUM G.3); 0 of a fit that is only to find out.
func (a association) u95(g []float64) float64 {
	if a.to != measuring {
		return 0
	}
	return a.Doubt.HalfWidth(g, 0.95)
}

// coverage95 is the two-sided 95 % factor of Student's t.
func coverage95(dof float64) float64 {
	if dof > 200 {
		return 1.959964
	}
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: max(dof, 1)}.Quantile(0.975)
}

// minCos is the least cosine between a vertex normal and a surface's for the
// vertex to count as lying on it: a rim between two faces at right angles has
// 0.71 with both.
const minCos = 0.5

// Rounds of a fit at most, and half as many once a margin is left along edges. What
// the patch is has settled after two to five; what goes on is led from one part of it
// to another and is found wanting, or is fitted again to measure it.
const (
	measuringRounds = 12
	scoutingRounds  = 6
)

var errNoFit = errors.New("the surfaces have too few points")

// associate fits sol to the patch's vertices: which vertex lies on which
// surface is decided anew until nothing changes. gateMM is the first distance
// within which a vertex counts; later it is 4.5 robust standard deviations of
// the surface's own residuals, at which no white noise is cut, but spikes,
// spatter and dents are.
//
// settled says that sol has been fitted to a part of these vertices: the robust
// rounds are then left out.
func associate(p *Patch, sol solid, gateMM float64, to aim, settled bool) (association, error) {
	a := association{to: to, patch: p, said: map[int]surfaceFit{}, margin: make([]float64, sol.surfaces())}
	robust := 2
	if settled {
		robust = 0
	}
	gates := make([]float64, sol.surfaces())
	for s := range gates {
		gates[s], a.margin[s] = gateMM, math.Inf(-1)
	}
	if to == glancing {
		return a, a.settle(p, sol, gates, gateMM, 4, robust)
	}
	rounds := measuringRounds
	if to == scouting {
		rounds = scoutingRounds
	}
	if err := a.settle(p, sol, gates, gateMM, rounds, robust); err != nil {
		return a, err
	}
	if to == scouting {
		return a, nil
	}
	if m := a.edgeMargin(p, sol); m > 0 {
		a.MarginMM = m
		a.keepMargin(p, sol)
		if err := a.settle(p, sol, gates, gateMM, rounds/2, 0); err != nil {
			return a, err
		}
	}
	return a, nil
}

// settle alternates between sighting and solving; the first robust rounds
// minimise absolute distances, so that what does not belong cannot draw the
// solid to it, until hardly any sighting changes. While sightings still change a few
// steps are enough; the last solution is exact unless the fit is to find out only.
func (a *association) settle(p *Patch, sol solid, gates []float64, gateMM float64, rounds, robust int) error {
	exact := false
	for round := 0; round < rounds; round++ {
		changed := float64(a.sight(p, sol, gates))
		all := float64(len(a.Seen))
		if round > robust && (changed == 0 || exact && changed <= changeShare*all) {
			a.Seen, a.spare = a.spare, a.Seen // those that the solution is of
			break
		}
		if round > 0 && changed <= exactShare*all {
			robust = min(robust, round)
		}
		exact = a.to >= placing && round >= robust && changed <= exactShare*all
		if err := a.solve(p, sol, round < robust, exact); err != nil {
			return err
		}
		a.regate(p, gates, gateMM)
		if a.to < placing && round >= robust && changed == 0 { // nor will another look
			return nil
		}
	}
	if a.to < placing || exact {
		return nil
	}
	return a.solve(p, sol, false, true)
}

// Sightings that still change are those at the gates, 4.5 standard deviations
// out, or at edges: one in a thousand of them moves a parameter by under a
// thirtieth of its uncertainty, one in a hundred is worth another round but no
// exact solution.
const (
	changeShare = 0.001
	exactShare  = 0.01
)

// sight lists who lies where in the current state and returns how many
// sightings are new or gone.
func (a *association) sight(p *Patch, sol solid, gates []float64) (changed int) {
	sol.prepare(make([]float64, sol.params()))
	last := a.Seen
	if a.spare == nil {
		a.spare = make([]sighting, 0, len(p.P))
	}
	slack := 0.5*p.EdgeMM + 3*p.NoiseMM
	found := make([][]sighting, max(1, (len(p.P)+sightPart-1)/sightPart))
	found[0] = a.spare[:0]
	beside(len(found), func(k int) {
		found[k] = a.sightAmong(p, sol, gates, slack, k*sightPart, min((k+1)*sightPart, len(p.P)), found[k])
	})
	a.Seen = found[0]
	for _, more := range found[1:] {
		a.Seen = append(a.Seen, more...)
	}
	a.spare = last
	return differing(last, a.Seen)
}

// sightPart are the vertices that are looked at in one go, beside others.
const sightPart = 4096

// sightAmong appends the sightings of vertices [from,to) to out.
func (a *association) sightAmong(p *Patch, sol solid, gates []float64, slack float64, from, to int, out []sighting) []sighting {
	dear, _ := sol.(seer)
	for v := from; v < to; v++ {
		q := p.P[v]
		if p.AreaMM2[v] == 0 {
			continue
		}
		for s := range gates {
			if gates[s] < 0 {
				continue
			}
			if dear != nil && s < bendStart {
				if dear.sees(q, p.N[v], s, gates[s], max(a.margin[s], -max(slack, gates[s]))) {
					out = append(out, sighting{int32(v), int32(s)})
				}
				continue
			}
			if r := sol.residual(q, s, nil); math.Abs(r) > gates[s] {
				continue
			}
			if r3.Dot(p.N[v], sol.normal(q, s)) < minCos {
				continue
			}
			if sol.edge(q, s) < max(a.margin[s], -max(slack, gates[s])) {
				continue
			}
			out = append(out, sighting{int32(v), int32(s)})
		}
	}
	return out
}

// seer is a bent piece of which a foot on the centreline is dear: it tells by one
// whether q, where the scan's normal is n, lies within the gate of wall s, looks its way
// and is no nearer to an end than margin.
type seer interface {
	sees(q, n r3.Vec, s int, gate, margin float64) bool
}

// wallSees tells that, but for ends, of wall s of a round section of radius rs and bore
// rb; w leads from the centreline to the point.
func wallSees(w, n r3.Vec, s int, rs, rb, gate float64) bool {
	l, r, sign := norm(w), rs, 1.0
	if s == bendBore {
		r, sign = rb, -1
	}
	return l > 0 && math.Abs(l-r) <= gate && sign*r3.Dot(n, w) >= minCos*l
}

// differing counts the sightings that are in one of two lists only, both by
// rising vertex and surface.
func differing(a, b []sighting) (n int) {
	i := 0
	for _, q := range b {
		for i < len(a) && (a[i].V < q.V || a[i].V == q.V && a[i].S < q.S) {
			i, n = i+1, n+1
		}
		if i < len(a) && a[i] == q {
			i++
		} else {
			n++
		}
	}
	return n + len(a) - i
}

// solve moves the solid to where the squares of its residuals are least; not to
// the last digit unless the solution is to be exact.
func (a *association) solve(p *Patch, sol solid, robust, exact bool) error {
	n := sol.params()
	if len(a.Seen) < n+1 {
		return errNoFit
	}
	pr := fit.Problem{N: len(a.Seen), P: n, Prepare: sol.prepare, Coarse: !exact, Brief: true,
		Residual: func(_ []float64, i int, grad []float64) float64 {
			clear(grad)
			return sol.residual(p.P[a.Seen[i].V], int(a.Seen[i].S), grad)
		}}
	x := make([]float64, n)
	if robust {
		pr.Weight = a.absolute(p, sol)
	}
	s, err := fit.Solve(pr, x)
	if err != nil {
		return err
	}
	sol.prepare(s.X)
	sol.accept()
	if !sol.sound() {
		return errNoFit
	}
	sol.prepare(x)
	a.DOF, a.share = s.DOF, float64(n)/float64(len(a.Seen))
	a.RMSMM = math.Sqrt(s.SSQ / max(s.DOF, 1))
	a.Residual = slices.Grow(a.Residual[:0], len(a.Seen))
	for _, q := range a.Seen {
		a.Residual = append(a.Residual, sol.residual(p.P[q.V], int(q.S), nil))
	}
	return nil
}

// absolute are the weights by which least squares minimises absolute distances.
func (a *association) absolute(p *Patch, sol solid) []float64 {
	least := max(p.NoiseMM, 1e-6*p.SizeMM)
	w := make([]float64, len(a.Seen))
	for i, q := range a.Seen {
		w[i] = 1 / max(math.Abs(sol.residual(p.P[q.V], int(q.S), nil)), least)
	}
	return w
}

// counts are the sightings of each surface.
func (a *association) counts(surfaces int) []int {
	n := make([]int, surfaces)
	for _, q := range a.Seen {
		n[q.S]++
	}
	return n
}

// regate narrows each surface's gate to 4.5 robust standard deviations.
func (a *association) regate(p *Patch, gates []float64, gateMM float64) {
	floor := max(4.5*p.NoiseMM, 1e-5*p.SizeMM)
	abs := make([][]float64, len(gates))
	for s, n := range a.counts(len(gates)) {
		abs[s] = make([]float64, 0, n)
	}
	for i, q := range a.Seen {
		abs[q.S] = append(abs[q.S], math.Abs(a.Residual[i]))
	}
	for s := range gates {
		if gates[s] >= 0 && len(abs[s]) > 0 {
			gates[s] = min(gateMM, max(floor, 4.5*1.4826*median(abs[s])))
		}
	}
}

// edgeMargin returns how far from an edge the scan stops being biased by it,
// 0 where it is not: meshing filters round edges off, and a rim that is pulled
// in would pull its surfaces in. Bins of 0.35 median edges are looked at from
// the edge inward; a bin is biased where its mean departs from the interior's
// by over three standard errors and 0.2 sigma. Two sound bins in a row end the
// search: a bin further in is biased by chance, and would cost the whole wall of
// a thin piece.
func (a *association) edgeMargin(p *Patch, sol solid) float64 {
	const bins = 8
	w := 0.35 * p.EdgeMM
	ns := sol.surfaces()
	core := make([]struct{ n, sum, sq float64 }, ns)
	type bin struct{ n, sum float64 }
	near := make([][bins]bin, ns)
	for i, q := range a.Seen {
		e, r := sol.edge(p.P[q.V], int(q.S)), a.Residual[i]
		k := int(math.Floor((e + w/2) / w))
		if k < 0 {
			k = 0
		}
		if k < bins {
			near[q.S][k].n++
			near[q.S][k].sum += r
		} else {
			core[q.S].n++
			core[q.S].sum += r
			core[q.S].sq += r * r
		}
	}
	margin := -1
	for k := 0; k < bins; k++ {
		z, bias, n := 0.0, 0.0, 0.0
		for s := range near {
			c, b := core[s], near[s][k]
			if c.n < 12 || b.n == 0 {
				continue
			}
			sd := math.Sqrt(c.sq / c.n)
			if sd == 0 {
				continue
			}
			d := b.sum - b.n*c.sum/c.n
			z += d / sd
			bias += d / sd
			n += b.n
		}
		switch {
		case n < 8:
		case math.Abs(z) > 3*math.Sqrt(n) && math.Abs(bias/n) > 0.2:
			margin = k
		case k > margin+1:
			k = bins // sound up to here, and so further in
		}
	}
	if margin < 0 {
		return 0
	}
	return (float64(margin) + 0.5) * w
}

// keepMargin applies the margin to each surface, but never over 0.6 of the
// surface's own half-width: a thin side wall keeps its middle.
func (a *association) keepMargin(p *Patch, sol solid) {
	widest := make([]float64, len(a.margin))
	for _, q := range a.Seen {
		widest[q.S] = max(widest[q.S], sol.edge(p.P[q.V], int(q.S)))
	}
	for s := range a.margin {
		a.margin[s] = min(a.MarginMM, 0.6*widest[s])
	}
}

// weigh fills what the residuals leave open about the parameters; see fit.Doubt. p and
// sol are those of the fit.
func (a *association) weigh(p *Patch, sol solid) {
	if a.weighed {
		return
	}
	a.weighed = true
	n := sol.params()
	sol.prepare(make([]float64, n))
	total := make([]float64, n*n)
	s := fit.Sightings{P: n, Residual: a.Residual, Slope: make([]float64, n*len(a.Seen)),
		At: make([]r3.Vec, len(a.Seen)), Normal: make([]r3.Vec, len(a.Seen)), Surface: make([]int, len(a.Seen))}
	for i, q := range a.Seen {
		grad := s.Slope[i*n : (i+1)*n]
		sol.residual(p.P[q.V], int(q.S), grad)
		for j, gj := range grad {
			if gj != 0 {
				for k, gk := range grad {
					total[j*n+k] += gj * gk
				}
			}
		}
		s.At[i], s.Normal[i], s.Surface[i] = p.P[q.V], sol.normal(p.P[q.V], int(q.S)), int(q.S)
	}
	a.Doubt = s.Doubt(invert(total, n))
}

// residualsOf are those of surface s, with the points that they are of.
func (a *association) residualsOf(s int) (at []r3.Vec, res []float64) {
	for i, q := range a.Seen {
		if int(q.S) == s {
			at, res = append(at, a.patch.P[q.V]), append(res, a.Residual[i])
		}
	}
	return at, res
}

// surface is what the residuals of surface s say of its noise, and how far they are
// correlated.
func (a *association) surface(s int) surfaceFit {
	if f, ok := a.said[s]; ok {
		return f
	}
	at, res := a.residualsOf(s)
	f := surfaceFit{a.rmsOf(res), inflation(at, res, a.patch.EdgeMM)}
	// What correlated residuals show of their variance is less by what the fit
	// took up of the few independent ones.
	f.RMSMM *= math.Sqrt((1 - a.share) / max(1-a.share*f.Inflation, 0.25))
	a.said[s] = f
	return f
}

// rmsOf is the root mean square of residuals of one surface, with the fit's degrees of
// freedom.
func (a *association) rmsOf(res []float64) float64 {
	ssq := 0.0
	for _, r := range res {
		ssq += r * r
	}
	return math.Sqrt(ssq / max(float64(len(res))*(1-a.share), 1))
}
