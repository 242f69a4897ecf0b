package render

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/fogleman/fauxgl"
	"github.com/stretchr/testify/require"
)

// A triangle that is passed over has no sample centre in it; of large ones none is,
// and of small ones most of those that could be are.
func TestTrianglesBetweenSamples(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 8))
	passed, empty := 0, 0
	for range 20000 {
		size := 0.2 + 3*rng.Float64()
		corner := func() fauxgl.Vector { return fauxgl.V(50+size*rng.Float64(), 50+size*rng.Float64(), 0) }
		p, q, s := corner(), corner(), corner()
		area := (q.X-p.X)*(s.Y-p.Y) - (s.X-p.X)*(q.Y-p.Y)
		inside := 0
		for y := 49.5; y < 56; y++ {
			for x := 49.5; x < 56; x++ {
				a := (q.X-p.X)*(y-p.Y) - (q.Y-p.Y)*(x-p.X)
				b := (s.X-q.X)*(y-q.Y) - (s.Y-q.Y)*(x-q.X)
				c := (p.X-s.X)*(y-s.Y) - (p.Y-s.Y)*(x-s.X)
				if a*area >= 0 && b*area >= 0 && c*area >= 0 {
					inside++
				}
			}
		}
		if inside == 0 {
			empty++
		}
		if liesBetween(p, q, s, area) {
			passed++
			require.Zero(t, inside, "%v %v %v", p, q, s)
		}
	}
	require.Greater(t, passed, 3*empty/4)
}

// What encloses its inside looks the same whether the facets on its far side are
// drawn or not.
func TestClosedPiecesLookTheSame(t *testing.T) {
	m := &model{}
	m.torus([3]float64{0, 0, 30}, [3]float64{1, 0, 1}, 40, 12, 60)
	p := m.piece(4)
	draw := func() []byte {
		img, err := Element(context.Background(), p, 1, Frame{[3]float64{0, 0, 1}, [3]float64{1, 0, 0}}, nil, testSheet(400, 300))
		require.NoError(t, err)
		return img.Pix
	}
	open := draw()
	p.Closed = true
	closed := draw()
	differ := 0
	for i := range open {
		if d := int(open[i]) - int(closed[i]); d > 40 || d < -40 {
			differ++
		}
	}
	require.Less(t, differ, len(open)/2000) // at the outline a facet of the far side may have been nearest
}

// Small triangles set the samples that the rasteriser would, to the same codes and
// depths.
func TestSmallTrianglesAreDrawnAlike(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 1))
	width, n := 200, 0
	context := func() (*fauxgl.Context, *codeShader) {
		r := newRaster(width/subPx, 40)
		return r.band(0), r.band(0).Shader.(*codeShader)
	}
	one, _ := context()
	other, shader := context()
	for range 3000 {
		size := 2 * math.Pow(15, rng.Float64())
		x, y := 2+(float64(width)-4-size)*rng.Float64(), 2+(76-size)*rng.Float64()
		corner := func() fauxgl.Vertex {
			return fauxgl.Vertex{
				Position: fauxgl.V(x+size*rng.Float64(), y+size*rng.Float64(), 2*rng.Float64()-1),
				Normal:   fauxgl.V(rng.NormFloat64(), rng.NormFloat64(), rng.NormFloat64()).Normalize(),
				Texture:  fauxgl.V(700, 2*rng.Float64()-1, 0),
			}
		}
		tri := &fauxgl.Triangle{V1: corner(), V2: corner(), V3: corner()}
		in := samplesOf(tri.V1.Position, tri.V2.Position, tri.V3.Position, 0)
		if in.count() > smallSamples {
			continue
		}
		n++
		one.DrawTriangle(tri)
		shader.drawSmall(other, tri, in)
	}
	require.Greater(t, n, 1000)
	differ := 0
	for i, z := range one.DepthBuffer {
		require.InDelta(t, z, other.DepthBuffer[i], 1e-9)
		for k := range 4 {
			if one.ColorBuffer.Pix[4*i+k] != other.ColorBuffer.Pix[4*i+k] {
				differ++ // a code that rounding takes over its border
			}
		}
	}
	require.Less(t, differ, n/100)
}
