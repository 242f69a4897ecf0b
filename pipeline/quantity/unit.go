// Package quantity reads and prints lengths, masses, forces, speeds, pressures,
// shares and angles with their units. It knows no word of pieces or scans.
//
// A text is converted with exact rational arithmetic and rounded once, so that
// "96 in" is 2438.4 mm and not 2438.3999999999996.
package quantity

import "math/big"

// unit is one way to write a quantity: factor times the number gives the value
// in the unit that the program works in.
type unit struct {
	names  []string // the first one is the one that is printed
	factor *big.Rat
}

// measure is a kind of quantity: its name, an example for messages, the units
// that are read and the words that are refused with their choices.
type measure struct {
	name    string // "a length"
	example string // "250 mm"
	units   []unit
	refused map[string]func(number string) string // word → what to write
}

func exactly(num, den int64) *big.Rat { return big.NewRat(num, den) }

// lengths are in mm. The inch is 25.4 mm exactly (international inch, 1959).
func lengths() measure {
	return measure{
		name: "a length", example: "250 mm, 1.2 m or 17' 8 1/2\"",
		units: []unit{
			{[]string{"mm"}, exactly(1, 1)},
			{[]string{"cm"}, exactly(10, 1)},
			{[]string{"m"}, exactly(1000, 1)},
			{[]string{"in", "inch", "inches", `"`, "″", "”"}, exactly(254, 10)},
			{[]string{"ft", "foot", "feet", "'", "′", "’"}, exactly(3048, 10)},
		},
		refused: map[string]func(string) string{
			"mil":  choices("%s mm if millimetres are meant, or thousandths of an inch as a decimal in in"),
			"thou": choices("thousandths of an inch as a decimal in in"),
			"yd":   choices("the length in ft or m"),
		},
	}
}

// masses are in kg. The pound is 0.45359237 kg exactly (international pound).
func masses() measure {
	return measure{
		name: "a mass", example: "250 kg, 1.2 t or 800 lb",
		units: []unit{
			{[]string{"kg"}, exactly(1, 1)},
			{[]string{"t", "tonne", "tonnes"}, exactly(1000, 1)},
			{[]string{"lb", "lbs"}, exactly(45359237, 100000000)},
		},
		refused: map[string]func(string) string{
			"ton":  tonChoices,
			"tons": tonChoices,
			"kip":  kipMassChoices,
			"kips": kipMassChoices,
			"lbf":  choices("%s lb: lbf is a force"),
		},
	}
}

// forces are in N. The pound-force is 4.4482216152605 N exactly.
func forces() measure {
	return measure{
		name: "a force", example: "2 kN or 450 lbf",
		units: []unit{
			{[]string{"N"}, exactly(1, 1)},
			{[]string{"kN"}, exactly(1000, 1)},
			{[]string{"MN"}, exactly(1000000, 1)},
			{[]string{"lbf"}, exactly(44482216152605, 10000000000000)},
		},
		refused: map[string]func(string) string{
			"kip":  kipForceChoices,
			"kips": kipForceChoices,
			"ton":  choices("the force in kN or lbf: ton may be 8.896 kN (2000 lbf), 9.807 kN (1000 kgf) or 9.964 kN (2240 lbf)"),
			"tons": choices("the force in kN or lbf: ton may be 8.896 kN (2000 lbf), 9.807 kN (1000 kgf) or 9.964 kN (2240 lbf)"),
			"lb":   choices("%s lbf: lb is a mass"),
			"lbs":  choices("%s lbf: lb is a mass"),
			"kg":   choices("the force in N or kN: kg is a mass"),
			"kgf":  choices("the force in N: 1 kgf is 9.80665 N"),
			"t":    choices("the force in kN: t is a mass"),
		},
	}
}

// speeds are in m/s. The mile is 1609.344 m exactly.
func speeds() measure {
	return measure{
		name: "a speed", example: "115 mph, 180 km/h or 50 m/s",
		units: []unit{
			{[]string{"m/s"}, exactly(1, 1)},
			{[]string{"km/h"}, exactly(10, 36)},
			{[]string{"mph"}, exactly(44704, 100000)},
		},
		refused: map[string]func(string) string{
			"kph":   choices("%s km/h"),
			"kmh":   choices("%s km/h"),
			"kn":    choices("the speed in m/s or mph: 1 knot is 0.5144 m/s"),
			"kt":    choices("the speed in m/s or mph: 1 knot is 0.5144 m/s"),
			"knots": choices("the speed in m/s or mph: 1 knot is 0.5144 m/s"),
		},
	}
}

// pressures are in kPa. 1 psi is 1 lbf on 1 in².
func pressures() measure {
	return measure{
		name: "a pressure", example: "100 kPa or 2000 psf",
		units: []unit{
			{[]string{"kPa", "kN/m2", "kN/m²"}, exactly(1, 1)},
			{[]string{"Pa", "N/m2", "N/m²"}, exactly(1, 1000)},
			{[]string{"MPa", "N/mm2", "N/mm²"}, exactly(1000, 1)},
			{[]string{"psi"}, psi()},
			{[]string{"psf"}, new(big.Rat).Quo(psi(), exactly(144, 1))},
		},
		refused: map[string]func(string) string{
			"ksf": choices("the pressure in psf: 1 ksf is 1000 psf"),
			"ksi": choices("the pressure in psi: 1 ksi is 1000 psi"),
			"bar": choices("the pressure in kPa: 1 bar is 100 kPa"),
			"tsf": choices("the pressure in psf: a short ton on a square foot is 2000 psf"),
		},
	}
}

// psi is 4.4482216152605 N / (25.4 mm)², in kPa.
func psi() *big.Rat {
	area := new(big.Rat).Mul(exactly(254, 10), exactly(254, 10)) // mm²
	mpa := new(big.Rat).Quo(exactly(44482216152605, 10000000000000), area)
	return mpa.Mul(mpa, exactly(1000, 1))
}

// spans are in years.
func spans() measure {
	return measure{name: "a span of years", example: "50 years", units: []unit{{[]string{"years", "year", "a"}, exactly(1, 1)}},
		refused: map[string]func(string) string{"yr": choices("%s years"), "y": choices("%s years"), "months": choices("the span in years")}}
}

// temperatures are in degrees Celsius once Temperature has moved the zero of those in
// Fahrenheit.
func temperatures() measure {
	return measure{name: "a temperature", example: "-15 C or 5 F", units: []unit{{[]string{"C", "°C"}, exactly(1, 1)}, {[]string{"F", "°F"}, exactly(5, 9)}},
		refused: map[string]func(string) string{"K": choices("the temperature in C: 0 C is 273.15 K")}}
}

// shares are fractions of 1.
func shares() measure {
	return measure{
		name: "a share", example: "2 %",
		units:   []unit{{[]string{"%"}, exactly(1, 100)}},
		refused: map[string]func(string) string{"percent": choices("%s %%"), "‰": choices("the share in %%")},
	}
}

// angles are in degrees.
func angles() measure {
	return measure{
		name: "an angle", example: "22.5 deg",
		units: []unit{{[]string{"deg", "°"}, exactly(1, 1)}},
		refused: map[string]func(string) string{
			"rad": choices("the angle in deg: 1 rad is 57.2958 deg"),
			"'":   choices("the angle in deg as a decimal: ' may be feet or minutes"),
			`"`:   choices("the angle in deg as a decimal: \" may be inches or seconds"),
		},
	}
}
