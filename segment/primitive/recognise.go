package primitive

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Options of Recognise.
type Options struct {
	FormShare float64 // form limit as a share of the section's size
	FormNoise float64 // and in multiples of the scan's noise; the larger counts
}

// DefaultOptions returns the limits that the contract names.
func DefaultOptions() Options { return Options{FormShare: 0.02, FormNoise: 5} }

// candidate is one fitted primitive.
type candidate struct {
	sol      solid
	fit      association
	sizeMM   float64 // section size that the form limit is a share of
	describe func(*Element)

	formMM    float64 // robust form error
	explained float64 // share of the patch's area that its surfaces account for
	rmsMM     float64
	score     float64 // penalised likelihood, lower is better
}

// Recognise decides which primitive the patch is and fits it.
//
// Every candidate is fitted about every axis hypothesis; those whose form error
// is within the limit are eligible, and among them the lowest Bayesian
// information criterion decides.
func Recognise(p *Patch, opt Options) Element {
	if len(p.Facet) == 0 {
		return Element{Kind: "freeform"}
	}
	var best *candidate
	var e Element
	kinds := map[string]float64{}
	for _, c := range fitAll(p) {
		var d Element
		c.describe(&d)
		c.judge(p)
		if r, ok := kinds[d.Kind]; !ok || c.rmsMM < r {
			kinds[d.Kind] = c.rmsMM
		}
		limit := max(opt.FormNoise*p.NoiseMM, opt.FormShare*c.sizeMM)
		if c.formMM > limit || c.explained < minExplained {
			continue
		}
		if best == nil || c.score < best.score {
			best, e = &c, d
		}
	}
	if best == nil {
		return freeform(p)
	}
	e.RMSMM = best.rmsMM
	deviate(&e, p, best)
	return e
}

// minExplained is the least share of a patch's area that a primitive's own
// surfaces must account for; the rest may be dents, dust, weld and edges.
const minExplained = 0.8

func fitAll(p *Patch) []candidate {
	var out []candidate
	for _, d := range axisHypotheses(p) {
		if c, ok := fitRound(p, d); ok {
			out = append(out, c)
		}
		if c, ok := fitTorus(p, d); ok {
			out = append(out, c)
		}
	}
	return out
}

// judge measures the candidate on all of the patch.
func (c *candidate) judge(p *Patch) {
	n := c.sol.surfaces()
	bySurface := make([]weighted, n)
	var near weighted
	grad := make([]float64, c.sol.params())
	c.sol.prepare(make([]float64, c.sol.params()))
	gate := max(c.sizeMM*0.02, 5*p.NoiseMM, 1e-5*p.SizeMM)
	explained := 0.0
	for v, q := range p.P {
		best, at := math.Inf(1), -1
		for s := 0; s < n; s++ {
			r := math.Abs(c.sol.residual(q, s, grad))
			if r < best && r3.Dot(p.N[v], c.sol.normal(q, s)) > 0.7 {
				best, at = r, s
			}
		}
		d := math.Abs(c.sol.distance(q))
		near.add(d, p.AreaMM2[v])
		if at >= 0 {
			bySurface[at].add(best, p.AreaMM2[v])
			if best <= gate {
				explained += p.AreaMM2[v]
			}
		} else if d <= gate {
			explained += p.AreaMM2[v]
		}
	}
	for s := range bySurface {
		if bySurface[s].total > 0.02*p.TotalMM2 {
			c.formMM = max(c.formMM, bySurface[s].quantile(formQuantile))
		}
	}
	c.explained = explained / p.TotalMM2
	c.rmsMM = near.quantile(0.68)
	count := float64(len(p.P))
	floor := max(p.NoiseMM, 1e-6*p.SizeMM)
	c.score = 2*count*math.Log(math.Hypot(c.rmsMM, floor)) + float64(c.sol.params())*math.Log(count)
}

// formQuantile makes the form error robust: a fifth of a surface may be dented,
// spattered or worn without changing what the piece is.
const formQuantile = 0.8

// axisHypotheses are directions that could be the piece's axis: the principal
// directions of the normals' Gaussian image and of the surface itself.
func axisHypotheses(p *Patch) []r3.Vec {
	var m, q [6]float64
	var mean r3.Vec
	for i, c := range p.FacetC {
		mean = r3.Add(mean, r3.Scale(p.FacetMM2[i]/p.TotalMM2, c))
	}
	for i, n := range p.FacetN {
		addOuter(&m, n, p.FacetMM2[i])
		addOuter(&q, r3.Sub(p.FacetC[i], mean), p.FacetMM2[i])
	}
	a, b := eigen(m), eigen(q)
	var out []r3.Vec
	for _, d := range append(a[:], b[:]...) {
		if !near(out, d) {
			out = append(out, d)
		}
	}
	return out
}

// near tells whether a direction is within 2 degrees of one already listed.
func near(list []r3.Vec, d r3.Vec) bool {
	for _, e := range list {
		if math.Abs(r3.Dot(e, d)) > 0.9994 {
			return true
		}
	}
	return false
}

func addOuter(m *[6]float64, v r3.Vec, w float64) {
	m[0] += w * v.X * v.X
	m[1] += w * v.X * v.Y
	m[2] += w * v.X * v.Z
	m[3] += w * v.Y * v.Y
	m[4] += w * v.Y * v.Z
	m[5] += w * v.Z * v.Z
}
