package assembly

import (
	"context"
	"math"
	"runtime"

	"golang.org/x/sync/errgroup"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh"
	"pointup/segment/primitive"
)

// Body is a piece of which contacts and relations are asked.
//
// Shapes: Faces and Weld are facets of the mesh, of the piece's own surface and
// of the weld nearest to it.
type Body struct {
	Element *primitive.Element
	Faces   []uint32
	Weld    []uint32
}

// Contact is where two bodies meet, in SCAN. A < B are numbers of bodies.
//
// GapMM is the least distance between the two ideal pieces; negative, it is the
// diameter of the largest ball that lies in both; of a freeform piece it is that
// of its vertices. AngleDeg is from 0 to 90:
// between the axes of two long pieces, between the planes of two flat ones,
// between the axis of a long piece and the plane of a flat one; NaN where a
// piece has neither.
type Contact struct {
	A, B     int
	Kind     string
	LengthMM float64
	AngleDeg float64
	GapMM    float64
	Through  bool
	Seam     []Run
}

// Run is one unbroken part of a seam. A closed one ends where it began.
type Run struct {
	Closed bool
	Points []SeamPoint
}

// SeamPoint is a point of a seam with the outward normals of both pieces.
type SeamPoint struct{ AtMM, NormalA, NormalB r3.Vec }

// Grain is how finely a scan shows things: its noise, one standard deviation,
// and its median facet edge.
type Grain struct{ NoiseMM, EdgeMM float64 }

// The gap up to which two pieces are taken to touch. Fitted surfaces lie within
// a few hundredths of the noise of the metal, but real metal departs from the
// ideal by its form error, and an end or edge is placed only to a part of a
// facet: a sharp rim is cut off by up to about a seventh of an edge.
const (
	gapNoises = 4
	gapForms  = 2
	gapEdges  = 0.15
)

func gapTolerance(g Grain, a, b *body) float64 {
	return max(gapNoises*g.NoiseMM, gapForms*max(a.formMM, b.formMM)) + gapEdges*g.EdgeMM
}

// Contacts finds every pair of bodies that meet: those whose ideal pieces come
// within the tolerance of each other, and those that weld joins in the mesh.
//
// Shapes: at most one contact a pair, ordered by A then B; left is the number of
// pairs past pairsMost, which are not looked at. The cost of a pair does not
// depend on the number of facets, but of freeform bodies.
func Contacts(ctx context.Context, m *mesh.Mesh, bodies []Body, g Grain) (list []Contact, left int, err error) {
	all, links := newBodies(m, bodies, g), linked(m, bodies)
	type pair struct{ a, b int }
	var pairs []pair
	for a := range all {
		for b := a + 1; b < len(all); b++ {
			reach := gapTolerance(g, all[a], all[b])
			if q := links[[2]int32{int32(a), int32(b)}]; len(q) > 0 || all[a].box.near(all[b].box, reach) {
				pairs = append(pairs, pair{a, b})
			}
		}
	}
	if len(pairs) > pairsMost {
		left = len(pairs) - pairsMost
		pairs = pairs[:pairsMost]
	}
	found := make([]*Contact, len(pairs))
	var work errgroup.Group
	work.SetLimit(runtime.GOMAXPROCS(0))
	for i, p := range pairs {
		work.Go(mesh.Guarded(func() error {
			if err := ctx.Err(); err != nil {
				return err
			}
			found[i] = meet(all[p.a], all[p.b], links[[2]int32{int32(p.a), int32(p.b)}], g)
			if found[i] != nil {
				found[i].A, found[i].B = p.a, p.b
			}
			return nil
		}))
	}
	if err := work.Wait(); err != nil {
		return nil, 0, err
	}
	for _, c := range found {
		if c != nil {
			list = append(list, *c)
		}
	}
	return list, left, nil
}

// pairsMost bounds the time that a scan of many shells in one place can take; a
// maquette of a hundred pieces has some hundreds of pairs near each other.
const pairsMost = 3000

// weldReachMM bounds the gap that a weld is believed to bridge: a weld between
// pieces further apart is rather a piece that was not found. Common practice for
// maquettes, no source.
const weldReachMM = 4

// meet is the contact of two bodies, nil where they do not meet. link is where
// their territories border on each other in the mesh.
func meet(a, b *body, link []r3.Vec, g Grain) *Contact {
	tol := gapTolerance(g, a, b)
	limit := tol
	if bridge, ok := bridged(a, b, link); ok && bridge < weldReachMM {
		limit = max(limit, bridge+tol)
	}
	best, ok := closest(a, b, limit)
	if !ok {
		return nil
	}
	c := &Contact{GapMM: 2 * best.value, AngleDeg: math.NaN()}
	for _, x := range [2][2]*body{{a, b}, {b, a}} {
		if x[0].scan != nil { // how deep a scan lies in another piece cannot be told
			c.GapMM = max(x[0].scan.least(x[1]), -tol)
		}
	}
	s := newSeam(a, b, max(c.GapMM, 0), tol)
	s.find()
	s.describe(c, best)
	return c
}

// bridged is the least way from a to b over a point where weld joins them.
func bridged(a, b *body, link []r3.Vec) (float64, bool) {
	if len(link) < linkLeast {
		return 0, false
	}
	best := math.Inf(1)
	step := len(link)/200 + 1
	for i := 0; i < len(link); i += step {
		q := link[i]
		best = min(best, math.Abs(a.distance(q))+math.Abs(b.distance(q)))
	}
	return best, true
}

// linkLeast is the number of vertices that two bodies must share in the mesh to
// be joined there; fewer may be a stray facet.
const linkLeast = 6

// linked lists, for each pair of bodies that border on each other in the mesh,
// the vertices that they share.
func linked(m *mesh.Mesh, bodies []Body) map[[2]int32][]r3.Vec {
	out := map[[2]int32][]r3.Vec{}
	owner := make([]int32, len(m.Points))
	for i := range bodies {
		for _, faces := range [][]uint32{bodies[i].Faces, bodies[i].Weld} {
			for _, f := range faces {
				for _, v := range m.Faces[f] {
					switch o := owner[v]; {
					case o == 0:
						owner[v] = int32(i) + 1
					case o > 0 && o != int32(i)+1:
						key := [2]int32{min(o-1, int32(i)), max(o-1, int32(i))}
						out[key] = append(out[key], m.At(v))
					}
				}
			}
		}
	}
	return out
}
