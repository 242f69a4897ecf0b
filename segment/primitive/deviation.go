package primitive

import "math"

// deviate fills the signed distance of every vertex from the solid, at maquette
// scale.
func deviate(e *Element, p *Patch, c *candidate) {
	e.DeviationMM = make([]float64, len(p.P))
	far := max(8*e.RMSMM, 8*p.NoiseMM, 0.02*c.sizeMM)
	for v, q := range p.P {
		d := c.sol.distance(q)
		e.DeviationMM[v] = d
		if math.Abs(d) > far {
			e.Spikes++
		}
	}
}
