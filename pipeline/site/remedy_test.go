package site

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// Two gussets on a ring of radius r in the plane of bending: I = πr³ + 4((r+g)³ − r³)/3,
// worst at r + g; of four, two lie on the axis and add nothing.
func TestGussetsByHand(t *testing.T) {
	const r, g = 90.0, 150.0
	ring := newWeldLine(circle(r))
	load := Wrench{MomentNMM: r3.Vec{X: 1e7}}
	for _, count := range []int{2, 4} {
		with := newWeldLine(append([][]r3.Vec{circle(r)}, ring.gussets(load, r3.Vec{}, count, g, 1e-3)...)...)
		got, _ := with.peak(load, r3.Vec{})
		near(t, 1e7*(r+g)/(math.Pi*r*r*r+4*(math.Pow(r+g, 3)-r*r*r)/3), got, 1e-3, "N/mm")
	}
}

func circle(r float64) (run []r3.Vec) {
	for i := range 241 {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / 240)
		run = append(run, r3.Vec{X: r * cos, Y: r * sin})
	}
	return run
}

// An arm under twenty times its load: the remedy carries every combination and 10 mm less
// of gusset does not; the wall takes the leg; the ring of a joint without a seam satisfies
// F/πd + 4M/πd².
func TestRemediesCarry(t *testing.T) {
	pieces, contacts := withArm(1)
	s, err := Build(pieces, contacts, steel, DefaultOptions())
	require.NoError(t, err)
	opt := DefaultCheckOptions()
	opt.ClimbingN = 20e3
	p := pressure(t, "ASCE 7-16")
	r, err := Check(s, steel, p, opt)
	require.NoError(t, err)
	w := r.Welds[1]
	require.Greater(t, w.Utilisation, 1.0)
	require.NotNil(t, w.Needs)
	require.GreaterOrEqual(t, w.Needs.WallMM, w.LegMM)
	require.Positive(t, w.Needs.GussetMM, w.Needs.Words)
	require.NotEmpty(t, r.Members[1].Needs)

	l, err := s.solveLoads(r.Wind, opt)
	require.NoError(t, err)
	l.raised = r.SecondOrder
	j := s.Joints[1]
	var all []Wrench
	l.each(r.Combinations, func(_ Combination, _ *float64, x Solution) { all = append(all, x.Links[j.Link]) })
	line, worst := newWeldLine(j.Seam), all[0]
	for _, x := range all {
		if a, _ := line.peak(x, j.AtMM); a >= w.NPerMM*(1-1e-9) {
			worst = x
		}
	}
	may := filletMPa(p) * throat * w.ThinMM
	does := func(g float64) bool {
		return line.carries(all, j, may, line.gussets(worst, j.AtMM, w.Needs.Gussets, g, w.ThinMM))
	}
	require.True(t, does(w.Needs.GussetMM))
	require.False(t, does(w.Needs.GussetMM-gussetStepMM))

	d := ring([]Wrench{{ForceN: r3.Vec{Z: 3000}, MomentNMM: r3.Vec{Y: 4e5}}}, 400)
	near(t, 400, 3000/(math.Pi*d)+4*4e5/(math.Pi*d*d), 1e-9, "N/mm of the ring")
}

// 38.0 kip a rod take 1-1/4 in of F1554 grade 36 (Design Guide 1 example 4.7 has two rods for 76.0
// kip; table 3.1 gives 40.0 kip, from memory); M24 of class 4.6 takes 0.9·400·353/1.25 = 101.7 kN.
func TestRods(t *testing.T) {
	const kip = 4448.22
	r, err := rodsFor(BasePlate{TensionN: 76 * kip}, 0, 0, Pressure{Code: "ASCE 7-16"}, DefaultCheckOptions())
	require.NoError(t, err)
	require.Equal(t, "1-1/4 in", r.Size)
	near(t, 38.0/40.0, r.Utilisation, 0.01, "of 40.0 kip")
	en := Pressure{Code: "EN 1991-1-4"}
	r, err = rodsFor(BasePlate{TensionN: 2 * 101.6e3}, 0, 0, en, DefaultCheckOptions())
	require.NoError(t, err)
	require.Equal(t, "M24", r.Size)
	// Shear beyond 0.4 of the least weight, on four rods.
	r, err = rodsFor(BasePlate{}, 30e3, 20e3, en, DefaultCheckOptions())
	require.NoError(t, err)
	near(t, (30e3-8e3)/4, r.ShearN, 1e-12, "N each")
	_, err = rodsFor(BasePlate{TensionN: 1e7}, 0, 0, en, DefaultCheckOptions())
	require.ErrorIs(t, err, errRods)
}

// A plate of 30 mm under a mast of 168.3 mm: 6M/bt² with b the ring's diameter.
func TestPlateStripByHand(t *testing.T) {
	x := PlateStrip{ThickMM: 30, AllowMPa: 150, normal: r3.Vec{Z: 1}, corners: circle(168.3 / 2)}
	s := &Structure{Joints: []Joint{{Link: 0}}}
	x.worse(s, Combination{Name: "a"}, nil, Solution{Links: []Wrench{{ForceN: r3.Vec{Z: 9000}, MomentNMM: r3.Vec{X: 4e6, Z: 8e6}}}})
	near(t, 6*4e6/(168.3*900)+9000/(168.3*30), x.StressMPa, 1e-4, "MPa")
	near(t, x.StressMPa/150, x.Utilisation, 1e-12, "share")
}
