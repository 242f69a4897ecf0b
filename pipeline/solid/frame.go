// Package solid builds boundary representations of metal pieces from a few
// numbers each, and writes them as STEP, glTF, 3MF and a DXF wireframe.
//
// A shape is made in a frame of its own, z along its axis; Piece.Frame places it
// in SITE. Lengths are mm. Everything is closed form: planes, cylinders, cones,
// spheres, tori; only coils and what is cut through a rolled plate are splines.
package solid

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Frame is right-handed: X, Y = Z × X, Z unit and square to each other.
type Frame struct{ Origin, X, Z r3.Vec }

// World is the frame of the coordinates themselves.
func World() Frame { return Frame{X: r3.Vec{X: 1}, Z: r3.Vec{Z: 1}} }

// NewFrame is the frame at origin with its z along z and its x as near to x as
// that allows; x along z gives some x.
func NewFrame(origin, z, x r3.Vec) Frame {
	z = r3.Unit(z)
	x = r3.Sub(x, r3.Scale(r3.Dot(x, z), z))
	if r3.Norm(x) < 1e-9 {
		x = across(z)
	}
	return Frame{origin, r3.Unit(x), z}
}

// across is a unit vector square to the unit vector z.
func across(z r3.Vec) r3.Vec {
	a, b, c := math.Abs(z.X), math.Abs(z.Y), math.Abs(z.Z)
	x := r3.Vec{Z: 1}
	switch {
	case a <= b && a <= c:
		x = r3.Vec{X: 1}
	case b <= c:
		x = r3.Vec{Y: 1}
	}
	return r3.Unit(r3.Sub(x, r3.Scale(r3.Dot(x, z), z)))
}

// Y completes the frame.
func (f Frame) Y() r3.Vec { return r3.Cross(f.Z, f.X) }

// Point takes coordinates in the frame to those it is given in.
func (f Frame) Point(x, y, z float64) r3.Vec { return r3.Add(f.Origin, f.Dir(x, y, z)) }

// placing is Point for many: the frame's y is worked out once.
func (f Frame) placing() func(x, y, z float64) r3.Vec {
	along := f.Y()
	return func(x, y, z float64) r3.Vec {
		return r3.Add(f.Origin, r3.Add(r3.Scale(x, f.X), r3.Add(r3.Scale(y, along), r3.Scale(z, f.Z))))
	}
}

// Dir is Point for a direction.
func (f Frame) Dir(x, y, z float64) r3.Vec {
	return r3.Add(r3.Scale(x, f.X), r3.Add(r3.Scale(y, f.Y()), r3.Scale(z, f.Z)))
}

// Local is the inverse of Point.
func (f Frame) Local(p r3.Vec) r3.Vec { return f.LocalDir(r3.Sub(p, f.Origin)) }

// LocalDir is the inverse of Dir.
func (f Frame) LocalDir(d r3.Vec) r3.Vec {
	return r3.Vec{X: r3.Dot(d, f.X), Y: r3.Dot(d, f.Y()), Z: r3.Dot(d, f.Z)}
}

// take places a frame that is given in f.
func (f Frame) take(g Frame) Frame {
	return Frame{f.at(g.Origin), f.dir(g.X), f.dir(g.Z)}
}

func (f Frame) at(p r3.Vec) r3.Vec  { return f.Point(p.X, p.Y, p.Z) }
func (f Frame) dir(d r3.Vec) r3.Vec { return f.Dir(d.X, d.Y, d.Z) }

func finite(list ...float64) bool {
	for _, x := range list {
		if math.IsNaN(x) || math.Abs(x) > 1e9 {
			return false
		}
	}
	return true
}
