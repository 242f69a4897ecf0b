package site

import (
	"math"
	"slices"
	"sort"

	"gonum.org/v1/gonum/spatial/r3"
)

// Shown is an area that the wind meets within a band of height, with its centre:
// across is the coordinate square to the wind, leftwards as the wind blows.
type Shown struct {
	AreaMM2, AcrossMM, HeightMM float64
}

// rowsPiece is how many rows a surface is cut into over its height. A row is exact in
// width, so that a sphere's area is 0.05 % off (TestAreas).
const rowsPiece = 200

// row is a strip of a view, looked at in its middle.
type row struct {
	z, high float64
	band    int
	spans   [][2]float64
}

// view holds the rows of one or several pieces seen along the wind.
type view []row

// newView has rows over a height from lo to hi, none across an edge of bands.
func newView(lo, hi float64, edges []float64) view {
	var v view
	for b := 0; b+1 < len(edges); b++ {
		from, to := max(lo, edges[b]), min(hi, edges[b+1])
		if !(to > from) {
			continue
		}
		n := max(8, int(math.Ceil(rowsPiece*(to-from)/(hi-lo))))
		for i := range n {
			h := (to - from) / float64(n)
			v = append(v, row{z: from + h*(float64(i)+0.5), high: h, band: b})
		}
	}
	return v
}

// see adds the triangles of a piece, seen by a wind that blows towards an angle from x.
func (v view) see(p Piece, towardsRad float64) {
	sin, cos := math.Sincos(towardsRad)
	across := func(x r3.Vec) [2]float64 { return [2]float64{-sin*x.X + cos*x.Y, x.Z} }
	for _, t := range p.Triangles {
		a, b, c := across(p.PointsMM[t[0]]), across(p.PointsMM[t[1]]), across(p.PointsMM[t[2]])
		lo, hi := min(a[1], b[1], c[1]), max(a[1], b[1], c[1])
		for i := sort.Search(len(v), func(i int) bool { return v[i].z >= lo }); i < len(v) && v[i].z <= hi; i++ {
			if s, ok := cut(a, b, c, v[i].z); ok {
				v[i].spans = append(v[i].spans, s)
			}
		}
	}
}

// cut is where a level crosses a triangle.
func cut(a, b, c [2]float64, z float64) ([2]float64, bool) {
	s := [2]float64{math.Inf(1), math.Inf(-1)}
	for _, e := range [3][2][2]float64{{a, b}, {b, c}, {c, a}} {
		p, q := e[0], e[1]
		if p[1] == q[1] || z < min(p[1], q[1]) || z > max(p[1], q[1]) {
			continue
		}
		x := p[0] + (q[0]-p[0])*(z-p[1])/(q[1]-p[1])
		s[0], s[1] = min(s[0], x), max(s[1], x)
	}
	return s, s[1] > s[0]
}

// outline adds up what is seen at least once.
func (v view) outline(bands int) []Shown {
	return v.gather(bands, func(spans [][2]float64, put func(a, b, weight float64)) {
		slices.SortFunc(spans, func(a, b [2]float64) int {
			if a[0] < b[0] || a[0] == b[0] && a[1] < b[1] {
				return -1
			}
			return 1
		})
		from, to := math.Inf(1), math.Inf(-1)
		for _, s := range spans {
			if s[0] > to {
				if to > from {
					put(from, to, 1)
				}
				from, to = s[0], s[1]
			}
			to = max(to, s[1])
		}
		if to > from {
			put(from, to, 1)
		}
	})
}

// walls adds up every wall: a line of sight that goes through metal twice counts
// twice. Each wall has two faces.
func (v view) walls(bands int) []Shown {
	return v.gather(bands, func(spans [][2]float64, put func(a, b, weight float64)) {
		for _, s := range spans {
			put(s[0], s[1], 0.5)
		}
	})
}

func (v view) gather(bands int, each func(spans [][2]float64, put func(a, b, weight float64))) []Shown {
	out := make([]Shown, bands)
	for _, r := range v {
		o := &out[r.band]
		each(r.spans, func(a, b, weight float64) {
			area := weight * (b - a) * r.high
			o.AreaMM2 += area
			o.AcrossMM += area * (a + b) / 2
			o.HeightMM += area * r.z
		})
	}
	for i := range out {
		if o := &out[i]; o.AreaMM2 > 0 {
			o.AcrossMM, o.HeightMM = o.AcrossMM/o.AreaMM2, o.HeightMM/o.AreaMM2
		}
	}
	return out
}

// wallsApart says that a piece's front and back walls both count: what is behind a
// hole or within a curve is met by the wind too.
func (p Piece) wallsApart() bool {
	switch p.Part.Kind {
	case "rolled_plate", "ring", "coil":
		return true
	}
	return len(p.Part.Holes) > 0
}

// shown is what one piece shows the wind in each band: its own outline, nothing
// before it, or all its walls.
func (p Piece) shown(towardsRad float64, edges []float64) []Shown {
	lo, hi := p.heights()
	v := newView(lo, hi, edges)
	v.see(p, towardsRad)
	if p.wallsApart() {
		return v.walls(len(edges) - 1)
	}
	return v.outline(len(edges) - 1)
}

// silhouette is what the whole shows, with all that hides behind something left out.
func silhouette(pieces []Piece, towardsRad float64, edges []float64) []Shown {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, p := range pieces {
		a, b := p.heights()
		lo, hi = min(lo, a), max(hi, b)
	}
	v := newView(lo, hi, edges)
	for _, p := range pieces {
		v.see(p, towardsRad)
	}
	return v.outline(len(edges) - 1)
}

func (p Piece) heights() (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, x := range p.PointsMM {
		lo, hi = min(lo, x.Z), max(hi, x.Z)
	}
	return lo, hi
}
