package solid

import (
	"bytes"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// lengthOf sums lines, arcs and chords.
func lengthOf(wires []Wire) (sum float64) {
	for _, w := range wires {
		if w.Arc != nil {
			sum += w.Arc.RadiusMM * w.Arc.SweepRad
			continue
		}
		for i := 1; i < len(w.Points); i++ {
			sum += r3.Norm(r3.Sub(w.Points[i], w.Points[i-1]))
		}
	}
	return sum
}

// TestEdges: what one sees of simple solids has the lengths of their formulas;
// seams are not drawn.
func TestEdges(t *testing.T) {
	pi := math.Pi
	box := Slab(30, Polygon([2]float64{0, 0}, [2]float64{200, 0}, [2]float64{200, 100}, [2]float64{0, 100}))
	for name, c := range map[string]struct {
		shape Shape
		n     int
		mm    float64
	}{
		"box":      {box, 12, 4 * (30 + 200 + 100)},
		"tube":     {Tube(180, 150, Cut{Z: -200}, Cut{Z: 200}), 4, 2 * pi * (180 + 150)},
		"ball":     {Ball{DiameterMM: 100}, 0, 0},
		"ring":     {RoundRing{300, 60, 0}, 0, 0},
		"cone":     {Frustum(240, 80, 260, 0), 2, pi * (240 + 80)},
		"arc":      {Bend{Legs: []Leg{{RadiusMM: 600, SweepRad: 1}}, SectionMM: 60}, 2, 2 * pi * 60},
		"coil":     {Coil{CentrelineMM: 160, SectionMM: 30, PitchMM: 60, Turns: 3}, 4, 2 * pi * 30},
		"skin":     {Facets{Mesh{[]r3.Vec{{}, {X: 100}, {X: 100, Y: 100}, {Y: 100}}, [][3]uint32{{0, 1, 2}, {0, 2, 3}}}, true}, 4, 400},
		"pyramid":  {Facets{Surface: tetrahedron()}, 6, 3000 + 3000*math.Sqrt2},
		"rolled":   {RolledSlab{880, 20, Rectangle(1000, 440), nil}, 12, 4*20 + 4*440 + 2*1000*(440+460.0)/450},
		"pie":      {Sector(200, 100, 10, pi/2), 12, 4*10 + 4*50 + pi/2*(100+50)*2},
		"half bar": {Tube(50, 0, Cut{}, Cut{Z: 100}), 2, 2 * pi * 50},
	} {
		w, err := Edges(c.shape)
		require.NoError(t, err, name)
		assert.Len(t, w, c.n, name)
		assert.InDelta(t, c.mm, lengthOf(w), 1e-6*c.mm+1e-9, name)
	}
	_, err := Edges(Ball{})
	assert.Error(t, err)
}

// TestEdgesOnSurface: a mitre's ellipse lies on tube and plane and has its length, a
// rolled hole's spline on both cylinders, round when unrolled.
func TestEdgesOnSurface(t *testing.T) {
	mitre := Tube(180, 0, Cut{U: 0.4, V: 0.2}, Cut{Z: 500, U: -0.3})
	w, err := Edges(mitre)
	require.NoError(t, err)
	points := 0
	for _, e := range w {
		for _, p := range e.Points {
			points++
			assert.InDelta(t, 90, math.Hypot(p.X, p.Y), 1e-9)
			off := math.Min(math.Abs(p.Z-0.4*p.X-0.2*p.Y), math.Abs(p.Z-500+0.3*p.X))
			assert.InDelta(t, 0, off, 1e-9)
		}
	}
	assert.Greater(t, points, 140)
	assert.InEpsilon(t, ellipseLength(90*math.Sqrt(1.2), 90)+ellipseLength(90*math.Sqrt(1.09), 90), lengthOf(w), 2e-3)
	rolled := RolledSlab{880, 20, Rectangle(1000, 440), []Outline{Round(500, 0, 60)}}
	w, err = Edges(rolled)
	require.NoError(t, err)
	splines := 0
	for _, e := range w {
		if len(e.Points) < 3 {
			continue
		}
		splines++
		for _, p := range e.Points {
			rho := math.Hypot(p.X, p.Y)
			assert.InDelta(t, 0, math.Min(math.Abs(rho-440), math.Abs(rho-460)), 1e-4)
			u := math.Atan2(p.Y, p.X)*450 - 500
			assert.InDelta(t, 60, math.Hypot(u, p.Z), 1e-3)
		}
	}
	assert.Equal(t, 4, splines)
}

// ellipseLength is by Ramanujan's second formula, within 1e-9 at these shapes.
func ellipseLength(a, b float64) float64 {
	h := (a - b) * (a - b) / (a + b) / (a + b)
	return math.Pi * (a + b) * (1 + 3*h/(10+math.Sqrt(4-3*h)))
}

// TestThin: a thinned ball is closed, of its volume and deterministic; a thinned
// half of it keeps its border on the equator and is a skin.
func TestThin(t *testing.T) {
	m, err := Ball{DiameterMM: 200}.Mesh(0.01)
	require.NoError(t, err)
	require.Greater(t, len(m.Triangles), 15000)
	thin := Thin(m, 1200)
	require.NoError(t, thin.Closed())
	assert.LessOrEqual(t, len(thin.Triangles), 1200)
	assert.InEpsilon(t, m.VolumeMM3(), thin.VolumeMM3(), 0.015) // 1200 triangles within a ball lose about 5.3/1200 and up
	assert.Equal(t, thin, Thin(m, 1200))
	_, err = Facets{Surface: thin}.Body()
	assert.NoError(t, err)

	half := Mesh{Points: m.Points}
	for _, f := range m.Triangles {
		if m.Points[f[0]].Z > -1e-9 && m.Points[f[1]].Z > -1e-9 && m.Points[f[2]].Z > -1e-9 {
			half.Triangles = append(half.Triangles, f)
		}
	}
	thin = Thin(half, 500)
	require.NoError(t, thin.Skin())
	require.Error(t, thin.Closed())
	assert.LessOrEqual(t, len(thin.Triangles), 500)
	low := 0
	for _, p := range thin.Points {
		assert.InDelta(t, 100, r3.Norm(p), 1e-6)
		if p.Z < 1e-6 {
			low++
		}
	}
	assert.Greater(t, low, 20)
	_, err = Facets{Surface: thin}.Body()
	assert.ErrorContains(t, err, "not closed")
	w, err := Edges(Facets{thin, true})
	require.NoError(t, err)
	assert.InEpsilon(t, 2*math.Pi*100, lengthOf(w), 0.05) // and a crease or two
	four := Thin(tetrahedron(), 1)
	assert.NoError(t, four.Closed())
	assert.Len(t, four.Triangles, 4)
}

// TestSkinSTEP: an open shell is written as one, and not as a solid.
func TestSkinSTEP(t *testing.T) {
	m := tetrahedron()
	m.Triangles = m.Triangles[1:]
	text := stepText(t, Facets{m, true})
	assert.Contains(t, text, "OPEN_SHELL")
	assert.Contains(t, text, "SHELL_BASED_SURFACE_MODEL")
	assert.NotContains(t, text, "MANIFOLD_SOLID_BREP")
	assert.Len(t, Printable([]Piece{{Shape: Facets{m, true}}, {Shape: Ball{DiameterMM: 1}}}), 1)
}

func stepText(t *testing.T, s Shape) string {
	var b bytes.Buffer
	require.NoError(t, WritePart(&b, "x.step", Piece{Mark: "E01", Frame: World(), Shape: s}))
	return b.String()
}

// TestSharpEdges: of a slab with round ends the joins of sides and rounds are left
// out, of a box nothing is; a cylinder on its tangent plane is no edge, a cone is.
func TestSharpEdges(t *testing.T) {
	slot := Slab(10, Outline{{To: [2]float64{-50, -20}}, {To: [2]float64{50, -20}}, {To: [2]float64{50, 20}, Via: [2]float64{70, 0}, Arc: true}, {To: [2]float64{-50, 20}}, {To: [2]float64{-50, -20}, Via: [2]float64{-70, 0}, Arc: true}})
	all, err := Edges(slot)
	require.NoError(t, err)
	sharp, err := SharpEdges(slot)
	require.NoError(t, err)
	assert.InDelta(t, 4*10, lengthOf(all)-lengthOf(sharp), 1e-9)
	assert.InDelta(t, 2*(200+40*math.Pi), lengthOf(sharp), 1e-6)
	box := Slab(30, Polygon([2]float64{0, 0}, [2]float64{200, 0}, [2]float64{200, 100}, [2]float64{0, 100}))
	sharp, err = SharpEdges(box)
	require.NoError(t, err)
	assert.Len(t, sharp, 12)
	bend := Bend{Legs: []Leg{{LengthMM: 100}, {RadiusMM: 200, SweepRad: 1}}, SectionMM: 40} // its straight runs on into the arc
	sharp, err = SharpEdges(bend)
	require.NoError(t, err)
	assert.InDelta(t, 2*40*math.Pi, lengthOf(sharp), 1e-6)
}
