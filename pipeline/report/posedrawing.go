package report

import (
	"cmp"
	"fmt"
	"html/template"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/result"
)

// wires are the edges of the pieces of stock, each with the normals of its two
// facets, for drawings of single poses.
type wires struct {
	ids   []string
	edges []wireEdge
}

type wireEdge struct {
	a, b   r3.Vec
	m, n   r3.Vec // of the facets beside it; n is 0 where it has but one
	number uint16 // 1 for the first of ids
}

// sharpCos is the cosine of the turn from which an edge is drawn from every side: 37
// degrees, more than the steps of a curve's facets and less than a square corner (ours).
const sharpCos = 0.8

// wiresOf takes the edges of the layer of stock; none where there is none.
func wiresOf(s *Scene) wires {
	var w wires
	if s == nil {
		return w
	}
	i := slices.IndexFunc(s.Layers, func(l Layer) bool { return l.Name == "stock" })
	if i < 0 {
		return w
	}
	for _, p := range s.Pieces {
		w.ids = append(w.ids, p.ID)
	}
	l := s.Layers[i]
	at := func(k uint32) r3.Vec {
		q := l.Points[k]
		return r3.Vec{X: float64(q[0]), Y: float64(q[1]), Z: float64(q[2])}
	}
	first := map[[2]uint32]int{}
	for t, f := range l.Triangles {
		n := r3.Cross(r3.Sub(at(f[1]), at(f[0])), r3.Sub(at(f[2]), at(f[0])))
		if r3.Norm2(n) == 0 {
			continue
		}
		n = r3.Unit(n)
		for k := range 3 {
			a, b := f[k], f[(k+1)%3]
			key := [2]uint32{min(a, b), max(a, b)}
			if e, ok := first[key]; ok {
				w.edges[e].n = n
				continue
			}
			first[key] = len(w.edges)
			w.edges = append(w.edges, wireEdge{a: at(a), b: at(b), m: n, number: l.Piece[t]})
		}
	}
	return w
}

// looking is a parallel view: what lies to the right and up on the sheet.
type looking struct{ right, up r3.Vec }

// path draws the edges of some pieces that are outlines in a view or sharp, hidden
// ones too; place puts a point of the view on the sheet. Lines too short to be told
// are left out.
func (w wires) path(ids []string, v looking, place func(x, y float64) (float64, float64)) string {
	shown := make([]bool, len(w.ids)+1)
	for i, id := range w.ids {
		shown[i+1] = slices.Contains(ids, id)
	}
	towards := r3.Cross(v.right, v.up)
	var b strings.Builder
	for _, e := range w.edges {
		smooth := r3.Dot(e.m, e.n) > sharpCos
		if !shown[e.number] || smooth && r3.Dot(e.m, towards)*r3.Dot(e.n, towards) > -1e-12 {
			continue
		}
		x0, y0 := place(r3.Dot(e.a, v.right), r3.Dot(e.a, v.up))
		x1, y1 := place(r3.Dot(e.b, v.right), r3.Dot(e.b, v.up))
		if math.Hypot(x1-x0, y1-y0) >= 0.4 {
			fmt.Fprintf(&b, "M%.1f %.1fL%.1f %.1f", x0, y0, x1, y1)
		}
	}
	return b.String()
}

// span is the box of some pieces in a view.
func (w wires) span(ids []string, v looking) (lo, hi [2]float64) {
	lo, hi = [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
	for _, e := range w.edges {
		if e.number == 0 || !slices.Contains(ids, w.ids[e.number-1]) {
			continue
		}
		for _, q := range []r3.Vec{e.a, e.b} {
			for k, x := range []float64{r3.Dot(q, v.right), r3.Dot(q, v.up)} {
				lo[k], hi[k] = min(lo[k], x), max(hi[k], x)
			}
		}
	}
	return lo, hi
}

// posesDrawn is how many lifts are drawn, the heaviest first.
const posesDrawn = 6

// withPoses adds the drawings of sections and lifts to their parts.
func withPoses(list []part, doc result.Document, s *Scene) []part {
	w := wiresOf(s)
	if len(w.edges) == 0 {
		return list
	}
	for i := range list {
		switch list[i].ID {
		case "sections":
			for k, x := range doc.Sections.Sections {
				if d, ok := w.section(k, x, doc); ok {
					list[i].Drawings = append(list[i].Drawings, d)
				}
			}
		case "weights":
			drawn := 0
			lifts := slices.Clone(doc.Rig.Lifts)
			slices.SortStableFunc(lifts, func(a, b result.Lift) int { return cmp.Compare(b.LoadKG, a.LoadKG) })
			for _, x := range lifts {
				if ids := w.loadOf(x); len(x.Legs) > 1 && x.HookMM != nil && ids != nil && drawn < posesDrawn {
					drawn++
					list[i].Drawings = append(list[i].Drawings, w.lift(x, ids))
				}
			}
		}
	}
	return list
}

// loadOf is what hangs in a lift, nil where it is neither a piece nor the whole.
func (w wires) loadOf(x result.Lift) []string {
	if x.Of == "whole" {
		return w.ids
	}
	if slices.Contains(w.ids, x.Of) {
		return []string{x.Of}
	}
	return nil
}

// section draws a section as it lies, from the side and from behind, in the job's
// envelope.
func (w wires) section(k int, x result.Load, doc result.Document) (drawing, bool) {
	if x.Down == nil || x.Along == nil {
		return drawing{}, false
	}
	up, along := r3.Scale(-1, vectorOf(*x.Down)), vectorOf(*x.Along)
	const wide, high, left, gap = 900.0, 230.0, 30.0, 60.0
	length, width, tall := float64(x.LengthMM), float64(x.WidthMM), float64(x.HeightMM)
	if h := doc.Job.Haul; h != nil && h.EnvelopeMM != nil {
		e := h.EnvelopeMM
		length, width, tall = max(length, e[0]), max(width, e[1]), max(tall, e[2])
	}
	scale := min((wide-2*left-gap)/(length+width), (high-50)/tall)
	var b strings.Builder
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %.0f %.0f" font-size="12" fill="none" stroke="currentColor" stroke-width="0.7">`, wide, high)
	at := left
	for _, p := range []struct {
		v       looking
		room    float64
		caption string
	}{{looking{along, up}, length, "from the side"}, {looking{r3.Cross(along, up), up}, width, "from behind"}} {
		lo, hi := w.span(x.Elements, p.v)
		mid, floor := at+scale*p.room/2, high-30
		place := func(u, v float64) (float64, float64) {
			return mid + scale*(u-(lo[0]+hi[0])/2), floor - scale*(v-lo[1])
		}
		fmt.Fprintf(&b, `<path d="%s"/><path stroke-dasharray="6 4" d="M%.1f %.1fv%.1fh%.1fv%.1f"/><path stroke-width="1.6" d="M%.1f %.1fh%.1f"/>`, w.path(x.Elements, p.v, place),
			at, floor, -scale*tall, scale*p.room, scale*tall, at-10, floor, scale*p.room+20)
		fmt.Fprintf(&b, `<text x="%.1f" y="%.1f" fill="currentColor" stroke="none">%s</text>`, at, floor+18, p.caption)
		at += scale*p.room + gap
	}
	b.WriteString(`</svg>`)
	return drawing{SVG: template.HTML(b.String()), Alt: fmt.Sprintf("Section %d as it lies on its bed, from the side and from behind, in the envelope.", k+1),
		Caption: fmt.Sprintf("Section %d as it lies, %s × %s × %s mm, %s kg; dashed: the job's envelope. Edges that are hidden are drawn too. Preliminary: a competent person checks how it is carried and lashed.", k+1,
			fixed(float64(x.LengthMM), 0), fixed(float64(x.WidthMM), 0), fixed(float64(x.HeightMM), 0), fixed(float64(x.Mass.MassKG), 0))}, true
}

// lift draws a load under its hook, from the level side that shows the legs widest.
func (w wires) lift(x result.Lift, ids []string) drawing {
	hook := pointOf(*x.HookMM)
	right, far := r3.Vec{X: 1}, 0.0
	for _, g := range x.Legs {
		d := r3.Sub(pointOf(g.AtMM), hook)
		d.Z = 0
		if r3.Norm(d) > far {
			right, far = r3.Unit(d), r3.Norm(d)
		}
	}
	v := looking{right, r3.Vec{Z: 1}}
	lo, hi := w.span(ids, v)
	hi[1] = max(hi[1], hook.Z)
	const wide, high = 560.0, 300.0
	scale := min((wide-260)/max(hi[0]-lo[0], 1), (high-50)/max(hi[1]-lo[1], 1))
	place := func(a, b float64) (float64, float64) {
		return wide/2 + scale*(a-(lo[0]+hi[0])/2), high - 20 - scale*(b-lo[1])
	}
	var b strings.Builder
	hx, hy := place(r3.Dot(hook, right), hook.Z)
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %.0f %.0f" font-size="12" fill="none" stroke="currentColor" stroke-width="0.7"><path d="%s"/><path stroke-dasharray="4 3" d="M%.1f %.1fV4"/><circle cx="%.1f" cy="%.1f" r="4" stroke-width="1.4"/>`,
		wide, high, w.path(ids, v, place), hx, hy, hx, hy)
	for _, g := range x.Legs {
		q := pointOf(g.AtMM)
		lx, ly := place(r3.Dot(q, right), q.Z)
		fmt.Fprintf(&b, `<path stroke-width="1.6" d="M%.1f %.1fL%.1f %.1f"/>`, hx, hy, lx, ly)
	}
	b.WriteString(`</svg>`)
	var legs []string
	for _, g := range x.Legs {
		legs = append(legs, fmt.Sprintf("%s mm at %s° with %s kN", fixed(float64(g.LengthMM), 0), fixed(float64(g.AngleDeg), 0), fixed(float64(g.TensionN)/1000, 1)))
	}
	return drawing{SVG: template.HTML(b.String()), Alt: "The load " + x.Of + " under its hook with the legs of the sling.",
		Caption: fmt.Sprintf("%s, %s kg with the dynamic factor, under one hook; legs %s. Seen level, from the side that shows the legs widest. Preliminary: a competent person plans and checks the lift.", x.Of, fixed(float64(x.LoadKG), 0), strings.Join(legs, ", "))}
}

func pointOf(p result.Point) r3.Vec {
	return r3.Vec{X: float64(p[0]), Y: float64(p[1]), Z: float64(p[2])}
}

func vectorOf(v result.Vector) r3.Vec {
	return r3.Vec{X: float64(v[0]), Y: float64(v[1]), Z: float64(v[2])}
}
