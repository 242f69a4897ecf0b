package assembly

import (
	"math"
	"runtime"
	"slices"

	"golang.org/x/sync/errgroup"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh"
	"pointup/segment/primitive"
)

// body is a piece as contacts see it: a signed distance and a box. A freeform
// piece has the distance of its scan.
type body struct {
	e      *primitive.Element
	box    box
	formMM float64
	scan   *scanned // nil where the ideal piece is known
	points []r3.Vec // some points of its surface
}

// box is an axis-parallel box in SCAN.
type box struct{ lo, hi r3.Vec }

func (b box) near(o box, reach float64) bool {
	return b.lo.X-o.hi.X <= reach && o.lo.X-b.hi.X <= reach &&
		b.lo.Y-o.hi.Y <= reach && o.lo.Y-b.hi.Y <= reach &&
		b.lo.Z-o.hi.Z <= reach && o.lo.Z-b.hi.Z <= reach
}

// common is the part of two boxes within reach of both; it may be empty, then
// it is the place between them.
func (b box) common(o box, reach float64) box {
	axis := func(lo, hi, lo2, hi2 float64) (float64, float64) {
		l, h := max(lo, lo2), min(hi, hi2)
		if l > h {
			l, h = h, l
		}
		return l - reach, h + reach
	}
	var c box
	c.lo.X, c.hi.X = axis(b.lo.X, b.hi.X, o.lo.X, o.hi.X)
	c.lo.Y, c.hi.Y = axis(b.lo.Y, b.hi.Y, o.lo.Y, o.hi.Y)
	c.lo.Z, c.hi.Z = axis(b.lo.Z, b.hi.Z, o.lo.Z, o.hi.Z)
	return c
}

// newBodies makes the bodies of contacts: freeform ones with their scan.
func newBodies(m *mesh.Mesh, list []Body, g Grain) []*body {
	all := outlines(m, list)
	for i, b := range all {
		if d := b.e.DistanceMM(b.box.lo); math.IsNaN(d) {
			b.scan = newScanned(m, list[i].Faces, g.EdgeMM)
		}
	}
	return all
}

// outlines makes bodies without a scan, as many at a time as there are
// processors.
func outlines(m *mesh.Mesh, list []Body) []*body {
	all := make([]*body, len(list))
	var work errgroup.Group
	work.SetLimit(runtime.GOMAXPROCS(0))
	for i := range list {
		work.Go(mesh.Guarded(func() error {
			all[i] = outline(m, list[i])
			return nil
		}))
	}
	if err := work.Wait(); err != nil {
		panic(err) // a fault, brought to where it can be told
	}
	return all
}

func outline(m *mesh.Mesh, x Body) *body {
	b := &body{e: x.Element, formMM: x.Element.RMSMM, box: boxOf(m, x.Faces)}
	step := len(x.Faces)/samplePoints + 1
	for i := 0; i < len(x.Faces); i += step {
		b.points = append(b.points, m.At(m.Faces[x.Faces[i]][0]))
	}
	if d := b.e.DistanceMM(b.box.lo); math.IsNaN(d) {
		b.formMM = 0
	}
	return b
}

// boxOf is the box of facets; that of a whole component is known.
func boxOf(m *mesh.Mesh, faces []uint32) box {
	if len(faces) > 0 {
		n := m.ComponentOf[faces[0]]
		c := &m.Components[n]
		if c.Facets == len(faces) && !slices.ContainsFunc(faces, func(f uint32) bool { return m.ComponentOf[f] != n }) {
			return box{c.MinMM, c.MaxMM}
		}
	}
	inf := float32(math.Inf(1))
	lo, hi := [3]float32{inf, inf, inf}, [3]float32{-inf, -inf, -inf}
	for _, f := range faces {
		for _, v := range m.Faces[f] {
			for k, x := range m.Points[v] {
				if x < lo[k] {
					lo[k] = x
				}
				if x > hi[k] {
					hi[k] = x
				}
			}
		}
	}
	at := func(p [3]float32) r3.Vec {
		return r3.Scale(m.UnitMM, r3.Vec{X: float64(p[0]), Y: float64(p[1]), Z: float64(p[2])})
	}
	return box{at(lo), at(hi)}
}

const samplePoints = 2000

func (b *body) distance(p r3.Vec) float64 {
	if b.scan != nil {
		return b.scan.distance(p)
	}
	return b.e.DistanceMM(p)
}

// look is the distance of p and its gradient, of length 1.
func (b *body) look(p r3.Vec) (float64, r3.Vec) {
	const h = 1e-5
	d := b.distance(p)
	n := r3.Vec{
		X: b.distance(r3.Add(p, r3.Vec{X: h})) - d,
		Y: b.distance(r3.Add(p, r3.Vec{Y: h})) - d,
		Z: b.distance(r3.Add(p, r3.Vec{Z: h})) - d,
	}
	if l := r3.Norm(n); l > 0 {
		n = r3.Scale(1/l, n)
	}
	return d, n
}

// scanned is the surface of a scan as a signed distance: that of the nearest
// vertex's tangent plane, up to reach, beyond which only its size is known.
type scanned struct {
	p, n    []r3.Vec
	cell    float64
	at      map[[3]int32][]int32
	reachMM float64
	edgeMM  float64
}

func newScanned(m *mesh.Mesh, faces []uint32, edgeMM float64) *scanned {
	s := &scanned{cell: max(2*edgeMM, 1e-6), at: map[[3]int32][]int32{}, edgeMM: edgeMM}
	s.reachMM = scannedCells * s.cell
	var ids []uint32
	for _, f := range faces {
		ids = append(ids, m.Faces[f][:]...)
	}
	slices.Sort(ids)
	ids = slices.Compact(ids)
	s.p, s.n = make([]r3.Vec, len(ids)), make([]r3.Vec, len(ids))
	for i, v := range ids {
		s.p[i] = m.At(v)
		key := s.key(s.p[i])
		s.at[key] = append(s.at[key], int32(i))
	}
	for _, f := range faces {
		t := m.Faces[f]
		n := r3.Cross(r3.Sub(m.At(t[1]), m.At(t[0])), r3.Sub(m.At(t[2]), m.At(t[0])))
		for _, v := range t {
			i, _ := slices.BinarySearch(ids, v)
			s.n[i] = r3.Add(s.n[i], n)
		}
	}
	for i, n := range s.n {
		if l := r3.Norm(n); l > 0 {
			s.n[i] = r3.Scale(1/l, n)
		}
	}
	return s
}

// least is the smallest distance of the scan's vertices from another body.
func (s *scanned) least(o *body) float64 {
	d := math.Inf(1)
	for _, p := range s.p {
		d = min(d, o.distance(p))
	}
	return d
}

// scannedCells is how many cells a search looks about.
const scannedCells = 3

func (s *scanned) key(p r3.Vec) [3]int32 {
	return [3]int32{int32(math.Floor(p.X / s.cell)), int32(math.Floor(p.Y / s.cell)), int32(math.Floor(p.Z / s.cell))}
}

func (s *scanned) distance(p r3.Vec) float64 {
	at := s.key(p)
	best, near := s.reachMM*s.reachMM, int32(-1)
	for ring := int32(0); ring <= scannedCells; ring++ {
		if l := float64(ring-1) * s.cell; ring > 0 && l*l > best {
			break
		}
		for dx := -ring; dx <= ring; dx++ {
			for dy := -ring; dy <= ring; dy++ {
				for dz := -ring; dz <= ring; dz++ {
					if max(dx, -dx, dy, -dy, dz, -dz) != ring {
						continue
					}
					for _, i := range s.at[[3]int32{at[0] + dx, at[1] + dy, at[2] + dz}] {
						if d := r3.Norm2(r3.Sub(p, s.p[i])); d < best {
							best, near = d, i
						}
					}
				}
			}
		}
	}
	if near < 0 {
		return s.reachMM
	}
	w := r3.Sub(p, s.p[near])
	h := r3.Dot(w, s.n[near])
	aside := max(math.Sqrt(max(best-h*h, 0))-s.edgeMM, 0)
	if aside > 0 { // beyond a border of the scan, not behind its surface
		return math.Hypot(h, aside)
	}
	return h
}
