package rig

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// TurnOptions are how a load is turned from flat to upright.
type TurnOptions struct {
	AxisDir r3.Vec  // level; the load turns about it by the right hand
	ToDeg   float64 // over 0 to 180
	Steps   int     // 2 to 180
	Lift    LiftOptions
}

// What holds a pose.
const (
	Shared    = "shared"     // head and tail both carry
	HeadAlone = "head alone" // the tail is slack: the load swings under the head
	TailAlone = "tail alone" // the head is slack: the load tips over its tail
)

// Pose is one step of a turn, set down so that its lowest point is at z = 0.
type Pose struct {
	TurnDeg                  float64
	HeadMM, TailMM, CentreMM r3.Vec
	HeadKG, TailKG           float64 // greatest, dynamic factor and rigging included
	BelowMM                  float64 // least height of the line from tail to head over the centre of gravity; under 0: it can roll over
	SidewaysMM               float64 // greatest distance of the centre of gravity from the upright plane through head and tail
	Holds                    string  // the worst over the range of the centre of gravity
}

// Turn is a load turned by a head line and a tail line or the ground.
type Turn struct {
	TailOnGround bool
	Poses        []Pose
	HeadMostKG   float64
	TailMostKG   float64
	HeadRoomMM   float64 // greatest height of the head lug
	AloneFromDeg float64 // first pose that one of the two holds alone, where there is one
	Alone        bool
	Assumptions  []string
	Cautions     []string
}

// TurnOver turns bodies that lie as given: the head lug is lifted, the tail is held
// by a second line, or without one (tail nil) by the ground under the lowest point,
// the one farthest from the head where several are level. Both pull straight up,
// so that levers in the upright plane across the axis share the load; each pose is
// at rest, at the worst place of the centre of gravity, which turns with the load.
func TurnOver(bodies []Body, head Lug, tail *Lug, opt TurnOptions) (Turn, error) {
	m, err := MassOf(bodies)
	if err != nil {
		return Turn{}, err
	}
	lugs := []Lug{head}
	if tail != nil {
		lugs = append(lugs, *tail)
	}
	if _, err := placesOf(bodies, lugs); err != nil {
		return Turn{}, err
	}
	if err := opt.check(); err != nil {
		return Turn{}, err
	}
	axis := r3.Unit(opt.AxisDir)
	t := turner{m: m, head: head.AtMM, tail: tail, axis: axis, side: r3.Cross(axis, up), loadKG: (m.MassHighKG + opt.Lift.RiggingKG) * opt.Lift.DynamicFactor}
	for _, b := range bodies {
		t.points = append(t.points, b.Points...)
	}
	return t.all(opt)
}

func (o TurnOptions) check() error {
	size := r3.Norm(o.AxisDir)
	switch {
	case !(size > 0) || math.IsInf(size, 0) || math.Abs(o.AxisDir.Z) > 1e-9*size:
		return errors.New("the axis of the turn is not level; give a level direction")
	case !(o.ToDeg > 0 && o.ToDeg <= 180):
		return fmt.Errorf("a turn by %v°; give one over 0° to 180°", o.ToDeg)
	case o.Steps < 2 || o.Steps > 180:
		return fmt.Errorf("a turn in %d steps; give 2 to 180", o.Steps)
	}
	return o.Lift.check()
}

type turner struct {
	m          Mass
	points     []r3.Vec
	head       r3.Vec
	tail       *Lug
	axis, side r3.Vec
	loadKG     float64
}

func (t *turner) all(opt TurnOptions) (Turn, error) {
	out := Turn{TailOnGround: t.tail == nil}
	for i := range opt.Steps + 1 {
		p := t.pose(opt.ToDeg * float64(i) / float64(opt.Steps))
		if i == 0 && p.Holds != Shared {
			return out, fmt.Errorf("as it lies, %s would carry it; set the head lug on the other side of the centre of gravity from the tail", p.Holds)
		}
		if i == 1 && p.HeadMM.Z-p.TailMM.Z <= out.Poses[0].HeadMM.Z-out.Poses[0].TailMM.Z {
			return out, errors.New("the turn lowers the head against the tail; turn the axis round")
		}
		out.Poses = append(out.Poses, p)
		out.HeadMostKG, out.TailMostKG = max(out.HeadMostKG, p.HeadKG), max(out.TailMostKG, p.TailKG)
		out.HeadRoomMM = max(out.HeadRoomMM, p.HeadMM.Z)
		if p.Holds != Shared && !out.Alone {
			out.Alone, out.AloneFromDeg = true, p.TurnDeg
		}
	}
	out.say(opt)
	return out, nil
}

func (t *turner) pose(turnDeg float64) Pose {
	turn := r3.NewRotation(turnDeg*deg, t.axis)
	points := make([]r3.Vec, len(t.points))
	low := math.Inf(1)
	for i, p := range t.points {
		points[i] = turn.Rotate(p)
		low = min(low, points[i].Z)
	}
	down := func(p r3.Vec) r3.Vec { return r3.Vec{X: p.X, Y: p.Y, Z: p.Z - low} }
	x := Pose{TurnDeg: turnDeg, HeadMM: down(turn.Rotate(t.head)), CentreMM: down(turn.Rotate(t.m.CentreMM)), BelowMM: math.Inf(1), Holds: Shared}
	if t.tail != nil {
		x.TailMM = down(turn.Rotate(t.tail.AtMM))
	} else {
		x.TailMM = down(t.foot(points, low, turn.Rotate(t.head)))
	}
	for _, c := range t.m.places() {
		t.hold(&x, down(turn.Rotate(c)))
	}
	return x
}

// foot is the lowest point, of those level with it (to a millionth of the load's
// size) the one farthest from the head across the axis.
func (t *turner) foot(points []r3.Vec, low float64, head r3.Vec) r3.Vec {
	tall := 0.0
	for _, p := range points {
		tall = max(tall, r3.Norm(r3.Sub(p, points[0])))
	}
	best, far := r3.Vec{}, -1.0
	for _, p := range points {
		if d := math.Abs(r3.Dot(r3.Sub(p, head), t.side)); p.Z <= low+1e-6*tall && d > far {
			best, far = p, d
		}
	}
	return r3.Vec{X: best.X, Y: best.Y, Z: low}
}

// hold makes a pose no better than one place of the centre of gravity.
func (t *turner) hold(x *Pose, c r3.Vec) {
	span := r3.Dot(r3.Sub(x.HeadMM, x.TailMM), t.side)
	arm := r3.Dot(r3.Sub(c, x.TailMM), t.side)
	size := r3.Norm(r3.Sub(x.HeadMM, x.TailMM))
	share := 1.0 // of the head
	if math.Abs(span) > 1e-9*size {
		share = arm / span
	}
	switch {
	case share > 1+1e-9 || math.Abs(span) <= 1e-9*size:
		x.Holds, share = HeadAlone, 1
	case share < -1e-9:
		x.Holds, share = TailAlone, 0
	}
	share = clamp(share, 0, 1)
	x.HeadKG, x.TailKG = max(x.HeadKG, share*t.loadKG), max(x.TailKG, (1-share)*t.loadKG)
	line := x.TailMM.Z + share*(x.HeadMM.Z-x.TailMM.Z)
	x.BelowMM = min(x.BelowMM, line-c.Z)
	across := r3.Dot(r3.Sub(r3.Add(x.TailMM, r3.Scale(share, r3.Sub(x.HeadMM, x.TailMM))), c), t.axis)
	x.SidewaysMM = max(x.SidewaysMM, math.Abs(across))
}

func (t *Turn) say(opt TurnOptions) {
	t.Assumptions = append(t.Assumptions, "the load is rigid, turns slowly, and both lines hang straight up all the way (the hoists follow)",
		fmt.Sprintf("a dynamic factor of %.2f on all that hangs (1.05 to 1.15 onshore, from memory), rigging of %.0f kg", opt.Lift.DynamicFactor, opt.Lift.RiggingKG))
	t.Cautions = append(t.Cautions, Preliminary, "lugs are pulled from every side during the turn: the engineer checks them, and the pieces round them, for each")
	if t.TailOnGround {
		t.Assumptions = append(t.Assumptions, "the foot neither slides nor sinks; chock it and lay timber under it (common practice, no source)")
	}
	if t.Alone {
		t.Cautions = append(t.Cautions, fmt.Sprintf("from %.0f° one end can carry all and the load moves by itself until it is at rest: hold it back with a third line or turn it with the lugs elsewhere", t.AloneFromDeg))
	}
	if i := slices.IndexFunc(t.Poses, func(p Pose) bool { return p.BelowMM < 0 }); i >= 0 && !t.TailOnGround {
		t.Cautions = append(t.Cautions, fmt.Sprintf("at %.0f° the centre of gravity can stand over the line of the lugs: the load can roll over; use lugs on both sides of it, or higher ones", t.Poses[i].TurnDeg))
	}
	if i := slices.IndexFunc(t.Poses, func(p Pose) bool { return p.SidewaysMM > 0.02*t.HeadRoomMM }); i >= 0 {
		t.Cautions = append(t.Cautions, fmt.Sprintf("at %.0f° the centre of gravity can lie %.0f mm beside the plane of the lugs: the load leans sideways", t.Poses[i].TurnDeg, t.Poses[i].SidewaysMM))
	}
}
