package synthetic

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Pose is where a shape stands: its own z runs along Axis, its x along the part
// of Ref square to Axis, its origin at OriginMM. Neither direction need be of
// unit length.
type Pose struct {
	OriginMM, Axis, Ref r3.Vec
}

// Upright places a shape as it is drawn, moved.
func Upright(x, y, z float64) Pose {
	return Pose{OriginMM: r3.Vec{X: x, Y: y, Z: z}, Axis: r3.Vec{Z: 1}, Ref: r3.Vec{X: 1}}
}

// Along places a shape with its axis in a direction; Ref is the coordinate
// direction least along it.
func Along(origin, axis r3.Vec) Pose {
	return Pose{OriginMM: origin, Axis: axis, Ref: leastAlong(axis)}
}

// Between places a shape of axial length |b - a| with its axis from a to b.
func Between(a, b r3.Vec) Pose {
	return Along(r3.Scale(0.5, r3.Add(a, b)), r3.Sub(b, a))
}

func leastAlong(d r3.Vec) r3.Vec {
	x, y, z := math.Abs(d.X), math.Abs(d.Y), math.Abs(d.Z)
	switch {
	case x <= y && x <= z:
		return r3.Vec{X: 1}
	case y <= z:
		return r3.Vec{Y: 1}
	}
	return r3.Vec{Z: 1}
}

// frame is a pose made square: unit directions u, v, w for x, y, z.
type frame struct{ o, u, v, w r3.Vec }

func (p Pose) frame() (frame, error) {
	w := r3.Unit(p.Axis)
	v := r3.Cross(w, r3.Unit(p.Ref))
	// Under a microradian apart, the direction is rounding and not intent.
	if !(r3.Norm(p.Axis) > 0 && r3.Norm(v) > 1e-6 && finite(p.OriginMM) && finite(p.Axis) && finite(p.Ref)) {
		return frame{}, fmt.Errorf("pose: axis %v and reference %v give no frame; give two finite directions that differ", p.Axis, p.Ref)
	}
	v = r3.Unit(v)
	return frame{p.OriginMM, r3.Cross(v, w), v, w}, nil
}

func finite(v r3.Vec) bool {
	s := v.X + v.Y + v.Z
	return !math.IsNaN(s) && !math.IsInf(s, 0)
}

// at maps a point of the shape's frame to the scene.
func (f frame) at(p r3.Vec) r3.Vec { return r3.Add(f.o, f.turn(p)) }

// turn maps a direction.
func (f frame) turn(p r3.Vec) r3.Vec {
	return r3.Add(r3.Scale(p.X, f.u), r3.Add(r3.Scale(p.Y, f.v), r3.Scale(p.Z, f.w)))
}
