package assembly

import (
	"cmp"
	"container/heap"
	"context"
	"math"
	"runtime"
	"slices"

	"golang.org/x/sync/errgroup"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh"
	"pointup/segment/primitive"
)

// Part separates one piece into as many as there are points, each of which lies
// on another piece after all.
//
// faces are the piece's own facets and its weld, rising. Facets first go to the
// point that is nearest along the surface, where a turn inwards counts as a way
// as long as the piece: growth from a point fills its own metal before it climbs
// over a weld. Then, twice, pieces are fitted and each facet goes to the piece on
// whose ideal surface it lies; what lies on none is weld of the nearest.
//
// Shapes: one piece a point, in the points' order; none where a point gets too
// few facets to be a piece.
func Part(ctx context.Context, m *mesh.Mesh, faces []uint32, noiseMM float64, points []r3.Vec, opt primitive.Options) ([]Piece, error) {
	p := primitive.NewPatch(m, faces, noiseMM)
	to := grow(p, seeds(p, points))
	var pieces []Piece
	var last [][]uint32
	for round := 0; round < 3; round++ {
		own, weld := partsOf(p, to, len(points), pieces)
		if slices.EqualFunc(own, last, slices.Equal) {
			break
		}
		last = own
		if slices.ContainsFunc(own, func(f []uint32) bool { return len(f) < partLeast }) {
			return nil, nil
		}
		var err error
		if pieces, err = fitEach(ctx, m, own, noiseMM, opt); err != nil {
			return nil, err
		}
		for k := range pieces {
			pieces[k].Weld = weld[k]
		}
	}
	return pieces, nil
}

// fitEach fits a piece to each list of facets, as many at a time as there are
// processors.
func fitEach(ctx context.Context, m *mesh.Mesh, own [][]uint32, noiseMM float64, opt primitive.Options) ([]Piece, error) {
	out := make([]Piece, len(own))
	g, ctx := errgroup.WithContext(ctx)
	g.SetLimit(runtime.GOMAXPROCS(0))
	for k := range own {
		g.Go(mesh.Guarded(func() error {
			if err := ctx.Err(); err != nil {
				return err
			}
			out[k] = Fit(m, own[k], noiseMM, opt)
			return nil
		}))
	}
	return out, g.Wait()
}

// partLeast is the number of facets that a piece has at least: with fewer no
// primitive can be told from another.
const partLeast = 20

// Fit fits one piece to facets of the mesh, rising.
func Fit(m *mesh.Mesh, faces []uint32, noiseMM float64, opt primitive.Options) Piece {
	q := primitive.NewPatch(m, faces, noiseMM)
	return Piece{Element: primitive.Recognise(q, opt), Faces: faces, Patch: q}
}

// Join makes one piece of the facets of several, rising, and of their weld:
// weld that lies on the surface of the whole is its own.
func Join(m *mesh.Mesh, faces, weld []uint32, noiseMM float64, opt primitive.Options) Piece {
	x := Fit(m, faces, noiseMM, opt)
	x.Weld = weld
	if x.Element.Kind == "freeform" || len(weld) == 0 {
		return x
	}
	p := primitive.NewPatch(m, weld, noiseMM)
	all, rest := slices.Clone(faces), []uint32(nil)
	for i, f := range weld {
		if _, on := liesAt(p, &x, i); on {
			all = append(all, f)
		} else {
			rest = append(rest, f)
		}
	}
	if len(rest) == len(weld) {
		return x
	}
	slices.Sort(all)
	if y := Fit(m, all, noiseMM, opt); y.Element.Kind == x.Element.Kind {
		y.Weld = rest
		return y
	}
	return x
}

// partsOf deals the facets: by growth at first, then by the fitted pieces.
func partsOf(p *primitive.Patch, to []int32, n int, pieces []Piece) (own, weld [][]uint32) {
	own, weld = make([][]uint32, n), make([][]uint32, n)
	for i, f := range p.Face {
		k, isWeld := to[i], false
		if pieces != nil {
			k, isWeld = placeOf(p, pieces, to[i], i)
		}
		if isWeld {
			weld[k] = append(weld[k], f)
		} else {
			own[k] = append(own[k], f)
		}
	}
	return own, weld
}

// seeds are the facets nearest to the points; two points never share one.
func seeds(p *primitive.Patch, points []r3.Vec) []int32 {
	out := make([]int32, len(points))
	for k, q := range points {
		q = r3.Sub(q, p.OriginMM)
		near := math.Inf(1)
		for i, c := range p.FacetC {
			if d := r3.Norm2(r3.Sub(c, q)); d < near && !slices.Contains(out[:k], int32(i)) {
				near, out[k] = d, int32(i)
			}
		}
	}
	return out
}

// grow gives every facet the number of the seed that reaches it first; loose
// islands go with the seed nearest in space.
func grow(p *primitive.Patch, seed []int32) []int32 {
	to, cost := make([]int32, len(p.Facet)), make([]float64, len(p.Facet))
	for i := range to {
		to[i], cost[i] = -1, math.Inf(1)
	}
	q := &front{}
	for k, s := range seed {
		if cost[s] > 0 {
			cost[s], to[s] = 0, int32(k)
			heap.Push(q, reached{0, s})
		}
	}
	for q.Len() > 0 {
		at := heap.Pop(q).(reached)
		if at.cost > cost[at.facet] {
			continue
		}
		for _, g := range p.Next[at.facet] {
			if g < 0 {
				continue
			}
			if c := at.cost + stride(p, at.facet, g); c < cost[g] {
				cost[g], to[g] = c, to[at.facet]
				heap.Push(q, reached{c, g})
			}
		}
	}
	for i := range to {
		if to[i] < 0 {
			to[i] = nearestSeed(p, seed, i)
		}
	}
	return to
}

// stride is the way from a facet to the next: the distance, and where the
// surface turns inwards the piece's size times the turn.
func stride(p *primitive.Patch, a, b int32) float64 {
	d := r3.Sub(p.FacetC[b], p.FacetC[a])
	l := r3.Norm(d)
	turn := r3.Sub(p.FacetS[b], p.FacetS[a])
	if l > 0 && r3.Dot(turn, d) < -0.1*l { // closing: normals lean towards each other
		return l + p.SizeMM*r3.Norm(turn)
	}
	return l
}

func nearestSeed(p *primitive.Patch, seed []int32, facet int) int32 {
	best, near := int32(0), math.Inf(1)
	for k, s := range seed {
		if d := r3.Norm2(r3.Sub(p.FacetC[facet], p.FacetC[s])); d < near {
			near, best = d, int32(k)
		}
	}
	return best
}

// reached is a facet and the cost of the way to it; front hands out the cheapest,
// ties by facet.
type reached struct {
	cost  float64
	facet int32
}

type front []reached

func (f front) Len() int { return len(f) }
func (f front) Less(i, j int) bool {
	return cmp.Or(cmp.Compare(f[i].cost, f[j].cost), cmp.Compare(f[i].facet, f[j].facet)) < 0
}
func (f front) Swap(i, j int) { f[i], f[j] = f[j], f[i] }
func (f *front) Push(x any)   { *f = append(*f, x.(reached)) }
func (f *front) Pop() any {
	old := *f
	x := old[len(old)-1]
	*f = old[:len(old)-1]
	return x
}
