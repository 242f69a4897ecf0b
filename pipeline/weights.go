package pipeline

import (
	"context"
	"math"
	"runtime"

	"golang.org/x/sync/errgroup"

	"pointup/mesh"
	"pointup/pipeline/result"
	"pointup/pipeline/rig"
	"pointup/pipeline/shop"
	"pointup/pipeline/solid"
	"pointup/pipeline/stock"
)

// weighed gives every as-stock piece of which a closed solid and a mass are known its
// centre of gravity and the range of its mass.
func (w *work) weighed(ctx context.Context) ([]rig.Body, error) {
	parts := w.metal.assembly.Parts
	found := make([]*rig.Body, len(parts))
	if err := eachOf(ctx, len(parts), func(i int) (err error) {
		found[i], err = w.bodyOf(parts[i], w.metal.massKG[i])
		return err
	}); err != nil {
		return nil, err
	}
	var out []rig.Body
	for _, b := range found {
		if b != nil {
			out = append(out, *b)
		}
	}
	return out, nil
}

// bodyOf is one piece as a body of mass kg; nil where it has no closed solid or no
// mass is known.
func (w *work) bodyOf(p stock.Part, kg float64) (*rig.Body, error) {
	best, _, err := w.solidFor(p, false)
	if err != nil || best.shape == nil || kg <= 0 {
		return nil, nil
	}
	m, err := meshOf(best, bodyChord*w.partSize(p))
	if err != nil || m.Closed() != nil {
		return nil, nil
	}
	is, err := rig.Measure(m.Points, m.Triangles)
	if err != nil {
		return nil, nil
	}
	plain := solid.Thin(m, plainFacets)
	if plain.Closed() != nil {
		plain = m
	}
	b := rig.Body{ID: p.ID, CentreMM: is.CentreMM, Points: plain.Points, Triangles: plain.Triangles}
	b.MassLowKG, b.MassKG, b.MassHighKG, err = rig.DefaultAllowance().Range(kg)
	return &b, err
}

// eachOf does something for [0,n), as many at a time as there are processors; each
// writes to its own place.
func eachOf(ctx context.Context, n int, do func(i int) error) error {
	g, ctx := errgroup.WithContext(ctx)
	g.SetLimit(runtime.GOMAXPROCS(0))
	for i := range n {
		g.Go(mesh.Guarded(func() error {
			if err := ctx.Err(); err != nil {
				return err
			}
			return do(i)
		}))
	}
	return g.Wait()
}

// bodyChord is how far triangles leave a curved piece, of its size: the centre of
// gravity is then off by less than a thousandth of it.
const bodyChord = 0.001

// plainFacets are those of a piece where only outlines matter: resting, lugs,
// slings. Of the demo's pieces a coil then lacks 0.7 % of its size, the pierced
// screen 1.6 % (200 facets: 4.7 and 3.8 %); more facets cost minutes where sections
// are sought.
const plainFacets = 1200

// shopBodies are the same for the workshop, aligned with the parts, with the
// points where a punch finds them.
func (w *work) shopBodies(bodies []rig.Body) []shop.Body {
	out := make([]shop.Body, len(w.metal.assembly.Parts))
	for _, b := range bodies {
		i := w.indexOf(b.ID)
		if i < 0 {
			continue
		}
		out[i] = shop.Body{MassKG: b.MassKG, CentreMM: b.CentreMM}
		if best, _, err := w.solidFor(w.metal.assembly.Parts[i], false); err == nil && best.shape != nil {
			if points, err := shop.PunchPoints(best.frame, best.shape); err == nil {
				out[i].PointsMM = points
			}
		}
	}
	return out
}

// rigDoc writes masses and centres of gravity, of each piece and of the whole.
func (w *work) rigDoc() *result.Rig {
	bodies := w.metal.bodies
	if len(bodies) == 0 {
		return nil
	}
	out := &result.Rig{Assumptions: rig.DefaultAllowance().Says(), Cautions: result.List[string]{rig.Preliminary,
		"weigh the first piece or section before the rest is lifted: mass and centre of gravity are the two inputs that break lifts"}}
	known := map[string]bool{}
	for _, b := range bodies {
		known[b.ID] = true
		if m, err := rig.MassOf([]rig.Body{b}); err == nil { // bodies are sound: weighed measured them
			out.Pieces = append(out.Pieces, weighedDoc(b.ID, m))
		}
	}
	if m, err := rig.MassOf(bodies); err == nil {
		whole := weighedDoc("", m)
		out.Whole = &whole
		out.Assumptions = append(out.Assumptions, m.Assumptions...)
	}
	out.Lifts, out.Turns = w.liftDocs(), w.turnDocs()
	for i := range w.elements {
		if id := w.elements[i].id; !known[id] {
			out.Unknown = append(out.Unknown, id)
		}
	}
	return out
}

func weighedDoc(id string, m rig.Mass) result.Weighed {
	return result.Weighed{ID: id, MassKG: result.KG(m.MassKG), LowKG: result.KG(m.MassLowKG), HighKG: result.KG(m.MassHighKG), CentreMM: point(m.CentreMM),
		WithinMM: result.Bounds{Min: point(m.BoxMM[0]), Max: point(m.BoxMM[1])}}
}

// jointsDoc writes where pieces are welded, and what hangs on each seam.
func (w *work) jointsDoc() result.List[result.WeldJoint] {
	id := func(i int) string { return w.metal.scan[i].ID }
	out := result.List[result.WeldJoint]{}
	for _, j := range w.metal.joints {
		x := result.WeldJoint{A: id(j.A), B: id(j.B), Kind: j.Kind, LengthMM: result.MM(j.LengthMM), Runs: j.Runs, AtMM: point(j.AtMM), ThickMM: result.MM(j.ThickMM),
			LegMM: result.MM(j.LegMM), WeldKG: result.KG(j.MassKG), OpenLeastDeg: result.Deg(j.OpenDeg[0]), OpenMostDeg: result.Deg(j.OpenDeg[2]), TightMM: result.MM(j.TightMM)}
		if h := j.Hangs; h.Part >= 0 && h.MassKG > 0 {
			x.Hangs = &result.Hanging{Element: id(h.Part), Pieces: h.Parts, Alone: h.Alone, MassKG: result.KG(h.MassKG), ArmMM: result.MM(h.ArmMM), Use: finiteShare(h.Use)}
		}
		if r := j.Remedy; r != nil {
			x.Remedy = &result.Remedy{Kind: r.Kind, LengthMM: result.MM(r.LengthMM), DiameterMM: result.MM(r.DiameterMM), ThickMM: result.MM(r.ThickMM), Why: r.Why}
		}
		out = append(out, x)
	}
	return out
}

// finiteShare leaves out what has no number: a seam that carries nothing.
func finiteShare(x float64) *result.Factor {
	if x > 1e6 || math.IsNaN(x) {
		return nil
	}
	f := result.Factor(x)
	return &f
}
