package primitive

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// squaring is a solid with ends that may turn out to be cut square.
type squaring interface {
	solid
	// squareUp takes ends whose lean a fit cannot tell for square, and tells whether
	// there were such; then the solid has to be fitted again.
	squareUp(p *Patch, a *association) bool
}

// endAt are the points of an end: how far along the piece they lie, and how far off the
// plane that was fitted to them, weighted by area.
type endAt struct{ height, off weighted }

// endPoints are those that look the way of surface s, an end of sol, and lie near it.
// height is how far along the piece a place is.
func endPoints(p *Patch, sol solid, a *association, s int, height func(q r3.Vec) float64) (at endAt) {
	_, res := a.residualsOf(s)
	gate := 6 * max(a.rmsOf(res), p.NoiseMM)
	for v, q := range p.P {
		d := sol.residual(q, s, nil)
		if math.Abs(d) > gate || r3.Dot(p.N[v], sol.normal(q, s)) <= 0.7 || sol.edge(q, s) < -gate {
			continue
		}
		at.height.add(height(q), p.AreaMM2[v])
		at.off.add(math.Abs(d), p.AreaMM2[v])
	}
	return at
}

// middle is where a square end lies.
func (e *endAt) middle() float64 { return e.height.median() }

// squarer tells that most of the end lies closer to the square plane through its middle
// than to the leaning one that was fitted to all: that one leans for the foot of a weld,
// or for a broken rim, on one side of what is seen.
func (e *endAt) squarer() bool {
	return e.height.spreadAt(e.middle(), squarerShare) <= e.off.quantile(squarerShare)
}

// squarerShare leaves a fifth of an end to weld and rim, as the form error does.
const squarerShare = formQuantile
