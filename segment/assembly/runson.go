package assembly

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/segment/fit"
	"pointup/segment/surface"
)

// A plane that touches a round surface along a line passes smoothly into it, as the
// side of a slot-shaped plate does into its end. There the round surface ends. Where it
// is seen this far to either side of the line it goes on: a rod that lies along a
// plate's edge, in one plane with the other, is another piece.
const (
	runsOnTurn   = 40 * math.Pi / 180 // to either side
	runsOnSeen   = 0.85               // of the sectors there
	runsOnLean   = 0.17               // cosine between plane's normal and axis, at most: 80 degrees
	runsOnTouch  = 0.1                // of the radius, that the plane may lie off
	runsOnSector = 72                 // of a turn
)

// rounds tells which planes touch which of the cylinders that were found.
type rounds struct {
	f     *surface.Field
	found []surface.Surface
	seen  map[int]*[runsOnSector]bool
}

// runsOn tells that one of two surfaces is a cylinder and goes on at q, a point of it,
// to both sides of where the other, a plane, touches it.
func (r *rounds) runsOn(plane, round int, q r3.Vec) bool {
	c, ok := r.found[round].Ideal.(fit.Cylinder)
	flat, too := r.found[plane].Ideal.(fit.Plane)
	if !ok || !too || !r.found[round].Convex {
		return false
	}
	n := outOf(r.found[plane])
	foot := r3.Add(c.Point, r3.Scale(r3.Dot(r3.Sub(q, c.Point), c.Axis), c.Axis))
	off := r3.Dot(n, r3.Sub(flat.Point, foot)) - c.RadiusMM
	if math.Abs(r3.Dot(n, c.Axis)) > runsOnLean || math.Abs(off) > runsOnTouch*c.RadiusMM+3*r.f.NoiseMM {
		return false
	}
	seen := r.sectors(round, c)
	at := sectorOf(c, n)
	const reach = int(runsOnTurn * runsOnSector / (2 * math.Pi))
	for _, side := range []int{-1, 1} {
		count := 0
		for k := 1; k <= reach; k++ {
			if seen[(at+side*k+runsOnSector)%runsOnSector] {
				count++
			}
		}
		if float64(count) < runsOnSeen*float64(reach) {
			return false
		}
	}
	return true
}

// sectors are those in which the cylinder is seen.
func (r *rounds) sectors(round int, c fit.Cylinder) *[runsOnSector]bool {
	if s, ok := r.seen[round]; ok {
		return s
	}
	s := new([runsOnSector]bool)
	for _, i := range r.found[round].Points {
		s[sectorOf(c, r3.Sub(r.f.P[i], c.Point))] = true
	}
	r.seen[round] = s
	return s
}

// sectorOf is the sector of a turn about the cylinder's axis that a direction is in.
func sectorOf(c fit.Cylinder, d r3.Vec) int {
	e1 := r3.Unit(r3.Cross(c.Axis, leastParallel(c.Axis)))
	phi := math.Atan2(r3.Dot(d, r3.Cross(c.Axis, e1)), r3.Dot(d, e1))
	return int((phi/(2*math.Pi)+1)*runsOnSector) % runsOnSector
}
