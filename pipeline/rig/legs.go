package rig

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

const deg = math.Pi / 180

var up = r3.Vec{Z: 1}

var (
	errOverturns = errors.New("the centre of gravity can lie level with the line of the two lugs or over it, so that the load turns over; choose higher lugs or a third")
	errOutside   = errors.New("the centre of gravity can lie outside the lugs, so that a leg goes slack; set the lugs round it")
	errStacked   = errors.New("two lugs stand one above the other or in one place; set them apart in plan")
	errHookLow   = errors.New("the hook is not above the lugs and the centre of gravity; raise it")
)

// hung is a load at rest under one hook, its centre of gravity below the hook.
// Directions are in the load's own frame: the load leans, not the world.
type hung struct {
	up       r3.Vec    // upwards, seen from the load
	tension  []float64 // of each leg, as a share of the weight
	angleRad []float64 // of each leg from horizontal
}

// hang finds the rest of a rigid load with its centre of gravity at c, hung on
// inextensible legs from one hook. One leg: the lug comes over c. Two: hook and
// lugs are a rigid triangle that swings about the line of the lugs until c is in
// its plane, and leans in it until c is below the hook; heights and angles share
// the load. Three or more: see rigidLegs.
func hang(hook r3.Vec, lugs []r3.Vec, c r3.Vec) (hung, error) {
	switch len(lugs) {
	case 0:
		return hung{}, errNoLugs
	case 1:
		if lugs[0].Z <= c.Z || hook.Z <= lugs[0].Z {
			return hung{}, errHookLow
		}
		return hung{up: r3.Unit(r3.Sub(lugs[0], c)), tension: []float64{1}, angleRad: []float64{math.Pi / 2}}, nil
	case 2:
		return twoLegs(hook, lugs, c)
	}
	return rigidLegs(hook, lugs, c)
}

func twoLegs(hook r3.Vec, lugs []r3.Vec, c r3.Vec) (hung, error) {
	span := r3.Sub(lugs[1], lugs[0])
	s := r3.Norm(span)
	if math.Hypot(span.X, span.Y) < 1e-9*(1+s) {
		return hung{}, errStacked
	}
	e := r3.Scale(1/s, span)
	a := r3.Dot(r3.Sub(c, lugs[0]), e)
	rise := r3.Sub(r3.Add(lugs[0], r3.Scale(a, e)), c) // from c square to the line
	d := r3.Norm(rise)
	if !(rise.Z > 1e-9*s) {
		return hung{}, errOverturns
	}
	n := r3.Scale(1/d, rise)
	l0, l1 := r3.Norm(r3.Sub(hook, lugs[0])), r3.Norm(r3.Sub(hook, lugs[1]))
	h := (l0*l0 - l1*l1 + s*s) / (2 * s)
	tall := math.Sqrt(max(l0*l0-h*h, 0))
	upA, upN := h-a, tall+d // from c to the hook, along e and n
	w := math.Hypot(upA, upN)
	upA, upN = upA/w, upN/w
	// t0·(h, tall)/l0 + t1·(h-s, tall)/l1 = (upA, upN)
	det := tall * s / (l0 * l1)
	t0 := (upA*tall - upN*(h-s)) / (l1 * det)
	t1 := (h*upN - tall*upA) / (l0 * det)
	if !(det > 0) || math.IsNaN(t0+t1) {
		return hung{}, errHookLow
	}
	if t0 < -1e-12 || t1 < -1e-12 {
		return hung{}, errOutside
	}
	lean := func(x float64, l float64) float64 { return math.Asin(clamp((x*upA+tall*upN)/l, -1, 1)) }
	return hung{up: r3.Add(r3.Scale(upA, e), r3.Scale(upN, n)), tension: []float64{max(t0, 0), max(t1, 0)},
		angleRad: []float64{lean(h, l0), lean(h-s, l1)}}, nil
}

// rigidLegs takes a hook that is fixed to the load by three or more taut legs. The
// forces on the load meet in the hook, so that every way in which legs that only
// pull can hold it is a mean of ways in which three do: the greatest pull of a leg
// is that of the worst three. Since a rigid load on legs of not quite equal length
// hangs on two, any two are also taken to carry all (common practice; sling
// catalogues count two legs): each by the place of the centre of gravity between
// their lugs.
func rigidLegs(hook r3.Vec, lugs []r3.Vec, c r3.Vec) (hung, error) {
	axis := r3.Sub(hook, c)
	if !(axis.Z > 0) {
		return hung{}, errHookLow
	}
	g := hung{up: r3.Unit(axis), tension: make([]float64, len(lugs)), angleRad: make([]float64, len(lugs))}
	pull := make([]r3.Vec, len(lugs))
	for i, at := range lugs {
		pull[i] = r3.Sub(hook, at)
		if r3.Norm(pull[i]) == 0 {
			return g, errHookLow
		}
		pull[i] = r3.Unit(pull[i])
		g.angleRad[i] = math.Asin(clamp(r3.Dot(pull[i], g.up), -1, 1))
		if g.angleRad[i] <= 0 {
			return g, errHookLow
		}
	}
	if !g.threes(pull) {
		return g, errOutside
	}
	for i := range lugs {
		for j := i + 1; j < len(lugs); j++ {
			share, ok := between(lugs[i], lugs[j], c, g.up)
			if !ok {
				return g, errStacked
			}
			g.tension[i] = max(g.tension[i], (1-share)/math.Sin(g.angleRad[i]))
			g.tension[j] = max(g.tension[j], share/math.Sin(g.angleRad[j]))
		}
	}
	return g, nil
}

// threes raises the tensions to those of every three legs that hold the load, and
// tells whether any do.
func (g *hung) threes(pull []r3.Vec) bool {
	held := false
	for i := range pull {
		for j := i + 1; j < len(pull); j++ {
			for k := j + 1; k < len(pull); k++ {
				det := r3.Dot(pull[i], r3.Cross(pull[j], pull[k]))
				if math.Abs(det) < 1e-9 {
					continue
				}
				t := [3]float64{r3.Dot(g.up, r3.Cross(pull[j], pull[k])) / det, r3.Dot(g.up, r3.Cross(pull[k], pull[i])) / det, r3.Dot(g.up, r3.Cross(pull[i], pull[j])) / det}
				if min(t[0], t[1], t[2]) < -1e-12 {
					continue
				}
				held = true
				for n, at := range [3]int{i, j, k} {
					g.tension[at] = max(g.tension[at], t[n])
				}
			}
		}
	}
	return held
}

// between is where c lies from a to b, seen along a direction: 0 at a or before
// it, 1 at b or beyond.
func between(a, b, c, along r3.Vec) (float64, bool) {
	flat := func(v r3.Vec) r3.Vec { return r3.Sub(v, r3.Scale(r3.Dot(v, along), along)) }
	span := flat(r3.Sub(b, a))
	s2 := r3.Norm2(span)
	if s2 < 1e-12*(1+r3.Norm2(r3.Sub(b, a))) {
		return 0, false
	}
	return clamp(r3.Dot(flat(r3.Sub(c, a)), span)/s2, 0, 1), true
}

func clamp(x, lo, hi float64) float64 { return min(max(x, lo), hi) }
