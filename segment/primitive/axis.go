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

// frame is a right-handed frame: a point, an axis and two directions across it. It is
// asked by pointer: twelve numbers to copy cost as much as the answer.
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
func (f *frame) local(p r3.Vec) (u, v, h float64) {
	q := r3.Sub(p, f.C)
	return r3.Dot(q, f.E1), r3.Dot(q, f.E2), r3.Dot(q, f.D)
}

// at returns the point with these frame coordinates.
func (f *frame) at(u, v, h float64) r3.Vec {
	return r3.Add(f.C, r3.Add(r3.Scale(u, f.E1), r3.Add(r3.Scale(v, f.E2), r3.Scale(h, f.D))))
}

// dir returns the direction with these frame components.
func (f *frame) dir(u, v, h float64) r3.Vec {
	return r3.Add(r3.Scale(u, f.E1), r3.Add(r3.Scale(v, f.E2), r3.Scale(h, f.D)))
}

// radial returns the distance from the axis and the height along it.
func (f *frame) radial(p r3.Vec) (rho, h float64) {
	u, v, h := f.local(p)
	return hypot(u, v), h
}

// outward is the direction away from the axis at p, zero on the axis.
func (f *frame) outward(p r3.Vec) r3.Vec {
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
	d2, d3     r3.Vec  // derivative of d by x2, x3
	far        bool    // set by setFar
	c2, c3     r3.Vec  // derivative of c by x2, x3
	lift       float64 // height of c over what heights are from
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

// setFar is set for an axis that may be far from the patch, as that of a shallow
// arc is: it turns about the patch's origin. Tilting leaves the distance from the
// axis as it is there, to second order, by moving C; and heights are from a point
// that stays at its height. Otherwise distances go with the square of the tilt,
// and heights with its product with the shift: a fit creeps along a curved valley.
func (a *axial) setFar(start frame, x []float64) {
	a.set(start, x)
	a.far = true
	if u, v, _ := start.local(r3.Vec{}); u != 0 || v != 0 {
		far, out, k := u*u+v*v, start.dir(u, v, 0), u*x[2]+v*x[3]
		a.c = r3.Add(a.c, r3.Scale(k*k/(2*far), out))
		a.c2, a.c3 = r3.Scale(k*u/far, out), r3.Scale(k*v/far, out)
	}
	a.lift = r3.Dot(a.c, a.d) - r3.Dot(start.C, start.D)
}

// frame returns the axis as a frame of its own.
func (a *axial) frame() frame {
	e1 := unit(r3.Sub(a.start.E1, r3.Scale(a.dE1h, a.d)))
	return frame{r3.Sub(a.c, r3.Scale(a.lift, a.d)), e1, r3.Cross(a.d, e1), a.d}
}

// axialPlace is where a point stands about an axis: distance and height, and how it
// lies from c, along and away from the axis.
type axialPlace struct {
	rho, h float64
	q, w   r3.Vec
	along  float64
}

// place tells where p stands.
func (a *axial) place(p r3.Vec) axialPlace {
	q := r3.Sub(p, a.c)
	along := r3.Dot(q, a.d)
	w := r3.Sub(q, r3.Scale(along, a.d))
	return axialPlace{norm(w), along + a.lift, q, w, along}
}

// radial is the distance from the axis and the height, as place has them.
func (a *axial) radial(p r3.Vec) (rho, h float64) {
	x, y, z := p.X-a.c.X, p.Y-a.c.Y, p.Z-a.c.Z
	along := x*a.d.X + y*a.d.Y + z*a.d.Z
	x, y, z = x-along*a.d.X, y-along*a.d.Y, z-along*a.d.Z
	return math.Sqrt(x*x + y*y + z*z), along + a.lift
}

// slopes are the derivatives of radius and height.
func (a *axial) slopes(x axialPlace) (dRho, dH [axialParams]float64) {
	w := x.w
	if x.rho > 0 {
		w = r3.Scale(1/x.rho, w)
	}
	dRho = [4]float64{-r3.Dot(w, a.start.E1), -r3.Dot(w, a.start.E2), -x.along*r3.Dot(w, a.d2) - r3.Dot(w, a.c2), -x.along*r3.Dot(w, a.d3) - r3.Dot(w, a.c3)}
	if a.far {
		p := r3.Add(x.q, a.c)
		return dRho, [4]float64{0, 0, r3.Dot(p, a.d2), r3.Dot(p, a.d3)}
	}
	dH = [4]float64{-a.dE1h, -a.dE2h, r3.Dot(x.q, a.d2), r3.Dot(x.q, a.d3)}
	return dRho, dH
}
