package assembly

import (
	"context"
	"math"
	"runtime"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh"
	"pointup/mesh/synthetic"
	"pointup/segment/primitive"
)

// scanned scans pieces as shells of their own and recognises each.
func scene(t testing.TB, opt synthetic.Options, pieces ...synthetic.Piece) (*mesh.Mesh, []Body, Grain) {
	t.Helper()
	s, err := synthetic.Scan(synthetic.Scene{Name: "test", Pieces: pieces}, opt)
	require.NoError(t, err)
	m, report, err := mesh.Check(context.Background(), s.Soup("test.stl"), mesh.CheckOptions{Unit: "mm"}, nil)
	require.NoError(t, err)
	bodies := make([]Body, len(pieces))
	for f, k := range m.Source {
		if k := s.Piece[k]; k >= 0 {
			bodies[k].Faces = append(bodies[k].Faces, uint32(f))
		}
	}
	for i := range bodies {
		e := primitive.Recognise(primitive.NewPatch(m, bodies[i].Faces, report.NoiseMM), primitive.DefaultOptions())
		bodies[i].Element = &e
	}
	return m, bodies, Grain{NoiseMM: report.NoiseMM, EdgeMM: report.EdgeMedianMM}
}

func quiet(edgeMM float64) synthetic.Options {
	opt := synthetic.DefaultOptions()
	opt.Seed, opt.EdgeMM, opt.NoiseMM = 5, edgeMM, 0.02
	return opt
}

func contactsOf(t *testing.T, opt synthetic.Options, pieces ...synthetic.Piece) []Contact {
	t.Helper()
	m, bodies, g := scene(t, opt, pieces...)
	got, _, err := Contacts(context.Background(), m, bodies, g)
	require.NoError(t, err)
	for _, c := range got {
		for _, r := range c.Seam {
			for _, p := range r.Points {
				assert.InDelta(t, 1, r3.Norm(p.NormalA), 1e-6)
				assert.InDelta(t, 1, r3.Norm(p.NormalB), 1e-6)
				require.False(t, math.IsNaN(p.AtMM.X+p.AtMM.Y+p.AtMM.Z))
			}
		}
	}
	return got
}

func plate(length, width, thickness, z float64) synthetic.Piece {
	return synthetic.Piece{Name: "plate", Shape: synthetic.Plate{Outline: synthetic.Rectangle(length, width), ThicknessMM: thickness}, Pose: synthetic.Upright(0, 0, z)}
}

func tubeAt(od, id, length float64, at, axis r3.Vec) synthetic.Piece {
	return synthetic.Piece{Name: "tube", Shape: synthetic.Tube{OutsideDiameterMM: od, InsideDiameterMM: id, LengthMM: length}, Pose: synthetic.Along(at, axis)}
}

func TestSeamsOfClosedForm(t *testing.T) {
	z := r3.Vec{Z: 1}
	oblique := r3.Vec{X: math.Sin(math.Pi / 6), Z: math.Cos(math.Pi / 6)} // 30 degrees from square
	for _, c := range []struct {
		name               string
		a, b               synthetic.Piece
		kind               string
		length, angle, gap float64
		within, gapWithin  float64
		through            bool
		runs               int
	}{
		{"a tube square on a plate: the circle πD", plate(60, 50, 4, 0), tubeAt(16, 12, 40, r3.Vec{Z: 22}, z), "tube on plate", 16 * math.Pi, 90, 0, 0.15, 0.02, false, 1},
		{"a tube a little over a plate", plate(60, 50, 4, 0), tubeAt(16, 12, 40, r3.Vec{Z: 22.1}, z), "tube on plate", 16 * math.Pi, 90, 0.1, 0.15, 0.02, false, 1},
		{"a tube a little into a plate", plate(60, 50, 4, 0), tubeAt(16, 12, 40, r3.Vec{Z: 21.85}, z), "tube on plate", 16 * math.Pi, 90, -0.15, 0.15, 0.02, false, 1},
		{"a bar through a plate: a circle on each face", plate(60, 50, 4, 0), synthetic.Piece{Shape: synthetic.Bar{OutsideDiameterMM: 10, LengthMM: 50}, Pose: synthetic.Along(r3.Vec{X: 4, Z: 3}, z)}, "bar through plate", 20 * math.Pi, 90, -4, 0.15, 0.05, true, 2},
		// The ellipse with half axes 5 and 5/cos 30° has the perimeter 33.8817
		// (Ramanujan 1914), on each face.
		{"a bar slanting through a plate: two ellipses", plate(60, 50, 4, 0), synthetic.Piece{Shape: synthetic.Bar{OutsideDiameterMM: 10, LengthMM: 60}, Pose: synthetic.Along(r3.Vec{Z: 3}, oblique)}, "bar through plate", 2 * ellipse(5, 5/math.Cos(math.Pi/6)), 60, -4, 0.3, 0.05, true, 2},
		{"a ball on a plate", plate(60, 50, 4, 0), synthetic.Piece{Shape: synthetic.Sphere{DiameterMM: 20}, Pose: synthetic.Upright(3, 2, 12)}, "point", 0, math.NaN(), 0, 1e-9, 0.02, false, 1},
		// Half of each of two ellipses with half axes 8 and 8√2.
		{"two equal tubes, one ending on the other's axis", tubeAt(16, 12, 60, r3.Vec{}, r3.Vec{X: 1}), tubeAt(16, 12, 32, r3.Vec{Z: 16}, z), "tube on tube", ellipse(8, 8*math.Sqrt2), 90, math.NaN(), 0.8, 0, false, 1},
		{"a tube on a thicker one: the saddle", tubeAt(20, 16, 60, r3.Vec{}, r3.Vec{X: 1}), tubeAt(12, 9, 34, r3.Vec{Z: 24.5}, z), "tube on tube", saddle(10, 6), 90, math.NaN(), 0.2, 0, false, 1},
		// A mitre: both ends cut at 45° meet along the ellipse of 8 and 8√2. Where
		// the tubes' sides run on into each other the seam has no place of its own,
		// and a part of it is lost.
		{"two equal tubes meeting in a mitre", mitred(r3.Vec{}, r3.Vec{X: 40}, 0), mitred(r3.Vec{}, r3.Vec{Z: 40}, 1), "tube to tube, end to end", ellipse(8, 8*math.Sqrt2), 90, 0, 2, 0.05, false, 1},
		{"a bar lying on a plate", plate(60, 50, 4, 0), synthetic.Piece{Shape: synthetic.Bar{OutsideDiameterMM: 8, LengthMM: 40}, Pose: synthetic.Along(r3.Vec{Z: 6}, r3.Vec{X: 1})}, "line", 40, 0, 0, 1.5, 0.03, false, 1},
		{"a plate on edge on a plate: round the foot", plate(60, 50, 4, 0), synthetic.Piece{Shape: synthetic.Plate{Outline: synthetic.Rectangle(40, 20), ThicknessMM: 3}, Pose: synthetic.Pose{OriginMM: r3.Vec{Z: 12}, Axis: r3.Vec{Y: 1}, Ref: r3.Vec{X: 1}}}, "edge on face", 86, 90, 0, 0.6, 0.03, false, 1},
		{"a plate flat on a plate: round its edge", plate(60, 50, 4, 0), plate(30, 20, 3, 3.5), "face on face", 100, 0, 0, 0.6, 0.03, false, 1},
		{"a bar in the bore of a ring that it fits", synthetic.Piece{Shape: synthetic.Ring{OutsideDiameterMM: 40, InsideDiameterMM: 10, ThicknessMM: 5}, Pose: synthetic.Upright(0, 0, 0)}, synthetic.Piece{Shape: synthetic.Bar{OutsideDiameterMM: 10, LengthMM: 50}, Pose: synthetic.Along(r3.Vec{Z: 6}, z)}, "bar through ring", 20 * math.Pi, 90, 0, 0.3, 0.03, true, 2},
		{"a thin bar a little over a disc", synthetic.Piece{Shape: synthetic.Disc{OutsideDiameterMM: 90, ThicknessMM: 5}, Pose: synthetic.Upright(0, 0, 0)}, synthetic.Piece{Shape: synthetic.Bar{OutsideDiameterMM: 3, LengthMM: 60}, Pose: synthetic.Along(r3.Vec{Z: 4.1}, r3.Vec{X: 1})}, "line", 60, 0, 0.1, 1.5, 0.03, false, 1},
		{"two bars that cross", synthetic.Piece{Shape: synthetic.Bar{OutsideDiameterMM: 10, LengthMM: 50}, Pose: synthetic.Along(r3.Vec{}, r3.Vec{X: 1})}, synthetic.Piece{Shape: synthetic.Bar{OutsideDiameterMM: 8, LengthMM: 50}, Pose: synthetic.Along(r3.Vec{Z: 9}, r3.Vec{Y: 1})}, "point", 0, 90, 0, 1e-9, 0.03, false, 1},
		{"a round ring lying on a plate", plate(80, 70, 4, 0), synthetic.Piece{Shape: synthetic.RoundRing{CentrelineDiameterMM: 40, SectionDiameterMM: 5}, Pose: synthetic.Upright(0, 0, 4.5)}, "line", 40 * math.Pi, 0, 0, 0.3, 0.03, false, 1},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			got := contactsOf(t, quiet(1.4), c.a, c.b)
			require.Len(t, got, 1)
			g := got[0]
			assert.Equal(t, c.kind, g.Kind)
			assert.InDelta(t, c.length, g.LengthMM, c.within)
			if math.IsNaN(c.angle) {
				assert.True(t, math.IsNaN(g.AngleDeg))
			} else {
				assert.InDelta(t, c.angle, g.AngleDeg, 0.3)
			}
			if !math.IsNaN(c.gap) {
				assert.InDelta(t, c.gap, g.GapMM, c.gapWithin)
			}
			assert.Equal(t, c.through, g.Through)
			assert.Equal(t, c.runs, len(g.Seam))
		})
	}
}

// ellipse is the perimeter of an ellipse by half axes (Ramanujan 1914, second
// form, good to 1e-8 for these).
func ellipse(a, b float64) float64 {
	h := (a - b) * (a - b) / ((a + b) * (a + b))
	return math.Pi * (a + b) * (1 + 3*h/(10+math.Sqrt(4-3*h)))
}

// saddle is the length of the curve where a cylinder of radius r pierces one of
// radius R at right angles through its axis, on one side: by the trapezoid rule,
// which converges fast on a closed curve.
func saddle(R, r float64) float64 {
	const n = 4000
	l := 0.0
	for i := range n {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / n)
		dz := r * r * sin * cos / math.Sqrt(R*R-r*r*sin*sin)
		l += math.Hypot(r, dz) * 2 * math.Pi / n
	}
	return l
}

// mitred is a tube from the corner at a to b, cut at 45 degrees at the corner so
// that tubes along x and z meet there.
func mitred(a, b r3.Vec, k int) synthetic.Piece {
	p := synthetic.Piece{Name: "tube", Shape: synthetic.Tube{OutsideDiameterMM: 16, InsideDiameterMM: 12, LengthMM: 40, Ends: [2]synthetic.End{{MitreDeg: 45}, {}}}, Pose: synthetic.Between(a, b)}
	p.Pose.Ref = r3.Vec{Z: 1}
	if k == 1 {
		p.Pose.Ref = r3.Vec{X: 1}
	}
	return p
}

func TestContactsDoNotDependOnCores(t *testing.T) {
	m, bodies, g := scene(t, quiet(1.5), plate(60, 50, 4, 0), tubeAt(16, 12, 40, r3.Vec{Z: 22}, r3.Vec{Z: 1}), tubeAt(10, 7, 30, r3.Vec{X: 22.5, Z: 20}, r3.Vec{X: 1}))
	want, _, err := Contacts(context.Background(), m, bodies, g)
	require.NoError(t, err)
	require.Len(t, want, 2)
	old := runtime.GOMAXPROCS(1)
	defer runtime.GOMAXPROCS(old)
	got, _, err := Contacts(context.Background(), m, bodies, g)
	require.NoError(t, err)
	for i := range want { // a NaN is not equal to itself
		assert.Equal(t, want[i].Seam, got[i].Seam)
		assert.Equal(t, want[i].LengthMM, got[i].LengthMM)
	}
}

// Twenty pieces of some 50,000 facets in a row of crossing tubes: the cost is that
// of the seams, not of the facets.
func BenchmarkContacts(b *testing.B) {
	var pieces []synthetic.Piece
	for k := range 10 {
		x := 30 * float64(k)
		pieces = append(pieces, tubeAt(16, 12, 200, r3.Vec{X: x, Y: 0, Z: 0}, r3.Vec{Y: 1}), tubeAt(10, 7, 18, r3.Vec{X: x + 15, Y: 3 * float64(k)}, r3.Vec{X: 1}))
	}
	m, bodies, g := scene(b, quiet(0.8), pieces...)
	b.ResetTimer()
	for b.Loop() {
		got, _, err := Contacts(context.Background(), m, bodies, g)
		if err != nil || len(got) != 19 {
			b.Fatal(err, len(got))
		}
	}
	b.ReportMetric(float64(len(m.Faces)), "facets")
}

// A plate that leans at 35 degrees stands on its edge, however flat it leans.
func TestLeaningPlateStandsOnItsEdge(t *testing.T) {
	sin, cos := math.Sincos(35 * math.Pi / 180)
	// Its lowest edge is 10 sin 35° + 1.5 cos 35° under its middle; 0.5 into the plate.
	p := synthetic.Piece{Shape: synthetic.Plate{Outline: synthetic.Rectangle(40, 20), ThicknessMM: 3},
		Pose: synthetic.Pose{OriginMM: r3.Vec{Z: 1.5 + 10*sin + 1.5*cos}, Axis: r3.Vec{Y: sin, Z: cos}, Ref: r3.Vec{X: 1}}}
	got := contactsOf(t, quiet(1.5), plate(60, 50, 4, 0), p)
	require.Len(t, got, 1)
	assert.Equal(t, "edge on face", got[0].Kind)
	assert.InDelta(t, 35, got[0].AngleDeg, 0.3)
	// Round the wedge that lies in the plate: 40 long, 0.5/sin 35° and 0.5/cos 35°
	// cut off its two sides, which leaves sqrt of their squares across. At the
	// corners of the acute side the seam swings out by up to a millimetre each.
	assert.InDelta(t, 2*(40+math.Hypot(0.5/sin, 0.5/cos)), got[0].LengthMM, 3.5)
}

func TestApartIsNoContact(t *testing.T) {
	assert.Empty(t, contactsOf(t, quiet(1.5), plate(60, 50, 4, 0), tubeAt(16, 12, 40, r3.Vec{Z: 23}, r3.Vec{Z: 1})))
}

// Two bodies of one shell that share a weld are joined there although their ideal
// pieces leave a gap: a tube whose foot the weld hides.
func TestWeldJoinsAcrossAGap(t *testing.T) {
	m, bodies, g := scene(t, quiet(1.5), plate(60, 50, 4, 0), tubeAt(16, 12, 40, r3.Vec{Z: 23.2}, r3.Vec{Z: 1}))
	got, _, err := Contacts(context.Background(), m, bodies, g)
	require.NoError(t, err)
	require.Empty(t, got, "1.2 mm apart")
	// The weld: ten facets from the tube's lowest points to the plate's.
	low := func(faces []uint32, z float64) []uint32 {
		var out []uint32
		for _, f := range faces {
			for _, v := range m.Faces[f] {
				if p := m.At(v); math.Abs(p.Z-z) < 0.2 && math.Abs(math.Hypot(p.X, p.Y)-8) < 1.2 {
					out = append(out, v)
				}
			}
		}
		return out
	}
	foot, face := low(bodies[1].Faces, 3.2), low(bodies[0].Faces, 2)
	require.NotEmpty(t, face)
	for k := range 10 {
		m.Faces = append(m.Faces, [3]uint32{foot[3*k], foot[3*k+1], face[k%len(face)]})
		bodies[1].Weld = append(bodies[1].Weld, uint32(len(m.Faces)-1))
	}
	got, _, err = Contacts(context.Background(), m, bodies, g)
	require.NoError(t, err)
	require.Len(t, got, 1)
	assert.Equal(t, "tube on plate", got[0].Kind)
	assert.InDelta(t, 16*math.Pi, got[0].LengthMM, 0.2)
	assert.InDelta(t, 1.2, got[0].GapMM, 0.03)
}
