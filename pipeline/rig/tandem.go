package rig

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/job"
)

var errNoPair = errors.New("no two places on top of its pieces, over its centre of gravity and on both sides of it, hold it upright; name lugs, or lift fewer pieces together")

// ChooseTandem sets two hoists over a load that none of them lifts alone: of all two
// places on top of its pieces, over the centre of gravity and on both sides of it,
// that let it lean no more than allowed, the ones at which the more used hoist is
// used least.
func ChooseTandem(bodies []Body, hoists []job.Hoist, opt LiftOptions) (Hoisting, []Lug, error) {
	m, err := MassOf(bodies)
	if err != nil {
		return Hoisting{}, nil, err
	}
	if err := opt.check(); err != nil {
		return Hoisting{}, nil, err
	}
	c := chooser{bodies: bodies, m: m, opt: opt, places: lugPlaces(bodies, m.BoxMM[1].Z, opt.LugsOn)}
	lo, hi := boxOf(bodies)
	c.apart = apartShare * math.Hypot(hi.X-lo.X, hi.Y-lo.Y)
	var best Hoisting
	var lugs []Lug
	least, why := math.Inf(1), errNoPair
	c.each(2, nil, 0, func(two []Lug) {
		at := []r3.Vec{two[0].AtMM, two[1].AtMM}
		if m.leanUnder(at) > opt.TiltMaxDeg {
			return
		}
		h, err := Tandem(m, at, hoists, opt)
		if err != nil {
			if errors.Is(err, errHoists) && why == errNoPair {
				why = err
			}
			return
		}
		if most := math.Round(1e6*max(h.Holdings[0].Used, h.Holdings[1].Used)) / 1e6; most < least {
			best, lugs, least = h, two, most
		}
	})
	if lugs == nil {
		return best, nil, fmt.Errorf("two hoists together: %w", why)
	}
	return best, lugs, nil
}

// leanUnder is how far, in degrees, a load rolls about the line of two places from
// which it hangs straight down, at the worst place of its centre of gravity; 180
// where that lies over the line.
func (m Mass) leanUnder(at []r3.Vec) float64 {
	e := r3.Unit(r3.Sub(at[1], at[0]))
	across := r3.Cross(e, up)
	if r3.Norm(across) < 1e-9 {
		return 180
	}
	across = r3.Unit(across)
	worst := 0.0
	for _, c := range m.places() {
		to := r3.Sub(at[0], c)
		rise := r3.Sub(to, r3.Scale(r3.Dot(to, e), e))
		if !(rise.Z > 0) {
			return 180
		}
		side := r3.Dot(rise, across)
		worst = max(worst, math.Atan2(math.Abs(side), math.Sqrt(max(r3.Norm2(rise)-side*side, 0)))/deg)
	}
	return worst
}
