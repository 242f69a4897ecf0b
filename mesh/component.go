package mesh

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Component is a set of facets connected across edges of exactly two facets.
// Facets that share a point only, or an edge with more facets, are not
// connected.
type Component struct {
	Facets     int
	AreaMM2    float64
	VolumeMM3  float64 // signed, outward winding positive; every opening capped from its centre
	CentroidMM r3.Vec  // of the surface
	MinMM      r3.Vec
	MaxMM      r3.Vec
	LowestFace uint32

	OpenEdges   int
	Openings    int
	OpenAreaMM2 float64 // area of the caps
	Dust        bool
}

// Closed tells whether every edge of the component has two facets, as far as
// its openings tell.
func (c *Component) Closed() bool { return c.OpenEdges == 0 }

// DiagonalMM is the diagonal of the component's box.
func (c *Component) DiagonalMM() float64 { return r3.Norm(r3.Sub(c.MaxMM, c.MinMM)) }

// label turns the forest of scanEdges into ComponentOf, in order of the lowest
// facet, and returns the number of components. It keeps parent's memory.
func (m *Mesh) label(parent []uint32) int {
	n := uint32(0)
	for f, p := range parent {
		if p == uint32(f) {
			parent[f] = n
			n++
		} else {
			parent[f] = parent[p]
		}
	}
	m.ComponentOf = parent
	return int(n)
}

// measureComponents makes Components. Openings are left to the tracing of loops,
// which adds them.
func (m *Mesh) measureComponents(n int, origin [3]float32) {
	m.Components = make([]Component, n)
	m.remeasure(origin)
}

// sumParts is into how many runs of facets a sum is parted: the same on every
// machine, so that the last digits are.
const sumParts = 8

// remeasure takes all sums over facets again. What is not one, it keeps; the
// openings it clears.
func (m *Mesh) remeasure(origin [3]float32) {
	var part [sumParts][]componentSums
	eachFree(parts(len(m.Faces), sumParts), func(k, lo, hi int) { part[k] = m.sumsOf(lo, hi, origin) })
	total := make([]sums, len(m.Components))
	for i := range total {
		total[i] = newSums()
	}
	for _, list := range part {
		for i := range list {
			total[list[i].component].join(&list[i].sums)
		}
	}
	for i := range total {
		a := total[i].measure(m, origin)
		m.Components[i] = Component{Facets: a.Facets, AreaMM2: a.AreaMM2, VolumeMM3: a.VolumeMM3, CentroidMM: a.CentroidMM,
			MinMM: a.MinMM, MaxMM: a.MaxMM, LowestFace: total[i].first,
			OpenEdges: m.Components[i].OpenEdges, Dust: m.Components[i].Dust}
	}
}

// componentSums are sums over some facets of a component.
type componentSums struct {
	component uint32
	sums
}

// sumsOf sums up facets lo to hi, one entry a component among them.
func (m *Mesh) sumsOf(lo, hi int, origin [3]float32) []componentSums {
	var list []componentSums
	at := make([]uint32, len(m.Components)) // where a component stands in list, if it does
	for f := lo; f < hi; f++ {
		c := m.ComponentOf[f]
		i := at[c]
		if int(i) >= len(list) || list[i].component != c {
			i = uint32(len(list))
			at[c], list = i, append(list, componentSums{c, newSums()})
		}
		list[i].add(m, uint32(f), origin)
	}
	return list
}

// A shell is dust when it is small beside the biggest and has too few facets for
// anything to be measured on it: a speck, a fin, a torn-off island.
//
// Fewer facets than a box has are no piece; a hundredth of the biggest keeps the
// sheet or wedge of a coarse drawing. A closed shell of a box's facets and more
// may be a small drawn part, so it has to be tiny. 40 facets are less than a
// round of a tube. An island with an open edge is the ragged rest of a piece that
// the scanner lost sight of, and to fit anything to it takes some ten rounds. A
// thousandth of the biggest parts such rests from the smallest washers (M3 beside
// a plate of 200 mm x 200 mm).
const (
	boxFacets    = 12
	dustFewShare = 1e-2

	dustFacets      = 40
	dustClosedShare = 1e-4

	dustIsland      = 400
	dustIslandShare = 1e-3
)

// markDust sets Dust of each component; one whose facets were dust stays dust.
func (m *Mesh) markDust(was []bool) {
	biggest := 0.0
	for i := range m.Components {
		biggest = math.Max(biggest, m.Components[i].AreaMM2)
	}
	for i := range m.Components {
		c := &m.Components[i]
		c.Dust = c.isDust(biggest) || was != nil && was[c.LowestFace]
	}
}

// dustFacets tells of each facet whether it is dust.
func (m *Mesh) dustFacets() []bool {
	dust := make([]bool, len(m.Faces))
	for f := range dust {
		dust[f] = m.Dust(uint32(f))
	}
	return dust
}

func (c *Component) isDust(biggestMM2 float64) bool {
	share := 0.0
	switch {
	case c.Facets < boxFacets:
		share = dustFewShare
	case c.Facets < dustFacets && c.Closed():
		share = dustClosedShare
	case c.Facets < dustIsland && !c.Closed():
		share = dustIslandShare
	}
	return c.AreaMM2 < share*biggestMM2
}
