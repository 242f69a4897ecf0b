package surface

import (
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// fieldPoints are so many that one is left every 0.3 mm of some ten hand-sized
// pieces, as holes, teeth and ends under weld need; more make a search longer, and
// find splinters.
const fieldPoints = 300000

// thinned is a field of about so many of f's points, and of each point of f the
// number of the one that stands for it; of is nil where f has under twice as many.
//
// A point stands for its neighbourhood, a disc that is grown over neighbours, with
// the mean of its normals. It stays where it was scanned, and which of the disc's
// it is has nothing to do with the way its noise went.
func (f *Field) thinned(points int) (c *Field, of []int32) {
	k := len(f.P) / points
	if k < 2 {
		return f, nil
	}
	of, discs := f.discs(k)
	c = &Field{NoiseMM: f.NoiseMM, SizeMM: f.SizeMM, Signed: f.Signed, From: []int32{0}}
	c.SpacingMM = f.SpacingMM * math.Sqrt(float64(len(f.P))/float64(len(discs)))
	rng := rand.New(rand.NewPCG(1, uint64(len(f.P))))
	var row []int32
	for d, disc := range discs {
		stands := disc[rng.IntN(len(disc))]
		n := f.N[stands]
		row = row[:0]
		for _, i := range disc {
			if r3.Dot(f.N[i], f.N[stands]) > jumpCos { // not round an edge
				n = r3.Add(n, f.N[i])
			}
			for _, g := range f.near(i) {
				if of[g] != int32(d) {
					row = append(row, of[g])
				}
			}
		}
		if l := r3.Norm(n); l > 0 {
			n = r3.Scale(1/l, n)
		}
		slices.Sort(row)
		c.P, c.N = append(c.P, f.P[stands]), append(c.N, n)
		c.To = append(c.To, slices.Compact(row)...)
		c.From = append(c.From, int32(len(c.To)))
	}
	return c, of
}

// discs parts the points into neighbourhoods of about k: of is each point's. What
// is left over between them goes to one next to it.
func (f *Field) discs(k int) (of []int32, discs [][]int32) {
	of = make([]int32, len(f.P))
	for i := range of {
		of[i] = -1
	}
	for seed := range f.P {
		if of[seed] >= 0 {
			continue
		}
		d := int32(len(discs))
		disc := []int32{int32(seed)}
		of[seed] = d
		for at := 0; at < len(disc); at++ {
			for _, g := range f.near(disc[at]) {
				if of[g] < 0 && len(disc) < k {
					of[g] = d
					disc = append(disc, g)
				}
			}
		}
		if 2*len(disc) < k {
			if to := f.beside(disc, of, d); to >= 0 {
				for _, i := range disc {
					of[i] = to
				}
				discs[to] = append(discs[to], disc...)
				continue
			}
		}
		discs = append(discs, disc)
	}
	return of, discs
}

// beside is a disc that the points of disc d are next to, -1 where there is none.
func (f *Field) beside(disc, of []int32, d int32) int32 {
	for _, i := range disc {
		for _, g := range f.near(i) {
			if of[g] >= 0 && of[g] != d {
				return of[g]
			}
		}
	}
	return -1
}
