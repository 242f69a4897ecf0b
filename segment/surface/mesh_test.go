package surface

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh/synthetic"
	"pointup/segment/fit"
)

// scanned is the field of one piece and the patch of each of its facets.
func scanned(t *testing.T, shape synthetic.Shape, edgeMM, noiseMM float64) (f *Field, facets [][3]int32, patch []int32) {
	pose := synthetic.Along(r3.Vec{X: 5, Y: -3, Z: 20}, r3.Vec{X: 1, Y: 2, Z: 3})
	return scannedScene(t, []synthetic.Piece{{Shape: shape, Pose: pose}}, edgeMM, noiseMM)
}

// scannedScene is the same of several pieces.
func scannedScene(t *testing.T, pieces []synthetic.Piece, edgeMM, noiseMM float64) (f *Field, facets [][3]int32, patch []int32) {
	opt := synthetic.DefaultOptions()
	opt.EdgeMM, opt.NoiseMM = edgeMM, noiseMM
	scan, err := synthetic.Scan(synthetic.Scene{Pieces: pieces}, opt)
	require.NoError(t, err)
	index := map[[3]float32]int32{}
	var p, n []r3.Vec
	for _, tri := range scan.Triangles {
		var c [3]int32
		for k, q := range tri {
			i, ok := index[q]
			if !ok {
				i = int32(len(p))
				index[q] = i
				p, n = append(p, r3.Vec{X: float64(q[0]), Y: float64(q[1]), Z: float64(q[2])}), append(n, r3.Vec{})
			}
			c[k] = i
		}
		facets = append(facets, c)
		a := r3.Cross(r3.Sub(p[c[1]], p[c[0]]), r3.Sub(p[c[2]], p[c[0]]))
		for _, i := range c {
			n[i] = r3.Add(n[i], a)
		}
	}
	for i := range n {
		n[i] = r3.Unit(n[i])
	}
	return FromMesh(p, n, facets, edgeMM, max(noiseMM, 1e-3*edgeMM)), facets, scan.Patch
}

// TestMeshSurfaces holds the surfaces of pieces, largest first, without noise
// and with 30 µm, as desk scanners have.
func TestMeshSurfaces(t *testing.T) {
	for _, c := range []struct {
		name  string
		shape synthetic.Shape
		types []string
	}{
		{"tube", synthetic.Tube{OutsideDiameterMM: 20, InsideDiameterMM: 15, LengthMM: 30}, []string{"cylinder", "cylinder", "plane", "plane"}},
		{"thin ring: its walls are cylinders, not belts of spheres", synthetic.Ring{OutsideDiameterMM: 60, InsideDiameterMM: 40, ThicknessMM: 4}, []string{"plane", "plane", "cylinder", "cylinder"}},
		{"torus whole", synthetic.RoundRing{CentrelineDiameterMM: 34, SectionDiameterMM: 5}, []string{"torus"}},
	} {
		for _, noise := range []float64{0, 0.03} {
			t.Run(c.name, func(t *testing.T) {
				t.Parallel()
				f, facets, patch := scanned(t, c.shape, 0.8, noise)
				found, label, err := Find(context.Background(), f, DefaultOptions())
				require.NoError(t, err)
				require.GreaterOrEqual(t, len(found), len(c.types))
				var types []string
				for _, s := range found[:len(c.types)] {
					types = append(types, Type(s.Ideal))
				}
				assert.Equal(t, c.types, types)
				truth := make([]int, len(patch))
				for i, k := range patch {
					truth[i] = int(k)
				}
				assert.Greater(t, overlap(truth, FacetLabels(label, facets)), 0.94)
			})
		}
	}
}

// TestMeshSides tells the wall from the bore, and their sizes.
func TestMeshSides(t *testing.T) {
	f, _, _ := scanned(t, synthetic.Tube{OutsideDiameterMM: 20, InsideDiameterMM: 15, LengthMM: 30}, 0.8, 0.03)
	found, _, err := Find(context.Background(), f, DefaultOptions())
	require.NoError(t, err)
	assert.True(t, found[0].Convex)
	assert.False(t, found[1].Convex)
	// 30 µm over some 2500 points is 0.6 µm of radius; 5 of that, and the chords' sagitta is none: vertices lie on it.
	assert.InDelta(t, 20, 2*found[0].Ideal.(fit.Cylinder).RadiusMM, 0.006)
	assert.InDelta(t, 15, 2*found[1].Ideal.(fit.Cylinder).RadiusMM, 0.006)
}

// TestMeshFlush: a plate's top and the underside of another that lies 0.05 mm lower
// look opposite ways: they are two surfaces, though each point lies on both.
func TestMeshFlush(t *testing.T) {
	shape := synthetic.Plate{Outline: synthetic.Rectangle(24, 20), ThicknessMM: 4}
	f, _, _ := scannedScene(t, []synthetic.Piece{
		{Shape: shape, Pose: synthetic.Upright(0, 0, 0)},
		{Shape: shape, Pose: synthetic.Upright(30, 0, 3.95)},
	}, 0.8, 0.03)
	found, label, err := Find(context.Background(), f, DefaultOptions())
	require.NoError(t, err)
	on := map[int32][2]int{} // surface: points of the top, of the underside
	for i, q := range f.P {
		if q.Z > 1.8 && q.Z < 2.1 && label[i] >= 0 {
			n := on[label[i]]
			if q.X < 15 {
				n[0]++
			} else {
				n[1]++
			}
			on[label[i]] = n
		}
	}
	both := 0
	for k, n := range on {
		_, flat := found[k].Ideal.(fit.Plane)
		if flat && n[0]+n[1] > 200 {
			both++
			assert.Zero(t, min(n[0], n[1]))
			assert.True(t, found[k].Convex, "a plane's normal points out of the metal")
		}
	}
	assert.Equal(t, 2, both)
}

func TestFacetLabels(t *testing.T) {
	label := []int32{0, 0, 1, 2, -1, -1}
	got := FacetLabels(label, [][3]int32{{0, 1, 2}, {2, 0, 1}, {0, 2, 3}, {4, 2, 3}, {4, 5, 0}, {0, 4, 5}})
	assert.Equal(t, []int32{0, 0, 0, 1, -1, -1}, got)
}

// TestDescribe holds names and units, and that each is finite.
func TestDescribe(t *testing.T) {
	for _, c := range []struct {
		ideal Ideal
		kind  string
		check func(p Parameters) bool
	}{
		{fit.Plane{Point: r3.Vec{Z: 2}, Axis: r3.Vec{Z: 1}}, "plane", func(p Parameters) bool { return p.PointMM[2] == 2 && p.Normal[2] == 1 && p.Axis == nil }},
		{fit.Cylinder{Axis: r3.Vec{X: 1}, RadiusMM: 4}, "cylinder", func(p Parameters) bool { return p.DiameterMM == 8 && p.Axis[0] == 1 }},
		{fit.Cone{Point: r3.Vec{Z: 10}, Axis: r3.Vec{Z: 1}, RadiusMM: 10, HalfAngleDeg: 45}, "cone", func(p Parameters) bool { return p.HalfAngleDeg == 45 && *p.ApexMM == [3]float64{} }},
		{fit.Sphere{RadiusMM: 3}, "sphere", func(p Parameters) bool { return p.DiameterMM == 6 && p.CentreMM != nil }},
		{fit.Torus{Axis: r3.Vec{Z: 1}, RadiusMM: 12, SectionRadiusMM: 3}, "torus", func(p Parameters) bool { return p.CentrelineMM == 24 && p.SectionMM == 6 }},
	} {
		kind, p := Describe(Surface{Ideal: c.ideal})
		assert.Equal(t, c.kind, kind)
		assert.True(t, c.check(p), kind)
	}
}
