package primitive

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// sheetRaster tells where metal was seen on either face of a sheet, in the plane
// of the faces.
type sheetRaster struct {
	low    [2]float64
	cellMM float64
	wide   [2]int
	metal  []bool
}

// rasterCellsMost bounds the cells along either side.
const rasterCellsMost = 2000

// faceCos parts facets of a sheet's faces from those of its walls.
const faceCos = 0.6

// rasterOf marks the cells, half a facet edge wide, that facets of the faces cover;
// what lies deeper or stands off them, in a hole or over it, by more than the faces' own
// gate, the noise or a tenth of the sheet, is weld.
func rasterOf(p *Patch, c *slab) sheetRaster {
	low, high := [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
	flat := make([][2]float64, len(p.P))
	for i, q := range p.P {
		u, v, _ := c.f.local(q)
		flat[i] = [2]float64{u, v}
		for k, x := range flat[i] {
			low[k], high[k] = min(low[k], x), max(high[k], x)
		}
	}
	r := sheetRaster{low: low, cellMM: max(0.5*p.EdgeMM, (high[0]-low[0])/rasterCellsMost, (high[1]-low[1])/rasterCellsMost, 1e-9)}
	for k := range r.wide {
		r.wide[k] = int((high[k]-low[k])/r.cellMM) + 1
	}
	r.metal = make([]bool, r.wide[0]*r.wide[1])
	gate := max(c.gateMM, 6*p.NoiseMM, 0.1*c.thicknessMM())
	for f, t := range p.Facet {
		_, _, h := c.f.local(p.FacetC[f])
		if math.Abs(r3.Dot(p.FacetS[f], c.f.D)) > faceCos && min(math.Abs(h-c.z[0]), math.Abs(h-c.z[1])) < gate {
			r.fill(flat[t[0]], flat[t[1]], flat[t[2]])
		}
	}
	return r
}

// fill marks the cells whose middles lie in a triangle, and those of its corners.
func (r *sheetRaster) fill(a, b, c [2]float64) {
	turn := func(p, q, s [2]float64) float64 { return (q[0]-p[0])*(s[1]-p[1]) - (q[1]-p[1])*(s[0]-p[0]) }
	from, to := r.cell([2]float64{min(a[0], b[0], c[0]), min(a[1], b[1], c[1])}), r.cell([2]float64{max(a[0], b[0], c[0]), max(a[1], b[1], c[1])})
	for i := from[0]; i <= to[0]; i++ {
		for j := from[1]; j <= to[1]; j++ {
			m := [2]float64{r.low[0] + (float64(i)+0.5)*r.cellMM, r.low[1] + (float64(j)+0.5)*r.cellMM}
			x, y, z := turn(a, b, m), turn(b, c, m), turn(c, a, m)
			if x >= 0 && y >= 0 && z >= 0 || x <= 0 && y <= 0 && z <= 0 {
				r.metal[i*r.wide[1]+j] = true
			}
		}
	}
	for _, q := range [3][2]float64{a, b, c} {
		k := r.cell(q)
		r.metal[k[0]*r.wide[1]+k[1]] = true
	}
}

// cell is the one that q lies in, or the nearest.
func (r *sheetRaster) cell(q [2]float64) [2]int {
	var k [2]int
	for i := range k {
		k[i] = min(max(int((q[i]-r.low[i])/r.cellMM), 0), r.wide[i]-1)
	}
	return k
}

// at tells whether metal was seen at q.
func (r *sheetRaster) at(q [2]float64) bool {
	k := r.cell(q)
	return r.metal[k[0]*r.wide[1]+k[1]]
}

// share is how much of the inside of a closed chain, drawn in to a given part of
// its size about its middle, shows metal; 1 where it holds no cell.
func (r *sheetRaster) share(chain [][2]float64, part float64) float64 {
	m := polygonCentroid(chain)
	drawn := make([][2]float64, len(chain))
	low, high := m, m
	for i, q := range chain {
		for k := range q {
			drawn[i][k] = m[k] + part*(q[k]-m[k])
			low[k], high[k] = min(low[k], drawn[i][k]), max(high[k], drawn[i][k])
		}
	}
	from, to := r.cell(low), r.cell(high)
	n, metal := 0, 0
	for i := from[0]; i <= to[0]; i++ {
		for j := from[1]; j <= to[1]; j++ {
			q := [2]float64{r.low[0] + (float64(i)+0.5)*r.cellMM, r.low[1] + (float64(j)+0.5)*r.cellMM}
			if insideChain(q, drawn) {
				n++
				if r.metal[i*r.wide[1]+j] {
					metal++
				}
			}
		}
	}
	if n == 0 {
		return 1
	}
	return float64(metal) / float64(n)
}
