package site

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// AISC Design Guide 1, 2nd ed., examples 4.6 and 4.7 (kip, in, ksi).
func TestPublishedBasePlates(t *testing.T) {
	const pu, fp = 376, 2.21
	small, err := rigidPlate(pu, 940, 19, 19, 8, fp)
	require.NoError(t, err)
	short, none := rigidPlate(pu, 3600, 19, 19, 8, fp)
	require.ErrorIs(t, none, errPlateSmall)
	large, err := rigidPlate(pu, 3600, 22, 22, 9.5, fp)
	require.NoError(t, err)
	for _, row := range []struct {
		what            string
		want, got, plus float64
	}{
		{"d1 4.6 e", 2.50, small.EccentricMM, 0.005},
		{"d2 4.6 ecrit", 5.02, small.CriticalMM, 0.01},
		{"d3 4.6 Y", 14.0, small.BearingMM, 0.01},
		{"d4 4.6 fp", 1.41, small.PressureMPa, 0.01},
		{"d5 4.7 e", 9.57, large.EccentricMM, 0.01},
		{"d6 4.7 19 in, 2Pu(e+f)/q", 315, short.needs, 1},
		{"d7 4.7 19 in, (f+N/2)²", 306, short.gives, 0.5},
		{"d8 4.7 22 in, qmax", 48.6, large.PressureMPa * large.WidthMM, 0.05},
		{"d9 4.7 Y", 9.30, large.BearingMM, 0.02},
		{"d10 4.7 Tu of the printed qmax and Y", 76.0, rodsPull(48.6, 9.30, pu), 0.1},
		{"the same, nothing rounded", 76.0, large.TensionN, 0.01 * 76},
	} {
		require.InDelta(t, row.want, row.got, row.plus, row.what)
	}
}

// Sized plates balance: what presses less what pulls is the axial force, and their
// moment about the middle is the moment; uplift too.
func TestSizedPlatesBalance(t *testing.T) {
	for _, x := range [][2]float64{{20e3, 30e6}, {500e3, 10e6}, {-15e3, 8e6}, {900e3, 0}} {
		r, err := plateFor(219.1, [][2]float64{x}, 25, 250)
		require.NoError(t, err)
		press := r.PressureMPa * r.WidthMM * r.BearingMM
		require.InDelta(t, x[0], press-r.TensionN, 1, "axial, N")
		require.InDelta(t, x[1], press*(r.LengthMM-r.BearingMM)/2+r.TensionN*r.RodMM, 1e3, "moment, N·mm")
		require.LessOrEqual(t, r.PressureMPa, bearing(25)*(1+1e-9))
		require.Positive(t, r.ThicknessMM)
	}
	_, err := plateFor(219.1, [][2]float64{{0, 1e13}}, 25, 250)
	require.ErrorIs(t, err, errPlateSmall)
}

// Rows of published weld examples by the line method (kip, in), and Design Guide 29's
// 0.928 kip/in a sixteenth of leg.
func TestPublishedWelds(t *testing.T) {
	require.InDelta(t, 0.928, filletMPa(Pressure{})/ksiMPa*throat/16, 0.0005, "b1")
	direct, _ := newWeldLine([]r3.Vec{{}, {Y: 8.5}}).peak(Wrench{ForceN: r3.Vec{X: 20}}, r3.Vec{Y: 4.25})
	require.InDelta(t, 2.35, direct, 0.005, "b4")
	require.InDelta(t, 0.25, filletLegMM(direct, 9.6/throat), 0.01, "b5: E60's older 9.6 kip/in")
	two := newWeldLine([]r3.Vec{{X: -2}, {X: -2, Y: 6}}, []r3.Vec{{X: 2}, {X: 2, Y: 6}})
	bend, _ := two.peak(Wrench{MomentNMM: r3.Vec{X: 60}}, r3.Vec{})
	require.InDelta(t, 5.0, bend, 0.001, "b6")
	shear, _ := two.peak(Wrench{ForceN: r3.Vec{Y: 20}}, two.centre)
	require.InDelta(t, 1.6667, shear, 0.001, "b7")
	both, _ := two.peak(Wrench{ForceN: r3.Vec{Y: 20}, MomentNMM: r3.Vec{X: 60}}, two.centre)
	require.InDelta(t, math.Hypot(5, 20.0/12), both, 1e-9, "resultant 5.27, not the sheet's misprint")
}

// A circle: Sw = πd²/4, Jw = πd³/4 (Blodgett, Design of Welded Structures, table of line
// properties; from memory).
func TestCircleWeld(t *testing.T) {
	const d = 200.0
	var run []r3.Vec
	for i := range 721 {
		s, c := math.Sincos(2 * math.Pi * float64(i) / 720)
		run = append(run, r3.Vec{X: d / 2 * c, Y: d / 2 * s, Z: 7})
	}
	w := newWeldLine(run)
	bend, twist := w.peak(Wrench{MomentNMM: r3.Vec{X: 1e6}}, r3.Vec{Z: 7})
	near(t, 1e6/(math.Pi*d*d/4), bend, 1e-4, "bending")
	require.Zero(t, twist)
	turn, _ := w.peak(Wrench{MomentNMM: r3.Vec{Z: 1e6}}, r3.Vec{Z: 7})
	near(t, 1e6*d/2/(math.Pi*d*d*d/4), turn, 1e-4, "torsion")
	straight, twist := newWeldLine([]r3.Vec{{}, {X: 100}}).peak(Wrench{MomentNMM: r3.Vec{X: 500, Z: 1000}}, r3.Vec{X: 50})
	near(t, 6*1000.0/(100*100), straight, 1e-9, "straight run, in its plane")
	require.InDelta(t, 500, twist, 1e-9, "about itself it takes nothing")
}

// AWS D1.1:2025 table 7.7, metric column.
func TestLeastLeg(t *testing.T) {
	for thin, leg := range map[float64]float64{5: 3, 6: 3, 8: 5, 12: 5, 16: 6, 20: 6, 25: 8} {
		require.Equal(t, leg, leastLegMM(thin), "%g mm", thin)
	}
}
