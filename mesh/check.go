package mesh

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// Check welds a soup to a mesh, winds each shell outwards, sets dust aside and
// reports what stands in the way of measuring it.
//
// Points are welded where they are equal, and on open edges within a thousandth
// of the median edge. The mesh is the same, but for Source and FilePoint, for
// the same triangles in any order, from any of their corners, and, where shells
// enclose a volume, for either winding.
//
// It fails on a soup without a facet that has area, on a coordinate that is not
// finite, on an index out of range and on an unknown unit. Time and memory are
// linear in the facets: some 60 bytes a facet stay, another 30 are used.
func Check(ctx context.Context, s Soup, opt CheckOptions, tell Tell) (*Mesh, Report, error) {
	r := Report{File: s.File, SHA256: s.SHA256, Triangles: len(s.Corners)}
	if _, err := upRows(opt.Up); err != nil && opt.Up != "" {
		return nil, r, fmt.Errorf("%s: %w", s.File, err)
	}
	if err := checkSoup(s); err != nil {
		return nil, r, fmt.Errorf("%s: %w", s.File, err)
	}
	c := checking{ctx: ctx, soup: s, opt: opt, tell: tell, report: r}
	if err := c.run(); err != nil {
		return nil, c.report, fmt.Errorf("%s: %w", s.File, err)
	}
	return c.mesh, c.report, nil
}

// facetsMost is what fits the 31 bits of an edge's entry and three corners in
// 32.
const facetsMost = math.MaxUint32 / 3

var errEmpty = errors.New("no facet has any area; export the scan again")

func checkSoup(s Soup) error {
	if len(s.Corners) == 0 {
		return errEmpty
	}
	if len(s.Corners) > facetsMost || len(s.Points) > math.MaxInt32 {
		return fmt.Errorf("%d facets are more than %d; decimate the scan", len(s.Corners), facetsMost)
	}
	err := each(shares(len(s.Points)), func(_, lo, hi int) error { return finite(s.Points[lo:hi], lo) })
	if err != nil {
		return err
	}
	return each(shares(len(s.Corners)), func(_, lo, hi int) error { return inRange(s.Corners[lo:hi], lo, uint32(len(s.Points))) })
}

func finite(points [][3]float32, first int) error {
	for i, p := range points {
		for _, x := range p {
			if x-x != 0 {
				return fmt.Errorf("point %d is not finite; export the scan again", first+i)
			}
		}
	}
	return nil
}

func inRange(corners [][3]uint32, first int, n uint32) error {
	for i, c := range corners {
		if max(c[0], c[1], c[2]) >= n {
			return fmt.Errorf("facet %d: vertex %d of %d; export the scan again", first+i, max(c[0], c[1], c[2]), n)
		}
	}
	return nil
}

// checking is one run of Check.
type checking struct {
	ctx    context.Context
	soup   Soup
	opt    CheckOptions
	tell   Tell
	report Report

	mesh    *Mesh
	dropped dropped
	edges   edges // dust apart
	winding winding
	origin  [3]float32 // what volumes are measured from

	nonmanifold [][2]uint32 // edges of three facets or more, dust and all
}

// The stages of a check, as tell hears them.
var checkStages = [...]string{"weld", "connect", "wind", "noise"}

func (c *checking) say(stage int) {
	if c.tell != nil {
		c.tell("check: "+checkStages[stage], int64(stage), int64(len(checkStages)))
	}
}

func (c *checking) run() error {
	c.say(0)
	if err := c.weld(); err != nil {
		return err
	}
	c.say(1)
	if err := c.connect(); err != nil {
		return err
	}
	c.say(2)
	c.wind()
	c.say(3)
	if err := c.ctx.Err(); err != nil {
		return err
	}
	c.conclude()
	if c.tell != nil {
		c.tell("check", int64(len(checkStages)), int64(len(checkStages)))
	}
	return nil
}

// weld makes the mesh without its components, and looks at its edges.
func (c *checking) weld() error {
	vertex, points := rankPoints(c.soup.Points)
	if err := c.setUnit(points); err != nil {
		return err
	}
	parent, err := c.build(vertex, points)
	if err != nil {
		return err
	}
	to, merged, err := c.mesh.weldOpen(c.ctx, c.edges)
	if err != nil {
		return err
	}
	if merged > 0 {
		c.report.WeldedVertices = merged
		if parent, err = c.build(vertex, applyWeld(points, vertex, to)); err != nil {
			return err
		}
	}
	c.mesh.ComponentOf = parent
	return nil
}

// build sorts the facets on the vertices given, indexes them and scans the
// edges. It returns the forest of connected facets.
func (c *checking) build(vertex []uint32, points [][3]float32) ([]uint32, error) {
	faces, source, dropped, err := sortFacets(c.ctx, c.soup.Corners, vertex, points)
	if err != nil {
		return nil, err
	}
	if len(faces) == 0 {
		return nil, errEmpty
	}
	c.dropped = dropped
	c.mesh = &Mesh{Points: points, Faces: faces, Source: source, UnitMM: c.unitMM(),
		FileFacets: len(c.soup.Corners), FilePoint: vertex}
	c.mesh.index()
	parent := Large[uint32](len(faces))
	c.edges, err = c.mesh.scanEdges(c.ctx, parent, nil)
	return parent, err
}

func (c *checking) unitMM() float64 {
	u, _ := unitNamed(c.report.Unit)
	return u.mm
}

func (c *checking) setUnit(points [][3]float32) error {
	if c.opt.Unit != "" {
		u, err := unitNamed(c.opt.Unit)
		c.report.Unit = u.name
		return err
	}
	s := newSums()
	for _, p := range points {
		s.stretch([3]float64{float64(p[0]), float64(p[1]), float64(p[2])})
	}
	u, finding := guessUnit(math.Sqrt(r3.Norm2(r3.Vec{X: s.max[0] - s.min[0], Y: s.max[1] - s.min[1], Z: s.max[2] - s.min[2]})))
	c.report.Unit, c.report.UnitGuessed = u.name, true
	c.report.Findings = append(c.report.Findings, finding)
	return nil
}

// dustRounds bounds how often the edges are looked at again: dust on dust comes
// off in the second round, and a third found more in no scan that was tried.
const dustRounds = 3

// connect labels components and sets dust aside. Where dust sits on edges it
// makes three facets of two: the edges are looked at again without it, until no
// more dust comes off.
func (c *checking) connect() error {
	m := c.mesh
	c.origin = m.Points[m.Faces[len(m.Faces)/2][0]]
	c.nonmanifold = c.edges.nonmanifold
	c.label(nil)
	for range dustRounds {
		if len(c.edges.nonmanifold) == 0 || c.report.DustShells == 0 {
			return nil
		}
		before, dust := c.report.DustFacets, m.dustFacets()
		var err error
		if c.edges, err = m.scanEdges(c.ctx, m.ComponentOf, dust); err != nil {
			return err
		}
		if c.label(dust); c.report.DustFacets == before {
			return nil
		}
	}
	return nil
}

// label makes components of the forest that stands in ComponentOf. Facets that
// were dust stay dust.
func (c *checking) label(dust []bool) {
	m := c.mesh
	m.measureComponents(m.label(m.ComponentOf), c.origin)
	for _, e := range c.edges.open {
		m.Components[m.ComponentOf[e.facet]].OpenEdges++
	}
	m.markDust(dust)
	c.report.Shells, c.report.DustShells, c.report.DustFacets = 0, 0, 0
	for i := range m.Components {
		if m.Components[i].Dust {
			c.report.DustShells++
			c.report.DustFacets += m.Components[i].Facets
		} else {
			c.report.Shells++
		}
	}
}

// wind makes each component face one way, outwards, and traces its openings.
// Where facets were turned all is measured again in canonical order, so that not
// even rounding tells what the file's winding was.
func (c *checking) wind() {
	m := c.mesh
	m.agree(c.edges.disagree, &c.winding)
	if c.winding.flipped > 0 {
		m.remeasure(c.origin)
	}
	open := m.withoutDust(c.edges.open)
	loops := m.loops(open)
	m.addLoops(loops, c.origin)
	m.faceOut(&c.winding)
	if c.winding.anyFlipped {
		c.winding.renumber(m.reorder())
		m.remeasure(c.origin)
		loops = m.loops(open)
		m.addLoops(loops, c.origin)
	}
	slices.SortStableFunc(loops, func(a, b Loop) int { return cmp.Compare(b.SpanMM, a.SpanMM) })
	c.report.Loops = loops
}

// conclude fills the report.
func (c *checking) conclude() {
	m, r := c.mesh, &c.report
	r.Vertices = len(m.Points)
	r.BoundaryLoops = len(r.Loops)
	r.NonmanifoldEdges = len(c.nonmanifold)
	r.Watertight = r.BoundaryLoops == 0 && r.NonmanifoldEdges == 0
	r.MinMM, r.MaxMM = m.Bounds()
	r.EdgeMedianMM = c.edges.medianUnits * m.UnitMM
	r.Noise = m.EstimateNoise()
	r.NoiseMM, r.NoiseLongMM = r.Noise.SigmaMM, r.Noise.LongMM
	r.DegenerateFacets = c.dropped.equal + c.dropped.flat
	r.DuplicateFacets = c.dropped.copies
	r.RewoundFacets = c.winding.flipped
	r.Findings = append(r.Findings, c.findings()...)
}
