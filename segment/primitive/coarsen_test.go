package primitive

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh/synthetic"
)

// TestCoarsen: what is left of a closed surface is one closed surface of about
// as many vertices as were asked for, all scanned ones, with nothing of the way
// that noise went: their mean distance from the cylinder is that of all, within
// three standard errors.
func TestCoarsen(t *testing.T) {
	tube := synthetic.Piece{Name: "tube", Pose: aslant(), Shape: synthetic.Tube{OutsideDiameterMM: 30, InsideDiameterMM: 26, LengthMM: 60}}
	opt := scanOptions(0.35)
	opt.NoiseMM = 0.05
	m, s, noise := shellOf(t, soupOf(t, tube, opt))
	p := Coarsen(m, s.Faces, s.Points, noise, 5000)
	require.Nil(t, p.Face)
	assert.InDelta(t, 5000, len(p.P), 1500)
	assert.Zero(t, p.OpenEdges)
	assert.InEpsilon(t, math.Pi*(56*60+(30*30-26*26)/2.0), p.TotalMM2, 0.01)
	unlinked := 0
	for _, next := range p.Next {
		for _, g := range next {
			if g < 0 {
				unlinked++
			}
		}
	}
	assert.Less(t, unlinked, len(p.Facet)/100)
	for i, v := range p.Vertex {
		require.Equal(t, m.At(v), r3.Add(p.OriginMM, p.P[i]), "a vertex was moved")
	}

	axis := r3.Unit(aslant().Axis)
	sum, n := 0.0, 0.0
	for i, v := range p.Vertex {
		q := r3.Sub(m.At(v), aslant().OriginMM)
		h := r3.Dot(q, axis)
		rho := r3.Norm(r3.Sub(q, r3.Scale(h, axis)))
		if math.Abs(h) < 29 && rho > 14 && math.Abs(r3.Dot(p.N[i], axis)) < 0.5 {
			sum += rho - 15
			n++
		}
	}
	assert.Less(t, math.Abs(sum/n), 3*0.05/math.Sqrt(n))
}

// TestCoarsenOpen: an opening of the scan stays one.
func TestCoarsenOpen(t *testing.T) {
	bar := synthetic.Piece{Name: "bar", Pose: synthetic.Upright(0, 0, 0), Shape: synthetic.Bar{OutsideDiameterMM: 20, LengthMM: 40}}
	m, s, noise := shellOf(t, soupOf(t, bar, scanOptions(0.3)))
	var faces, points []uint32
	used := map[uint32]bool{}
	for _, f := range s.Faces {
		if c := m.At(m.Faces[f][0]); c.Z < 15 {
			faces = append(faces, f)
			for _, v := range m.Faces[f] {
				used[v] = true
			}
		}
	}
	for _, v := range s.Points {
		if used[v] {
			points = append(points, v)
		}
	}
	m.Components[m.ComponentOf[faces[0]]].OpenEdges = 100 // as Check counts them on such a scan
	p := Coarsen(m, faces, points, noise, 4000)
	assert.Positive(t, p.OpenEdges)
}

// TestRecogniseShell: a large shell is what the same piece of fewer facets is,
// within its u95, and every vertex gets its deviation.
func TestRecogniseShell(t *testing.T) {
	for _, p := range []synthetic.Piece{
		{Name: "tube", Pose: aslant(), Shape: synthetic.Tube{OutsideDiameterMM: 30, InsideDiameterMM: 26, LengthMM: 60}},
		{Name: "plate", Pose: aslant(), Shape: synthetic.Plate{Outline: synthetic.Rectangle(50, 40), ThicknessMM: 3,
			Holes: []synthetic.Hole{synthetic.RoundHole(10, 8, 3), synthetic.RoundHole(-12, 5, 1.6)}}},
	} {
		m, s, noise := shellOf(t, soupOf(t, p, scanOptions(0.35)))
		e, _ := RecogniseShell(m, s.Faces, s.Points, noise, DefaultOptions())
		requireTruth(t, p, e, 0.02, 0.1)
		e.Deviate(m, s.Points)
		assert.Len(t, e.DeviationMM, len(s.Points))
	}
}

// TestRecogniseRough: of a rough patch only what is round is told.
func TestRecogniseRough(t *testing.T) {
	for _, c := range []struct {
		shape synthetic.Shape
		plain bool
	}{
		{synthetic.Tube{OutsideDiameterMM: 30, InsideDiameterMM: 26, LengthMM: 60}, true},
		{synthetic.Plate{Outline: synthetic.Rectangle(50, 40), ThicknessMM: 3}, false},
		{synthetic.Disc{OutsideDiameterMM: 50, ThicknessMM: 4}, false},
	} {
		p := patchOf(t, soupOf(t, upright(c.shape), scanOptions(0.8)))
		e, plain := recognise(p, DefaultOptions(), true)
		assert.Equal(t, c.plain, plain, "%T", c.shape)
		assert.Equal(t, c.plain, e.Kind != "", "%T", c.shape)
	}
}
