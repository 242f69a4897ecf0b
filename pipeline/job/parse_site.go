package job

import (
	"fmt"
	"slices"

	"github.com/goccy/go-yaml/ast"

	"pointup/pipeline/quantity"
)

func (r *reader) haul(h *Haul) read {
	h.Route = []Passage{}
	return func(n ast.Node, path string) {
		r.fields(n, path,
			field{"envelope", optional(r, &h.EnvelopeMM, "none", r.envelope)},
			field{"mass", optional(r, &h.MassKG, "none", func(x *float64) read { return r.mass(x, over0()) })},
			field{"route", func(n ast.Node, path string) {
				h.Route = []Passage{}
				r.items(n, path, func(n ast.Node, path string) { h.Route = append(h.Route, r.passage(n, path)) })
			}},
		)
	}
}

func (r *reader) envelope(to *[3]float64) read {
	return func(n ast.Node, path string) {
		var all []float64
		r.lengths(&all)(n, path)
		if r.err == nil && len(all) != 3 {
			r.fail(n, fmt.Sprintf("%s has %d lengths", path, len(all)), "write [length, width, height]")
		}
		copy(to[:], all)
	}
}

func (r *reader) passage(n ast.Node, path string) Passage {
	var p Passage
	seen := r.fields(n, path,
		field{"width", optional(r, &p.WidthMM, "none", func(x *float64) read { return r.length(x, over0()) })},
		field{"radius", optional(r, &p.RadiusMM, "none", func(x *float64) read { return r.length(x, over0()) })},
		field{"slope", optional(r, &p.Slope, "none", func(x *float64) read { return r.share(x, from0To1()) })},
	)
	if len(seen) == 0 {
		r.fail(n, path+" is empty", "give width, radius or slope")
	}
	return p
}

func (r *reader) site(s *Site) read {
	return func(n ast.Node, path string) {
		r.fields(n, path,
			field{"wind", optional(r, &s.Wind, "none", r.wind)},
			field{"ice", optional(r, &s.IceMM, "unknown", func(x *float64) read { return r.length(x, atLeast0()) })},
			field{"climbing_load", optional(r, &s.ClimbingLoadN, "unknown", func(x *float64) read {
				return r.in(x, quantity.Force, "a force", "2 kN", atLeast0())
			})},
			field{"soil_bearing", optional(r, &s.SoilBearingKPa, "unknown", func(x *float64) read {
				return r.in(x, quantity.Pressure, "a pressure", "100 kPa", over0())
			})},
			field{"corrosivity", optional(r, &s.Corrosivity, "unknown", func(x *string) read { return r.choice(x, "C1", "C2", "C3", "C4", "C5", "CX") })},
			field{"life", optional(r, &s.LifeYears, "unknown", func(x *float64) read {
				return r.in(x, quantity.Years, "a span of years", "50 years", bound{0, 500, true, "over 0 and at most 500 years"})
			})},
			field{"air", optional(r, &s.AirC, "unknown", r.air)},
			field{"seismic", optional(r, &s.Seismic, "none", r.seismic)},
		)
	}
}

// air reads the lowest and the highest temperature of the air in the shade.
func (r *reader) air(to *[2]float64) read {
	return func(n ast.Node, path string) {
		var all []float64
		r.items(n, path, func(n ast.Node, path string) {
			var x float64
			r.in(&x, quantity.Temperature, "a temperature", "-15 C", bound{-90, 60, false, "from -90 to 60 C"})(n, path)
			all = append(all, x)
		})
		if r.err == nil && (len(all) != 2 || all[0] > all[1]) {
			r.fail(n, path+" is not a lowest and a highest temperature", "write [-15 C, 35 C]")
		}
		copy(to[:], all)
	}
}

func (r *reader) seismic(s *Seismic) read {
	return func(n ast.Node, path string) {
		seen := r.fields(n, path, field{"coefficient", r.number(&s.Coefficient, bound{0, 5, true, "over 0 and at most 5"})})
		r.need(n, path, seen, "coefficient", "write the level force over the weight, like 0.2")
	}
}

// wind reads a wind speed. A speed without its code, its meaning and its exposure
// is a number that can be taken for another one: all four are needed.
func (r *reader) wind(w *Wind) read {
	return func(n ast.Node, path string) {
		names := []string{}
		for _, c := range windCodes() {
			names = append(names, c.name)
		}
		speeds, exposures := []string{}, []string{}
		for _, c := range windCodes() {
			speeds, exposures = merge(speeds, c.speeds), merge(exposures, c.exposures)
		}
		var speedIs, exposure ast.Node
		seen := r.fields(n, path,
			field{"code", r.choice(&w.Code, names...)},
			field{"speed", r.in(&w.SpeedMPS, quantity.Speed, "a speed", "115 mph", bound{0, 200, true, "over 0 and at most 200 m/s"})},
			field{"speed_is", func(n ast.Node, path string) { speedIs = n; r.choice(&w.SpeedIs, speeds...)(n, path) }},
			field{"exposure", func(n ast.Node, path string) { exposure = n; r.choice(&w.Exposure, exposures...)(n, path) }},
		)
		r.need(n, path, seen, "code", "write "+listed(names))
		r.need(n, path, seen, "speed", "write the design wind speed, like 115 mph")
		r.need(n, path, seen, "speed_is", "say what the speed is: "+listed(speeds))
		r.need(n, path, seen, "exposure", "write "+listed(exposures))
		for _, c := range windCodes() {
			if r.err == nil && c.name == w.Code {
				r.choice(&w.SpeedIs, c.speeds...)(speedIs, path+".speed_is for "+c.name)
				r.choice(&w.Exposure, c.exposures...)(exposure, path+".exposure for "+c.name)
			}
		}
	}
}

// merge adds the names that are not in the list yet.
func merge(list, more []string) []string {
	for _, m := range more {
		if !slices.Contains(list, m) {
			list = append(list, m)
		}
	}
	return list
}
