package synthetic

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// What a view of the scanner takes up: facets that lean by under viewLeanDeg
// from its direction and are not behind others by more than viewDeepMM, seen in
// pixels of viewMM.
const (
	viewLeanDeg = 70
	viewDeepMM  = 1
	viewMM      = 0.9
)

// visible tells the facets that a scanner sees from a number of directions,
// spread evenly with a turn of their own (golden spiral); all with none.
func visible(s Shell, views int, seed uint64) []bool {
	out := make([]bool, len(s.Faces))
	if views == 0 {
		for i := range out {
			out[i] = true
		}
		return out
	}
	r := stream(seed, -2, 106)
	turn := r3.NewRotation(2*math.Pi*r.Float64(), direction(r))
	normal := make([]r3.Vec, len(s.Faces))
	middle := make([]r3.Vec, len(s.Faces))
	for i, t := range s.Faces {
		normal[i] = unitOr(s.areaVector(i), r3.Vec{})
		middle[i] = r3.Scale(1.0/3, r3.Add(s.Points[t[0]], r3.Add(s.Points[t[1]], s.Points[t[2]])))
	}
	list := make([][]bool, views)
	each(views, func(k int) {
		z := 1 - (2*float64(k)+1)/float64(views)
		sin, cos := math.Sincos(float64(k) * math.Pi * (3 - math.Sqrt(5)))
		h := math.Sqrt(1 - z*z)
		list[k] = look(middle, normal, turn.Rotate(r3.Vec{X: h * cos, Y: h * sin, Z: z}))
	})
	for _, l := range list {
		for i, v := range l {
			out[i] = out[i] || v
		}
	}
	return out
}

// look is one view, from far off towards -d.
func look(middle, normal []r3.Vec, d r3.Vec) []bool {
	u := r3.Unit(r3.Cross(d, leastAlong(d)))
	v := r3.Cross(d, u)
	at := func(p r3.Vec) [2]int32 {
		return [2]int32{int32(math.Floor(r3.Dot(p, u) / viewMM)), int32(math.Floor(r3.Dot(p, v) / viewMM))}
	}
	top := map[[2]int32]float64{}
	for _, p := range middle {
		k, h := at(p), r3.Dot(p, d)
		if t, ok := top[k]; !ok || h > t {
			top[k] = h
		}
	}
	out := make([]bool, len(middle))
	least := math.Cos(rad(viewLeanDeg))
	for i, p := range middle {
		lean := r3.Dot(normal[i], d)
		// A leaning facet's neighbours in the same pixel stand higher.
		out[i] = lean > least && r3.Dot(p, d) > top[at(p)]-viewDeepMM-viewMM*math.Sqrt(1-lean*lean)/lean
	}
	return out
}
