package site

import (
	"cmp"
	"fmt"
	"slices"

	"pointup/pipeline/job"
	"pointup/pipeline/stock"
)

// Weather is what rain, air and sun do to the work where it stands.
type Weather struct {
	Preliminary string     `json:"preliminary"`
	Basis       []string   `json:"basis"`
	NotCovered  []string   `json:"not_covered"`
	Corrosion   *Corrosion `json:"corrosion,omitempty"`
	Hollows     []Hollow   `json:"hollows"`
	Pockets     []Pocket   `json:"pockets"`
	Cavities    []Cavity   `json:"cavities"`
	Streaks     []Streak   `json:"streaks"`
	Coating     Coating    `json:"coating"`
	Metal       *InTheSun  `json:"metal,omitempty"`
	Growth      *Growth    `json:"growth,omitempty"`
}

// WeatherOptions are what the job says of the place and the metal.
type WeatherOptions struct {
	Corrosivity string      // category of ISO 9223, "" where not given
	LifeYears   float64     // 0: not given
	AirC        *[2]float64 // lowest and highest in the shade
	Grade       string
	Finish      string
	DensityKGM3 float64
}

// WeatherOptionsOf takes what the job sets.
func WeatherOptionsOf(s job.Site, m job.Metal, density float64) WeatherOptions {
	opt := WeatherOptions{AirC: s.AirC, Grade: m.Grade, Finish: m.Finish, DensityKGM3: density}
	if s.Corrosivity != nil {
		opt.Corrosivity = *s.Corrosivity
	}
	if s.LifeYears != nil {
		opt.LifeYears = *s.LifeYears
	}
	return opt
}

// Outdoors is what weather does to the work and what the public meets on it: every as-stock
// piece in its place. groundMM is how high people get from the ground. What the job does
// not say is left out and named.
func Outdoors(pieces []Piece, contacts []stock.Contact, opt WeatherOptions, groundMM float64) (Weather, Access) {
	f := flood(columnsOver(pieces, contacts))
	w, a := weatherOn(pieces, &f, opt), accessTo(pieces, contacts, &f, groundMM)
	if a.Metal = w.Metal; a.Metal == nil {
		a.NotCovered = append(a.NotCovered, "hot metal: site.air is not given")
	}
	return w, a
}

func weatherOn(pieces []Piece, f *flooded, opt WeatherOptions) Weather {
	w := Weather{Preliminary: preliminary, Hollows: hollowsOf(pieces)}
	w.Corrosion = corrosionOf(pieces, w.Hollows, opt)
	switch {
	case w.Corrosion != nil:
	case finishOf(opt.Grade, opt.Finish) == "":
		w.NotCovered = append(w.NotCovered, "corrosion: the laws at hand are for steel, not for "+opt.Grade)
	default:
		w.NotCovered = append(w.NotCovered, "corrosion: site.corrosivity and site.life are not both given")
	}
	w.Pockets, w.Cavities = f.pocketsOf(pieces)
	w.Streaks = f.streaks(pieces)
	w.Basis = append(w.Basis, fmt.Sprintf("water: on plumb lines %.0f mm apart, exact in height; holes and walls narrower than two of them may be missed; seams are welded tight all round, and gaps under %.0f mm hold water", f.pitch, tightMM),
		"run-off: a millimetre of rain straight down; what clings to the undersides of round pieces and runs on there is not followed")
	w.Coating = coatingOf(pieces, w.Hollows)
	if opt.AirC == nil {
		w.NotCovered = append(w.NotCovered, "growth with temperature, hot metal: site.air is not given")
	} else {
		sun := inTheSun(finishOf(opt.Grade, opt.Finish), opt.AirC[1])
		w.Metal, w.Growth = &sun, growthOf(pieces, opt, sun.MetalC)
	}
	w.Basis = append(w.Basis, "a hollow piece is closed where its ends stand on others all round; whether those welds are tight is for the shop to prove")
	w.NotCovered = append(w.NotCovered, "corrosion in crevices and between unlike metals, under paint, in soil and at the ground; stray current; de-icing salt that is not in the category")
	return w
}

func sortBy[T any](list []T, key func(T) float64) {
	slices.SortStableFunc(list, func(a, b T) int { return cmp.Compare(key(a), key(b)) })
}
