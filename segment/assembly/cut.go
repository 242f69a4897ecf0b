// Package assembly takes a fused scan apart: which surfaces make up which piece
// of metal, how pieces meet, and how they relate.
package assembly

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/segment/fit"
	"pointup/segment/surface"
)

// blend tells a surface that is weld rather than metal: a small one that is
// rougher than the scan, or one that is hollow with the turn of a fillet and no
// more.
func blend(f *surface.Field, s surface.Surface) bool {
	if len(s.Points) < minorPoints && s.RMSMM > beadRough*max(f.NoiseMM, 0.01*f.SpacingMM) {
		return true
	}
	switch h := s.Ideal.(type) {
	case fit.Cylinder:
		return !s.Convex && turnAbout(f, s.Points, h.Point, h.Axis) < math.Pi
	case fit.Torus:
		return !s.Convex && sectionTurn(f, s.Points, h) > filletTurn
	case fit.Cone:
		return !s.Convex && turnAbout(f, s.Points, h.Point, h.Axis) < math.Pi
	case fit.Sphere:
		return !s.Convex
	}
	return len(s.Points) < 30
}

// beadRough leaves 25 % to the scatter of a hundred points and to form.
const beadRough = 1.25

// filletTurn is how far the section of a fillet turns at least, rad: a rod that a weld
// makes a little thinner in the middle is hollow along its length, but does not turn.
const filletTurn = 0.2

// sectionTurn is how much of a turn of the torus's section the points see, rad: 8 in
// 10 of them.
func sectionTurn(f *surface.Field, points []int32, h fit.Torus) float64 {
	phi := make([]float64, len(points))
	for k, i := range points {
		q := r3.Sub(f.P[i], h.Centre)
		z := r3.Dot(q, h.Axis)
		rho := math.Sqrt(max(r3.Norm2(q)-z*z, 0))
		phi[k] = math.Atan2(z, h.RadiusMM-rho) // 0 on the side of the axis
	}
	slices.Sort(phi)
	return phi[len(phi)*9/10] - phi[len(phi)/10]
}

// turnAbout is how much of a turn about the axis the points see, rad.
func turnAbout(f *surface.Field, points []int32, at, axis r3.Vec) float64 {
	const sectors = 72
	var seen [sectors]bool
	e1 := r3.Unit(r3.Cross(axis, leastParallel(axis)))
	e2 := r3.Cross(axis, e1)
	for _, i := range points {
		q := r3.Sub(f.P[i], at)
		phi := math.Atan2(r3.Dot(q, e2), r3.Dot(q, e1))
		seen[min(int((phi+math.Pi)/(2*math.Pi)*sectors), sectors-1)] = true
	}
	n := 0
	for _, s := range seen {
		if s {
			n++
		}
	}
	return float64(n) / sectors * 2 * math.Pi
}

func leastParallel(d r3.Vec) r3.Vec {
	x, y, z := math.Abs(d.X), math.Abs(d.Y), math.Abs(d.Z)
	switch {
	case x <= y && x <= z:
		return r3.Vec{X: 1}
	case y <= z:
		return r3.Vec{Y: 1}
	}
	return r3.Vec{Z: 1}
}
