package render

import (
	"context"
	"math"
	"runtime"

	"github.com/fogleman/fauxgl"
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
	chunkFacets = 8192
)

// body is a set of facets in a place, all one picture element or one a facet.
type body struct {
	points [][3]float32
	faces  [][3]uint32
	place  affine // points to SITE
	ids    []uint32
	id     uint32    // where ids is nil
	value  []float32 // one a point, signed, 1 = end of the scale, NaN = none; nil: none
	closed bool      // facets seen from behind are behind others
}

// raster holds, for each sample, its depth and what was drawn there. Colours
// come later, in paint.
type raster struct {
	w, h    int               // samples
	bands   []*fauxgl.Context // nil where nothing was drawn
	depthPx float64           // samples of depth in a depth buffer difference of 1
}

func newRaster(widthPx, heightPx int) *raster {
	r := &raster{w: widthPx * subPx, h: heightPx * subPx}
	r.bands = make([]*fauxgl.Context, (r.h+bandRows-1)/bandRows)
	return r
}

// band is the rows from k bandRows on, made when something is drawn there. One row of
// margin above and below takes what is cut at the border.
func (r *raster) band(k int) *fauxgl.Context {
	if r.bands[k] == nil {
		dc := fauxgl.NewContext(r.w, bandRows+2)
		dc.Cull = fauxgl.CullNone
		dc.AlphaBlend = false
		dc.Shader = &codeShader{y0: float64(k*bandRows - 1), w: float64(r.w)}
		r.bands[k] = dc
	}
	return r.bands[k]
}

// row returns the depths and the four code bytes a sample of row y; nothing where
// nothing was drawn near it, or there is no such row.
func (r *raster) row(y int) ([]float64, []uint8) {
	if y < 0 || y >= r.h || r.bands[y/bandRows] == nil {
		return nil, nil
	}
	dc := r.bands[y/bandRows]
	i := (y%bandRows + 1) * r.w
	return dc.DepthBuffer[i : i+r.w], dc.ColorBuffer.Pix[4*i : 4*(i+r.w)]
}

// draw adds b. Later bodies hide behind earlier ones by depth.
func (r *raster) draw(ctx context.Context, b body, cam camera, tell func(done int)) error {
	v := project(b, cam, r)
	r.depthPx = v.depthPx
	v.normals = cornerNormals(v.at, b.faces)
	c := newChunk()
	for lo := 0; lo < len(b.faces); lo += chunkFacets {
		if err := ctx.Err(); err != nil {
			return err
		}
		hi := min(lo+chunkFacets, len(b.faces))
		c.fill(b, v, lo, hi)
		c.drawBands(r, hi-lo)
		if tell != nil {
			tell(hi)
		}
	}
	return nil
}

// chunk is a reusable set of triangles and the rows that each one covers.
type chunk struct {
	tris []*fauxgl.Triangle
	lo   []float64 // first row, +Inf where nothing is to be drawn
	hi   []float64
}

func newChunk() *chunk {
	c := &chunk{make([]*fauxgl.Triangle, chunkFacets), make([]float64, chunkFacets), make([]float64, chunkFacets)}
	store := make([]fauxgl.Triangle, chunkFacets)
	for i := range store {
		c.tris[i] = &store[i]
	}
	return c
}

func (c *chunk) fill(b body, v projected, lo, hi int) {
	inRanges(hi-lo, func(from, to int) {
		for i := from; i < to; i++ {
			c.lo[i], c.hi[i] = setTriangle(c.tris[i], b, v, lo+i)
		}
	})
}

func (c *chunk) drawBands(r *raster, n int) {
	var g errgroup.Group
	g.SetLimit(runtime.GOMAXPROCS(0))
	for k := range r.bands {
		g.Go(mesh.Guarded(func() error {
			lo, hi := float64(k*bandRows), float64((k+1)*bandRows)
			shader := &codeShader{y0: lo - 1, w: float64(r.w)}
			for i := range n {
				switch {
				case c.lo[i] >= hi || c.hi[i] <= lo:
				case c.lo[i] >= lo-0.9 && c.hi[i] <= hi+0.9:
					t := c.tris[i]
					if in := samplesOf(t.V1.Position, t.V2.Position, t.V3.Position, 0); in.count() <= smallSamples {
						shader.drawSmall(r.band(k), t, in)
					} else {
						r.band(k).DrawTriangle(t)
					}
				default:
					drawCut(r.band(k), c.tris[i], lo-0.5, hi+0.5)
				}
			}
			return nil
		}))
	}
	_ = g.Wait() // the workers return no error
}

// setTriangle fills t with facet f and returns the rows it covers, or +Inf and
// -Inf where it covers no sample.
func setTriangle(t *fauxgl.Triangle, b body, v projected, f int) (float64, float64) {
	none, noneHi := math.Inf(1), math.Inf(-1)
	face := b.faces[f]
	p, q, s := v.sample(face[0]), v.sample(face[1]), v.sample(face[2])
	area := (q.X-p.X)*(s.Y-p.Y) - (s.X-p.X)*(q.Y-p.Y)
	if !(math.Abs(area) > 1e-9) || math.IsInf(area, 0) || b.closed && area > 0 { // NaN too
		return none, noneHi
	}
	xlo, xhi := min(p.X, q.X, s.X), max(p.X, q.X, s.X)
	ylo, yhi := min(p.Y, q.Y, s.Y), max(p.Y, q.Y, s.Y)
	leaves := xlo < 0 || xhi > v.width || ylo < 0 || yhi > v.height // a camera shows its whole scene
	if leaves || missesSamples(xlo, xhi) || missesSamples(ylo, yhi) || liesBetween(p, q, s, area) {
		return none, noneHi
	}
	t.V1.Position, t.V2.Position, t.V3.Position = p, q, s
	back := 0.0
	if area > 0 { // rows run down: a facet seen from its front has area < 0
		back = 1
	}
	id := float64(b.id)
	if b.ids != nil {
		id = float64(b.ids[f])
	}
	x, y, z := 0.0, 0.0, 0.0
	if b.value != nil {
		x, y, z = float64(b.value[face[0]]), float64(b.value[face[1]]), float64(b.value[face[2]])
	}
	if b.value == nil || math.IsNaN(x+y+z) {
		x, y, z = noValue, noValue, noValue
	}
	t.V1.Texture, t.V2.Texture, t.V3.Texture = fauxgl.V(id, x, back), fauxgl.V(id, y, back), fauxgl.V(id, z, back)
	t.V1.Normal, t.V2.Normal, t.V3.Normal = v.corner(face)
	return ylo, yhi
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
