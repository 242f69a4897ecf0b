package shop

import (
	"context"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/quantity"
	"pointup/pipeline/stock"
)

// FitUpOptions set the tapes.
type FitUpOptions struct {
	Class                string  // linear class of ISO 13920: A to D
	TapeMinMM, TapeMaxMM float64 // a steel tape held by two
	Tapes                int     // for a step: 4 at least; 6 fix a piece
	Marks                int     // on a piece, at most
	Standing             int     // marks on what stands that are looked at
}

// DefaultFitUpOptions: tapes from 150 mm to 8 m (common practice, no source).
func DefaultFitUpOptions() FitUpOptions {
	return FitUpOptions{Class: "B", TapeMinMM: 150, TapeMaxMM: 8000, Tapes: 6, Marks: 12, Standing: 24}
}

// FitUpAssumptions is what every fit-up pack rests on.
func FitUpAssumptions() []string {
	return []string{
		"preliminary planning for qualified people: check before the final weld, and after it",
		"distances are straight from mark to mark, at full size with stock sizes, before weld shrinkage; whether metal stands between is not checked",
		"±: ISO 13920, linear class for distances and heights, angular class for plumb",
		"heights are over the floor in the pose of the step; angles are of the piece's axis in it",
	}
}

// FitUp is what a fitter measures to set a piece.
type FitUp struct {
	Step, Part int // of the plan, from 0
	Tapes      []Tape
	Levels     []Level
	Plumb      *Plumb // nil where the piece has no axis

	// Least is the least that the tapes change, taken together (root of the sum of
	// squares), mm, when the piece moves by 1 mm, or turns until its farthest mark
	// moved 1 mm: the least singular value of the Jacobian. Fixed counts the
	// motions of six that the tapes see (a change of over 0.05 mm).
	Least float64
	Fixed int
	Note  string
}

// Tape is a distance from a mark on what stands to one on the new piece.
type Tape struct {
	From, To              Mark
	LengthMM, PlusMinusMM float64
	FeetInches            string
}

// Level is the height of a mark of the new piece.
type Level struct {
	At                    Mark
	HeightMM, PlusMinusMM float64
	FeetInches            string
}

// Plumb is how the piece's axis stands. Lean is from plumb, toward a level
// direction that is given as degrees counter-clockwise, seen from above, from Zero.
// Clock is how the piece is turned about its axis: seen from the upper end, counter-
// clockwise from the uppermost side (of a plumb axis from Zero) to its Ref.
type Plumb struct {
	LeanDeg, TowardDeg float64
	Zero               r3.Vec // SITE
	PlusMinusMMPerM    float64
	ClockDeg           float64
	Clocked            bool // false for a piece that is the same all round
}

func (o FitUpOptions) check() error {
	if _, err := LinearMM(o.Class, 1); err != nil {
		return fmt.Errorf("fit-up: %w", err)
	}
	switch {
	case !(o.TapeMinMM > 0) || !(o.TapeMaxMM > o.TapeMinMM):
		return fmt.Errorf("fit-up: tapes from %g to %g mm; give a least length over 0 and a larger greatest one", o.TapeMinMM, o.TapeMaxMM)
	case o.Tapes < 4 || o.Tapes > 12:
		return fmt.Errorf("fit-up: %d tapes a step; 4 to 12 are possible", o.Tapes)
	case o.Marks < 3 || o.Standing < 3:
		return fmt.Errorf("fit-up: 3 marks at least are needed on either side")
	}
	return nil
}

// FitUpPack gives the measures of every step of a plan, in its order. Parts and
// bodies are those of BuildOrder. Errors: options out of range, lists of other
// lengths, a step that names no part, ctx.
func FitUpPack(ctx context.Context, parts []stock.Part, bodies []Body, plan Plan, opt FitUpOptions) ([]FitUp, error) {
	if err := opt.check(); err != nil {
		return nil, err
	}
	if err := checkBodies("fit-up", parts, bodies); err != nil {
		return nil, err
	}
	var out []FitUp
	var standing []Mark
	var stand []int
	for k, s := range plan.Steps {
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		if s.Part < 0 || s.Part >= len(parts) {
			return nil, fmt.Errorf("fit-up: step %d names part %d of %d", k+1, s.Part, len(parts))
		}
		marks := marksOf(s.Part, bodies[s.Part], opt.Marks)
		stand = append(stand, s.Part)
		f := FitUp{Step: k, Part: s.Part}
		floor := floorOf(bodies, stand, s.Up)
		if k > 0 {
			f.tapes(offFloor(standing, floor, s.Up), marks, opt)
			if all := (FitUp{Step: k, Part: s.Part}); f.Fixed < 6 {
				if all.tapes(standing, marks, opt); all.Fixed > f.Fixed {
					f = all
				}
			}
		}
		f.levels(marks, floor, s.Up, opt)
		f.Plumb = plumbOf(parts[s.Part], marks, s.Up, opt)
		out = append(out, f)
		standing = append(standing, marks...)
	}
	return out, nil
}

// offFloor leaves out marks that lie on the floor, where others are to be had.
func offFloor(marks []Mark, floor float64, up r3.Vec) []Mark {
	var out []Mark
	for _, m := range marks {
		if r3.Dot(m.AtMM, up) > floor+onFloorMM {
			out = append(out, m)
		}
	}
	if len(out) < 3 {
		return marks
	}
	return out
}

// onFloorMM is how high a mark must be so that a tape is held to it: common
// practice, no source.
const onFloorMM = 10

func floorOf(bodies []Body, stand []int, up r3.Vec) float64 {
	low := math.Inf(1)
	for _, i := range stand {
		for _, p := range bodies[i].points() {
			low = min(low, r3.Dot(p, up))
		}
	}
	return low
}

// levels are the heights of the lowest and highest mark and of the one farthest
// from both.
func (f *FitUp) levels(marks []Mark, floor float64, up r3.Vec, opt FitUpOptions) {
	if len(marks) == 0 {
		return
	}
	low, high := 0, 0
	for i, m := range marks {
		if h := r3.Dot(m.AtMM, up); h < r3.Dot(marks[low].AtMM, up)-1e-6 {
			low = i
		} else if h > r3.Dot(marks[high].AtMM, up)+1e-6 {
			high = i
		}
	}
	at := func(m, of int) float64 { return r3.Norm(r3.Sub(marks[m].AtMM, marks[of].AtMM)) }
	third := low
	for i := range marks {
		if min(at(i, low), at(i, high)) > min(at(third, low), at(third, high))+1e-6 {
			third = i
		}
	}
	seen := map[int]bool{}
	for _, i := range []int{low, high, third} {
		if seen[i] {
			continue
		}
		seen[i] = true
		h := r3.Dot(marks[i].AtMM, up) - floor
		tol, _ := LinearMM(opt.Class, h) // the class was checked
		f.Levels = append(f.Levels, Level{At: marks[i], HeightMM: h, PlusMinusMM: tol, FeetInches: quantity.FeetInches(h)})
	}
}

// plumbOf is how a piece's axis stands in a pose.
func plumbOf(p stock.Part, marks []Mark, up r3.Vec, opt FitUpOptions) *Plumb {
	axis := unitOr0(p.Frame.Axis)
	if axis == (r3.Vec{}) || p.Kind == "sphere" || p.Kind == "freeform" {
		return nil
	}
	if r3.Dot(axis, up) < 0 {
		axis = r3.Scale(-1, axis)
	}
	zero := r3.Vec{X: 1}
	if math.Abs(r3.Dot(up, zero)) > 0.5 {
		zero = r3.Vec{Y: 1}
	}
	out := &Plumb{LeanDeg: math.Acos(min(1, r3.Dot(axis, up))) * 180 / math.Pi, Zero: zero}
	from := unitOr0(r3.Sub(up, r3.Scale(r3.Dot(up, axis), axis)))
	if out.LeanDeg < plumbDeg {
		from = unitOr0(r3.Sub(zero, r3.Scale(r3.Dot(zero, axis), axis)))
	} else {
		out.TowardDeg = aboutDeg(zero, r3.Sub(axis, r3.Scale(r3.Dot(axis, up), up)), up)
	}
	long := 0.0
	for _, m := range marks {
		long = max(long, 2*math.Abs(r3.Dot(r3.Sub(m.AtMM, p.Frame.OriginMM), axis)))
	}
	out.PlusMinusMMPerM, _ = AngularMMPerM(opt.Class, long)
	if out.Clocked = !allRound(p); out.Clocked {
		out.ClockDeg = aboutDeg(from, p.Frame.Ref, axis)
	}
	return out
}

// plumbDeg is the lean under which an axis is plumb and leans to no side.
const plumbDeg = 0.5

// aboutDeg is the angle from a to b, counter-clockwise seen against n, from 0 to
// under 360, to a hundredth, so that next to nothing is not 360.
func aboutDeg(a, b, n r3.Vec) float64 {
	deg := math.Atan2(r3.Dot(r3.Cross(a, b), n), r3.Dot(a, b)) * 180 / math.Pi
	return quantity.Round(math.Mod(quantity.Round(deg, 2)+360, 360), 2)
}

// allRound says whether a piece looks the same however it is turned about its axis.
func allRound(p stock.Part) bool {
	switch p.Kind {
	case "tube", "bar", "disc", "ring", "cone", "sphere":
	default:
		return false
	}
	for _, e := range p.Ends {
		if e.Kind != "square" && e.Kind != "open" && e.Kind != "hidden" {
			return false
		}
	}
	return len(p.Holes) == 0
}
