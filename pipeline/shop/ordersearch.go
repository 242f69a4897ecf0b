package shop

import (
	"cmp"
	"context"
	"math"
	"slices"
)

// partial is a partial assembly in the pose in which its last part was set.
type partial struct {
	set    set
	pose   int
	part   int
	massKG float64
	hours  float64
	saved  float64 // least hours that its welded joints had to cost in any pose
	safe   bool
	from   *partial
}

type partialKey struct {
	set  set
	pose int
}

// search goes layer by layer over the sets of parts that may stand, with the pose
// in which they do, and keeps of each the cheapest way there (Held and Karp 1962).
// A layer that grows over the bound keeps those whose hours, with the least that
// is still to come, are fewest. While none was cut the answer is exact.
func (b *builder) search(ctx context.Context, group []int) (best []move, exact bool, err error) {
	width := max(20, b.opt.Steps/len(group))
	exact = true
	layer := b.starts(group)
	for range len(group) - 1 {
		if ctx.Err() != nil {
			return nil, false, ctx.Err()
		}
		layer = b.grow(layer, group)
		if len(layer) > width {
			slices.SortStableFunc(layer, func(x, y *partial) int { return cmp.Compare(b.outlook(x), b.outlook(y)) })
			layer, exact = layer[:width], false
		}
	}
	var last *partial
	least := 0.0
	for _, p := range layer {
		hours, possible := b.stoodUp(p, group)
		if possible && (last == nil || hours < least-tieH) {
			last, least = p, hours
		}
	}
	for p := last; p != nil; p = p.from {
		best = append(best, move{p.pose, p.part})
	}
	slices.Reverse(best)
	return best, exact, nil
}

// outlook is what a partial assembly may cost at least in the end, less what is the
// same for all of its layer, in units of tieH.
func (b *builder) outlook(p *partial) float64 {
	least := p.hours - p.saved
	if p.pose != 0 {
		least += b.opt.TurnH
	}
	return math.Round(least / tieH)
}

// tieH: hours that differ by less are equal, and the lower part goes first; sums in
// another order differ by some 1e-13.
const tieH = 1e-7

// starts are the parts that stand on the ground, in each pose, upright first.
func (b *builder) starts(group []int) []*partial {
	var out []*partial
	for pose := range b.poses {
		for _, i := range group {
			if !b.ground[i] {
				continue
			}
			p := &partial{set: set{}.with(i), pose: pose, part: i, massKG: b.bodies[i].MassKG, saved: b.leastPrice(set{}, i)}
			p.hours = b.price(set{}, move{pose, i})
			p.hours += b.propped(p, group)
			out = append(out, p)
		}
	}
	return out
}

// propped judges a partial assembly and is the cost of its props.
func (b *builder) propped(p *partial, group []int) float64 {
	if p.safe = b.rest(p.set, group, p.pose).margin >= 0; p.safe {
		return 0
	}
	return b.opt.PropH
}

// grow sets one more part on every partial assembly in every pose.
func (b *builder) grow(layer []*partial, group []int) []*partial {
	var out []*partial
	at := map[partialKey]*partial{}
	for _, from := range layer {
		for pose := range b.poses {
			turn, possible := b.turn(from, group, pose)
			if !possible {
				continue
			}
			for _, i := range group {
				if from.set.has(i) || len(b.meets(from.set, i)) == 0 {
					continue
				}
				if pose != 0 && from.massKG+b.bodies[i].MassKG > b.opt.TurnMostKG {
					continue // it could not be stood up any more
				}
				key := partialKey{from.set.with(i), pose}
				hours := from.hours + turn + b.price(from.set, move{pose, i})
				p := at[key]
				if p == nil {
					p = &partial{set: key.set, pose: pose}
					p.saved = from.saved + b.leastPrice(from.set, i)
					p.hours = b.propped(p, group) // of its own, until a way here is known
					at[key], out = p, append(out, p)
				} else if hours+b.propsH(p) > p.hours-tieH {
					continue
				}
				p.hours, p.part, p.from, p.massKG = hours+b.propsH(p), i, from, from.massKG+b.bodies[i].MassKG
			}
		}
	}
	return out
}

func (b *builder) propsH(p *partial) float64 {
	if p.safe {
		return 0
	}
	return b.opt.PropH
}

// leastPrice is the least that setting a part costs in any pose.
func (b *builder) leastPrice(s set, part int) float64 {
	least := b.price(s, move{0, part})
	for pose := range b.poses {
		least = min(least, b.price(s, move{pose, part}))
	}
	return least
}

// turn is the cost of a pose for what stands: none where it stands so; else the
// turn, and a prop where it does not rest safely then.
func (b *builder) turn(p *partial, group []int, pose int) (hours float64, possible bool) {
	if pose == p.pose {
		return 0, true
	}
	if p.massKG > b.opt.TurnMostKG {
		return 0, false
	}
	if hours = b.opt.TurnH; b.rest(p.set, group, pose).margin < 0 {
		hours += b.opt.PropH
	}
	return hours, true
}

// stoodUp is the cost of a whole assembly with the turn that stands it up.
func (b *builder) stoodUp(p *partial, group []int) (hours float64, possible bool) {
	turn, possible := b.turn(p, group, 0)
	return p.hours + turn, possible
}
