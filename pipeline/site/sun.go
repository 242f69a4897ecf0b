package site

import (
	"fmt"
	"math"
)

// InTheSun is how hot metal gets on a still, clear day, and what that does to skin.
type InTheSun struct {
	AirC        float64     `json:"air_c"`
	MetalC      float64     `json:"metal_c"`
	Absorptance float64     `json:"absorptance"`
	Emittance   float64     `json:"emittance"`
	Burns       []BurnAfter `json:"burns"`
	Says        []string    `json:"says"`
}

// BurnAfter is the surface temperature from which bare metal burns skin in a time.
type BurnAfter struct {
	Seconds    float64 `json:"seconds"`
	FromC      float64 `json:"from_c"`
	Reached    bool    `json:"reached"`
	FromMemory bool    `json:"from_memory"`
}

// burns are thresholds of ISO 13732-1 for bare metal: 65 °C for a touch of half a second
// (a page that quotes its 4.2.1.2); the others from memory.
func burns() []BurnAfter {
	return []BurnAfter{{Seconds: 0.5, FromC: 65}, {Seconds: 10, FromC: 55, FromMemory: true}, {Seconds: 60, FromC: 51, FromMemory: true}, {Seconds: 600, FromC: 48, FromMemory: true}}
}

const (
	stefan      = 5.670374419e-8 // W/m²K⁴, CODATA 2018
	sunWM2      = 1000.0         // clear sky, square to the sun: the reference irradiance of ASTM G173 and IEC 60904-3
	stillAirWM2 = 8.0            // natural convection and a breath of wind (common practice, no source)
	kelvin      = 273.15
)

// surfaceOf is how a finish takes up sunlight and gives off heat. Absorptances: a table of
// solar absorptance (dull oxidised iron 0.96, new galvanised iron 0.64, pickled stainless
// 0.52, black oil paint on iron 0.90); emittances: tables of thermography (rusted red sheet
// 0.69, lacquer 0.92, galvanised and oxidised 0.28; stainless 0.3 from memory).
func surfaceOf(finish string) (absorptance, emittance float64) {
	switch finish {
	case "galvanised":
		return 0.64, 0.28
	case "stainless":
		return 0.52, 0.30
	case "painted":
		return 0.90, 0.92
	}
	return 0.96, 0.69
}

// inTheSun is a plate square to the sun whose back gives off nothing: the worst case.
func inTheSun(finish string, airC float64) InTheSun {
	s := InTheSun{AirC: airC, Burns: burns()}
	s.Absorptance, s.Emittance = surfaceOf(finish)
	air := airC + kelvin
	sky := 0.0552 * math.Pow(air, 1.5) // Swinbank, Q. J. R. Meteorol. Soc. 89 (1963) 339
	s.MetalC = balance(s.Absorptance*sunWM2, s.Emittance, stillAirWM2, air, sky) - kelvin
	for i := range s.Burns {
		s.Burns[i].Reached = s.MetalC >= s.Burns[i].FromC
	}
	s.Says = []string{fmt.Sprintf("%g W/m² square on the metal, absorptance %g, emittance %g, %g W/m²K to still air, clear sky by Swinbank (1963), nothing given off by the back: thick or shaded metal stays cooler", sunWM2, s.Absorptance, s.Emittance, stillAirWM2),
		"burns: ISO 13732-1, bare metal; small children touch longer than they should"}
	if finish == "painted" {
		s.Says = append(s.Says, "paint counted as black; light colours take up a third of it")
	}
	return s
}

// balance is the temperature in K at which a surface gives off what it takes up, W/m²:
// to the air by h, to the sky by its fourth power. The sum rises with temperature; halving.
func balance(takenWM2, emittance, h, airK, skyK float64) float64 {
	lo, hi := 0.0, 1000.0
	for range 60 {
		t := (lo + hi) / 2
		if h*(t-airK)+emittance*stefan*(math.Pow(t, 4)-math.Pow(skyK, 4)) < takenWM2 {
			lo = t
		} else {
			hi = t
		}
	}
	return (lo + hi) / 2
}
