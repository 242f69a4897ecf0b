package rig

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Upending is how bodies that were made lying get to where they stand.
type Upending struct {
	Needed bool
	Lies   Rest // before
	Head   Lug  // in SITE, as it stands
	Turn   Turn // its poses are told lying at the turn's own place
}

// Upend lays bodies, given as they stand, on the flattest stable pose of their hull,
// and turns them up about the level axis that needs the least turn, on the ground,
// by a head lug: of the places on top as it lies the one that will stand highest, of
// those within a tenth of the length of it the one nearest to the upright plane
// through the centre of gravity. A turn of under upendDeg is none.
func Upend(bodies []Body, steps int, opt LiftOptions) (Upending, error) {
	m, err := MassOf(bodies)
	if err != nil {
		return Upending{}, err
	}
	var points []r3.Vec
	for _, b := range bodies {
		points = append(points, b.Points...)
	}
	lies, ok := lowestRest(outlineOf(points), m.places())
	if !ok {
		return Upending{}, fmt.Errorf("%s: it lies stable on no side; give the pose in which it is made", bodies[0].ID)
	}
	return upendFrom(bodies, m, lies, steps, opt)
}

// UpendFrom is Upend from a pose that is given: as a section lies on its vehicle.
func UpendFrom(bodies []Body, lies Rest, steps int, opt LiftOptions) (Upending, error) {
	m, err := MassOf(bodies)
	if err != nil {
		return Upending{}, err
	}
	if d := r3.Norm(lies.DownDir); !(math.Abs(d-1) < 1e-6) {
		return Upending{}, fmt.Errorf("%s: it lies with a direction of length %v down; give one of length 1", bodies[0].ID, d)
	}
	return upendFrom(bodies, m, lies, steps, opt)
}

// upendFrom is UpendFrom of bodies whose mass is known, from a direction of length 1.
func upendFrom(bodies []Body, m Mass, lies Rest, steps int, opt LiftOptions) (Upending, error) {
	u := Upending{Lies: lies}
	sky := r3.Scale(-1, lies.DownDir) // up as it lies, in SITE
	axis := r3.Cross(sky, up)
	if r3.Norm(axis) < 1e-9 { // upside down, or as it stands
		axis = r3.Vec{X: 1}
	}
	axis = r3.Unit(axis)
	by := math.Acos(clamp(sky.Z, -1, 1)) / deg
	if by < upendDeg {
		return u, nil
	}
	// the turn that brings sky to up lays the load; its reverse stands it up again
	lay := r3.NewRotation(by*deg, axis)
	flat := turnedBy(bodies, lay)
	head, err := headOf(flat, lay.Rotate(up), lay.Rotate(m.CentreMM), opt.LugsOn)
	if err != nil {
		return u, err
	}
	u.Needed = true
	u.Head = Lug{head.Body, r3.NewRotation(-by*deg, axis).Rotate(head.AtMM)}
	u.Turn, err = TurnOver(flat, head, nil, TurnOptions{AxisDir: r3.Scale(-1, axis), ToDeg: by, Steps: steps, Lift: opt})
	return u, err
}

// upendDeg: what lies within it of how it stands is shimmed, not turned (ours).
const upendDeg = 1

func turnedBy(bodies []Body, turn r3.Rotation) []Body {
	out := make([]Body, len(bodies))
	for i, b := range bodies {
		points := make([]r3.Vec, len(b.Points))
		for k, p := range b.Points {
			points[k] = turn.Rotate(p)
		}
		b.Points, b.CentreMM = points, turn.Rotate(b.CentreMM)
		out[i] = b
	}
	return out
}

// headOf is the head lug of a load as it lies, with the direction that will be up
// and the centre of gravity.
func headOf(flat []Body, top, centre r3.Vec, on []string) (Lug, error) {
	places := lugPlaces(flat, math.Inf(-1), on)
	if len(places) == 0 {
		return Lug{}, fmt.Errorf("%s: as it lies, no place on top of it can be reached from above; name a head lug", flat[0].ID)
	}
	most, least := math.Inf(-1), math.Inf(1)
	for _, b := range flat {
		for _, p := range b.Points {
			most, least = max(most, r3.Dot(p, top)), min(least, r3.Dot(p, top))
		}
	}
	high := math.Inf(-1)
	for _, l := range places {
		high = max(high, r3.Dot(l.AtMM, top))
	}
	side := r3.Cross(top, up)
	if r3.Norm(side) > 1e-9 {
		side = r3.Unit(side)
	}
	var best Lug
	off := math.Inf(1)
	for _, l := range places {
		if r3.Dot(l.AtMM, top) < high-(most-least)/10 {
			continue
		}
		if d := math.Round(math.Abs(r3.Dot(r3.Sub(l.AtMM, centre), side))); d < off {
			best, off = l, d
		}
	}
	return best, nil
}
