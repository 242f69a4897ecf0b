package shop

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/stock"
)

const (
	inch = 25.4
	kip  = 4448.2216152605 // N
	kpi  = kip / inch      // N/mm of 1 kip/in
)

// lineSeam is a line of weld from (x, y, z0) up to z1, in steps.
func lineSeam(x, z0, z1 float64, run, steps int) (out []stock.SeamAt) {
	for i := 0; i <= steps; i++ {
		z := z0 + (z1-z0)*float64(i)/float64(steps)
		out = append(out, stock.SeamAt{Run: run, PointMM: r3.Vec{X: x, Z: z}, A: r3.Vec{X: 1}, B: r3.Vec{Y: 1}})
	}
	return out
}

// circleSeam is a tube's foot: A points out of it, B up from the plate.
func circleSeam(centre r3.Vec, radius float64, steps int) (out []stock.SeamAt) {
	for i := 0; i <= steps; i++ {
		s, c := math.Sincos(2 * math.Pi * float64(i) / float64(steps))
		out = append(out, stock.SeamAt{Run: 1, PointMM: r3.Add(centre, r3.Vec{X: radius * c, Y: radius * s}), A: r3.Vec{X: c, Y: s}, B: r3.Vec{Z: 1}})
	}
	return out
}

func throats(seam []SeamBit, mm float64) []SeamBit {
	for i := range seam {
		seam[i].ThroatMM = mm
	}
	return seam
}

// TestLineMethod: published weld-group examples (line method), and the section
// moduli of lines: two upright lines d²/3, a circle πd²/4 in bending and πd³/4 in
// twist. A throat of 1/1000 mm makes
// N/mm of MPa/1000; the bending of the throat itself is then next to nothing.
func TestLineMethod(t *testing.T) {
	stress := func(seam []SeamBit, force, at r3.Vec) float64 {
		return 1e-3 * lineStress(throats(seam, 1e-3), force, at)
	}
	straight := bitsOf(lineSeam(0, 0, 8.5*inch, 1, 1))
	assert.InDelta(t, 2.353, stress(straight, r3.Vec{Z: -20 * kip}, r3.Vec{Z: 4.25 * inch})/kpi, 5e-4, "20 kip on 8.5 in")

	two := bitsOf(append(lineSeam(-1000, -3*inch, 3*inch, 1, 12), lineSeam(1000, -3*inch, 3*inch, 2, 12)...))
	assert.InEpsilon(t, 5.0, stress(two, r3.Vec{Y: 1}, r3.Vec{Z: 60e6 * inch})*kip/1e6/kpi, 1e-3, "60 kip in on two lines of 6 in")
	assert.InDelta(t, 1.6667, stress(two, r3.Vec{Z: -20 * kip}, r3.Vec{})/kpi, 1e-3, "20 kip on 12 in")
	both := stress(two, r3.Vec{Z: -20 * kip}, r3.Vec{Y: 3 * inch}) / kpi
	assert.InDelta(t, math.Hypot(5, 1.6667), both, 5e-3, "the resultant")

	ring := bitsOf(circleSeam(r3.Vec{}, 50, 720))
	const far = 1e7 // so that the shear is next to nothing
	assert.InEpsilon(t, far/(math.Pi*100*100/4), stress(ring, r3.Vec{X: 1}, r3.Vec{Z: far}), 1e-3, "a circle in bending")
	assert.InEpsilon(t, far*50/(math.Pi*100*100*100/4), stress(ring, r3.Vec{Y: 1}, r3.Vec{X: far}), 1e-3, "a circle in twist")

	assert.InEpsilon(t, 6*1000/(20*100*1.0), lineStress(throats(bitsOf(lineSeam(0, -50, 50, 1, 4)), math.Sqrt(20)), r3.Vec{Y: 1e-3}, r3.Vec{X: 1e6}), 1e-3,
		"a line about itself: 6M over length × throat²")
	assert.True(t, math.IsInf(lineStress(nil, r3.Vec{X: 1}, r3.Vec{}), 1))
}

// TestFilletStrength: 0.30 of 70 ksi on the throat of a leg of 1/16 in, 0.928
// kip/in (AISC Design Guide 29).
func TestFilletStrength(t *testing.T) {
	j := WeldJoint{Kind: "fillet", LegMM: inch / 16, ThickMM: 10}
	throat := j.throat(nil, SeamBit{OpenDeg: 90})
	assert.InDelta(t, 0.928, 0.30*DefaultJointOptions().WeldMPa*throat/kpi, 5e-4)
	assert.Zero(t, j.throat(nil, SeamBit{OpenDeg: 29}), "the toe cannot be welded")
}

// mast is a tube of 100 × 5 on a plate of 20, and a bar stuck to its side by a seam
// of the given length.
func mast(seamMM float64) (parts []stock.Part, bodies []Body, thick []float64, contacts []stock.Contact) {
	z, x := r3.Vec{Z: 1}, r3.Vec{X: 1}
	parts = []stock.Part{
		{ID: "E01", Kind: "plate", Frame: stock.Frame{OriginMM: r3.Vec{Z: 10}, Axis: z, Ref: x}, BoxMM: [2]r3.Vec{{X: -300, Y: -300}, {X: 300, Y: 300, Z: 20}}, Dims: []stock.Dim{{Key: "thickness_mm", Value: 20}}},
		{ID: "E02", Kind: "tube", Frame: stock.Frame{OriginMM: r3.Vec{Z: 1020}, Axis: z, Ref: x}, BoxMM: [2]r3.Vec{{X: -50, Y: -50, Z: 20}, {X: 50, Y: 50, Z: 2020}}, Dims: []stock.Dim{{Key: "outside_diameter_mm", Value: 100}, {Key: "inside_diameter_mm", Value: 90}}},
		{ID: "E03", Kind: "bar", Frame: stock.Frame{OriginMM: r3.Vec{X: 400, Z: 1500}, Axis: x, Ref: z}, BoxMM: [2]r3.Vec{{X: 50, Y: -20, Z: 1480}, {X: 750, Y: 20, Z: 1520}}, Dims: []stock.Dim{{Key: "outside_diameter_mm", Value: 40}}},
	}
	bodies = []Body{{MassKG: 56.5, CentreMM: r3.Vec{Z: 10}}, {MassKG: 23.4, CentreMM: r3.Vec{Z: 1020}}, {MassKG: 6.9, CentreMM: r3.Vec{X: 400, Z: 1500}}}
	stuck := lineSeam(50, 1500-seamMM/2, 1500+seamMM/2, 1, 4)
	contacts = []stock.Contact{
		{A: 0, B: 1, Kind: "tube on plate", LengthMM: math.Pi * 100, AngleDeg: 90, Seam: circleSeam(r3.Vec{Z: 20}, 50, 90)},
		{A: 1, B: 2, Kind: "tube on tube", LengthMM: seamMM, AngleDeg: 90, Seam: stuck},
	}
	return parts, bodies, []float64{20, 5, 20}, contacts
}

func TestJoints(t *testing.T) {
	parts, bodies, thick, contacts := mast(40)
	opt := DefaultJointOptions()
	got, err := Joints(parts, bodies, thick, contacts, opt)
	require.NoError(t, err)

	foot := got[0]
	assert.Equal(t, "fillet", foot.Kind)
	assert.Equal(t, 3.0, foot.LegMM, "least fillet of 5 mm")
	assert.InEpsilon(t, FilletKG(3, math.Pi*100), foot.MassKG, 1e-12)
	assert.InDelta(t, 90, foot.OpenDeg[1], 0.1)
	assert.Equal(t, 2, foot.Hangs.Parts)
	assert.True(t, foot.Hangs.Alone)
	assert.InDelta(t, 30.3, foot.Hangs.MassKG, 1e-9)
	// By hand: M = 6.9 kg × 9.80665 × 400 mm; f = M/(π d²/4) + W/(π d) at the far side.
	f := 6.9*9.80665*400/(math.Pi*100*100/4) + 30.3*9.80665/(math.Pi*100)
	assert.InEpsilon(t, f/(3*math.Sqrt2/2), foot.Hangs.StressMPa, 0.03, "and 2 %: the bending of the throat, half of it over the radius")
	assert.Nil(t, foot.Remedy)

	// By hand: a line of 40 mm, throat t: 3 mm × 0.7071; M = W × 350 mm level arm about y:
	// bending modulus t L²/6.
	side := got[1]
	w, throat := 6.9*9.80665, 3*math.Sqrt2/2
	assert.InEpsilon(t, math.Hypot(w*350/(throat*40*40/6), w/(throat*40)), side.Hangs.StressMPa, 0.02)
	require.NotNil(t, side.Remedy)
	assert.Equal(t, "pin", side.Remedy.Kind)
	assert.Contains(t, side.Remedy.Why, "dead weight alone uses")
	assert.GreaterOrEqual(t, side.Remedy.LengthMM, 1.5*side.Remedy.DiameterMM)
	// The pin carries the moment within a quarter of 0.6 of yield, and no smaller one of whole mm does.
	bend := func(d float64) float64 { return w * 350 * 32 / (math.Pi * d * d * d) }
	assert.LessOrEqual(t, bend(side.Remedy.DiameterMM), 0.6*248*0.25)
	assert.Greater(t, bend(side.Remedy.DiameterMM-1), 0.6*248*0.25)
}

// TestTackDoesNotScale: one maquette at four scales: seam and arms grow, the least
// leg does not; a joint that holds small does not hold large.
func TestTackDoesNotScale(t *testing.T) {
	use := 0.0
	for _, k := range []float64{0.25, 0.5, 1, 2} {
		parts, bodies, thick, contacts := mast(160 * k)
		for i := range bodies {
			bodies[i].MassKG *= k * k * k
			bodies[i].CentreMM = r3.Scale(k, bodies[i].CentreMM)
		}
		contacts[1].Seam = lineSeam(50*k, (1500-80)*k, (1500+80)*k, 1, 4)
		got, err := Joints(parts, bodies, thick, contacts, DefaultJointOptions())
		require.NoError(t, err)
		if use > 0 {
			assert.InEpsilon(t, 4*use, got[1].Hangs.Use, 0.02, "mass × arm k⁴ over seam² k²")
		}
		use = got[1].Hangs.Use
	}
}

func TestRemedies(t *testing.T) {
	opt := DefaultJointOptions()
	bar := stock.Part{Kind: "bar", Dims: []stock.Dim{{Key: "outside_diameter_mm", Value: 40}}}
	tube := stock.Part{Kind: "tube", Dims: []stock.Dim{{Key: "outside_diameter_mm", Value: 60}, {Key: "inside_diameter_mm", Value: 52}}}
	plate := stock.Part{Kind: "plate", Dims: []stock.Dim{{Key: "thickness_mm", Value: 10}}}
	for _, c := range []struct {
		what      string
		far, near stock.Part
		momentNM  float64
		want      string
	}{
		{"a bar on a tube", bar, tube, 20, "pin"},
		{"a bar with more moment than half of it carries", bar, tube, 200, "hidden gusset"},
		{"a tube on a plate", tube, plate, 50, "sleeve"},
		{"a tube with more than its bore carries", tube, plate, 20000, "hidden gusset"},
		{"a plate on a plate", plate, plate, 50, "slot-through"},
		{"a plate on a tube", plate, tube, 50, "slot-through"},
		{"a plate on a bar", plate, bar, 50, "hidden gusset"},
		{"a ball on a plate", stock.Part{Kind: "sphere", Dims: []stock.Dim{{Key: "diameter_mm", Value: 80}}}, plate, 20, "pin"},
		{"a cone on a bar", stock.Part{Kind: "cone"}, bar, 20, "pin"},
	} {
		r := fitRemedy(c.far, c.near, 10, 100, c.momentNM*1000, 10, opt)
		assert.Equal(t, c.want, r.Kind, c.what)
		assert.Positive(t, r.LengthMM, c.what)
	}
	// Two lines of the depth carry exactly what is asked.
	d := twoLinesMM(3000, 4e5, 100)
	assert.InEpsilon(t, 100, math.Hypot(3*4e5/(d*d), 3000/(2*d)), 1e-9)
	assert.InEpsilon(t, 15, twoLinesMM(3000, 0, 100), 1e-12)
}

func TestJointKinds(t *testing.T) {
	z := r3.Vec{Z: 1}
	low := stock.Part{Kind: "plate", Frame: stock.Frame{Axis: z}, Dims: []stock.Dim{{Key: "thickness_mm", Value: 10}}}
	high, beside := low, low
	high.Frame.OriginMM = r3.Vec{Z: 10}
	beside.Frame.OriginMM = r3.Vec{X: 100}
	flush := []stock.SeamAt{{Run: 1, A: z, B: z}, {Run: 1, PointMM: r3.Vec{Y: 10}, A: z, B: z}}
	assert.Equal(t, "edge", weldKind(low, high, stock.Contact{Seam: flush}, 180))
	assert.Equal(t, "groove", weldKind(low, beside, stock.Contact{Seam: flush}, 180))
	assert.Equal(t, "fillet", weldKind(low, high, stock.Contact{Seam: flush}, 90))
	assert.Equal(t, "flare", weldKind(low, high, stock.Contact{Kind: "line", Seam: flush}, 0))
	assert.Equal(t, "point", weldKind(low, high, stock.Contact{Kind: "point", Seam: flush[:1]}, 0))

	deg, tight := openness([]SeamBit{{LengthMM: 10, OpenDeg: 20}, {LengthMM: 30, OpenDeg: 90}, {LengthMM: 5, OpenDeg: 150}})
	assert.Equal(t, [3]float64{20, 90, 150}, deg)
	assert.Equal(t, 10.0, tight)
}

func TestJointsRefuse(t *testing.T) {
	parts, bodies, thick, contacts := mast(40)
	for what, change := range map[string]func(*JointOptions){
		"strength": func(o *JointOptions) { o.WeldMPa = 0 },
		"share":    func(o *JointOptions) { o.UseMost = math.NaN() },
		"lengths":  func(o *JointOptions) { o.GroundMM = -1 },
		"sections": func(o *JointOptions) { o.Section = []int{1} },
	} {
		opt := DefaultJointOptions()
		change(&opt)
		_, err := Joints(parts, bodies, thick, contacts, opt)
		assert.ErrorContains(t, err, what)
	}
	_, err := Joints(parts, bodies[:1], thick, contacts, DefaultJointOptions())
	assert.ErrorContains(t, err, "masses")
	_, err = Joints(parts, bodies, thick, []stock.Contact{{A: 0, B: 7}}, DefaultJointOptions())
	assert.ErrorContains(t, err, "contact 1")
	opt := DefaultJointOptions()
	opt.Section = []int{1, 1, 2}
	got, err := Joints(parts, bodies, thick, contacts, opt)
	require.NoError(t, err)
	assert.Equal(t, []bool{false, true}, []bool{got[0].Field, got[1].Field})
}
