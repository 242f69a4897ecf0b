package site

import (
	"encoding/json"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/job"
	"pointup/pipeline/stock"
)

func checked(t *testing.T, code string, change func(*CheckOptions)) (*Structure, Report) {
	t.Helper()
	pieces, contacts := mastAndDisc()
	s, err := Build(pieces, contacts, steel, DefaultOptions())
	require.NoError(t, err)
	opt := DefaultCheckOptions()
	opt.SoilKPa = 100
	if change != nil {
		change(&opt)
	}
	r, err := Check(s, steel, pressure(t, code), opt)
	require.NoError(t, err)
	return s, r
}

// The mast with its disc: the worst base moment is 0.6 of the wind's on the face of the
// disc, and the mast's greatest stress is at its foot, N/A + M/W and the shear of a tube,
// by hand.
func TestMastWithDiscChecked(t *testing.T) {
	s, r := checked(t, "ASCE 7-16", nil)
	face := r.Wind.Towards[9]
	var b BaseForces
	for _, x := range r.Base {
		if x.Combination == "0.6 D + 0.6 W" {
			b = x
		}
	}
	near(t, 0.6*face.BaseMomentNMM, b.OverturnNMM, 1e-6, "overturning")
	near(t, 0.6*face.ForceN, b.ShearN, 1e-6, "shear")
	near(t, 0.6*gravityMS2*s.MassKG(), b.DownN, 1e-6, "down")

	sec := steel.round(219.1, 202.7)
	normal := gravityMS2*s.MassKG()/sec.AreaMM2 + 0.6*face.BaseMomentNMM/sec.WyMM3
	shear := 2 * 0.6 * face.ForceN / sec.AreaMM2
	require.Len(t, r.Members, 1)
	m := r.Members[0]
	require.Equal(t, "D + 0.6 W", m.Combination)
	// Half of the lowest metre's wind goes to the foot beside the beam: a little less shear.
	near(t, math.Sqrt(normal*normal+3*shear*shear), m.StressMPa, 2e-3, "stress at the foot, MPa")
	near(t, m.StressMPa/(250/1.67), m.Utilisation, 1e-9, "utilisation")

	// Braking across: 0.8 of the weights at their heights bends the foot.
	tube := 7850e-9 * sec.AreaMM2 * 4000
	bend := 0.8 * gravityMS2 * (tube*2000 + (s.MassKG()-tube)*4500)
	normal = gravityMS2*s.MassKG()/sec.AreaMM2 + bend/sec.WyMM3
	near(t, normal/(250/1.67), r.Transport.Utilisation, 0.01, "utilisation on the road")
	require.Equal(t, "E01", r.Transport.UtilisationOf)

	// The disc's weld is one straight run along x: wind on the face turns it about itself.
	require.Len(t, r.Welds, 1)
	force := 0.0
	for _, p := range face.Pieces {
		if p.ID == "E02" {
			force = p.ForceN * face.ForceN / face.MembersN
		}
	}
	near(t, 0.6*force*500, r.Welds[0].TwistNMM, 0.02, "moment that one run does not carry")
	require.Contains(t, r.NotCovered[len(r.NotCovered)-1], "weld both sides")
	require.Len(t, r.Feet, 1)
	require.NotNil(t, r.Feet[0].Plate, r.Feet[0].WhyNot)
	_, err := json.Marshal(r)
	require.NoError(t, err, "every number is finite")
}

// The block is the smallest: its pressures and ratios hold, and 50 mm less does not do.
func TestFootingIsTheSmallest(t *testing.T) {
	for _, code := range []string{"ASCE 7-10", "EN 1991-1-4"} {
		s, r := checked(t, code, nil)
		f := r.Footing
		require.NotNil(t, f)
		require.LessOrEqual(t, f.PressureKPa, 100.0)
		require.GreaterOrEqual(t, min(f.Overturning, f.Sliding), 1.0)
		less := *f
		less.SideMM -= footingStepMM
		less.MassKG = concreteKGM3 * 1e-9 * less.SideMM * less.SideMM * less.DepthMM
		less.PressureKPa, less.Overturning, less.Sliding = 0, math.Inf(1), math.Inf(1)
		ok := true
		l, err := s.solveLoads(r.Wind, DefaultCheckOptions())
		require.NoError(t, err)
		l.each(r.Combinations, func(c Combination, deg *float64, x Solution) { ok = less.bears(s.baseForces(c, deg, x)) && ok })
		require.False(t, ok && less.PressureKPa <= 100 && less.Overturning >= 1 && less.Sliding >= 1, code)
	}
}

// Trapezium and triangle: N/b²(1 ± 6e/b), at the third 2N/b², then 2N/3b(b/2 − e).
func TestSoilPressure(t *testing.T) {
	near(t, 100e3/4e6, soilPressure(100e3, 0, 2000), 1e-12, "middle")
	near(t, 2*100e3/4e6, soilPressure(100e3, 2000.0/6, 2000), 1e-12, "third")
	near(t, 2*100e3/4e6, soilPressure(100e3, 2000.0/6*(1+1e-12), 2000), 1e-9, "both rules meet")
	near(t, 2*100e3/(3*2000*500), soilPressure(100e3, 500, 2000), 1e-12, "triangle")
	require.True(t, math.IsInf(soilPressure(1, 1000, 2000), 1))
}

// withArm has an arm of 1.5 m on the mast, 2 m up, towards x or mirrored.
func withArm(side float64) ([]Piece, []stock.Contact) {
	arm := mast(88.9, 5.5, 1500)
	arm.Part.ID = "E03"
	lay := func(v r3.Vec) r3.Vec { return r3.Vec{X: side * (v.Z + 110), Y: v.Y, Z: 2000 - v.X} }
	arm.Part.Frame.OriginMM = lay(arm.Part.Frame.OriginMM)
	arm.Part.Frame.Axis, arm.Part.Frame.Ref = r3.Vec{X: 1}, r3.Vec{Z: -1}
	for i, x := range arm.PointsMM {
		arm.PointsMM[i] = lay(x)
	}
	if side < 0 { // keep the faces outwards
		for i, t := range arm.Triangles {
			arm.Triangles[i] = [3]uint32{t[0], t[2], t[1]}
		}
	}
	pieces, contacts := mastAndDisc()
	var seam []r3.Vec
	for i := range 41 {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / 40)
		seam = append(seam, r3.Vec{X: side * 110, Y: 44.45 * cos, Z: 2000 + 44.45*sin})
	}
	c := contacts[0]
	c.B, c.Seam = 2, seamAt(1, seam...)
	return append(pieces, arm), append(contacts, c)
}

// The mirrored work has the same stresses, welds and block, its forces from the mirrored side.
func TestMirroredWork(t *testing.T) {
	var both []Report
	for _, side := range []float64{1, -1} {
		pieces, contacts := withArm(side)
		s, err := Build(pieces, contacts, steel, DefaultOptions())
		require.NoError(t, err)
		opt := DefaultCheckOptions()
		opt.SoilKPa = 150
		r, err := Check(s, steel, pressure(t, "EN 1991-1-4"), opt)
		require.NoError(t, err)
		both = append(both, r)
	}
	a, b := both[0], both[1]
	for i := range a.Members {
		near(t, a.Members[i].StressMPa, b.Members[i].StressMPa, 1e-6, a.Members[i].ID)
	}
	for i := range a.Welds {
		near(t, a.Welds[i].NPerMM, b.Welds[i].NPerMM, 1e-6, a.Welds[i].B)
	}
	for k := range a.Wind.Towards {
		near(t, a.Wind.Towards[k].ForceN, b.Wind.Towards[(18-k+36)%36].ForceN, 1e-6, "wind from the mirrored side")
	}
	require.Equal(t, a.Footing.SideMM, b.Footing.SideMM)
}

// The climbing load goes to the end of the arm.
func TestClimbingFindsTheWorstPlace(t *testing.T) {
	pieces, contacts := withArm(1)
	s, err := Build(pieces, contacts, steel, DefaultOptions())
	require.NoError(t, err)
	r, err := Check(s, steel, pressure(t, "ASCE 7-16"), DefaultCheckOptions())
	require.NoError(t, err)
	require.Equal(t, "E03", r.Climbing.On)
	require.InDelta(t, 1610, r.Climbing.AtMM[0], 1e-6)
	// D + L at the arm's weld by hand: F/πd and 4M/πd² at the top, shear and bending square to each other.
	w := r.Welds[1]
	require.Equal(t, "E03", w.B)
	l, err := s.solveLoads(r.Wind, DefaultCheckOptions())
	require.NoError(t, err)
	own := gravityMS2 * 7850e-9 * math.Pi / 4 * (88.9*88.9 - 77.9*77.9) * 1500
	down, bend := own+2000, own*750+2000*1500
	sum := l.dead.plus(l.live)
	near(t, down, math.Abs(sum.Links[s.Joints[1].Link].ForceN.Z), 1e-3, "force in the weld, N")
	f, _ := newWeldLine(s.Joints[1].Seam).peak(sum.Links[s.Joints[1].Link], s.Joints[1].AtMM)
	near(t, math.Hypot(4*bend/(math.Pi*88.9*88.9), down/(math.Pi*88.9)), f, 0.01, "N/mm")
	require.GreaterOrEqual(t, w.NPerMM, f)
	require.Equal(t, max(r.Members[0].Utilisation, r.Members[1].Utilisation, r.Welds[0].Utilisation, w.Utilisation), r.Utilisation)
}

// Ice on the mast: 10 mm of 900 kg/m³ on its surfaces.
func TestIceWeight(t *testing.T) {
	s, _ := checked(t, "ASCE 7-22", nil)
	sol, err := s.Frame.Solve(s.iced(10))
	require.NoError(t, err)
	tube := math.Pi*(219.1+202.7)*4000 + math.Pi/2*(219.1*219.1-202.7*202.7)
	plate := math.Pi/2*1e6 + math.Pi*1000*20
	near(t, 900e-9*10*(tube+plate)*gravityMS2, sol.Reactions[0].ForceN.Z, 2e-3, "N")
}

func TestCheckOptionsOfJob(t *testing.T) {
	two := 2.0
	require.Equal(t, 2.0, CheckOptionsOf(job.Site{IceMM: &two}).IceMM)
	require.Equal(t, 2000.0, CheckOptionsOf(job.Site{}).ClimbingN)
	opt := DefaultCheckOptions()
	opt.IceMM = math.NaN()
	require.ErrorContains(t, opt.check(), "site.ice")
	opt.IceMM, opt.Friction = 0, 0
	require.ErrorContains(t, opt.check(), "over 0")
}

// A mast on a round plate of 700 mm: anchors in the square within it, the block as wide as
// the plate at least, and the plate's weld ring by hand: 4M/πd² and W/πd.
func TestMastOnAPlate(t *testing.T) {
	const d, thick = 700.0, 30.0
	up := r3.Vec{Z: thick}
	m := mast(168.3, 7.1, 3000)
	m.Part.Frame.OriginMM = r3.Add(m.Part.Frame.OriginMM, up)
	for i := range m.PointsMM {
		m.PointsMM[i] = r3.Add(m.PointsMM[i], up)
	}
	foot := Piece{Part: stock.Part{ID: "E04", Kind: "disc", Frame: stock.Frame{OriginMM: r3.Vec{Z: thick / 2}, Axis: r3.Vec{Z: 1}, Ref: r3.Vec{X: 1}},
		Dims: dims("outside_diameter_mm", d, "thickness_mm", thick)}, MassKG: 7850e-9 * math.Pi / 4 * d * d * thick}
	foot.PointsMM, foot.Triangles = turnedSolid([]float64{1e-3, d / 2, d / 2, 1e-3}, []float64{0, 0, thick, thick}, r3.Vec{})
	var seam []r3.Vec
	for i := range 121 {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / 120)
		seam = append(seam, r3.Vec{X: 168.3 / 2 * cos, Y: 168.3 / 2 * sin, Z: thick})
	}
	s, err := Build([]Piece{m, foot}, []stock.Contact{{A: 0, B: 1, Seam: seamAt(1, seam...)}}, steel, DefaultOptions())
	require.NoError(t, err)
	opt := DefaultCheckOptions()
	opt.SoilKPa = 5000
	r, err := Check(s, steel, pressure(t, "ASCE 7-16"), opt)
	require.NoError(t, err)
	require.Len(t, r.Feet, 1)
	p := r.Feet[0].Plate
	require.NotNil(t, p, r.Feet[0].WhyNot)
	near(t, d/math.Sqrt2, p.LengthMM, 1e-9, "square in the disc")
	require.Equal(t, thick, p.GivenMM)
	require.Positive(t, p.TensionN)
	require.GreaterOrEqual(t, r.Footing.SideMM, d+2*footingEdgeMM)

	// All sides are alike: the worst of 0.6 W on the mast, at its weld.
	w := r.Wind.Towards[0]
	bend := 0.0
	for _, f := range w.Pieces {
		if f.ID == "E01" {
			bend = 0.6 * f.ForceN * w.ForceN / w.MembersN * 1500
		}
	}
	own := gravityMS2 * 7850e-9 * math.Pi / 4 * (168.3*168.3 - 154.1*154.1) * 3000
	hand := 4*bend/(math.Pi*168.3*168.3) + own/(math.Pi*168.3)
	near(t, hand, r.Welds[0].NPerMM, 0.02, "N/mm, shear of the wind left out by hand")
}
