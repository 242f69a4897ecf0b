package report

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestValuesFollowTheirInterval(t *testing.T) {
	for _, c := range []struct {
		name        string
		v, u95      float64
		u           unit
		value, wide string
	}{
		{"hundredths", 21.34567, 0.034, millimetre, "21.346 mm", "0.034 mm"},
		{"tens", 5399.7, 12.4, millimetre, "5400 mm", "12 mm"},
		{"no interval", 21.34567, 0, millimetre, "21.35 mm", "–"},
		{"finer than is printed", 1.00004, 1e-7, millimetre, "1.0000 mm", "0.0001 mm"},
		{"angle", -0.04, 0.5, degree, "−0.04°", "0.50°"},
		{"carry", 9.9996, 0.00996, millimetre, "9.9996 mm", "0.0100 mm"},
		{"nan", math.NaN(), math.NaN(), none, "–", "–"},
		{"infinite", math.Inf(1), math.Inf(1), none, "–", "–"},
	} {
		require.Equal(t, c.value, value(c.v, c.u95, c.u, 2, maquetteDecimals), c.name)
		require.Equal(t, c.wide, u95Text(c.u95, c.u, maquetteDecimals), c.name)
	}
	require.Equal(t, "0.01 mm", u95Text(0.0011, millimetre, fullDecimals), "never nothing")
}

func TestNames(t *testing.T) {
	for key, want := range map[string]string{"outside_diameter_mm": "outside diameter", "sweep_deg": "sweep", "turns": "turns", "hole_count": "holes", "tooth_count": "teeth"} {
		got, _ := nameAndUnit(key)
		require.Equal(t, want, got)
	}
}

func TestWithInterval(t *testing.T) {
	require.Equal(t, "21.35 ± 0.03 mm", dimension{Maquette: "21.35 mm", MaquetteU95: "0.03 mm"}.withInterval())
	require.Equal(t, "90.0 ± 0.5°", dimension{Maquette: "90.0°", MaquetteU95: "0.5°"}.withInterval())
	require.Equal(t, "3.25 ± 0.01", dimension{Maquette: "3.25", MaquetteU95: "0.01"}.withInterval())
	require.Equal(t, "round", dimension{Maquette: "round", MaquetteU95: noNumber}.withInterval())
}
