// Package rig plans how pieces and sets of pieces are lifted, turned and hauled:
// mass and centre of gravity with their ranges, leg tensions, hoists, sections
// that fit a vehicle, the way they lie on it, the width they sweep.
//
// It is preliminary planning for qualified people: each result carries what it
// takes for granted and what to look out for. Lengths in mm and places in SITE
// (z up, ground at z = 0) unless a pose is spoken of; kg, N, degrees.
package rig

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// gravityMS2 is the standard acceleration of free fall (3rd CGPM, 1901).
const gravityMS2 = 9.80665

// Preliminary stands first among the cautions of every plan.
const Preliminary = "preliminary planning for qualified people: a competent person checks it before anything is lifted or moved"

// Body is one piece of metal where it stands, or stands in a stage of the work.
// Its mesh is closed and looks outwards.
type Body struct {
	ID                            string
	MassKG, MassLowKG, MassHighKG float64 // Low ≤ Mass ≤ High
	CentreMM                      r3.Vec  // of gravity
	Points                        []r3.Vec
	Triangles                     [][3]uint32
}

var errNoBodies = errors.New("no pieces were given; name at least one")

// checked refuses bodies that cannot be weighed.
func checked(bodies []Body) error {
	if len(bodies) == 0 {
		return errNoBodies
	}
	seen := map[string]bool{}
	for _, b := range bodies {
		if seen[b.ID] {
			return fmt.Errorf("%s is given twice; give each piece once", b.ID)
		}
		seen[b.ID] = true
		if err := b.check(); err != nil {
			return fmt.Errorf("%s: %w", b.ID, err)
		}
	}
	return nil
}

func (b Body) check() error {
	if !(b.MassLowKG > 0) || !(b.MassKG >= b.MassLowKG) || !(b.MassHighKG >= b.MassKG) || math.IsInf(b.MassHighKG, 0) {
		return fmt.Errorf("the masses %v ≤ %v ≤ %v kg are not a range over 0; give the least, the likely and the greatest mass", b.MassLowKG, b.MassKG, b.MassHighKG)
	}
	if !finite(b.CentreMM) {
		return errors.New("its centre of gravity is not a point; give finite coordinates in mm")
	}
	return checkedMesh(b.Points, b.Triangles)
}

func checkedMesh(points []r3.Vec, triangles [][3]uint32) error {
	if len(triangles) < 4 {
		return fmt.Errorf("its mesh has %d triangles; a closed one has at least 4", len(triangles))
	}
	for i, p := range points {
		if !finite(p) {
			return fmt.Errorf("point %d of its mesh is not finite", i)
		}
	}
	for i, t := range triangles {
		if n := uint32(len(points)); t[0] >= n || t[1] >= n || t[2] >= n {
			return fmt.Errorf("triangle %d of its mesh names a point beyond the %d there are", i, n)
		}
	}
	return nil
}

func finite(p r3.Vec) bool { return !math.IsNaN(p.X+p.Y+p.Z) && !math.IsInf(p.X+p.Y+p.Z, 0) }

// Allowance is how far true masses may lie from computed ones, as shares.
type Allowance struct {
	Stock             float64 // ±, of the metal as sold
	WeldLow, WeldHigh float64 // added for weld metal, lugs, temporary steel
}

// DefaultAllowance: ±10 % is what ASTM A53 allows the mass of a pipe (from memory;
// EN 10219 allows 6 %), 3 to 5 % for weld metal, lugs and temporary steel is common
// practice, no source.
func DefaultAllowance() Allowance { return Allowance{Stock: 0.10, WeldLow: 0.03, WeldHigh: 0.05} }

// Range is the least, the likely and the greatest mass of a piece whose metal
// computes to netKG; the likely one has the middle of the weld allowance.
func (a Allowance) Range(netKG float64) (low, likely, high float64, err error) {
	if !(a.Stock >= 0 && a.Stock < 1) || !(a.WeldLow >= 0 && a.WeldHigh >= a.WeldLow && a.WeldHigh < 1) {
		return 0, 0, 0, fmt.Errorf("mass allowances of ±%v for stock and %v to %v for welds; give shares from 0 to under 1, the lesser first", a.Stock, a.WeldLow, a.WeldHigh)
	}
	if !(netKG > 0) || math.IsInf(netKG, 0) {
		return 0, 0, 0, fmt.Errorf("a mass of %v kg; give one over 0", netKG)
	}
	return netKG * (1 - a.Stock) * (1 + a.WeldLow), netKG * (1 + (a.WeldLow+a.WeldHigh)/2), netKG * (1 + a.Stock) * (1 + a.WeldHigh), nil
}

// Says is the allowance for the list of assumptions.
func (a Allowance) Says() []string {
	return []string{
		fmt.Sprintf("masses of stock within ±%.0f %% (ASTM A53 allows the mass of a pipe 10 %%, from memory)", 100*a.Stock),
		fmt.Sprintf("%.0f to %.0f %% added for weld metal, lugs and temporary steel, spread as the pieces are (common practice, no source)", 100*a.WeldLow, 100*a.WeldHigh),
	}
}
