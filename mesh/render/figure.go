package render

import "math"

// personHeightMM is the height of the figure that stands beside the piece.
const personHeightMM = 1750

// The numbers of the figure's parts; an element may not use them.
const (
	shoeID = 65532 + iota
	trousersID
	jacketID
	skinID
)

// person returns a standing figure of few facets, soles on z = 0, the crown at
// personHeightMM, facing -y, in mm. It is a set of closed lofts that overlap;
// proportions are about seven and a half heads, as drawing manuals give them.
func person() figure {
	var f figure
	f.part = skinID
	f.upright(headRings())
	f.upright([]ring{{0, 8, 1470, 55, 58}, {0, 0, 1570, 52, 56}})
	f.part = jacketID
	f.upright(trunkRings())
	for _, side := range []float64{-1, 1} {
		f.part = trousersID
		f.upright(sided(side, []ring{ // trouser leg
			{98, 12, 42, 58, 74}, {98, 12, 120, 60, 72}, {97, 10, 300, 64, 74}, {96, 4, 500, 68, 78},
			{94, 2, 660, 78, 88}, {88, 4, 800, 82, 94}, {80, 4, 870, 80, 90},
		}))
		f.part = shoeID
		f.upright(sided(side, []ring{ // shoe: low and long
			{102, -52, 0, 46, 140}, {102, -50, 26, 47, 140}, {101, -28, 58, 40, 104}, {99, 4, 92, 34, 56},
		}))
		f.part = skinID
		f.upright(sided(side, []ring{ // hand
			{266, -44, 684, 9, 18}, {268, -42, 722, 20, 34}, {268, -38, 790, 25, 41}, {264, -30, 872, 24, 32},
		}))
		f.part = jacketID
		f.upright(sided(side, []ring{ // sleeve
			{263, -26, 852, 38, 44}, {262, -24, 880, 39, 44}, {255, -8, 990, 43, 47}, {245, 6, 1110, 46, 51}, {234, 8, 1210, 51, 56},
			{220, 6, 1330, 57, 64}, {206, 4, 1400, 56, 66}, {192, 4, 1440, 44, 58}, {170, 4, 1464, 26, 44},
		}))
	}
	return f
}

// ring is an ellipse in a level plane: centre, half axes.
type ring struct{ x, y, z, rx, ry float64 }

func sided(side float64, rings []ring) []ring {
	for i := range rings {
		rings[i].x *= side
	}
	return rings
}

func headRings() []ring {
	var out []ring
	for i := range 9 { // an egg 232 high, wider above than at the chin
		t := math.Pi * float64(i) / 8
		s := math.Sin(t)
		out = append(out, ring{0, -6 - 10*s, personHeightMM - 116 - 116*math.Cos(t), 76 * s * (0.92 - 0.10*math.Cos(t)), 98 * s * (0.96 - 0.06*math.Cos(t))})
	}
	return out
}

func trunkRings() []ring {
	return []ring{ // a jacket
		{0, 4, 786, 186, 128}, {0, 4, 830, 185, 127}, {0, 4, 920, 179, 121}, {0, 2, 1010, 164, 110}, {0, 0, 1100, 156, 104},
		{0, -2, 1200, 164, 108}, {0, -2, 1300, 182, 116}, {0, 0, 1380, 196, 114}, {0, 4, 1424, 194, 98}, {0, 6, 1452, 164, 84},
		{0, 8, 1474, 112, 72}, {0, 8, 1496, 68, 64},
	}
}

// figure gathers lofts.
type figure struct {
	points [][3]float32
	faces  [][3]uint32
	parts  []uint32 // one a facet
	part   uint32   // of the next loft
}

const ringSides = 14

// upright lofts rings of rising height and closes both ends.
func (f *figure) upright(rings []ring) {
	base := uint32(len(f.points))
	for _, r := range rings {
		for k := range ringSides {
			s, c := math.Sincos(2 * math.Pi * float64(k) / ringSides)
			f.points = append(f.points, [3]float32{float32(r.x + r.rx*c), float32(r.y + r.ry*s), float32(r.z)})
		}
	}
	for i := range uint32(len(rings) - 1) {
		for k := range uint32(ringSides) {
			a, b := base+i*ringSides+k, base+i*ringSides+(k+1)%ringSides
			f.faces = append(f.faces, [3]uint32{a, b, b + ringSides}, [3]uint32{a, b + ringSides, a + ringSides})
		}
	}
	for range 2*(len(rings)-1)*ringSides + 2*(ringSides-2) {
		f.parts = append(f.parts, f.part)
	}
	top := base + uint32(len(rings)-1)*ringSides
	for k := uint32(1); k+1 < ringSides; k++ {
		f.faces = append(f.faces, [3]uint32{base, base + k + 1, base + k}, [3]uint32{top, top + k, top + k + 1})
	}
}
