package site

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"pointup/pipeline/job"
)

// Published calculations; inputs and sources beside each row. psf and mph in the first.
func TestPublishedPressures(t *testing.T) {
	const foot, us = 304.8, 0.00256
	k1 := kz("ASCE 7-10", "D", 20*foot)
	q1 := velocityPressure(us, k1, 1, 0.85, 1, 155)
	en := Pressure{Code: "EN 1991-1-4", Exposure: "III", SpeedMPS: 22}
	vm, iv, qp := en.eurocode(7020)
	_, _, sea := Pressure{Code: "EN 1991-1-4", Exposure: "0", SpeedMPS: 25}.eurocode(77360)
	for _, row := range []struct {
		source          string
		want, got, plus float64
	}{
		{"a1 sign-structure calculation to ASCE 7-10: Kz, exposure D, 20 ft", 1.083, k1, 0.001},
		{"a2 the same: qz, 155 mph, psf", 56.62, q1, 0.02},
		{"a3 the same: F = q G Cf A, lb", 648, windForce(q1, 0.85, 1.80, 7.48), 1},
		{"a4 the same: 0.6 W, lb", 389, asd[1].Wind * windForce(q1, 0.85, 1.80, 7.48), 1},
		{"a5 calculation to ASCE 7-05: 90 mph, Kh 1.01, psf", 17.8, velocityPressure(us, 1.01, 1, 0.85, 1, 90), 0.02},
		{"a6 calculation to ASCE 7-05: 100 mph, Kh 0.85, I 1.15, psf", 21.27, 1.15 * velocityPressure(us, 0.85, 1, 0.85, 1, 100), 0.02},
		{"a7 arithmetic of ASCE 7-16 in SI: Kz, exposure C, 5 m", 0.86503, kz("ASCE 7-16", "C", 5000), 0.0015},
		{"a8 the same: Ke, 110 m", 0.986995, groundElevation(110), 1e-5},
		{"a9 the same: qz, 52 m/s, N/m²", 1202.905, velocityPressure(asceSI, 0.86503, 1, 0.85, 0.986995, 52), 0.01},
		{"a10 calculation to EN 1991-1-4: kr, category III", 0.215389, terrainFactor(0.3), 1e-5},
		{"a11 the same: vm, 22 m/s, 7.02 m", 14.939, vm, 0.01},
		{"a12 the same: Iv", 0.317185, iv, 1e-4},
		{"a13 the same: qp, kN/m²", 0.449, qp / 1000, 0.001},
		{"a14 calculation to EN 1991-1-4: qp, category 0, 25 m/s, 77.36 m, kN/m²", 1.658, sea / 1000, 0.006},
	} {
		require.InDelta(t, row.want, row.got, row.plus, row.source)
	}
}

// Kz of ASCE 7-16 table 26.10-1, printed to two decimals, and of 7-22 by its formula.
func TestKzTable(t *testing.T) {
	for _, r := range []struct {
		code, exposure string
		feet, want     float64
	}{
		{"ASCE 7-16", "B", 60, 0.85}, {"ASCE 7-16", "C", 15, 0.85}, {"ASCE 7-16", "C", 30, 0.98}, {"ASCE 7-16", "C", 500, 1.77}, {"ASCE 7-16", "D", 40, 1.22},
		{"ASCE 7-22", "B", 30, 0.6892}, {"ASCE 7-22", "C", 60, 1.1317}, {"ASCE 7-22", "D", 100, 1.4396},
	} {
		require.InDelta(t, r.want, kz(r.code, r.exposure, r.feet*304.8), 0.01, "%v", r)
	}
}

func TestForeignSpeedIsRefused(t *testing.T) {
	good := job.Wind{Code: "ASCE 7-16", SpeedMPS: 50, SpeedIs: "3 s gust strength level", Exposure: "C"}
	_, err := NewPressure(good)
	require.NoError(t, err)
	for want, change := range map[string]func(*job.Wind){
		"speed_is: ASCE 7-16":   func(w *job.Wind) { w.SpeedIs = "10 min mean" },
		"speed_is: EN 1991-1-4": func(w *job.Wind) { w.Code, w.Exposure = "EN 1991-1-4", "II" },
		"exposure":              func(w *job.Wind) { w.Exposure = "II" },
		"code":                  func(w *job.Wind) { w.Code = "ASCE 7-05" },
		"speed: ":               func(w *job.Wind) { w.SpeedMPS = math.NaN() },
	} {
		w := good
		change(&w)
		_, err := NewPressure(w)
		require.ErrorContains(t, err, want)
	}
}
