package fitup

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/stock"
)

// pose is where a part's own frame lies in SITE: its origin and the unit
// directions of u, v and the axis.
type pose struct{ at, x, y, z r3.Vec }

// poseOf is the frame of a part; a freeform, which has none, gets SITE's
// directions about the middle of its box.
func poseOf(p stock.Part) pose {
	f := p.Frame
	if r3.Norm(f.Axis) < 0.5 || r3.Norm(f.Ref) < 0.5 {
		return pose{r3.Scale(0.5, r3.Add(p.BoxMM[0], p.BoxMM[1])), r3.Vec{X: 1}, r3.Vec{Y: 1}, r3.Vec{Z: 1}}
	}
	return newPose(f.OriginMM, f.Axis, f.Ref)
}

// newPose has its z along axis and x as near to ref as that allows.
func newPose(at, axis, ref r3.Vec) pose {
	z := unit(axis)
	x := across(ref, z)
	if r3.Norm(x) < 1e-9 {
		x, _ = square(z)
	}
	x = unit(x)
	return pose{at, x, r3.Cross(z, x), z}
}

func (f pose) point(q r3.Vec) r3.Vec { return r3.Add(f.at, f.dir(q)) }

func (f pose) dir(q r3.Vec) r3.Vec {
	return r3.Add(r3.Scale(q.X, f.x), r3.Add(r3.Scale(q.Y, f.y), r3.Scale(q.Z, f.z)))
}

func (f pose) local(p r3.Vec) r3.Vec { return f.localDir(r3.Sub(p, f.at)) }

func (f pose) localDir(d r3.Vec) r3.Vec {
	return r3.Vec{X: r3.Dot(d, f.x), Y: r3.Dot(d, f.y), Z: r3.Dot(d, f.z)}
}

// moved is f shifted and turned about a point by a rotation vector, rad.
func (f pose) moved(shift, turn, about r3.Vec) pose {
	r := rotation(turn)
	return newPose(r3.Add(r3.Add(about, shift), r(r3.Sub(f.at, about))), r(f.z), r(f.x))
}

// rotation turns by a rotation vector, rad.
func rotation(turn r3.Vec) func(r3.Vec) r3.Vec {
	a := r3.Norm(turn)
	if a == 0 {
		return func(v r3.Vec) r3.Vec { return v }
	}
	return r3.NewRotation(a, turn).Rotate
}

// turnBetween is the rotation vector, rad, that takes the directions of f to
// those of g.
func turnBetween(f, g pose) r3.Vec {
	// R = Σ g_k f_kᵀ; its skew part is sin(angle) times the axis, its trace 1 + 2 cos.
	s := r3.Add(r3.Cross(f.x, g.x), r3.Add(r3.Cross(f.y, g.y), r3.Cross(f.z, g.z)))
	sin, cos := r3.Norm(s)/2, (r3.Dot(f.x, g.x)+r3.Dot(f.y, g.y)+r3.Dot(f.z, g.z)-1)/2
	if sin < 1e-12 {
		return r3.Vec{}
	}
	return r3.Scale(math.Atan2(sin, cos)/(2*sin), s)
}

func unit(v r3.Vec) r3.Vec {
	if l := r3.Norm(v); l > 0 {
		return r3.Scale(1/l, v)
	}
	return v
}

// across is what of v is square to the unit direction d.
func across(v, d r3.Vec) r3.Vec { return r3.Sub(v, r3.Scale(r3.Dot(v, d), d)) }

// square gives two unit directions square to d and to each other.
func square(d r3.Vec) (e, f r3.Vec) {
	e = r3.Vec{X: 1}
	if math.Abs(d.X) > math.Abs(d.Y) {
		e = r3.Vec{Y: 1}
	}
	if a := math.Abs(r3.Dot(e, d)); math.Abs(d.Z) < a {
		e = r3.Vec{Z: 1}
	}
	e = unit(across(e, d))
	return e, r3.Cross(d, e)
}
