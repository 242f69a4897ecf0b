package fidelity

import (
	"cmp"
	"math"
	"slices"
)

// hole is a connected place of a picture that shows no part and does not reach
// its border, with the pixel that lies farthest within.
type hole struct {
	pixels []int
	wide   float64 // diameter of the largest circle in it, arc-minutes
	at     int
}

// openings measures the places of one picture through which one sees in both: the
// widest circle about a pixel of the place. Those of the second come first, then
// those of the first that the second does not have; the largest change is sorted
// to the front. Those that neither shows wider than normal vision are left out.
func openings(a, b picture, nearA, nearB offsets) []Opening {
	ha, _ := a.holes(nearA)
	hb, lb := b.holes(nearB)
	var out []Opening
	for _, h := range hb {
		before := h
		before.widest(nearA)
		out = append(out, Opening{BeforeArcmin: before.wide, AfterArcmin: h.wide, AtDeg: b.degOf(h.at)})
	}
	for _, h := range ha {
		if lb[h.at] > 0 {
			continue // it is one of the second's
		}
		after := h
		after.widest(nearB)
		out = append(out, Opening{BeforeArcmin: h.wide, AfterArcmin: after.wide, AtDeg: a.degOf(h.at)})
	}
	out = slices.DeleteFunc(out, func(o Opening) bool { return max(o.BeforeArcmin, o.AfterArcmin) < NormalVisionArcmin })
	slices.SortStableFunc(out, func(p, q Opening) int {
		return cmp.Compare(math.Abs(q.ChangeArcmin()), math.Abs(p.ChangeArcmin()))
	})
	return out
}

// holes finds the holes and labels their pixels from 1.
func (p picture) holes(near offsets) (list []hole, label []int32) {
	w, h := p.lens.wide, p.lens.high
	label = make([]int32, w*h)
	p.flood(0, label, -1) // the corner is outside: pictures have a margin
	for i := range p.shows {
		if p.shows[i] < 0 && label[i] == 0 {
			list = append(list, hole{pixels: p.flood(i, label, int32(len(list)+1))})
		}
	}
	for k := range list {
		list[k].widest(near)
	}
	return list, label
}

// flood labels the uncovered pixels that hang together with the first.
func (p picture) flood(first int, label []int32, as int32) []int {
	w := p.lens.wide
	label[first] = as
	all := []int{first}
	for k := 0; k < len(all); k++ {
		i := all[k]
		x := i % w
		for _, n := range [4]int{i - 1, i + 1, i - w, i + w} {
			if n < 0 || n >= len(label) || (n == i-1 && x == 0) || (n == i+1 && x == w-1) || p.shows[n] >= 0 || label[n] != 0 {
				continue
			}
			label[n] = as
			all = append(all, n)
		}
	}
	return all
}

// widest finds the largest circle about a pixel of a hole, to a pixel; 0 where all
// of it is covered.
func (h *hole) widest(near offsets) {
	best := int32(-1)
	for _, i := range h.pixels {
		if r := square(near.to[i]); r > best {
			best, h.at = r, i
		}
	}
	x, y := h.at%near.lens.wide, h.at/near.lens.wide
	h.wide = 2 * math.Sqrt(float64(best)) * near.lens.angle(x, y, x+1, y)
}

func (p picture) degOf(i int) [2]float64 { return p.lens.atDeg(i%p.lens.wide, i/p.lens.wide) }
