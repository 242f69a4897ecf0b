package shop

import (
	"fmt"
	"math"
	"strings"

	"pointup/pipeline/draw"
	"pointup/pipeline/solid"
	"pointup/pipeline/stock"
)

// Flat is the pattern of a piece that is cut from plate, at full size, in its
// own u, v; a rolled piece is developed on its middle surface.
type Flat struct {
	Mark, Name, Kind string
	ThicknessMM      float64
	Outer            Loop
	Openings         []Opening
	Lines            []draw.Item // marks, bend lines, punch marks: not cut
	Notes            []string
	own              int // how many of the lines are the piece's own: the rest are seats of others

	CutMM          float64 // length of all cuts
	Pierces        int     // one a loop
	NetMM2         float64
	BoxMM          [2]float64 // along u and v
	NetKG, GrossKG float64    // of the piece; of its enclosing rectangle
	WebMM          float64    // least metal between two cuts; +Inf where there is one cut only
	HoleMM         float64    // narrowest opening; +Inf where there is none
	Cutting        []Verdict  // by process
}

// Opening is a hole of the piece, or one that another piece passes through.
type Opening struct {
	Loop    Loop
	WidthMM float64
	For     string // mark of the piece that passes; empty for a hole
}

// FlatOptions set what the patterns allow for.
type FlatOptions struct {
	DensityKGM3  float64
	PreBendTimes float64 // metal added at each end of a rolled piece, in thicknesses
	PassGapMM    float64 // between a piece and the edge of the opening it passes
	MarkMM       float64 // height of marked text
}

// DefaultFlatOptions are steel (EN 1991-1-1), two thicknesses of flat end that
// rolls leave (from memory), a gap of 1.5 mm (common practice, no source).
func DefaultFlatOptions() FlatOptions {
	return FlatOptions{DensityKGM3: 7850, PreBendTimes: 2, PassGapMM: 1.5, MarkMM: 10}
}

func (o FlatOptions) check() error {
	switch {
	case !(o.DensityKGM3 > 0 && o.DensityKGM3 < 1e5):
		return fmt.Errorf("flat patterns: density %v kg/m³; give one over 0", o.DensityKGM3)
	case !(o.PreBendTimes >= 0 && o.PreBendTimes <= 100):
		return fmt.Errorf("flat patterns: flat ends of %v thicknesses; give 0 to 100", o.PreBendTimes)
	case !(o.PassGapMM >= 0 && o.PassGapMM <= 100):
		return fmt.Errorf("flat patterns: a gap of %v mm; give 0 to 100 mm", o.PassGapMM)
	case !(o.MarkMM > 0 && o.MarkMM <= 1000):
		return fmt.Errorf("flat patterns: text of %v mm; give over 0 mm", o.MarkMM)
	}
	return nil
}

// IsFlat tells whether a part is cut from plate: flat, or rolled after cutting.
func IsFlat(p stock.Part) bool {
	switch p.Kind {
	case "plate", "disc", "toothed_wheel", "rolled_plate", "cone":
		return true
	case "ring":
		return p.Section == "flat"
	case "arc":
		_, flat := p.Size("outside_diameter_mm")
		return flat && len(p.Segments) == 0
	}
	return false
}

// FlatOf is the pattern of one part. Errors: a part that is not cut from plate, a
// size that is not known or makes no outline.
func FlatOf(p stock.Part, opt FlatOptions) (Flat, error) {
	if err := opt.check(); err != nil {
		return Flat{}, err
	}
	f := Flat{Mark: p.ID, Name: p.Name, Kind: p.Kind}
	s := sizes{part: p}
	if p.Kind == "cone" {
		f.ThicknessMM = s.need("wall_mm")
	} else {
		f.ThicknessMM = s.need("thickness_mm")
	}
	err := f.outline(p, &s, opt)
	switch {
	case s.missing != "":
		return f, fmt.Errorf("%s: no flat pattern: its %s is not known", p.ID, s.missing)
	case err != nil:
		return f, fmt.Errorf("%s: no flat pattern: %w", p.ID, err)
	}
	for i, h := range p.Holes {
		l, w, err := holeLoop(h)
		if err != nil {
			return f, fmt.Errorf("%s: hole %d: %w", p.ID, i+1, err)
		}
		f.Openings = append(f.Openings, Opening{Loop: l, WidthMM: w})
	}
	if len(p.Hidden) > 0 {
		f.Notes = append(f.Notes, "not seen by the scan: "+strings.Join(p.Hidden, ", "))
	}
	f.setOut(opt)
	f.own = len(f.Lines)
	f.measure(opt)
	return f, f.sound()
}

// sizeMostMM is more than any piece of metal has: 10 km.
const sizeMostMM = 1e7

// sizes reads dimensions and remembers the first that is not known.
type sizes struct {
	part    stock.Part
	missing string
}

func (s *sizes) need(key string) float64 {
	x, ok := s.part.Size(key)
	if (!ok || !(x > 0 && x <= sizeMostMM)) && s.missing == "" {
		s.missing = key
	}
	return x
}

// maybe is 0 where the part has no such size.
func (s *sizes) maybe(key string) float64 {
	x, _ := s.part.Size(key)
	if !(x > 0 && x <= sizeMostMM) {
		return 0
	}
	return x
}

// outline sets the outer loop and the bore by the kind.
func (f *Flat) outline(p stock.Part, s *sizes, opt FlatOptions) (err error) {
	switch p.Kind {
	case "disc":
		f.Outer = round(0, 0, s.need("outside_diameter_mm")/2)
	case "ring":
		f.Outer = round(0, 0, s.need("outside_diameter_mm")/2)
		f.bore(s.need("inside_diameter_mm"))
	case "toothed_wheel":
		f.Outer, err = wheelLoop(s)
		f.bore(s.maybe("bore_diameter_mm"))
	case "plate":
		f.Outer, err = plateLoop(p, s)
	case "arc":
		f.Outer, err = sectorLoop(s.need("outside_diameter_mm")/2, s.need("inside_diameter_mm")/2, s.need("sweep_deg")*math.Pi/180)
	case "rolled_plate":
		f.rolled(s, opt)
	case "cone":
		err = f.rolledCone(s)
	default:
		err = fmt.Errorf("a %s is not cut from plate", p.Kind)
	}
	return err
}

func (f *Flat) bore(diameterMM float64) {
	if diameterMM > 0 {
		f.Openings = append(f.Openings, Opening{Loop: round(0, 0, diameterMM/2), WidthMM: diameterMM})
	}
}

func wheelLoop(s *sizes) (Loop, error) {
	w := solid.Wheel{Teeth: int(s.need("tooth_count")), TipMM: s.need("tip_diameter_mm"), RootMM: s.need("root_diameter_mm"),
		WidthMM: s.maybe("tooth_width_mm"), SeatMM: s.maybe("seat_diameter_mm"), SeatPitchMM: s.maybe("seat_pitch_mm")}
	if s.missing != "" {
		return Loop{}, nil
	}
	return loopOf(stepsOfSolid(w.Outline()))
}

// plateLoop is the outline where it is that of the face; a flat bar that stood on
// end has the outline of its end: then it is a rectangle.
func plateLoop(p stock.Part, s *sizes) (Loop, error) {
	l, w := s.need("length_mm"), s.need("width_mm")
	if s.missing != "" {
		return Loop{}, nil
	}
	if len(p.Outline) > 0 {
		o, err := loopOf(stepsOf(p.Outline))
		if err != nil {
			return o, err
		}
		lo, hi := o.box()
		if near(hi[0]-lo[0], l) && near(hi[1]-lo[1], w) || near(hi[0]-lo[0], w) && near(hi[1]-lo[1], l) {
			return o, nil
		}
	}
	return polygon([2]float64{-l / 2, -w / 2}, [2]float64{l / 2, -w / 2}, [2]float64{l / 2, w / 2}, [2]float64{-l / 2, w / 2}), nil
}

// near leaves room for a rectangle that is turned a little against the frame.
func near(a, b float64) bool { return math.Abs(a-b) <= 0.05*math.Max(a, b) }

// sectorLoop is part of a ring, from u counter-clockwise.
func sectorLoop(outer, inner, sweepRad float64) (Loop, error) {
	if !(sweepRad > 0 && sweepRad < 2*math.Pi-1e-9 && inner < outer) {
		return Loop{}, fmt.Errorf("radii of %g and %g mm through %.2f° make no sector", outer, inner, sweepRad*180/math.Pi)
	}
	sin, cos := math.Sincos(sweepRad)
	c := draw.Contour{Closed: true, Vertices: []draw.Vertex{{At: [2]float64{outer, 0}, SweepRad: sweepRad}, {At: [2]float64{outer * cos, outer * sin}}}}
	if inner > 0 {
		c.Vertices = append(c.Vertices, draw.Vertex{At: [2]float64{inner * cos, inner * sin}, SweepRad: -sweepRad}, draw.Vertex{At: [2]float64{inner, 0}})
	} else {
		c.Vertices = append(c.Vertices, draw.Vertex{})
	}
	return Loop{Contour: c}, nil
}

// measure sums cuts, areas and masses, and judges the processes.
func (f *Flat) measure(opt FlatOptions) {
	f.CutMM, f.Pierces, f.NetMM2 = f.Outer.LengthMM(), 1, f.Outer.AreaMM2()
	f.HoleMM = math.Inf(1)
	for _, o := range f.Openings {
		f.CutMM += o.Loop.LengthMM()
		f.NetMM2 -= o.Loop.AreaMM2()
		f.HoleMM = math.Min(f.HoleMM, o.WidthMM)
		f.Pierces++
	}
	lo, hi := f.Outer.box()
	f.BoxMM = [2]float64{hi[0] - lo[0], hi[1] - lo[1]}
	perMM2 := f.ThicknessMM * opt.DensityKGM3 * 1e-9
	f.NetKG, f.GrossKG = f.NetMM2*perMM2, f.BoxMM[0]*f.BoxMM[1]*perMM2
	f.WebMM = f.web()
	f.Cutting = judge(*f)
}

func (f Flat) sound() error {
	if !(f.NetMM2 > 0) || math.IsInf(f.NetMM2+f.CutMM, 0) {
		return fmt.Errorf("%s: no flat pattern: its sizes leave no metal", f.Mark)
	}
	return nil
}
