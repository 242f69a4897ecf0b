package rig

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/job"
)

// Derating is what a hoist must be able to lift over its share when n lift
// together: 1.20 for two, 1.33 for three, 1.50 for four or more (Queensland code of
// practice for mobile cranes).
func Derating(n int) float64 {
	switch {
	case n <= 1:
		return 1
	case n == 2:
		return 1.20
	case n == 3:
		return 1.33
	}
	return 1.50
}

// criticalShare of its capacity: a hoist that lifts more makes a critical lift (US
// steel erection, from a contractor's manual).
const criticalShare = 0.75

// Holding is one hoist and what it holds.
type Holding struct {
	Hoist      string
	CapacityKG float64
	AtMM       r3.Vec  // where its hook is over
	ShareKG    float64 // greatest, dynamic factor and rigging included
	NeededKG   float64 // share with the derating of several hoists
	Used       float64 // needed over capacity
}

// Hoisting is how hoists carry a lift.
type Hoisting struct {
	Holdings    []Holding
	Derating    float64
	Critical    bool
	Assumptions []string
	Cautions    []string
}

// errHoists is told of loads that no choice of hoists carries.
var errHoists = errors.New("no hoist given carries it")

// OneHoist gives a lift to the smallest hoist that carries it.
func OneHoist(l Lift, hoists []job.Hoist) (Hoisting, error) {
	return hoisting([]r3.Vec{l.HookMM}, []float64{l.LoadKG}, hoists)
}

// Tandem gives a level load to several hoists that lift at places, each by a
// vertical line. Shares by statics, the worst over the box of the centre of
// gravity: two by levers; three or more by the worst three that hold it (the load is
// rigid). Each hoist must be able to lift its share times Derating. The heaviest
// share goes to the smallest hoist that is strong enough, and so on down.
func Tandem(m Mass, places []r3.Vec, hoists []job.Hoist, opt LiftOptions) (Hoisting, error) {
	if err := opt.check(); err != nil {
		return Hoisting{}, err
	}
	if len(places) < 2 {
		return Hoisting{}, errors.New("hoists that lift together need two places or more; give them")
	}
	share := make([]float64, len(places))
	for _, c := range m.places() {
		if err := sharesAt(places, c, share); err != nil {
			return Hoisting{}, err
		}
	}
	all := (m.MassHighKG + opt.RiggingKG) * opt.DynamicFactor
	for i := range share {
		share[i] *= all
	}
	h, err := hoisting(places, share, hoists)
	if len(places) == 2 && m.leanUnder(places) > opt.TiltMaxDeg {
		h.Cautions = append(h.Cautions, fmt.Sprintf("about the line of the two places the load can lean by more than %v° or roll over: choose places higher and straight over its centre of gravity", opt.TiltMaxDeg))
	}
	return h, err
}

// sharesAt raises the shares to those of one place of the centre of gravity.
func sharesAt(places []r3.Vec, c r3.Vec, share []float64) error {
	if len(places) == 2 {
		f, ok := leverOf(places[0], places[1], c)
		if !ok {
			return errStacked
		}
		if f < 0 || f > 1 {
			return errOutside
		}
		share[0], share[1] = max(share[0], 1-f), max(share[1], f)
		return nil
	}
	held := false
	for i := range places {
		for j := i + 1; j < len(places); j++ {
			for k := j + 1; k < len(places); k++ {
				w, ok := weights(places[i], places[j], places[k], c)
				if !ok {
					continue
				}
				held = true
				for n, at := range [3]int{i, j, k} {
					share[at] = max(share[at], w[n])
				}
			}
		}
	}
	if !held {
		return errOutside
	}
	return nil
}

// leverOf is where c stands from a (0) to b (1) in plan, beyond them too.
func leverOf(a, b, c r3.Vec) (float64, bool) {
	x, y := b.X-a.X, b.Y-a.Y
	if s2 := x*x + y*y; s2 > 1e-12 {
		return ((c.X-a.X)*x + (c.Y-a.Y)*y) / s2, true
	}
	return 0, false
}

// weights are the shares of three places in plan, false where c is not among them.
func weights(a, b, d, c r3.Vec) ([3]float64, bool) {
	area := func(p, q, r r3.Vec) float64 { return (q.X-p.X)*(r.Y-p.Y) - (q.Y-p.Y)*(r.X-p.X) }
	all := area(a, b, d)
	if math.Abs(all) < 1e-9*(1+r3.Norm2(r3.Sub(b, a))+r3.Norm2(r3.Sub(d, a))) {
		return [3]float64{}, false
	}
	w := [3]float64{area(c, b, d) / all, area(a, c, d) / all, area(a, b, c) / all}
	return w, min(w[0], w[1], w[2]) >= -1e-12
}

func hoisting(places []r3.Vec, shareKG []float64, hoists []job.Hoist) (Hoisting, error) {
	k := Derating(len(places))
	h := Hoisting{Derating: k, Critical: len(places) > 1, Cautions: []string{Preliminary}}
	free := slices.Clone(hoists)
	slices.SortStableFunc(free, func(a, b job.Hoist) int {
		return cmp.Or(cmp.Compare(a.CapacityKG, b.CapacityKG), cmp.Compare(a.Name, b.Name))
	})
	order := make([]int, len(places))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(shareKG[b], shareKG[a]) })
	h.Holdings = make([]Holding, len(places))
	for _, i := range order {
		at := slices.IndexFunc(free, func(x job.Hoist) bool { return x.CapacityKG >= k*shareKG[i]*(1-1e-12) })
		if at < 0 {
			return h, fmt.Errorf("%w: %.0f kg of %.0f kg needs a capacity of %.0f kg (× %.2f for %d together); give a stronger hoist, or lift lighter parts", errHoists, shareKG[i], total(shareKG), k*shareKG[i], k, len(places))
		}
		x := free[at]
		free = slices.Delete(free, at, at+1)
		h.Holdings[i] = Holding{x.Name, x.CapacityKG, places[i], shareKG[i], k * shareKG[i], k * shareKG[i] / x.CapacityKG}
		h.Critical = h.Critical || shareKG[i] > criticalShare*x.CapacityKG
	}
	h.say()
	return h, nil
}

func (h *Hoisting) say() {
	h.Assumptions = append(h.Assumptions, "capacities are those at the radius and height of this lift, wind and ground allowed for; the maker's chart decides")
	if len(h.Holdings) > 1 {
		h.Assumptions = append(h.Assumptions, fmt.Sprintf("each of %d hoists can lift %.2f times its share (Queensland code of practice for mobile cranes)", len(h.Holdings), h.Derating),
			"the load stays level and every line vertical")
	}
	if h.Critical {
		h.Cautions = append(h.Cautions, "a critical lift: several hoists together, or one over 75 % of its capacity; it needs its own written plan (US contractors' practice)")
	}
}

func total(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v
	}
	return sum
}
