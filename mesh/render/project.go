package render

import (
	"math"

	"github.com/fogleman/fauxgl"
)

// projected is a body's points on the sheet, in samples.
type projected struct {
	at      [][3]float32 // x right, y up and unstretched by rows, z to the reader
	normals [][3]float32
	zHalf   float64 // half the depth range, samples
	depthPx float64
	width   float64 // of the raster, samples
	height  float64
}

// project maps the points of b to samples. Depth is measured from the middle of
// the camera's range, so that float32 holds a thousandth of a sample.
func project(b body, cam camera, r *raster) projected {
	s := cam.pxPerMM * subPx
	zMid := (cam.zLo + cam.zHi) / 2
	m := affine{s, 0, 0, subPx * cam.dx, 0, s, 0, float64(r.h) - subPx*cam.dy, 0, 0, s, -s * zMid}.after(cam.view.after(b.place))
	v := projected{
		at:     make([][3]float32, len(b.points)),
		zHalf:  math.Max(s*(cam.zHi-cam.zLo)*0.55, 1),
		width:  float64(r.w),
		height: float64(r.h),
	}
	v.depthPx = 2 * v.zHalf // the depth buffer runs from 0 to 1 over it
	inRanges(len(b.points), func(from, to int) {
		for i := from; i < to; i++ {
			p := b.points[i]
			q := m.at(float64(p[0]), float64(p[1]), float64(p[2]))
			v.at[i] = [3]float32{float32(q[0]), float32(q[1]), float32(q[2])}
		}
	})
	return v
}

// sample returns point i as column, row and depth in [-1, 1], rows down and
// depth away from the reader.
//
// Rows are moved by 1e-10 samples an index: the rasteriser divides by the
// difference of two rows, which must not be zero, and a point that moves alike
// in all its facets opens no gap.
func (v projected) sample(i uint32) fauxgl.Vector {
	p := v.at[i]
	return fauxgl.V(float64(p[0]), v.height-float64(p[1])+1e-10*float64(i), -float64(p[2])/v.zHalf)
}

// creaseCos parts round from sharp: a corner takes the mean normal of its point
// where that lies within 40 degrees of the facet's own, so that an edge of 90
// degrees, whose mean lies at 45, stays sharp.
const creaseCos = 0.766

// corner returns the three normals of a facet, towards the reader's side of
// the surface as wound.
func (v projected) corner(f [3]uint32) (a, b, c fauxgl.Vector) {
	n := facetNormal(v.at, f)
	l := math.Sqrt(n[0]*n[0] + n[1]*n[1] + n[2]*n[2])
	if !(l > 0) {
		l = 1
	}
	flat := fauxgl.V(n[0]/l, n[1]/l, n[2]/l)
	pick := func(i uint32) fauxgl.Vector {
		p := v.normals[i]
		m := fauxgl.V(float64(p[0]), float64(p[1]), float64(p[2]))
		if m.Dot(flat) < creaseCos {
			return flat
		}
		return m
	}
	return pick(f[0]), pick(f[1]), pick(f[2])
}

// facetNormal has twice the facet's area as its length.
func facetNormal(at [][3]float32, f [3]uint32) [3]float64 {
	a, b, c := at[f[0]], at[f[1]], at[f[2]]
	ux, uy, uz := float64(b[0]-a[0]), float64(b[1]-a[1]), float64(b[2]-a[2])
	vx, vy, vz := float64(c[0]-a[0]), float64(c[1]-a[1]), float64(c[2]-a[2])
	return [3]float64{uy*vz - uz*vy, uz*vx - ux*vz, ux*vy - uy*vx}
}

// cornerNormals returns the unit mean of the facet normals round each point,
// weighted by area; zero where there is none. It goes through the facets in
// order, since float sums depend on it.
func cornerNormals(at [][3]float32, faces [][3]uint32) [][3]float32 {
	sum := make([][3]float32, len(at))
	for _, f := range faces {
		n := facetNormal(at, f)
		if l := norm(n); math.IsNaN(l) || math.IsInf(l, 0) {
			continue
		}
		x, y, z := float32(n[0]), float32(n[1]), float32(n[2])
		for _, i := range f {
			sum[i][0] += x
			sum[i][1] += y
			sum[i][2] += z
		}
	}
	inRanges(len(sum), func(from, to int) {
		for i := from; i < to; i++ {
			x, y, z := float64(sum[i][0]), float64(sum[i][1]), float64(sum[i][2])
			l := math.Sqrt(x*x + y*y + z*z)
			if !(l > 0) || math.IsInf(l, 0) {
				sum[i] = [3]float32{}
				continue
			}
			sum[i] = [3]float32{float32(x / l), float32(y / l), float32(z / l)}
		}
	})
	return sum
}
