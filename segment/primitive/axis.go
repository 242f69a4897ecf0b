package primitive

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// norm, unit and hypot take half the time of what guards against sizes past
// 1e150, which no scan has.
func norm(v r3.Vec) float64 { return math.Sqrt(v.X*v.X + v.Y*v.Y + v.Z*v.Z) }

func unit(v r3.Vec) r3.Vec {
	l := norm(v)
	return r3.Vec{X: v.X / l, Y: v.Y / l, Z: v.Z / l}
}

func hypot(x, y float64) float64 { return math.Sqrt(x*x + y*y) }

// frame is a right-handed frame: a point, an axis and two directions across it.
type frame struct{ C, E1, E2, D r3.Vec }

// newFrame completes a frame from a point and a direction.
func newFrame(c, d r3.Vec) frame {
	d = unit(d)
	e1 := r3.Cross(leastParallel(d), d)
	e1 = unit(r3.Cross(d, e1))
	return frame{c, e1, r3.Cross(d, e1), d}
}

// leastParallel is the coordinate axis least parallel to d.
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

// local returns p in the frame: along E1, E2 and D.
func (f frame) local(p r3.Vec) (u, v, h float64) {
	q := r3.Sub(p, f.C)
	return r3.Dot(q, f.E1), r3.Dot(q, f.E2), r3.Dot(q, f.D)
}

// at returns the point with these frame coordinates.
func (f frame) at(u, v, h float64) r3.Vec {
	return r3.Add(f.C, r3.Add(r3.Scale(u, f.E1), r3.Add(r3.Scale(v, f.E2), r3.Scale(h, f.D))))
}

// dir returns the direction with these frame components.
func (f frame) dir(u, v, h float64) r3.Vec {
	return r3.Add(r3.Scale(u, f.E1), r3.Add(r3.Scale(v, f.E2), r3.Scale(h, f.D)))
}

// radial returns the distance from the axis and the height along it.
func (f frame) radial(p r3.Vec) (rho, h float64) {
	u, v, h := f.local(p)
	return hypot(u, v), h
}

// outward is the direction away from the axis at p, zero on the axis.
func (f frame) outward(p r3.Vec) r3.Vec {
	u, v, _ := f.local(p)
	l := hypot(u, v)
	if l == 0 {
		return r3.Vec{}
	}
	return f.dir(u/l, v/l, 0)
}

// axialParams is the number of parameters of a free axis: its shift along E1
// and E2 of the frame it starts from, and its tilt towards them.
const axialParams = 4

// axial is an axis near a start frame: C + x0 E1 + x1 E2, along the unit of
// D + x2 E1 + x3 E2. It gives radius and height of a point with derivatives by
// the four parameters; the derivation is elementary and ours.
type axial struct {
	start      frame
	c, d       r3.Vec
	d2, d3     r3.Vec // derivative of d by x2, x3
	dE1h, dE2h float64
}

func (a *axial) set(start frame, x []float64) {
	a.start = start
	a.c = r3.Add(start.C, r3.Add(r3.Scale(x[0], start.E1), r3.Scale(x[1], start.E2)))
	t := r3.Add(start.D, r3.Add(r3.Scale(x[2], start.E1), r3.Scale(x[3], start.E2)))
	l := norm(t)
	a.d = r3.Scale(1/l, t)
	a.d2 = r3.Scale(1/l, r3.Sub(start.E1, r3.Scale(r3.Dot(start.E1, a.d), a.d)))
	a.d3 = r3.Scale(1/l, r3.Sub(start.E2, r3.Scale(r3.Dot(start.E2, a.d), a.d)))
	a.dE1h, a.dE2h = r3.Dot(start.E1, a.d), r3.Dot(start.E2, a.d)
}

// frame returns the axis as a frame of its own.
func (a *axial) frame() frame {
	e1 := unit(r3.Sub(a.start.E1, r3.Scale(a.dE1h, a.d)))
	return frame{a.c, e1, r3.Cross(a.d, e1), a.d}
}

// coords returns radius and height of p and their derivatives.
func (a *axial) coords(p r3.Vec) (rho, h float64, dRho, dH [axialParams]float64) {
	q := r3.Sub(p, a.c)
	h = r3.Dot(q, a.d)
	w := r3.Sub(q, r3.Scale(h, a.d))
	rho = math.Sqrt(r3.Dot(w, w)) // half the time of Hypot, which guards against sizes that do not occur
	if rho > 0 {
		w = r3.Scale(1/rho, w)
	}
	dRho = [4]float64{-r3.Dot(w, a.start.E1), -r3.Dot(w, a.start.E2), -h * r3.Dot(w, a.d2), -h * r3.Dot(w, a.d3)}
	dH = [4]float64{-a.dE1h, -a.dE2h, r3.Dot(q, a.d2), r3.Dot(q, a.d3)}
	return rho, h, dRho, dH
}
