package render

import (
	"context"
	"math"
	"runtime"

	"golang.org/x/sync/errgroup"

	"pointup/mesh"
)

const (
	// subPx is the number of samples a pixel and direction; a box filter takes
	// their mean.
	subPx = 2
	// bandRows is the height of a band in samples. It is fixed, so that the
	// cuts between bands do not follow the number of processors.
	bandRows = 256
	// chunkFacets is the number of triangles held at a time.
	chunkFacets = 32768
)

// body is a set of facets in a place, all one picture element or one a facet.
type body struct {
	points [][3]float32
	faces  [][3]uint32
	place  affine // points to SITE
	ids    []uint32
	id     uint32    // where ids is nil
	value  []float32 // one a point, signed, 1 = end of the scale, NaN = none; nil: none
}

// raster holds, for each sample, its depth and what was drawn there. Colours
// come later, in paint.
type raster struct {
	w, h  int       // samples
	depth []float32 // samples away from the reader; +Inf where nothing was drawn
	code  []uint8   // four bytes a sample
}

func newRaster(widthPx, heightPx int) *raster {
	r := &raster{w: widthPx * subPx, h: heightPx * subPx}
	r.depth, r.code = make([]float32, r.w*r.h), make([]uint8, 4*r.w*r.h)
	inRanges(len(r.depth), func(from, to int) {
		for i := from; i < to; i++ {
			r.depth[i] = float32(math.Inf(1))
		}
	})
	return r
}

// row returns the depths and the four code bytes a sample of row y.
func (r *raster) row(y int) ([]float32, []uint8) {
	i, j := y*r.w, (y+1)*r.w
	return r.depth[i:j], r.code[4*i : 4*j]
}

// draw adds b. Later bodies hide behind earlier ones by depth.
func (r *raster) draw(ctx context.Context, b body, cam camera, tell func(done int)) error {
	v := project(b, cam, r)
	v.normals = cornerNormals(v.at, b.faces)
	c := make(chunk, min(len(b.faces), chunkFacets))
	for lo := 0; lo < len(b.faces); lo += chunkFacets {
		if err := ctx.Err(); err != nil {
			return err
		}
		hi := min(lo+chunkFacets, len(b.faces))
		inRanges(hi-lo, func(from, to int) {
			for i := from; i < to; i++ {
				c[i] = v.triangle(b, lo+i)
			}
		})
		c[:hi-lo].drawBands(r)
		if tell != nil {
			tell(hi)
		}
	}
	return nil
}

// chunk is a reusable set of triangles.
type chunk []triangle

// triangle is a facet on the sheet: its rows of samples from first to last, none
// where last is less; its corners in samples, rows down and depth away from the
// reader, and what goes from one to the next over it.
type triangle struct {
	first, last int32
	id          uint16
	back        bool
	at          [3][3]float32
	normal      [3][3]float32
	value       [3]float32
}

// drawBands has each band of rows drawn by one processor, in the order of facets.
func (c chunk) drawBands(r *raster) {
	var g errgroup.Group
	g.SetLimit(runtime.GOMAXPROCS(0))
	for lo := 0; lo < r.h; lo += bandRows {
		g.Go(mesh.Guarded(func() error {
			hi := min(lo+bandRows, r.h) - 1
			for i := range c {
				if t := &c[i]; int(t.first) <= hi && int(t.last) >= lo {
					r.fill(t, max(int(t.first), lo), min(int(t.last), hi))
				}
			}
			return nil
		}))
	}
	_ = g.Wait() // the workers return no error
}

// fill draws the rows of a triangle from lo to hi and both: samples whose centres
// lie in it, where nothing nearer was drawn. The weights of the corners are
// products of edges and go evenly along a row (Pineda, SIGGRAPH 1988).
func (r *raster) fill(t *triangle, lo, hi int) {
	x0, y0 := float64(t.at[0][0]), float64(t.at[0][1])
	var x, y [3]float64 // from the first corner
	for k, p := range t.at {
		x[k], y[k] = float64(p[0])-x0, float64(p[1])-y0
	}
	area := (x[1]-x[0])*(y[2]-y[0]) - (x[2]-x[0])*(y[1]-y[0])
	var along, down, first [3]float64 // of the weight of each corner: a column on, a row on, below the first corner in row lo
	for k := range 3 {
		i, j := (k+1)%3, (k+2)%3
		along[k], down[k] = (y[i]-y[j])/area, (x[j]-x[i])/area
		first[k] = (x[i]*y[j]-x[j]*y[i])/area + (float64(lo)+0.5-y0)*down[k]
	}
	left, right := min(x[0], x[1], x[2]), max(x[0], x[1], x[2])
	for row := lo; row <= hi; row++ {
		from, to := left, right
		for k, w := range first {
			switch reach := -w / along[k]; {
			case along[k] > 0:
				from = max(from, reach-edgeSlack)
			case along[k] < 0:
				to = min(to, reach+edgeSlack)
			case w < -edgeSlack:
				to = left - 1
			}
		}
		depth, code := r.row(row)
		last := int(min(math.Floor(to+x0-0.5), float64(r.w-1)))
		for c := int(max(math.Ceil(from+x0-0.5), 0)); c <= last; c++ {
			on := float64(c) + 0.5 - x0
			u, v := first[0]+on*along[0], first[1]+on*along[1]
			w := 1 - u - v
			if z := float32(u*float64(t.at[0][2]) + v*float64(t.at[1][2]) + w*float64(t.at[2][2])); z <= depth[c] {
				depth[c] = z
				t.encode(u, v, w, code[4*c:4*c+4])
			}
		}
		for k := range first {
			first[k] += down[k]
		}
	}
}

// edgeSlack keeps a sample on the edge of two facets from falling between them by
// rounding, samples.
const edgeSlack = 1e-6

// triangle is facet f of b as it is drawn.
func (v projected) triangle(b body, f int) triangle {
	face := b.faces[f]
	t := triangle{last: -1, id: uint16(b.id)}
	p, q, s := v.sample(face[0]), v.sample(face[1]), v.sample(face[2])
	area := float64(q[0]-p[0])*float64(s[1]-p[1]) - float64(s[0]-p[0])*float64(q[1]-p[1])
	if !(math.Abs(area) > 1e-9) || math.IsInf(area, 0) { // NaN too
		return t
	}
	xlo, xhi := float64(min(p[0], q[0], s[0])), float64(max(p[0], q[0], s[0]))
	ylo, yhi := float64(min(p[1], q[1], s[1])), float64(max(p[1], q[1], s[1]))
	leaves := xlo < 0 || xhi > v.width || ylo < 0 || yhi > v.height // a camera shows its whole scene
	if leaves || missesSamples(xlo, xhi) || missesSamples(ylo, yhi) {
		return t
	}
	t.first, t.last = int32(math.Ceil(ylo-0.5)), int32(math.Floor(yhi-0.5))
	t.at, t.back = [3][3]float32{p, q, s}, area > 0 // rows run down: a facet seen from its front has area < 0
	if b.ids != nil {
		t.id = uint16(b.ids[f])
	}
	if b.value != nil {
		t.value = [3]float32{b.value[face[0]], b.value[face[1]], b.value[face[2]]}
	}
	if sum := t.value[0] + t.value[1] + t.value[2]; b.value == nil || sum != sum {
		t.value = [3]float32{noValue, noValue, noValue}
	}
	t.normal = v.corner(face)
	return t
}

// missesSamples says that no sample centre, k + 1/2, lies in [lo, hi].
func missesSamples(lo, hi float64) bool {
	return math.Ceil(lo-0.5) > math.Floor(hi-0.5)
}

// inRanges calls f on parts of [0, n) of equal length, some at a time. Parts
// write to their own rows only, so that their number does not reach a result.
func inRanges(n int, f func(from, to int)) {
	parts := 4 * runtime.GOMAXPROCS(0)
	if n < 512 {
		parts = 1
	}
	var g errgroup.Group
	g.SetLimit(runtime.GOMAXPROCS(0))
	for i := range parts {
		g.Go(mesh.Guarded(func() error {
			f(i*n/parts, (i+1)*n/parts)
			return nil
		}))
	}
	if err := g.Wait(); err != nil {
		panic(err) // a fault, brought to where it can be told
	}
}
