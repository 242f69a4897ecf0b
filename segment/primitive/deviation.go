package primitive

import (
	"math"

	"pointup/mesh"
)

// deviate fills the signed distance of every vertex from the solid, at maquette
// scale.
func deviate(e *Element, p *Patch, c *candidate) {
	e.DeviationMM = make([]float64, len(p.P))
	e.FarMM = max(8*e.RMSMM, 8*p.NoiseMM, 0.02*c.sizeMM)
	for v, q := range p.P {
		d := c.sol.distance(q)
		e.DeviationMM[v] = d
		if math.Abs(d) > e.FarMM {
			e.Spikes++
		}
	}
}

// Deviate fills the signed distance of the given vertices of m in place of those
// that the element was fitted to; a freeform has none.
func (e *Element) Deviate(m *mesh.Mesh, vertices []uint32) {
	if e.solid == nil {
		return
	}
	e.DeviationMM, e.Spikes = mesh.Large[float64](len(vertices)), 0
	for i, v := range vertices {
		d := e.DistanceMM(m.At(v))
		e.DeviationMM[i] = d
		if math.Abs(d) > e.FarMM {
			e.Spikes++
		}
	}
}
