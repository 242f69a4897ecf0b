package drawings

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/draw"
)

// Mark is a piece of the whole with what it is called on the floor.
type Mark struct {
	Mark  string
	Piece Piece
}

// whole is the work as it stands, in its views.
type whole struct {
	marks  []Mark
	bodies []body
	views  []aspect
	boxes  []box
	full   float64
}

// site leaves a shape where its frame has it.
func (p Piece) site() place { return func(q r3.Vec) r3.Vec { return p.Frame.Point(q.X, q.Y, q.Z) } }

// newWhole has the bodies of the work for drawing it at a scale; a piece of which
// no solid can be made is left out.
func newWhole(marks []Mark, full float64, third bool, slots ...slot) *whole {
	w := &whole{full: full, views: aspects(r3.Vec{X: 1}, r3.Vec{Z: 1}, third, slots...)}
	for _, m := range marks {
		b, err := bodyOf(m.Piece.Shape, m.Piece.site(), 0.3*finenessMM*full)
		if err != nil || len(b.points) == 0 {
			continue
		}
		w.marks, w.bodies = append(w.marks, m), append(w.bodies, b)
	}
	for _, a := range w.views {
		w.boxes = append(w.boxes, boxOf(w.bodies, a.view))
	}
	return w
}

// extent is the box of all marks in SITE by coarse meshes.
func extent(marks []Mark) (lo, hi r3.Vec) {
	inf := math.Inf(1)
	lo, hi = r3.Vec{X: inf, Y: inf, Z: inf}, r3.Vec{X: -inf, Y: -inf, Z: -inf}
	for _, m := range marks {
		for _, q := range meshPoints(m.Piece) {
			lo = r3.Vec{X: min(lo.X, q.X), Y: min(lo.Y, q.Y), Z: min(lo.Z, q.Z)}
			hi = r3.Vec{X: max(hi.X, q.X), Y: max(hi.Y, q.Y), Z: max(hi.Z, q.Z)}
		}
	}
	return lo, hi
}

// meshPoints are points on a piece in SITE, exact to a thousandth of its size.
func meshPoints(p Piece) []r3.Vec {
	m, err := p.Shape.Mesh(max(r3.Norm(r3.Sub(p.Part.BoxMM[1], p.Part.BoxMM[0])), 1) / 1000)
	if err != nil {
		return nil
	}
	to := p.site()
	out := make([]r3.Vec, len(m.Points))
	for i, q := range m.Points {
		out[i] = to(q)
	}
	return out
}

// Around a view of the whole, mm of paper: for heights, overall sizes and balloons.
const (
	heightsMM = 34
	overallMM = 16
	balloonMM = 24
)

// scaleOf is the largest scale at which front, side and plan fit into a room with
// what stands round them, 0 where none does.
func scaleOf(lo, hi r3.Vec, wide, high float64) float64 {
	for _, k := range scales() {
		w := (hi.X-lo.X+hi.Y-lo.Y)/k + heightsMM + 2*balloonMM + 2*betweenMM
		h := (hi.Z-lo.Z+hi.Y-lo.Y)/k + 2*overallMM + betweenMM
		if w <= wide && h <= high {
			return k
		}
	}
	return 0
}

// drawWhole draws front, side and plan into the room, with overall sizes, heights
// over the ground and a balloon for each mark; it returns marks that found no
// room for theirs.
func (p *paper) drawWhole(w *whole, wr writer, room box) (left []string) {
	k := w.full
	at := make([][2]float64, len(w.views))
	size := func(i int) [2]float64 { return [2]float64{w.boxes[i].wide() / k, w.boxes[i].high() / k} }
	// The front view stands left of the middle, its plan above or below it.
	used := [2]float64{heightsMM + size(0)[0] + size(1)[0] + 2*balloonMM + betweenMM, size(0)[1] + size(2)[1] + 2*overallMM + betweenMM}
	x := room.lo[0] + heightsMM + max(0, (room.wide()-used[0])/2)
	y := room.lo[1] + overallMM + max(0, (room.high()-used[1])/2)
	if !p.third {
		y += size(2)[1] + betweenMM + overallMM/2
	}
	put := func(i int, x, y float64) { at[i] = [2]float64{x - w.boxes[i].lo[0]/k, y - w.boxes[i].lo[1]/k} }
	put(0, x, y)
	put(1, x+size(0)[0]+balloonMM+betweenMM, y)
	if p.third {
		put(2, x, y+size(0)[1]+betweenMM+4)
	} else {
		put(2, x, y-overallMM/2-4-betweenMM-size(2)[1])
	}
	who := make([]*depths, len(w.views))
	for i, a := range w.views {
		pr := project(w.bodies, a.view, finenessMM*k, false)
		who[i] = pr.cells
		for _, line := range pr.paths {
			p.path(line, draw.Outline, k, at[i])
		}
	}
	p.overall(w, wr, at)
	p.heights(w, wr, at[0])
	return p.balloons(w, who, at)
}

// overall are width, depth and height of the whole.
func (p *paper) overall(w *whole, wr writer, at [][2]float64) {
	k := w.full
	for i, b := range w.boxes {
		o := box{[2]float64{b.lo[0] / k, b.lo[1] / k}, [2]float64{b.hi[0] / k, b.hi[1] / k}}
		c := newCanvas()
		one := func(s side, mm float64) {
			a, z := o.lo, [2]float64{o.hi[0], o.lo[1]}
			if s == right {
				a, z = [2]float64{o.hi[0], o.lo[1]}, o.hi
			}
			t := wr.length(mm)
			c.beside([]span{{from: a, to: z, text: t, width: draw.TextWidthMM(t, p.textMM), before: s == right && !p.third}}, s, o, p.textMM)
		}
		switch w.views[i].slot {
		case front, beside:
			one(below, b.wide())
		case plan:
			one(right, b.high())
		}
		p.add(c, at[i])
	}
}

// heights stand at the left of the front view: the ground, the top, and between
// them the tops of pieces, the highest first, as far as there is room for them.
func (p *paper) heights(w *whole, wr writer, at [2]float64) {
	k := w.full
	b := w.boxes[0]
	var tops []float64
	for _, b := range w.bodies {
		tops = append(tops, boxOf([]body{b}, w.views[0].view).hi[1])
	}
	slices.SortFunc(tops, func(a, b float64) int { return cmp.Compare(b, a) })
	shown := []float64{b.hi[1], min(0, b.lo[1])}
	for _, z := range tops {
		if !slices.ContainsFunc(shown, func(o float64) bool { return math.Abs(o-z)/k < 1.7*p.textMM }) {
			shown = append(shown, z)
		}
	}
	x := at[0] + b.lo[0]/k - 4
	for _, z := range shown {
		y := at[1] + z/k
		t := wr.length(z)
		width := draw.TextWidthMM(t, p.textMM)
		p.line(draw.Thin, [2]float64{x - width - 3, y}, [2]float64{x + 3, y})
		p.text(t, x-width-2.5, y+0.3*p.textMM, p.textMM, false, false)
	}
	p.line(draw.Thin, [2]float64{x, at[1] + min(0, b.lo[1])/k}, [2]float64{x, at[1] + b.hi[1]/k})
	p.arrow([2]float64{x, at[1] + b.hi[1]/k}, math.Pi/2)
	g := at[1] + min(0, b.lo[1])/k
	p.items = append(p.items, draw.Item{Layer: draw.Axis, Shape: draw.Segment(x-8, g, at[0]+b.hi[0]/k+6, g)})
}

// target is where a mark's leader ends.
type target struct {
	mark string
	view int
	at   [2]float64
	size int // cells that show it
}

// balloonR is the radius of a balloon, and apartMM how far their middles stand.
const (
	balloonR = 3.6
	apartMM  = 8.2
)

// overMM is how far over a view its balloons may stand.
const overMM = 30

// balloons give each mark one, in the view that shows most of it, at the right of
// that view, of the plan at its left (ISO 6433: item references in one line, leaders that do not cross).
func (p *paper) balloons(w *whole, who []*depths, at [][2]float64) (left []string) {
	best := map[string]target{}
	var order []string
	for i := range w.views {
		for n, t := range visible(who[i], len(w.bodies)) {
			m := w.marks[n].Mark
			// In the plan only what the others do not show.
			if old, known := best[m]; t.size > 0 && (!known || t.size > old.size && w.views[i].slot != plan) {
				if !known {
					order = append(order, m)
				}
				t.mark, t.view = m, i
				t.at = [2]float64{t.at[0]/w.full + at[i][0], t.at[1]/w.full + at[i][1]}
				best[m] = t
			}
		}
	}
	for i, v := range w.views {
		var list []target
		for _, m := range order {
			if best[m].view == i {
				list = append(list, best[m])
			}
		}
		b := w.boxes[i]
		lo, hi := at[i][1]+b.lo[1]/w.full, at[i][1]+b.hi[1]/w.full
		if v.slot != plan {
			hi = min(hi+overMM, p.room.hi[1]-balloonR)
		}
		most := max(1, int((hi-lo)/apartMM)+1)
		slices.SortStableFunc(list, func(a, b target) int { return cmp.Compare(b.size, a.size) })
		for len(list) > most {
			left = append(left, list[len(list)-1].mark)
			list = list[:len(list)-1]
		}
		slices.SortStableFunc(list, func(a, b target) int { return cmp.Compare(a.at[1], b.at[1]) })
		x := at[i][0] + b.hi[0]/w.full + balloonMM - balloonR - 4
		if v.slot == plan {
			x = at[i][0] + b.lo[0]/w.full - 14
		}
		for n, y := range spaced(list, lo, hi) {
			p.balloon(list[n], x, y)
		}
	}
	for _, m := range w.marks {
		if _, known := best[m.Mark]; !known && !slices.Contains(left, m.Mark) {
			left = append(left, m.Mark)
		}
	}
	slices.Sort(left)
	return left
}

// spaced are heights near to the targets', rising, apartMM apart, within lo and hi
// where they find room there.
func spaced(list []target, lo, hi float64) []float64 {
	out := make([]float64, len(list))
	for i, t := range list {
		out[i] = t.at[1]
		if i > 0 {
			out[i] = max(out[i], out[i-1]+apartMM)
		}
	}
	for i := len(out) - 1; i >= 0; i-- {
		most := hi
		if i+1 < len(out) {
			most = out[i+1] - apartMM
		}
		out[i] = min(out[i], most)
	}
	if len(out) > 0 && out[0] < lo {
		for i := range out {
			out[i] = max(out[i], lo+apartMM*float64(i))
		}
	}
	return out
}

func (p *paper) balloon(t target, x, y float64) {
	d := [2]float64{t.at[0] - x, t.at[1] - y}
	l := math.Hypot(d[0], d[1])
	rim := [2]float64{x + balloonR*d[0]/l, y + balloonR*d[1]/l}
	p.line(draw.Thin, rim, t.at)
	dot := draw.Contour{Closed: true, Filled: true, Vertices: []draw.Vertex{{At: [2]float64{t.at[0] - 0.5, t.at[1]}, SweepRad: math.Pi}, {At: [2]float64{t.at[0] + 0.5, t.at[1]}, SweepRad: math.Pi}}}
	p.items = append(p.items, draw.Item{Layer: draw.Thin, Shape: dot}, draw.Item{Layer: draw.Thin, Shape: draw.Circle(x, y, balloonR)})
	h := min(2.5, 2.5*(2*balloonR-1)/draw.TextWidthMM(t.mark, 2.5))
	p.text(t.mark, x, y-h/2, h, true, false)
}

// visible is where each body shows: the cell of its own that is nearest to the
// middle of all of them.
func visible(d *depths, n int) []target {
	out := make([]target, n)
	sum := make([][2]float64, n)
	for i := range d.near {
		if w := d.body(i); w >= 0 {
			sum[w][0] += float64(i % d.wide)
			sum[w][1] += float64(i / d.wide)
			out[w].size++
		}
	}
	least := make([]float64, n)
	for i := range least {
		least[i] = math.Inf(1)
	}
	for i := range d.near {
		w := d.body(i)
		if w < 0 {
			continue
		}
		k := float64(out[w].size)
		x, y := float64(i%d.wide), float64(i/d.wide)
		if off := math.Hypot(x-sum[w][0]/k, y-sum[w][1]/k); off < least[w] {
			least[w] = off
			out[w].at = [2]float64{d.lo[0] + (x+0.5)*d.cellMM, d.lo[1] + (y+0.5)*d.cellMM}
		}
	}
	return out
}
