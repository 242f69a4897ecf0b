package rig

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"sync"

	"gonum.org/v1/gonum/spatial/r3"
)

var errNoLift = errors.New("no one, two or three places on top of its pieces carry it within the limits")

// apartShare of the load's length in plan: lugs closer together hardly steady it
// (ours).
const apartShare = 0.2

// ChooseLift sets lugs on the bodies, over the centre of gravity and round it, and
// hangs them from one hook: as few legs as do, of a load that is wider than it is
// tall as many (common practice, no source), then as high as can be (in tenths of
// the load's height), then with the least lean, then the least pull; no leg passes
// through a piece. One, two and three legs are tried in all ways among places that
// are spread over what looks up (see lugPlaces): for one or two of what lies over the
// centre of gravity, since the load would turn over.
func ChooseLift(bodies []Body, opt LiftOptions) (Lift, error) {
	m, err := MassOf(bodies)
	if err != nil {
		return Lift{}, err
	}
	if err := opt.check(); err != nil {
		return Lift{}, err
	}
	c := chooser{bodies: bodies, obstacles: newObstacles(bodies), m: m, opt: opt}
	lo, hi := boxOf(bodies)
	c.apart, c.class = apartShare*math.Hypot(hi.X-lo.X, hi.Y-lo.Y), (hi.Z-lo.Z)/10
	order := []int{1, 2, 3}
	if min(hi.X-lo.X, hi.Y-lo.Y) > hi.Z-lo.Z {
		order = []int{3, 2, 1}
	}
	above := sync.OnceValue(func() []Lug { return lugPlaces(bodies, m.BoxMM[1].Z, opt.LugsOn) })
	for _, legs := range order {
		switch legs {
		case 1:
			c.places = slices.Concat(above(), straightAbove(bodies, m.CentreMM, opt.LugsOn))
		case 2:
			c.places = above()
		default:
			c.places = lugPlaces(bodies, math.Inf(-1), opt.LugsOn)
		}
		if l, ok := c.best(legs); ok {
			lugs := make([]Lug, len(l.Legs))
			for i, leg := range l.Legs {
				lugs[i] = leg.Lug
			}
			l, err := liftOn(bodies, m, lugs, opt)
			l.Assumptions = append(l.Assumptions, "lugs stand where the piece looks up and nothing is above, at first choice: the engineer and the artist move them")
			l.Cautions = append(l.Cautions, "slings clear the pieces along their middle line only: see that none rubs")
			return l, err
		}
	}
	return Lift{}, fmt.Errorf("%w (legs from %v°, lean to %v°); give more head room, lift fewer pieces together, or name lugs", errNoLift, opt.AngleMinDeg, opt.TiltMaxDeg)
}

// clearTries: where none of so many of the best lifts has legs that clear the pieces,
// they are in the way everywhere.
const clearTries = 1000

type chooser struct {
	bodies       []Body
	obstacles    obstacles
	m            Mass
	opt          LiftOptions
	places       []Lug
	apart, class float64
}

// ranked is a lift with what it is chosen by.
type ranked struct {
	lift             Lift
	high, lean, pull float64
}

func (c *chooser) best(legs int) (Lift, bool) {
	var all []ranked
	c.each(legs, nil, 0, func(lugs []Lug) {
		if r, ok := c.rank(lugs); ok {
			all = append(all, r)
		}
	})
	slices.SortStableFunc(all, func(a, b ranked) int {
		return cmp.Or(cmp.Compare(b.high, a.high), cmp.Compare(a.lean, b.lean), cmp.Compare(a.pull, b.pull))
	})
	for _, r := range all[:min(len(all), clearTries)] {
		if c.clear(r.lift) {
			return r.lift, true
		}
	}
	return Lift{}, false
}

// each calls do with every set of so many places that are apart.
func (c *chooser) each(legs int, chosen []Lug, from int, do func([]Lug)) {
	if len(chosen) == legs {
		do(chosen)
		return
	}
	for i := from; i < len(c.places); i++ {
		p := c.places[i]
		if !slices.ContainsFunc(chosen, func(o Lug) bool { return r3.Norm(r3.Sub(o.AtMM, p.AtMM)) < c.apart }) {
			c.each(legs, append(chosen[:len(chosen):len(chosen)], p), i+1, do)
		}
	}
}

func (c *chooser) rank(lugs []Lug) (ranked, bool) {
	at := make([]r3.Vec, len(lugs))
	high := math.Inf(1)
	for i, g := range lugs {
		at[i] = g.AtMM
		high = min(high, g.AtMM.Z)
	}
	r := ranked{lift: Lift{Of: c.m, LoadKG: (c.m.MassHighKG + c.opt.RiggingKG) * c.opt.DynamicFactor}, high: math.Floor(high / max(c.class, 1))}
	r.lift.HookMM = hookOver(c.m.CentreMM, at, c.opt)
	if _, err := hang(r.lift.HookMM, at, c.m.CentreMM); err != nil || r.lift.worst(lugs, at, c.opt) != nil {
		return r, false
	}
	r.lean = math.Round(10 * r.lift.TiltDeg)
	for _, leg := range r.lift.Legs {
		r.pull = max(r.pull, math.Round(leg.TensionN))
	}
	return r, true
}

// clear tells whether no leg meets a piece beyond the lug's own height.
func (c *chooser) clear(l Lift) bool {
	for _, leg := range l.Legs {
		way := r3.Sub(l.HookMM, leg.AtMM)
		if size := r3.Norm(way); size > lugHighMM && c.obstacles.blocked(r3.Add(leg.AtMM, r3.Scale(lugHighMM/size, way)), l.HookMM) {
			return false
		}
	}
	return true
}

// lugHighMM: a sling starts at the eye of a lug, which stands off the piece (common
// size, no source).
const lugHighMM = 50

func boxOf(bodies []Body) (lo, hi r3.Vec) {
	lo, hi = r3.Vec{X: math.Inf(1), Y: math.Inf(1), Z: math.Inf(1)}, r3.Vec{X: math.Inf(-1), Y: math.Inf(-1), Z: math.Inf(-1)}
	for _, b := range bodies {
		for _, p := range b.Points {
			lo = r3.Vec{X: min(lo.X, p.X), Y: min(lo.Y, p.Y), Z: min(lo.Z, p.Z)}
			hi = r3.Vec{X: max(hi.X, p.X), Y: max(hi.Y, p.Y), Z: max(hi.Z, p.Z)}
		}
	}
	return lo, hi
}
