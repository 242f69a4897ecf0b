package quantity

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// Factors: 1 lb = 0.45359237 kg, 1 lbf = 4.4482216152605 N, 1 mile = 1609.344 m,
// all exact by definition; psi and psf follow from them (NIST SP 811: 1 psi is
// 6.894757 kPa, 1 psf is 47.88026 Pa).
func TestUnitsConvert(t *testing.T) {
	for _, row := range []struct {
		read func(string) (float64, error)
		text string
		want float64
		tol  float64
	}{
		{Mass, "8 t", 8000, 0}, {Mass, "100 lb", 45.359237, 0}, {Mass, "4kg", 4, 0}, {Mass, "2 tonnes", 2000, 0},
		{Force, "2 kN", 2000, 0}, {Force, "1 lbf", 4.4482216152605, 0}, {Force, "3 N", 3, 0},
		{Speed, "115 mph", 51.4096, 0}, {Speed, "36 km/h", 10, 0}, {Speed, "50 m/s", 50, 0},
		{Pressure, "100 kPa", 100, 0}, {Pressure, "1 psi", 6.894757, 5e-7}, {Pressure, "1000 psf", 47.88026, 5e-6}, {Pressure, "150 kN/m2", 150, 0},
		{Share, "2 %", 0.02, 0}, {Share, "0.02 %", 0.0002, 0}, {Share, "8%", 0.08, 0},
		{Angle, "22.5 deg", 22.5, 0}, {Angle, "90°", 90, 0},
		{Years, "50 years", 50, 0}, {Years, "1 year", 1, 0}, {Years, "20 a", 20, 0},
		{Temperature, "-15 C", -15, 0}, {Temperature, "35 °C", 35, 0}, {Temperature, "5 F", -15, 0}, {Temperature, "-40 °F", -40, 0}, {Temperature, "212 F", 100, 0},
		{Number, "12.5", 12.5, 0}, {Number, "-0", 0, 0}, {Number, "1e3", 1000, 0},
	} {
		got, err := row.read(row.text)
		require.NoError(t, err, row.text)
		if row.tol == 0 {
			assert.Equal(t, row.want, got, row.text)
			continue
		}
		assert.InDelta(t, row.want, got, row.tol, row.text)
	}
}

func TestAmbiguousWordsAreRefusedWithTheChoices(t *testing.T) {
	for _, row := range []struct {
		read func(string) (float64, error)
		text string
		want string
	}{
		{Mass, "2 ton", "write 2 t, 4000 lb or 4480 lb"},
		{Mass, "1.5 tons", "write 1.5 t, 3000 lb or 3360 lb"},
		{Mass, "2 1/2 ton", "write t or lb"},
		{Mass, "3 kip", "write 3000 lb"},
		{Mass, "3 lbf", "lbf is a force"},
		{Mass, "3", "write 3 kg, 3 t or 3 lb"},
		{Force, "3 kip", "write 3000 lbf or the force in kN"},
		{Force, "3 lb", "write 3 lbf: lb is a mass"},
		{Force, "3 kgf", "9.80665"},
		{Force, "3 ton", "8.896 kN"},
		{Speed, "20 kn", "0.5144 m/s"},
		{Speed, "20 kph", "write 20 km/h"},
		{Pressure, "2 ksf", "1000 psf"},
		{Temperature, "300 K", "0 C is 273.15 K"},
		{Temperature, "30", "write 30 C or 30 F"},
		{Years, "5 yr", "write 5 years"},
		{Share, "2", "write 2 %"},
		{Share, "2 percent", "write 2 %"},
		{Angle, "2 rad", "57.2958"},
		{Angle, "2", "write 2 deg"},
		{Number, "12 mm", "is not a number"},
		{Number, "NaN", "is not a number"},
		{Number, "1e9999", "is not a number"},
	} {
		_, err := row.read(row.text)
		require.Error(t, err, row.text)
		assert.Contains(t, err.Error(), row.want, row.text)
	}
}

func TestPrintedQuantitiesReadBackExactly(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.Float64Range(-1e12, 1e12).Draw(t, "x")
		for _, pair := range []struct {
			print func(float64) string
			read  func(string) (float64, error)
		}{{MassText, Mass}, {ForceText, Force}, {SpeedText, Speed}, {PressureText, Pressure}, {ShareText, Share}, {AngleText, Angle}, {Exact, Number}} {
			got, err := pair.read(pair.print(x))
			require.NoError(t, err)
			require.Equal(t, x, got, pair.print(x))
		}
	})
}

func TestUnitMM(t *testing.T) {
	for name, want := range map[string]float64{"mm": 1, "cm": 10, "m": 1000, "in": 25.4, "ft": 304.8} {
		got, err := UnitMM(name)
		require.NoError(t, err)
		assert.Equal(t, want, got)
	}
	_, err := UnitMM("MM")
	assert.ErrorContains(t, err, "write mm, cm, m, in or ft")
}
