package shop

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/stock"
)

// TestSaddleOrdinates: distances from the header's axis and drops at stations 0,
// 2, 3, 6 and 8 of 16, of a table computed from the standard formula of pipe
// branches by another program; its invariant, girth of the hole = length of the
// pattern's curve (a textbook's), holds within 1e-6.
func TestSaddleOrdinates(t *testing.T) {
	for _, c := range []struct {
		header, branch, angle float64
		w, drop               [5]float64
	}{
		{8.625, 4.5, 90, [5]float64{4.3125, 4.0083, 3.7784, 4.0083, 4.3125}, [5]float64{0, .3042, .5341, .3042, 0}},
		{6.625, 6.625, 90, [5]float64{3.3125, 2.3423, 1.2676, 2.3423, 3.3125}, [5]float64{0, .9702, 2.0449, .9702, 0}},
		{8.625, 4.5, 60, [5]float64{3.6806, 3.7098, 3.8658, 5.5469, 6.2787}, [5]float64{2.5981, 2.5689, 2.4128, .7317, 0}},
		{12.75, 6.625, 45, [5]float64{5.7031, 6.0427, 6.6412, 10.7273, 12.3281}, [5]float64{6.6250, 6.2854, 5.6869, 1.6008, 0}},
		{219.1, 114.3, 90, [5]float64{109.55, 101.8241, 95.9864, 101.8241, 109.55}, [5]float64{0, 7.7259, 13.5636, 7.7259, 0}},
		{168.3, 168.3, 90, [5]float64{84.15, 59.5030, 32.2028, 59.5030, 84.15}, [5]float64{0, 24.6470, 51.9472, 24.6470, 0}},
	} {
		s, err := SaddleAt(c.header, c.branch, 0, c.angle, 0, DefaultSaddleOptions())
		require.NoError(t, err)
		for k, i := range []int{0, 2, 3, 6, 8} {
			assert.InDelta(t, c.w[k], s.Stations[i].FromAxisMM, 1e-4)
			assert.InDelta(t, c.drop[k], s.Stations[i].DropMM, 1e-4)
		}
		assert.InEpsilon(t, s.HoleMM, s.PatternMM, 1e-6)
	}
	s, err := SaddleAt(300, 120, 0, 50, 60, SaddleOptions{Stations: 32})
	require.NoError(t, err)
	assert.InEpsilon(t, s.HoleMM, s.PatternMM, 1e-6)
}

// TestTemplateLiesOnHeader: the template, wrapped round a branch anywhere in
// space with its printed face out, has its curve on the header; the hole's, too.
func TestTemplateLiesOnHeader(t *testing.T) {
	header := along(part("E01", "tube", "outside_diameter_mm", 300.0, "inside_diameter_mm", 280.0, "length_mm", 3000.0), r3.Vec{X: 400, Y: 100, Z: 900}, r3.Vec{X: 1, Y: 0.3, Z: -0.2})
	h := axisOf(header)
	up := r3.Unit(r3.Cross(h.way, r3.Vec{X: 0.2, Y: 1}))
	way := r3.Unit(r3.Add(up, r3.Scale(0.6, h.way)))
	foot := r3.Add(h.at, r3.Add(r3.Scale(200, h.way), r3.Scale(40, r3.Cross(up, h.way)))) // 40 mm off centre
	for _, turn := range []float64{1, -1} {                                               // the branch's own axis either way
		branch := along(part("E02", "tube", "outside_diameter_mm", 120.0, "inside_diameter_mm", 110.0, "length_mm", 800.0), r3.Add(foot, r3.Scale(500, way)), r3.Scale(turn, way))
		list, why := SaddlesOf([]stock.Part{header, branch}, []stock.Contact{{A: 0, B: 1}}, DefaultSaddleOptions())
		require.Empty(t, why)
		require.Len(t, list, 1)
		s := list[0]
		assert.Equal(t, "E02", s.Branch)
		assert.InDelta(t, math.Atan2(1, 0.6)*180/math.Pi, s.AngleDeg, 1e-9)
		assert.InDelta(t, 40, math.Abs(s.OffsetMM), 1e-9)
		b := axisOf(branch)
		// The point of the branch's axis from which w is measured: nearest to the header's axis.
		n := r3.Unit(r3.Cross(b.way, h.way))
		side := r3.Cross(h.way, n)
		origin := r3.Add(b.at, r3.Scale(r3.Dot(r3.Sub(h.at, b.at), side)/r3.Dot(way, side), way))
		_, away := b.from(h)
		right := r3.Cross(s.ZeroWay, away) // of the printed face at station 1, the header up: forward × up = (−zero) × (−away)
		for _, a := range s.Stations {
			sin, cos := math.Sincos(a.GirthMM / 60)
			p := r3.Add(origin, r3.Add(r3.Scale(a.FromAxisMM, away), r3.Scale(60, r3.Add(r3.Scale(cos, s.ZeroWay), r3.Scale(sin, right)))))
			assert.InDelta(t, 150, h.off(p), 1e-9, "station %d", a.Number)
		}
		require.NoError(t, s.Wrap().Check())
		require.NoError(t, s.HoleTemplate().Check())
	}
}

// TestSharpFaces: at the heel of a branch at 25° the faces meet at 25°.
func TestSharpFaces(t *testing.T) {
	s, err := SaddleAt(300, 100, 0, 25, 0, DefaultSaddleOptions())
	require.NoError(t, err)
	assert.InDelta(t, 25, s.SharpDeg, 1e-9)
	assert.Contains(t, s.SharpAt, 9)
	assert.NotEmpty(t, s.Notes)
	assert.InDelta(t, 155, s.Stations[0].FaceDeg, 1e-9)
}

// TestSaddleRefusals name both pieces where they have names.
func TestSaddleRefusals(t *testing.T) {
	for _, c := range [][5]float64{{100, 120, 0, 90, 0}, {100, 80, 0, 90, 20}, {100, 80, 0, 10, 0}, {100, 80, 0, 95, 0}, {math.NaN(), 80, 0, 90, 0}, {100, 0, 0, 90, 0}, {100, 80, 0, 90, math.Inf(1)}} {
		_, err := SaddleAt(c[0], c[1], c[2], c[3], c[4], DefaultSaddleOptions())
		assert.Error(t, err, "%v", c)
	}
	_, err := SaddleAt(100, 80, 70, 90, 0, SaddleOptions{Stations: 7})
	assert.ErrorContains(t, err, "16 or 32")
	bore, err := SaddleAt(100, 80, 70, 90, 0, SaddleOptions{Stations: 16, Bore: true})
	require.NoError(t, err)
	assert.Equal(t, 70.0, bore.CutMM)
	_, err = SaddleOf(base(), base(), DefaultSaddleOptions())
	assert.ErrorContains(t, err, "E01 on E01")
}

// TestMitre: the pattern of a plane cut is an ellipse's girth, its height the
// diameter times the tangent; the long side faces against the plane's lean.
func TestMitre(t *testing.T) {
	p := along(part("E01", "tube", "outside_diameter_mm", 200.0, "inside_diameter_mm", 180.0, "length_mm", 1000.0), r3.Vec{}, r3.Vec{Z: 1})
	sin, cos := math.Sincos(30 * math.Pi / 180)
	p.Ends = []stock.End{{Kind: "square", Out: r3.Vec{Z: -1}}, {Kind: "mitre", AtMM: r3.Vec{Z: 500}, Out: r3.Vec{X: sin, Z: cos}}}
	m, err := MitresOf(p, 16)
	require.NoError(t, err)
	require.Len(t, m, 1)
	assert.Equal(t, 2, m[0].End)
	assert.InDelta(t, 200*math.Tan(math.Pi/6), m[0].StationsMM[0]-m[0].StationsMM[8], 1e-9)
	assert.InDelta(t, -1, m[0].LongWay.X, 1e-12) // there the plane lies higher
	a, b := 100/cos, 100.0
	h := (a - b) * (a - b) / (a + b) / (a + b)
	assert.InEpsilon(t, math.Pi*(a+b)*(1+3*h/(10+math.Sqrt(4-3*h))), m[0].PatternMM, 1e-7) // Ramanujan
	require.NoError(t, m[0].Wrap().Check())
}

// TestArcEnd: every ordinate, laid along its own line of the bent tube from the
// square section, ends on the plane of the cut; far from the centre of curvature the
// cut is that of a straight tube, r tan a (1 + cos t).
func TestArcEnd(t *testing.T) {
	bent := func(r float64, normal r3.Vec) Mitre {
		p := part("E01", "arc", "centreline_diameter_mm", 2*r, "section_diameter_mm", 100.0, "sweep_deg", 90.0)
		p.Ends = []stock.End{{Kind: "square", AtMM: r3.Vec{X: r}, Out: r3.Vec{Y: -1}}, {Kind: "mitre", AtMM: r3.Vec{Y: r}, Out: normal}}
		m, err := ArcEndsOf(p, 16)
		require.NoError(t, err)
		require.Len(t, m, 1)
		require.NoError(t, m[0].Wrap().Check())
		return m[0]
	}
	n := r3.Unit(r3.Vec{X: -1, Y: 0.25, Z: 0.35})
	m := bent(400, n)
	assert.InDelta(t, math.Acos(-n.X)*180/math.Pi, m.AngleDeg, 1e-9)
	least := math.Inf(1)
	for _, h := range m.StationsMM {
		least = min(least, h)
	}
	assert.InDelta(t, 0, least, 0.5) // the shortest may fall between stations
	for k, h := range m.StationsMM {
		psi := m.oblique.longRad - 2*math.Pi*float64(k)/16 // to the right of one who looks along -y with -x up is -z
		rho := 400 + 50*math.Cos(psi)
		sin, cos := math.Sincos((h + m.oblique.leastMM) / rho) // beyond the end of the arc at 90°, towards -x
		q := r3.Vec{X: -rho * sin, Y: rho * cos, Z: 50 * math.Sin(psi)}
		assert.InDelta(t, 0, r3.Dot(n, r3.Sub(q, r3.Vec{Y: 400})), 1e-9)
	}
	tan := math.Tan(bent(1e6, n).AngleDeg * math.Pi / 180)
	for k, h := range bent(1e6, n).StationsMM {
		assert.InDelta(t, 50*tan*(1+math.Cos(2*math.Pi*float64(k)/16)), h, 0.05) // the longest is found to a tenth of a degree
	}
	p := part("E01", "arc", "centreline_diameter_mm", 800.0, "section_diameter_mm", 100.0, "sweep_deg", 90.0)
	p.Ends = []stock.End{{Kind: "mitre", Out: r3.Vec{X: 1}}}
	p.Segments = []stock.Segment{{Kind: "straight"}}
	_, err := ArcEndsOf(p, 16)
	assert.ErrorContains(t, err, "compound")
}
