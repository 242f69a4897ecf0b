package primitive

import (
	"math"
	"slices"
)

// Where weld joins a plate's edge flush with a face, the face seems to go on over
// it, past the line on which the edge is seen beside. All metal lies on the inner
// side of such a line, if all wall does.
const (
	edgeLean   = 6    // deg, of normals of one side
	edgeBeyond = 0.04 // share of the wall's points beyond the line, at most
	edgeSeen   = 0.15 // of the outline's extent along the line, where the wall is on it
	edgeLook   = 2000 // points that tell where the outermost line is
	edgeCut    = 0.15 // of the outline's area, which is what weld may have added
)

// wallLine is a straight side: the outward normal and the distance along it.
type wallLine struct {
	n [2]float64
	d float64
}

func (l wallLine) past(q [2]float64) float64 { return l.n[0]*q[0] + l.n[1]*q[1] - l.d }

// faces tells that a normal is that of the line.
func (l wallLine) faces(n [2]float64) bool {
	return n[0]*l.n[0]+n[1]*l.n[1] > math.Cos(edgeLean*math.Pi/180)
}

// trimToWalls moves what of the outline lies past a straight side of the wall back to
// it. Nearer than four standard deviations of the noise, or a fifth of a facet as edges
// are rounded, it is on the side; a wall of few points cannot tell what is next to none.
func (w *wallLoop) trimToWalls(p *Patch) {
	if p.OpenEdges == 0 || len(w.Point) < 3*int(1/edgeBeyond) {
		return
	}
	tol := max(4*p.NoiseMM, 0.2*p.EdgeMM)
	for _, l := range w.straightSides(tol) {
		cut := slices.Clone(w.Chain)
		for i, q := range cut {
			if h := l.past(q); h > tol {
				cut[i] = [2]float64{q[0] - h*l.n[0], q[1] - h*l.n[1]}
			}
		}
		if a := polygonAreaMM2(cut); a < w.AreaMM2 && a >= (1-edgeCut)*w.AreaMM2 {
			w.Chain, w.AreaMM2 = cut, a
			w.dropPast(l, tol)
		}
	}
}

// dropPast leaves out the wall's points past a line: the side of a weld.
func (w *wallLoop) dropPast(l wallLine, tol float64) {
	point, normal := w.Point[:0:0], w.Normal[:0:0]
	for i, q := range w.Point {
		if l.past(q) <= tol {
			point, normal = append(point, q), append(normal, w.Normal[i])
		}
	}
	w.Point, w.Normal = point, normal
}

// straightSides are the lines on which a good part of the wall lies and past which
// there is next to none of it.
func (w *wallLoop) straightSides(tol float64) []wallLine {
	const ways = 360 / (edgeLean / 2)
	var facing [ways]int
	for _, n := range w.Normal {
		facing[turnOf(n, ways)]++
	}
	var out []wallLine
	for k, n := range facing {
		if before, after := facing[(k+ways-1)%ways], facing[(k+1)%ways]; n == 0 || n < before || n <= after {
			continue
		}
		sin, cos := math.Sincos((float64(k)+0.5)/ways*2*math.Pi - math.Pi)
		if l, ok := w.sideFacing([2]float64{cos, sin}, tol); ok {
			out = append(out, l)
		}
	}
	return out
}

func turnOf(n [2]float64, ways int) int {
	return min(int((math.Atan2(n[1], n[0])/(2*math.Pi)+0.5)*float64(ways)), ways-1)
}

// sideFacing fits the outermost line of the wall that faces about along n.
func (w *wallLoop) sideFacing(n [2]float64, tol float64) (l wallLine, ok bool) {
	l.n = n
	for pass := range 4 { // the line turns into the wall's own direction
		high := make([]float64, 0, edgeLook+1)
		for i := 0; i < len(w.Point); i += len(w.Point)/edgeLook + 1 {
			high = append(high, l.past(w.Point[i]))
		}
		top := quantile(high, 1-edgeBeyond)
		reach := tol
		if pass == 0 { // it may lean by half the width of a way, over half of a side
			reach += 0.5 * edgeLean * math.Pi / 180 * chainLength(w.Chain) / 8
		}
		var on [][2]float64
		for i, q := range w.Point {
			if math.Abs(l.past(q)-top) < 2*reach && l.faces(w.Normal[i]) {
				on = append(on, q)
			}
		}
		if len(on) < 8 {
			return l, false
		}
		l = sideThrough(on, l.n)
	}
	return l, w.lies(l, tol)
}

// sideThrough is the line of least squares through points, its normal turned to n.
func sideThrough(on [][2]float64, n [2]float64) wallLine {
	cu, cv := centroidOf(on)
	var uu, uv, vv float64
	for _, q := range on {
		x, y := q[0]-cu, q[1]-cv
		uu, uv, vv = uu+x*x, uv+x*y, vv+y*y
	}
	phi := 0.5*math.Atan2(2*uv, uu-vv) + math.Pi/2
	sin, cos := math.Sincos(phi)
	if cos*n[0]+sin*n[1] < 0 {
		sin, cos = -sin, -cos
	}
	return wallLine{[2]float64{cos, sin}, cos*cu + sin*cv}
}

// lies tells that wall lies on the line along a good part of the outline, and next to
// none past it.
func (w *wallLoop) lies(l wallLine, tol float64) bool {
	const bins = 40
	low, high := math.Inf(1), math.Inf(-1)
	along := func(q [2]float64) float64 { return l.n[0]*q[1] - l.n[1]*q[0] }
	for _, q := range w.Chain {
		low, high = min(low, along(q)), max(high, along(q))
	}
	var seen [bins]bool
	beyond, on := 0, 0
	for i, q := range w.Point {
		switch h := l.past(q); {
		case h > tol:
			beyond++
		case h > -tol && l.faces(w.Normal[i]):
			seen[min(max(int((along(q)-low)/(high-low)*bins), 0), bins-1)] = true
		}
	}
	for _, s := range seen {
		if s {
			on++
		}
	}
	return float64(beyond) <= edgeBeyond*float64(len(w.Point)) && float64(on) >= edgeSeen*bins
}
