package fit

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Frame returns unit vectors e and f that make a right-handed frame with the
// unit vector axis: e is the coordinate axis least parallel to axis (the first
// of equals), projected; f = axis × e. Tilts and offsets in a covariance are
// along e and f.
func Frame(axis r3.Vec) (e, f r3.Vec) {
	x, y, z := math.Abs(axis.X), math.Abs(axis.Y), math.Abs(axis.Z)
	switch {
	case x <= y+1e-9 && x <= z+1e-9:
		e = r3.Vec{X: 1}
	case y <= z+1e-9:
		e = r3.Vec{Y: 1}
	default:
		e = r3.Vec{Z: 1}
	}
	e = unit(along(e, -r3.Dot(e, axis), axis))
	return e, r3.Cross(axis, e)
}

// upright turns v so that its component largest in magnitude is positive, the
// first of those equal to 1e-9, which rounding must not choose between.
func upright(v r3.Vec) r3.Vec {
	x, y, z := math.Abs(v.X), math.Abs(v.Y), math.Abs(v.Z)
	most := math.Max(x, math.Max(y, z)) * (1 - 1e-9)
	lead := v.Z
	if x >= most {
		lead = v.X
	} else if y >= most {
		lead = v.Y
	}
	if lead < 0 {
		return r3.Scale(-1, v)
	}
	return v
}

// unit returns v/|v|, or the zero vector where |v| is 0 or not finite.
func unit(v r3.Vec) r3.Vec {
	n := norm(v)
	if !(n > 0) || !finite(n) {
		return r3.Vec{}
	}
	return r3.Vec{X: v.X / n, Y: v.Y / n, Z: v.Z / n}
}

// norm is |v| without the care for overflow that r3.Norm takes: points are
// checked to lie within 1e100.
func norm(v r3.Vec) float64 { return math.Sqrt(v.X*v.X + v.Y*v.Y + v.Z*v.Z) }

// along returns p + s d.
func along(p r3.Vec, s float64, d r3.Vec) r3.Vec {
	return r3.Vec{X: p.X + s*d.X, Y: p.Y + s*d.Y, Z: p.Z + s*d.Z}
}

// split returns the height s of t along the unit axis d, its distance rho from
// the axis, and the unit radial direction n (zero on the axis).
func split(t, d r3.Vec) (s, rho float64, n r3.Vec) {
	s = r3.Dot(t, d)
	n = along(t, -s, d)
	rho = norm(n)
	if rho > 0 {
		n = r3.Vec{X: n.X / rho, Y: n.Y / rho, Z: n.Z / rho}
	}
	return s, rho, n
}

// tilt is the axis d = (w + a e + b f)/|…| in the frame of its start w.
type tilt struct {
	w, e, f, d r3.Vec
	inv        float64 // 1/|w + a e + b f|
}

func newTilt(axis r3.Vec) *tilt {
	t := &tilt{w: axis, d: axis, inv: 1}
	t.e, t.f = Frame(axis)
	return t
}

func (t *tilt) set(a, b float64) {
	t.inv = 1 / math.Sqrt(1+a*a+b*b)
	t.d = r3.Scale(t.inv, along(along(t.w, a, t.e), b, t.f))
}

// foot is the point of the line through p along the unit d nearest the origin.
func foot(p, d r3.Vec) r3.Vec { return along(p, -r3.Dot(p, d), d) }

// angles returns the small angles (rad) along e and f of the frame of axis by
// which the unit vector d leans from it, and d's sign against it.
func angles(d, axis r3.Vec) (a, b, sign float64) {
	e, f := Frame(axis)
	h := r3.Dot(d, axis)
	return r3.Dot(d, e) / h, r3.Dot(d, f) / h, math.Copysign(1, h)
}

// lean is the size of the first two parameters, the tilt in rad.
func lean(x []float64) float64 { return math.Hypot(x[0], x[1]) }
