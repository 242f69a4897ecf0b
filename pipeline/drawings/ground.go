package drawings

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// point is one that is set out on the ground.
type point struct {
	mark, what string
	at         r3.Vec
}

// pointsMost are the most points that are set out: more are in no table that is
// read.
const pointsMost = 24

// ground are the points of the pieces that stand on the ground: corners and holes
// of plates that lie, centres of round things that stand, else the lowest point.
func (s Set) ground() []point {
	var out []point
	for _, m := range s.Marks {
		all := meshPoints(m.Piece)
		if len(all) == 0 {
			continue
		}
		lowest := slices.MinFunc(all, func(a, b r3.Vec) int { return cmp.Compare(a.Z, b.Z) })
		if lowest.Z > groundMM {
			continue
		}
		out = append(out, pointsOf(m, lowest)...)
	}
	if len(out) > pointsMost {
		out = out[:pointsMost]
	}
	return out
}

func pointsOf(m Mark, lowest r3.Vec) []point {
	p := m.Piece.Part
	stands := math.Abs(p.Frame.Axis.Z) > 0.999
	foot := func(q r3.Vec) r3.Vec { return r3.Vec{X: q.X, Y: q.Y, Z: lowest.Z} }
	switch {
	case stands && p.Kind == "plate":
		var out []point
		lo, hi := m.Piece.bounds()
		for i, q := range [4][2]float64{{lo.X, lo.Y}, {hi.X, lo.Y}, {hi.X, hi.Y}, {lo.X, hi.Y}} {
			out = append(out, point{m.Mark, fmt.Sprintf("corner %d of its rectangle", i+1), foot(p.Frame.Point(q[0], q[1], 0))})
		}
		for i, h := range p.Holes {
			if len(p.Holes) <= holesMost {
				out = append(out, point{m.Mark, fmt.Sprintf("hole %d", i+1), foot(p.Frame.Point(h.CentreMM[0], h.CentreMM[1], 0))})
			}
		}
		return out
	case stands && (p.Kind == "tube" || p.Kind == "bar" || p.Kind == "disc" || p.Kind == "ring" || p.Kind == "cone" || p.Kind == "toothed_wheel"):
		return []point{{m.Mark, "centre", foot(p.Frame.OriginMM)}}
	}
	return []point{{m.Mark, "lowest point", lowest}}
}

// groundPoints are the table of points, and that of distances to check it by.
func (s Set) groundPoints(w writer) (points, checks Table) {
	points = Table{Title: "Points on the ground; datum: middle of the footprint, X and Y as drawn, Z up from the ground", Heads: []string{"Point", "Mark", "What", "X", "Y", "Z"}, Shares: []float64{0.08, 0.09, 0.23, 0.21, 0.21, 0.18}}
	checks = Table{Title: "Distances to check them by, ± " + s.Block.Tolerance, Heads: []string{"From", "To", "Distance", "±"}, Shares: []float64{0.15, 0.15, 0.45, 0.25}}
	list := s.ground()
	for i, q := range list {
		points.Rows = append(points.Rows, []string{fmt.Sprintf("P%d", i+1), q.mark, q.what, w.length(q.at.X), w.length(q.at.Y), w.length(q.at.Z)})
	}
	// Each point from the two that lie farthest apart, which fix it on the plane.
	a, b := 0, 0
	for i := range list {
		for k := range i {
			if flatDistance(list[i].at, list[k].at) > flatDistance(list[a].at, list[b].at) {
				a, b = k, i
			}
		}
	}
	add := func(i, k int) {
		d := flatDistance(list[i].at, list[k].at)
		checks.Rows = append(checks.Rows, []string{fmt.Sprintf("P%d", i+1), fmt.Sprintf("P%d", k+1), w.length(d), s.Allowed(d)})
	}
	if a != b {
		add(a, b)
		for i := range list {
			if i != a && i != b {
				add(a, i)
				add(b, i)
			}
		}
	}
	return points, checks
}

func flatDistance(a, b r3.Vec) float64 { return math.Hypot(a.X-b.X, a.Y-b.Y) }

// heightTable has the foot and the top of each piece over the ground.
func (s Set) heightTable(w writer) Table {
	t := Table{Title: "Heights over the ground", Heads: []string{"Piece", "Mark", "Foot", "Top"}, Shares: []float64{0.2, 0.16, 0.32, 0.32}}
	for _, m := range s.Marks {
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, q := range meshPoints(m.Piece) {
			lo, hi = min(lo, q.Z), max(hi, q.Z)
		}
		if lo <= hi {
			t.Rows = append(t.Rows, []string{m.Piece.Part.ID, m.Mark, w.length(lo), w.length(hi)})
		}
	}
	return t
}
