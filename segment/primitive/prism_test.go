package primitive

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh/synthetic"
)

// mitred is a random profile of each common section with its ends cut at up to
// 50 degrees, at least one of them by 5 or more.
func mitred(kind int, rng *rand.Rand) synthetic.Profile {
	within := func(lo, hi float64) float64 { return lo + (hi-lo)*rng.Float64() }
	a, b, t := within(14, 30), within(14, 30), within(2.4, 4)
	p := synthetic.Profile{LengthMM: within(1.8, 4) * max(a, b)}
	switch kind {
	case 0:
		p.Section = synthetic.Angle(a, b, t)
	case 1:
		p.Section = synthetic.Channel(a, b*0.6, t, t*1.2)
	case 2:
		p.Section = synthetic.Tee(a, b, t, t)
	case 3:
		box := synthetic.Box(a, b, t, 1)
		p.Section, p.Openings = box.Section, box.Openings
	default:
		p.Section = synthetic.Hexagon(a)
	}
	p.Ends[0] = synthetic.End{MitreDeg: within(5, 50), AzimuthDeg: within(0, 360)}
	if rng.IntN(2) == 0 {
		p.Ends[1] = synthetic.End{MitreDeg: within(5, 50), AzimuthDeg: within(0, 360)}
	}
	return p
}

// TestMitredProfiles reads profiles that are cut obliquely: the length between
// the ends' centres, the ends' angles and planes, and the section. A third of the
// scans have gaps.
func TestMitredProfiles(t *testing.T) {
	var within [30]bool
	t.Run("all", func(t *testing.T) {
		for seed := range within {
			t.Run(fmt.Sprint(seed), func(t *testing.T) {
				t.Parallel()
				rng := rand.New(rand.NewPCG(uint64(seed), 0x6d69747265))
				shape := mitred(seed%5, rng)
				p := synthetic.Piece{Name: "profile", Shape: shape, Pose: aslant()}
				opt := scanOptions(1)
				opt.NoiseMM = 0.02 + 0.03*rng.Float64()
				if seed%3 == 0 {
					opt.Gaps, opt.GapMM = 4, 2.5
				}
				e := recognised(t, p, opt)
				requireMitred(t, p, e)
				length := e.dimension("length_mm")
				within[seed] = math.Abs(length.Value-shape.LengthMM) <= length.U95
			})
		}
	})
	n := 0
	for _, in := range within {
		if in {
			n++
		}
	}
	assert.GreaterOrEqual(t, n, 27, "of 30 lengths within u95")
}

// requireMitred holds a profile against its truth: lengths to a tenth of a
// millimetre, angles to half a degree, the section's corners to a tenth.
func requireMitred(t *testing.T, p synthetic.Piece, e Element) {
	want, err := synthetic.TruthOf(p)
	require.NoError(t, err)
	require.Equal(t, "profile", e.Kind, "%+v\n%v", p.Shape, e.Dims)
	length, ok := want.Value("length_mm")
	require.True(t, ok)
	got := e.dimension("length_mm")
	assert.InDelta(t, length, got.Value, 0.05, "%+v", got)
	require.Len(t, e.Ends, 2)
	for k, end := range e.Ends {
		kind := "mitre"
		if want.Ends[k].MitreDeg < 1 {
			kind = "square"
		}
		assert.Equal(t, kind, end.Kind)
		assert.InDelta(t, want.Ends[k].MitreDeg, end.AngleDeg, 0.5)
		assert.InDelta(t, got.Value/2, r3.Norm(r3.Sub(end.AtMM, e.Frame.OriginMM)), 1e-6)
		assert.Positive(t, float64(2*k-1)*r3.Dot(end.Out, e.Frame.Axis))
	}
	assert.InDelta(t, 0, r3.Norm(r3.Sub(want.OriginMM, e.Frame.OriginMM)), 0.1)
	assert.InDelta(t, 0, r3.Norm(r3.Cross(want.Axis, e.Frame.Axis)), 0.003)
	require.Len(t, e.Outline, len(want.Outline))
	v, w := r3.Cross(want.Axis, want.Ref), r3.Cross(e.Frame.Axis, e.Frame.Ref)
	for _, s := range want.Outline {
		q := r3.Add(want.OriginMM, r3.Add(r3.Scale(s.To[0], want.Ref), r3.Scale(s.To[1], v)))
		d := r3.Sub(q, e.Frame.OriginMM)
		least := math.Inf(1)
		for _, o := range e.Outline {
			least = min(least, math.Hypot(o.To[0]-r3.Dot(d, e.Frame.Ref), o.To[1]-r3.Dot(d, w)))
		}
		assert.Less(t, least, 0.1, "corner %v", s.To)
	}
}

// roundedBox is a rectangle with corners of radius r.
func roundedBox(w, h, r float64) []synthetic.Step {
	k, a, b := r*(1-math.Sqrt2/2), w/2, h/2
	return []synthetic.Step{
		synthetic.Line(a-r, -b), synthetic.ArcVia(a-k, -b+k, a, -b+r), synthetic.Line(a, b-r), synthetic.ArcVia(a-k, b-k, a-r, b),
		synthetic.Line(-a+r, b), synthetic.ArcVia(-a+k, b-k, -a, b-r), synthetic.Line(-a, -b+r), synthetic.ArcVia(-a+k, -b+k, -a+r, -b),
	}
}

// TestMitredRolledProfiles reads sections with rounded corners, as they are rolled
// and drawn, cut obliquely.
func TestMitredRolledProfiles(t *testing.T) {
	via := 3 + 3*(1-math.Sqrt2/2)
	cut := [2]synthetic.End{{MitreDeg: 35, AzimuthDeg: 40}, {MitreDeg: 20, AzimuthDeg: 150}}
	for name, c := range map[string]synthetic.Profile{
		"hollow": {Section: roundedBox(24, 16, 4), Openings: []synthetic.Hole{{Shape: "other", Outline: roundedBox(19, 11, 2)}}, LengthMM: 60, Ends: cut},
		"angle": {Section: []synthetic.Step{synthetic.Line(20, 0), synthetic.Line(20, 3), synthetic.Line(6, 3), synthetic.ArcVia(via, via, 3, 6),
			synthetic.Line(3, 24), synthetic.Line(0, 24), synthetic.Line(0, 0)}, LengthMM: 60, Ends: cut},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			e := recognised(t, synthetic.Piece{Name: name, Shape: c, Pose: aslant()}, scanOptions(1))
			require.Equal(t, "profile", e.Kind)
			length := e.dimension("length_mm")
			assert.InDelta(t, 60, length.Value, 1.5*length.U95)
			assert.Less(t, length.U95, 0.05)
			require.Len(t, e.Outline, len(c.Section))
			arcs := 0
			for i, s := range e.Outline {
				assert.Positive(t, e.OutlineU95MM[i])
				if s.Arc {
					arcs++
				}
			}
			assert.Equal(t, map[string]int{"hollow": 4, "angle": 1}[name], arcs)
			assert.Len(t, e.Holes, len(c.Openings))
			require.Len(t, e.Ends, 2)
			assert.InDelta(t, 55, e.Ends[0].AngleDeg+e.Ends[1].AngleDeg, 0.2)
		})
	}
}

// TestMitredIsNoProfile holds what has oblique ends and is no profile, and a
// profile cut square.
func TestMitredIsNoProfile(t *testing.T) {
	cut := [2]synthetic.End{{MitreDeg: 30, AzimuthDeg: 90}, {MitreDeg: 20, AzimuthDeg: 90}}
	for _, c := range []struct {
		name  string
		shape synthetic.Shape
		kind  string
	}{
		{"tube", synthetic.Tube{OutsideDiameterMM: 20, InsideDiameterMM: 16, LengthMM: 50, Ends: cut}, "tube"},
		{"bar", synthetic.Bar{OutsideDiameterMM: 12, LengthMM: 50, Ends: cut}, "bar"},
		{"flat bar", synthetic.Profile{Section: synthetic.Rectangle(20, 5), LengthMM: 60, Ends: cut}, "plate"},
		{"square profile", synthetic.Profile{Section: synthetic.Angle(20, 16, 3), LengthMM: 50}, "profile"},
		{"cone", synthetic.Cone{LargeDiameterMM: 24, SmallDiameterMM: 14, HeightMM: 30}, "cone"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			e := recognised(t, synthetic.Piece{Name: c.name, Shape: c.shape, Pose: aslant()}, scanOptions(1))
			assert.Equal(t, c.kind, e.Kind)
			if c.name == "flat bar" {
				assert.InDelta(t, 5, e.dimension("thickness_mm").Value, 0.02)
				assert.InDelta(t, 20, e.dimension("width_mm").Value, 0.02)
				require.Len(t, e.Notes, 1)
				var deg [2]float64
				_, err := fmt.Sscanf(e.Notes[0], "ends are cut obliquely through the thickness, by %f and %f degrees", &deg[0], &deg[1])
				require.NoError(t, err)
				assert.InDelta(t, 30, max(deg[0], deg[1]), 0.3)
				assert.InDelta(t, 20, min(deg[0], deg[1]), 0.3)
			}
			if c.kind == "profile" {
				assert.Equal(t, []string{"square", "square"}, []string{e.Ends[0].Kind, e.Ends[1].Kind})
			}
		})
	}
}

// TestEndlessProfiles reads profiles between two other pieces, which hide both ends: what
// is seen tells the section and the direction, and no length; so where weld has parted the
// walls along the inside corners.
func TestEndlessProfiles(t *testing.T) {
	under := 19 - (60*20.5+57*9.5)/117 // of the tee's flange, from the middle of the section
	corner := func(q r3.Vec) bool { return math.Abs(math.Abs(q.X)-1.5) < 1 && math.Abs(q.Y-under) < 1 }
	for name, section := range map[string][]synthetic.Step{
		"angle": synthetic.Angle(20, 16, 3), "tee": synthetic.Tee(20, 22, 3, 3), "welded tee": synthetic.Tee(20, 22, 3, 3), "channel": synthetic.Channel(24, 12, 2.5, 2.5),
	} {
		p := synthetic.Piece{Name: name, Shape: synthetic.Profile{Section: section, LengthMM: 60}, Pose: synthetic.Upright(0, 0, 0)}
		e := Recognise(cutPatch(t, p, 0.7, func(q r3.Vec) bool { return math.Abs(q.Z) > 24 || name == "welded tee" && corner(q) }), DefaultOptions())
		require.Equal(t, "profile", e.Kind, name)
		assert.Equal(t, []string{"length_mm"}, e.Hidden, name)
		assert.Empty(t, e.Dims, name)
		assert.Len(t, e.Outline, len(section), name)
		assert.InDelta(t, 1, math.Abs(e.Frame.Axis.Z), 1e-5, name)
		require.Len(t, e.Ends, 2)
		for k, end := range e.Ends {
			assert.Equal(t, "open", end.Kind, name)
			assert.InDelta(t, float64(2*k-1)*24, end.AtMM.Z, 0.7, name)
		}
	}
}
