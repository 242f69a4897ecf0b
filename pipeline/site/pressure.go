package site

import (
	"fmt"
	"math"
	"slices"

	"pointup/pipeline/job"
)

// Pressure is the velocity pressure of a code over height.
//
// ASCE 7: q = 0.613 Kz Kzt Kd Ke V² (N/m², m/s), sections 26.10 of 7-10, 7-16 and 7-22; Kzt = 1
// (flat ground), Ke = 1 (safe), Kd = 0.85. The edition of 2022 takes Kd in the force:
// it stays in q here, so that the force is the same.
// EN 1991-1-4: qp = (1 + 7 Iv) ½ ρ vm², section 4, with co = 1, kI = 1, cdir = cseason
// = 1 and the recommended values; national annexes may differ.
type Pressure struct {
	Code     string  `json:"code"`
	Exposure string  `json:"exposure"`
	SpeedMPS float64 `json:"speed_mps"`
}

// NewPressure refuses a code, an exposure or a kind of speed that it does not know,
// and a speed that is not what the code is written for.
func NewPressure(w job.Wind) (Pressure, error) {
	p := Pressure{Code: w.Code, Exposure: w.Exposure, SpeedMPS: w.SpeedMPS}
	want, exposures := "10 min mean", []string{"0", "I", "II", "III", "IV"}
	if p.asce() {
		want, exposures = "3 s gust strength level", []string{"B", "C", "D"}
	}
	switch {
	case !slices.Contains([]string{"ASCE 7-10", "ASCE 7-16", "ASCE 7-22", "EN 1991-1-4"}, w.Code):
		return p, fmt.Errorf("site.wind.code: %q is not known; write ASCE 7-10, ASCE 7-16, ASCE 7-22 or EN 1991-1-4", w.Code)
	case w.SpeedIs != want:
		return p, fmt.Errorf("site.wind.speed_is: %s is written for a speed that is a %s, not %q; take the speed from the map of that code", w.Code, want, w.SpeedIs)
	case !slices.Contains(exposures, w.Exposure):
		return p, fmt.Errorf("site.wind.exposure: %q is foreign to %s; write one of %v", w.Exposure, w.Code, exposures)
	case !(w.SpeedMPS > 0) || w.SpeedMPS > 200:
		return p, fmt.Errorf("site.wind.speed: %g m/s; give one over 0 and at most 200 m/s", w.SpeedMPS)
	}
	return p, nil
}

func (p Pressure) asce() bool { return p.Code != "EN 1991-1-4" }

// directionality Kd of open signs, lattices and of works of no other row (ASCE 7-16
// table 26.6-1).
const directionality = 0.85

// asceSI is half the density of standard air, N/m² of (m/s)² (ASCE 7-16 eq.
// 26.10-1.si); in psf and mph it is 0.00256.
const asceSI = 0.613

// PaAt is the velocity pressure at a height over the ground, N/m².
func (p Pressure) PaAt(zMM float64) float64 {
	if p.asce() {
		return velocityPressure(asceSI, kz(p.Code, p.Exposure, zMM), 1, directionality, 1, p.SpeedMPS)
	}
	_, _, qp := p.eurocode(zMM)
	return qp
}

// SpeedAt is the speed that the vortex check compares, m/s: the mean of EN 1991-1-4;
// with ASCE 7, which has no such check, the gust speed, on the safe side.
func (p Pressure) SpeedAt(zMM float64) float64 {
	if p.asce() {
		return p.SpeedMPS * math.Sqrt(kz(p.Code, p.Exposure, zMM))
	}
	vm, _, _ := p.eurocode(zMM)
	return vm
}

func velocityPressure(unit, kz, kzt, kd, ke, speed float64) float64 {
	return unit * kz * kzt * kd * ke * speed * speed
}

// kz is c·(max(z, 15 ft)/zg)^(2/α): ASCE 7-16 table 26.10-1 note 1, 7-22 eq. 26.10-1.
func kz(code, exposure string, zMM float64) float64 {
	const foot = 304.8
	terrain := map[string][2]float64{"B": {7, 1200}, "C": {9.5, 900}, "D": {11.5, 700}}
	c := 2.01
	if code == "ASCE 7-22" {
		terrain, c = map[string][2]float64{"B": {7.5, 3280}, "C": {9.8, 2460}, "D": {11.5, 1935}}, 2.41
	}
	t := terrain[exposure]
	return c * math.Pow(max(zMM/foot, 15)/t[1], 2/t[0])
}

// groundElevation is Ke of ASCE 7-16 26.9, for a ground zg metres over the sea.
func groundElevation(zgM float64) float64 { return math.Exp(-0.000119 * zgM) }

// airKGM3 is ρ of EN 1991-1-4 4.5, recommended value.
const airKGM3 = 1.25

// eurocode is vm (m/s), Iv and qp (N/m²): EN 1991-1-4 table 4.1, eq. 4.3 to 4.8.
func (p Pressure) eurocode(zMM float64) (vm, iv, qp float64) {
	terrain := map[string][2]float64{"0": {0.003, 1}, "I": {0.01, 1}, "II": {0.05, 2}, "III": {0.3, 5}, "IV": {1, 10}}[p.Exposure]
	z0 := terrain[0]
	z := max(zMM/1000, terrain[1])
	vm = terrainFactor(z0) * math.Log(z/z0) * p.SpeedMPS
	iv = 1 / math.Log(z/z0)
	return vm, iv, (1 + 7*iv) * airKGM3 / 2 * vm * vm
}

// terrainFactor is kr.
func terrainFactor(z0 float64) float64 { return 0.19 * math.Pow(z0/0.05, 0.07) }
