package rig

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

var errNoLugs = errors.New("no lug was given; give one to six")

// Lug is where a leg holds a piece.
type Lug struct {
	Body string
	AtMM r3.Vec
}

// LiftOptions are the rules of a lift.
type LiftOptions struct {
	DynamicFactor float64  // of starting, stopping and wind gusts
	RiggingKG     float64  // hook block, slings, shackles, spreader
	AngleMinDeg   float64  // of a leg from horizontal, at the worst place of the centre of gravity; never under 30
	AngleDeg      float64  // that is aimed at
	TiltMaxDeg    float64  // how far the load may lean when it hangs
	HookMaxMM     *float64 // above ground, where head room ends
	LugsOn        []string // bodies on which a lug that is chosen may stand; nil: all
}

// DefaultLiftOptions: a dynamic factor of 1.10 (1.05 to 1.15 onshore, from memory),
// legs at 60° or better, never below 30° (sling catalogues after ASME B30.9), a
// lean of 5° (ours).
func DefaultLiftOptions() LiftOptions {
	return LiftOptions{DynamicFactor: 1.10, AngleMinDeg: leastAngleDeg, AngleDeg: 60, TiltMaxDeg: 5}
}

// leastAngleDeg: below it the maker or a qualified person has to agree (ASME B30.9).
const leastAngleDeg = 30

func (o LiftOptions) check() error {
	switch {
	case !(o.DynamicFactor >= 1 && o.DynamicFactor <= 3):
		return fmt.Errorf("the dynamic factor is %v; give one from 1 to 3", o.DynamicFactor)
	case !(o.RiggingKG >= 0) || math.IsInf(o.RiggingKG, 0):
		return fmt.Errorf("the rigging is %v kg; give 0 or more", o.RiggingKG)
	case !(o.AngleMinDeg >= leastAngleDeg && o.AngleMinDeg < 90):
		return fmt.Errorf("the least leg angle is %v° from horizontal; give one from %d° to under 90°", o.AngleMinDeg, leastAngleDeg)
	case !(o.AngleDeg >= o.AngleMinDeg && o.AngleDeg < 90):
		return fmt.Errorf("the leg angle is %v° from horizontal; give one from %v° to under 90°", o.AngleDeg, o.AngleMinDeg)
	case !(o.TiltMaxDeg > 0 && o.TiltMaxDeg <= 45):
		return fmt.Errorf("the greatest lean is %v°; give one over 0° to 45°", o.TiltMaxDeg)
	case o.HookMaxMM != nil && !(*o.HookMaxMM > 0):
		return fmt.Errorf("the greatest hook height is %v mm; give one over 0", *o.HookMaxMM)
	}
	return nil
}

// Leg is a sling from a lug to the hook.
type Leg struct {
	Lug
	LengthMM float64
	AngleDeg float64 // least, from horizontal
	TensionN float64 // greatest, dynamic factor included
}

// Lift is a load on legs from one hook.
type Lift struct {
	Of          Mass
	Legs        []Leg
	HookMM      r3.Vec
	HeadRoomMM  float64 // from the lowest point of the load to the hook
	TiltDeg     float64 // greatest lean
	LoadKG      float64 // greatest mass and rigging, dynamic factor included: what hoist and legs are taken to carry
	Assumptions []string
	Cautions    []string
}

// LiftOn hangs bodies on lugs, the hook over the likely centre of gravity (of two
// lugs: over the place on their line that is nearest to it) and so high that the
// flattest leg has AngleDeg, or lower where head room ends. Tensions, angles and
// lean are the worst over the box of the centre of gravity (its corners, middles
// of edges and faces), for the greatest masses. The rigging counts on the legs too,
// since shackles and spreaders hang there: to the safe side.
func LiftOn(bodies []Body, lugs []Lug, opt LiftOptions) (Lift, error) {
	m, err := MassOf(bodies)
	if err != nil {
		return Lift{}, err
	}
	return liftOn(bodies, m, lugs, opt)
}

func liftOn(bodies []Body, m Mass, lugs []Lug, opt LiftOptions) (Lift, error) {
	l := Lift{Of: m, LoadKG: (m.MassHighKG + opt.RiggingKG) * opt.DynamicFactor}
	if err := opt.check(); err != nil {
		return l, err
	}
	at, err := placesOf(bodies, lugs)
	if err != nil {
		return l, err
	}
	l.HookMM = hookOver(m.CentreMM, at, opt)
	if err := l.worst(lugs, at, opt); err != nil {
		return l, err
	}
	l.HeadRoomMM = l.HookMM.Z - lowest(bodies)
	l.say(opt)
	return l, nil
}

func placesOf(bodies []Body, lugs []Lug) ([]r3.Vec, error) {
	if len(lugs) == 0 || len(lugs) > 6 {
		return nil, errNoLugs
	}
	named := map[string]bool{}
	for _, b := range bodies {
		named[b.ID] = true
	}
	var at []r3.Vec
	for _, g := range lugs {
		if !named[g.Body] {
			return nil, fmt.Errorf("a lug is on %q, which is not lifted; set it on a piece of the load", g.Body)
		}
		if !finite(g.AtMM) {
			return nil, fmt.Errorf("a lug on %s has no finite place", g.Body)
		}
		at = append(at, g.AtMM)
	}
	return at, nil
}

// hookOver is the place of the hook.
func hookOver(c r3.Vec, lugs []r3.Vec, opt LiftOptions) r3.Vec {
	hook := r3.Vec{X: c.X, Y: c.Y, Z: lugs[0].Z}
	switch len(lugs) {
	case 1:
		hook = r3.Add(lugs[0], up)
	case 2:
		if share, ok := between(lugs[0], lugs[1], c, up); ok {
			hook = r3.Add(lugs[0], r3.Scale(share, r3.Sub(lugs[1], lugs[0])))
		}
	}
	for _, p := range lugs {
		hook.Z = max(hook.Z, p.Z+math.Hypot(p.X-hook.X, p.Y-hook.Y)*math.Tan(opt.AngleDeg*deg))
	}
	if opt.HookMaxMM != nil {
		hook.Z = min(hook.Z, *opt.HookMaxMM)
	}
	return hook
}

// worst fills the legs and the lean.
func (l *Lift) worst(lugs []Lug, at []r3.Vec, opt LiftOptions) error {
	for i, g := range lugs {
		l.Legs = append(l.Legs, Leg{Lug: g, LengthMM: r3.Norm(r3.Sub(l.HookMM, at[i])), AngleDeg: 90})
	}
	for _, c := range l.Of.places() {
		h, err := hang(l.HookMM, at, c)
		if err != nil {
			return err
		}
		l.TiltDeg = max(l.TiltDeg, math.Acos(clamp(h.up.Z, -1, 1))/deg)
		for i := range l.Legs {
			l.Legs[i].TensionN = max(l.Legs[i].TensionN, h.tension[i]*l.LoadKG*gravityMS2)
			l.Legs[i].AngleDeg = min(l.Legs[i].AngleDeg, h.angleRad[i]/deg)
		}
	}
	for _, leg := range l.Legs {
		if leg.AngleDeg < opt.AngleMinDeg-1e-9 {
			return fmt.Errorf("the leg on %s can come down to %.1f° from horizontal, under %v°; set the lugs closer together, or give more head room", leg.Body, leg.AngleDeg, opt.AngleMinDeg)
		}
	}
	if l.TiltDeg > opt.TiltMaxDeg {
		return fmt.Errorf("the load can lean by %.1f°, over %v°; set the lugs round the centre of gravity, or allow more", l.TiltDeg, opt.TiltMaxDeg)
	}
	return nil
}

func lowest(bodies []Body) float64 {
	z := math.Inf(1)
	for _, b := range bodies {
		for _, p := range b.Points {
			z = min(z, p.Z)
		}
	}
	return z
}

func (l *Lift) say(opt LiftOptions) {
	l.Assumptions = append(l.Assumptions,
		"the load is rigid and hangs at rest with its centre of gravity below the hook, legs do not stretch",
		"legs are steeper than 30° from horizontal at every place of the centre of gravity in its range (ASME B30.9)",
		fmt.Sprintf("a dynamic factor of %.2f on all that hangs (1.05 to 1.15 onshore, from memory)", opt.DynamicFactor),
		fmt.Sprintf("rigging of %.0f kg", opt.RiggingKG))
	l.Cautions = append(l.Cautions, Preliminary, "lugs, their welds and the pieces round them are not checked for strength: that is the engineer's",
		"weigh the first section: mass and centre of gravity are the two numbers that break lifts (common practice, no source)")
	if len(l.Legs) > 2 {
		l.Assumptions = append(l.Assumptions, "any two legs of a rigid load carry all of it (common practice; sling catalogues count two)")
	}
	if slices.ContainsFunc(l.Legs, func(g Leg) bool { return g.AtMM.Z < l.Of.BoxMM[1].Z }) {
		l.Cautions = append(l.Cautions, "a lug lies below the centre of gravity: the load turns over if a leg goes slack; lift without a jerk, set down level")
	}
	if opt.RiggingKG == 0 {
		l.Cautions = append(l.Cautions, "the rigging was taken to weigh nothing; give its mass")
	}
}
