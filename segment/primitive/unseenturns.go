package primitive

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// UnseenBetween are points on a coil's centreline, at most a millimetre apart,
// where none of the patches shows it and a different one does on either side; none
// for other kinds. sawn tells that a patch shows an end there, or where they touch.
func (e *Element) UnseenBetween(patches ...*Patch) (points []r3.Vec, sawn bool) {
	c, ok := e.solid.(*coil)
	if !ok {
		return nil, false
	}
	from, to := c.ends.phi[0], c.ends.phi[1]
	n := int(c.lengthMM()) + 1
	seen, ends := make([]int, n), make([]int, n) // 1 + patch; vertices that look along the way
	for k, x := range patches {
		for i, q := range x.P {
			q = r3.Sub(r3.Add(q, x.OriginMM), e.solidOriginMM)
			foot := nearest(&c.f, c.rc, c.lead, q)
			_, along, _ := centrelineAt(&c.f, c.rc, c.lead, foot)
			j := min(max(int(float64(n)*(foot.phi-from)/(to-from)), 0), n-1)
			seen[j] = 1 + k
			if math.Abs(r3.Dot(x.N[i], unit(along))) > sawnCos {
				ends[j]++
			}
		}
	}
	last := -1 // place that was seen last
	for i, k := range seen {
		if k == 0 {
			continue
		}
		if last >= 0 && seen[last] != k {
			sawn = sawn || ends[last] >= sawnVertices || ends[i] >= sawnVertices
			for j := last + 1; j < i; j++ {
				at, _, _ := centreline(&c.f, c.rc, c.lead, from+(to-from)*(float64(j)+0.5)/float64(n))
				points = append(points, r3.Add(at, e.solidOriginMM))
			}
		}
		last = i
	}
	return points, sawn
}

// An end that was seen has a face across the way: so many vertices that look along
// it, within 37 degrees, are more than a ragged border of the scan has.
const (
	sawnCos      = 0.8
	sawnVertices = 6
)
