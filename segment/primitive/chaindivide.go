package primitive

import "math"

// division divides the items of a path into straights and arcs with the least
// sum of squares, for one leg, two, three ...: dynamic programming on what k
// legs cost up to each item (Bellman and Roth, J. Am. Stat. Assoc. 64 (1969)
// 1079, for lines in the plane).
type division struct {
	n     int
	sum   []bendSums // of the items before each
	cost  [2][]float64
	back  [][2][]int32 // of k legs: 2*start + arc of the leg before
	count int
	bend  float64 // what an arc costs over a straight
}

type bendSums struct{ sq, u, v, hh float64 }

// legItems is the least number of items of a leg.
const legItems = 2

func newDivision(b bent) *division {
	d := &division{n: len(b.item), sum: make([]bendSums, len(b.item)+1)}
	for i, x := range b.item {
		s := d.sum[i]
		d.sum[i+1] = bendSums{s.sq + x.u*x.u + x.v*x.v, s.u + x.u*x.h, s.v + x.v*x.h, s.hh + x.h*x.h}
	}
	d.bend = 2 * b.variance() * math.Log(float64(max(d.n, 2)))
	return d
}

// variance is that of one component of an item's turn, from the differences of
// neighbours; robust, as few differ by more than noise.
func (b bent) variance() float64 {
	var d []float64
	for i := 1; i < len(b.item); i++ {
		x, y := b.item[i-1], b.item[i]
		d = append(d, math.Abs(x.u-y.u), math.Abs(x.v-y.v))
	}
	s := 1.4826 * median(d) / math.Sqrt2
	return s * s
}

// leg is the cost of a leg over the items [i, j).
func (d *division) leg(i, j int, arc bool) float64 {
	a, b := d.sum[i], d.sum[j]
	c := b.sq - a.sq
	if arc {
		u, v := b.u-a.u, b.v-a.v
		c -= (u*u + v*v) / (b.hh - a.hh)
		c += d.bend
	}
	return c
}

// next returns the best division with one leg more than before, nil when there
// is none.
func (d *division) next() []piece {
	d.count++
	var cost [2][]float64
	var back [2][]int32
	for arc := range cost {
		cost[arc], back[arc] = make([]float64, d.n+1), make([]int32, d.n+1)
		for j := range cost[arc] {
			cost[arc][j], back[arc][j] = d.best(j, arc == 1)
		}
	}
	d.cost, d.back = cost, append(d.back, back)
	arc := 0
	if cost[1][d.n] < cost[0][d.n] {
		arc = 1
	}
	if math.IsInf(cost[arc][d.n], 1) {
		return nil
	}
	out := make([]piece, d.count)
	for k, j := d.count-1, d.n; k >= 0; k-- {
		from := d.back[k][arc][j]
		out[k] = piece{int(from / 2), j, arc == 1}
		j, arc = int(from/2), int(from%2)
	}
	return out
}

// best is the least cost of the items before j with a last leg of that kind; two
// straights do not follow each other.
func (d *division) best(j int, arc bool) (float64, int32) {
	if d.count == 1 {
		if j < legItems {
			return math.Inf(1), 0
		}
		return d.leg(0, j, arc), 0
	}
	least, at := math.Inf(1), int32(0)
	for i := legItems; i <= j-legItems; i++ {
		before, kind := d.cost[1][i], int32(1)
		if arc && d.cost[0][i] < before {
			before, kind = d.cost[0][i], 0
		}
		if c := before + d.leg(i, j, arc); c < least {
			least, at = c, int32(2*i)+kind
		}
	}
	return least, at
}
