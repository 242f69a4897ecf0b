package assembly

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/segment/primitive"
)

// Rigid takes points of one scan to another: turned, then moved.
type Rigid struct {
	Turn    [3]r3.Vec // rows of the rotation
	ShiftMM r3.Vec
}

// At returns where p goes.
func (g Rigid) At(p r3.Vec) r3.Vec { return r3.Add(g.Dir(p), g.ShiftMM) }

// Dir returns where a direction goes.
func (g Rigid) Dir(v r3.Vec) r3.Vec {
	return r3.Vec{X: r3.Dot(g.Turn[0], v), Y: r3.Dot(g.Turn[1], v), Z: r3.Dot(g.Turn[2], v)}
}

// Registration is how a closer scan of one piece lies in the scan of the whole.
type Registration struct {
	Rigid
	RMSMM float64 // of the points that lie on the whole, square to its surface
	Share float64 // of the closer scan's points that do
	Steps int     // of the refinement

	cost float64 // squares of distances, a bound for points that lie nowhere
}

// View is one scan's reading of a piece.
type View struct {
	Element *primitive.Element
	Patch   *primitive.Patch
}

// How a registration is searched.
const (
	registerScout  = 300  // points that weigh a start
	registerPoints = 3000 // points of the refinement
	registerStarts = 6    // starts that are refined
	registerSteps  = 40
	registerShare  = 0.6 // least share of points on the whole
)

// Register finds the rigid motion that lays the closer scan onto the whole.
//
// The primitives that were fitted to both give the starts: frame onto frame, in
// both senses of the axis and at the turns about it that the kind leaves open. The
// best few are refined: least squares of the distances from the whole's tangent
// planes (Chen and Medioni, Image and Vision Computing 10 (1992) 145), the farthest
// points left out. What turns or slides freely, such as a plain bar about its
// axis, stays where its start put it. ok is false where under 60 % of the points
// come to lie on the whole within a few times both scans' noise and facets.
func Register(part, whole View) (Registration, bool) {
	var none Registration
	if len(part.Patch.P) < 10 || len(whole.Patch.Facet) < 10 || part.Element.Frame.Axis == (r3.Vec{}) || whole.Element.Frame.Axis == (r3.Vec{}) {
		return none, false
	}
	tree := newFacetTree(whole.Patch)
	type start struct {
		g   Rigid
		off float64
	}
	var list []start
	scout := sampled(part.Patch, registerScout)
	for _, g := range starts(part.Element.Frame, whole.Element.Frame, whole.Element) {
		list = append(list, start{g, tree.off(scout, g)})
	}
	slices.SortStableFunc(list, func(a, b start) int { return cmp.Compare(a.off, b.off) })
	points := sampled(part.Patch, registerPoints)
	best := Registration{RMSMM: math.Inf(1), cost: math.Inf(1)}
	reach := 0.5*whole.Patch.EdgeMM + 6*math.Hypot(part.Patch.NoiseMM, whole.Patch.NoiseMM) + 1e-4*whole.Patch.SizeMM
	for i := range list[:min(registerStarts, len(list))] {
		r := tree.refine(points, list[i].g, reach)
		if r.cost < best.cost {
			best = r
		}
	}
	return best, best.Share >= registerShare && !math.IsInf(best.RMSMM, 0)
}

// starts are the motions of frame a onto b.
func starts(a, b primitive.Frame, e *primitive.Element) []Rigid {
	turns := 4
	switch e.Kind {
	case "tube", "bar", "disc", "ring", "coil", "cone", "sphere", "profile":
		turns = 24
	case "toothed_wheel":
		if n, ok := e.Dim("tooth_count"); ok && n >= 4 {
			turns = int(min(n, 200))
		}
	}
	froms := []primitive.Frame{a}
	if e.Kind == "freeform" || e.Kind == "sphere" { // any side of its box may be the longest in another scan
		v := r3.Cross(a.Axis, a.Ref)
		froms = append(froms, primitive.Frame{OriginMM: a.OriginMM, Axis: a.Ref, Ref: v}, primitive.Frame{OriginMM: a.OriginMM, Axis: v, Ref: a.Axis})
		turns = 8
	}
	var out []Rigid
	for _, f := range froms {
		for _, sense := range []float64{1, -1} {
			for k := range turns {
				sin, cos := math.Sincos(2 * math.Pi * float64(k) / float64(turns))
				v := r3.Cross(b.Axis, b.Ref)
				ref := r3.Add(r3.Scale(cos, b.Ref), r3.Scale(sin, v))
				out = append(out, onto(f, primitive.Frame{OriginMM: b.OriginMM, Axis: r3.Scale(sense, b.Axis), Ref: ref}))
			}
		}
	}
	return out
}

// onto takes frame a to frame b.
func onto(a, b primitive.Frame) Rigid {
	from := [3]r3.Vec{a.Ref, r3.Cross(a.Axis, a.Ref), a.Axis}
	to := [3]r3.Vec{b.Ref, r3.Cross(b.Axis, b.Ref), b.Axis}
	var g Rigid
	for k := range from {
		g.Turn[0] = r3.Add(g.Turn[0], r3.Scale(to[k].X, from[k]))
		g.Turn[1] = r3.Add(g.Turn[1], r3.Scale(to[k].Y, from[k]))
		g.Turn[2] = r3.Add(g.Turn[2], r3.Scale(to[k].Z, from[k]))
	}
	g.ShiftMM = r3.Sub(b.OriginMM, g.Dir(a.OriginMM))
	return g
}

// oriented is a point with its normal.
type oriented struct{ p, n r3.Vec }

// sampled takes about n vertices in canonical order, in SCAN.
func sampled(p *primitive.Patch, n int) []oriented {
	var out []oriented
	for i := 0; i < len(p.P); i += len(p.P)/n + 1 {
		if r3.Norm(p.N[i]) > 0.5 {
			out = append(out, oriented{r3.Add(p.OriginMM, p.P[i]), p.N[i]})
		}
	}
	return out
}
