package site

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// SharpEdges are those of one piece within reach.
type SharpEdges struct {
	ID      string  `json:"id"`
	EdgeM   float64 `json:"edge_m"`
	Corners int     `json:"corners"` // where three or more of them meet
	LowMM   float64 `json:"low_mm"`
	HighMM  float64 `json:"high_mm"`
}

// Protrusion is an end that a ring gauge goes over.
type Protrusion struct {
	ID      string     `json:"id"`
	What    string     `json:"what"`
	Count   int        `json:"count"`
	AtMM    [3]float64 `json:"at_mm"` // one of them
	SizeMM  float64    `json:"size_mm"`
	OutMM   float64    `json:"out_mm"` // how far it stands out
	GaugeMM float64    `json:"gauge_mm"`
}

// An edge is sharp that turns outwards by more than this; as cut it has no radius.
const sharpDeg = 50.0

// gauges of playgrounds: rings of a bore, through which nothing may stand out farther than
// the ring is thick (ASTM F1487, CPSC pub. 325 figure B1; sizes from memory).
func gauges() [3][2]float64 { return [3][2]float64{{12.7, 6.35}, {25.4, 12.7}, {38.1, 19.05}} }

// sharpEdges are a piece's, in reach, that its neighbours do not cover: of solids as cut.
func (p Piece) sharpEdges(r grasp) (SharpEdges, bool) {
	type side struct{ triangle, opposite uint32 }
	s := SharpEdges{ID: p.Part.ID, LowMM: math.Inf(1), HighMM: math.Inf(-1)}
	first := map[[2]uint32]side{}
	at := map[uint32]int{}
	normal := func(t uint32) r3.Vec {
		a, b, c := p.PointsMM[p.Triangles[t][0]], p.PointsMM[p.Triangles[t][1]], p.PointsMM[p.Triangles[t][2]]
		return r3.Unit(r3.Cross(r3.Sub(b, a), r3.Sub(c, a)))
	}
	sum := 0.0
	for i, t := range p.Triangles {
		for k := range t {
			a, b := t[k], t[(k+1)%3]
			other, met := first[[2]uint32{b, a}]
			if !met {
				first[[2]uint32{a, b}] = side{uint32(i), t[(k+2)%3]}
				continue
			}
			n := normal(other.triangle)
			if r3.Dot(n, normal(uint32(i))) > math.Cos(sharpDeg*math.Pi/180) || r3.Dot(n, r3.Sub(p.PointsMM[t[(k+2)%3]], p.PointsMM[a])) > 0 {
				continue // flat, or it turns inwards
			}
			m := r3.Scale(0.5, r3.Add(p.PointsMM[a], p.PointsMM[b]))
			if !r.touches(m.X, m.Y, m.Z) {
				continue
			}
			sum += r3.Norm(r3.Sub(p.PointsMM[b], p.PointsMM[a]))
			s.LowMM, s.HighMM = min(s.LowMM, p.PointsMM[a].Z, p.PointsMM[b].Z), max(s.HighMM, p.PointsMM[a].Z, p.PointsMM[b].Z)
			at[a]++
			at[b]++
		}
	}
	for _, n := range at {
		if n > 2 {
			s.Corners++
		}
	}
	s.EdgeM = sum / 1000
	return s, sum > 0
}

// protrusions of one piece: free ends and teeth that go into a gauge.
func (p Piece) protrusions(r grasp) []Protrusion {
	var out []Protrusion
	x := measured{part: p.Part}
	add := func(what string, count int, at r3.Vec, size, stands float64) {
		for _, g := range gauges() {
			if size > 0 && size <= g[0] && stands > g[1] && r.touches(at.X, at.Y, at.Z) {
				for i := range out {
					if out[i].What == what {
						out[i].Count += count
						return
					}
				}
				out = append(out, Protrusion{p.Part.ID, what, count, [3]float64{at.X, at.Y, at.Z}, size, stands, g[0]})
				return
			}
		}
	}
	centre := p.Part.Frame.OriginMM
	switch p.Part.Kind {
	case "tube", "bar":
		p.freeEnds(func(at r3.Vec) { add("free end", 1, at, x.maybe("outside_diameter_mm"), x.maybe("length_mm")/2) })
	case "arc", "coil":
		p.freeEnds(func(at r3.Vec) {
			add("free end", 1, at, x.maybe("section_diameter_mm"), x.maybe("developed_length_mm")/2)
		})
	case "cone":
		small, h := x.maybe("small_diameter_mm"), x.maybe("height_mm")
		add("point of the cone", 1, centre, max(small, 1e-3), h)
	case "toothed_wheel":
		n := int(x.maybe("tooth_count"))
		wide := x.maybe("tooth_width_mm")
		if wide == 0 && n > 0 {
			wide = math.Pi * x.maybe("tip_diameter_mm") / float64(2*n)
		}
		low, _, _ := p.lowest(0)
		add("tooth", n, r3.Vec{X: centre.X, Y: centre.Y, Z: low}, math.Hypot(wide, x.maybe("thickness_mm")), (x.maybe("tip_diameter_mm")-x.maybe("root_diameter_mm"))/2)
	}
	return out
}

// freeEnds calls for ends that stand on nothing.
func (p Piece) freeEnds(do func(at r3.Vec)) {
	for _, e := range p.Part.Ends {
		if !e.Met && e.Kind != "hidden" && e.Out != (r3.Vec{}) {
			do(e.AtMM)
		}
	}
}

func edgeBasis() string {
	return fmt.Sprintf("edges that turn outwards by over %.0f degrees, as cut: round them to 3 mm where they project, to 0.5 mm elsewhere (EN 1176-1, from memory)", sharpDeg)
}
