package shop

import (
	"fmt"
	"math"

	"pointup/pipeline/draw"
	"pointup/pipeline/stock"
)

// WheelWork is how a toothed wheel is made and set out.
type WheelWork struct {
	Mark, Name           string
	Teeth                int
	TipMM, RootMM, Thick float64 // diameters, thickness, mm
	PitchMM              float64 // chord between round seats; 0 where the teeth have none
	PitchDiameterMM      float64 // of a chain's pitch line; 0 as well
	Layers               int     // plates on each other
	LayerMM              float64
	Places               []ToothPlace
	StepRootMM           float64 // chord from one tooth to the next at the root circle
	StepTipMM            float64
	Jig                  Jig
	Notes                []string
}

// ToothPlace is where the middle of a tooth is set out from tooth 1: chords and
// arcs are all measured from that one datum, so that errors do not add up.
type ToothPlace struct {
	Tooth       int
	AngleDeg    float64
	RootChordMM float64 // straight from the datum, at the root circle
	TipChordMM  float64
	RootArcMM   float64 // along the girth of the root circle
	XMM, YMM    float64 // of the tooth's middle at the root, from the centre
}

// Jig spaces some teeth at a time.
type Jig struct {
	Teeth, Steps int     // teeth that it holds; how often it is set round the wheel
	LengthMM     float64 // chord over its teeth at the tip
	ToleranceMM  float64
	WorstMM      float64 // closing error if every step errs by the tolerance one way
	LikelyMM     float64 // if steps err at random: √steps times the tolerance
	DatumMM      float64 // if each is set from the datum instead
}

// WheelOptions: the process whose limit one plate may have, and the jig.
type WheelOptions struct {
	Process        string
	JigMM          float64
	JigToleranceMM float64
}

// DefaultWheelOptions: plasma, a jig of 600 mm (the owner's), 0.5 mm.
func DefaultWheelOptions() WheelOptions {
	return WheelOptions{Process: "plasma", JigMM: 600, JigToleranceMM: 0.5}
}

// WheelOf sets out a wheel. Errors: another kind, a size that is not known, or
// options out of range.
func WheelOf(p stock.Part, opt WheelOptions) (WheelWork, error) {
	s := sizes{part: p}
	w := WheelWork{Mark: p.ID, Name: p.Name, Teeth: int(s.need("tooth_count")), TipMM: s.need("tip_diameter_mm"), RootMM: s.need("root_diameter_mm"), Thick: s.need("thickness_mm")}
	limit := CutterLimitMM(opt.Process)
	switch {
	case p.Kind != "toothed_wheel":
		return w, fmt.Errorf("%s: a %s has no teeth to set out", p.ID, p.Kind)
	case s.missing != "":
		return w, fmt.Errorf("%s: no setting-out: its %s is not known", p.ID, s.missing)
	case w.Teeth < 3 || w.Teeth > 2000 || w.TipMM <= w.RootMM:
		return w, fmt.Errorf("%s: %d teeth between %g and %g mm make no wheel", p.ID, w.Teeth, w.RootMM, w.TipMM)
	case limit == 0:
		return w, fmt.Errorf("%s: there is no process %q", p.ID, opt.Process)
	case !(opt.JigMM > 0 && opt.JigToleranceMM >= 0) || math.IsInf(opt.JigMM+opt.JigToleranceMM, 0):
		return w, fmt.Errorf("%s: a jig of %v mm within %v mm; give a length over 0", p.ID, opt.JigMM, opt.JigToleranceMM)
	}
	w.layers(limit)
	if pitch := s.maybe("seat_pitch_mm"); pitch > 0 {
		w.PitchMM, w.PitchDiameterMM = pitch, PitchDiameter(pitch, w.Teeth)
	}
	w.setOut()
	w.jig(opt)
	return w, nil
}

// PitchDiameter is that of a chain wheel: pitch over the sine of half the angle
// between teeth (ASME B29.1, ISO 606).
func PitchDiameter(pitchMM float64, teeth int) float64 {
	return pitchMM / math.Sin(math.Pi/float64(teeth))
}

func (w *WheelWork) layers(limitMM float64) {
	w.Layers = int(math.Ceil(w.Thick/limitMM - 1e-9))
	w.LayerMM = w.Thick / float64(w.Layers)
	if w.Layers == 1 {
		return
	}
	w.Notes = append(w.Notes, fmt.Sprintf("%.1f mm is over the %.0f mm that the cutter takes: %d plates of %.1f mm, plug-welded; each has a pattern", w.Thick, limitMM, w.Layers, w.LayerMM))
}

func (w *WheelWork) setOut() {
	n, root, tip := float64(w.Teeth), w.RootMM/2, w.TipMM/2
	w.StepRootMM, w.StepTipMM = 2*root*math.Sin(math.Pi/n), 2*tip*math.Sin(math.Pi/n)
	for k := range w.Teeth {
		phi := 2 * math.Pi * float64(k) / n
		sin, cos := math.Sincos(phi)
		half := math.Sin(phi / 2)
		w.Places = append(w.Places, ToothPlace{Tooth: k + 1, AngleDeg: 360 * float64(k) / n, RootChordMM: 2 * root * half, TipChordMM: 2 * tip * half, RootArcMM: root * phi,
			XMM: root * cos, YMM: root * sin})
	}
}

// jig holds as many teeth as its length takes; set round the wheel, its steps'
// errors add up, which setting from the datum avoids.
func (w *WheelWork) jig(opt WheelOptions) {
	n, tip := float64(w.Teeth), w.TipMM/2
	teeth := 2
	for m := 2; m <= w.Teeth/2+1; m++ {
		if 2*tip*math.Sin(math.Pi*float64(m-1)/n) <= opt.JigMM {
			teeth = m
		}
	}
	steps := int(math.Ceil(n / float64(teeth-1)))
	w.Jig = Jig{Teeth: teeth, Steps: steps, LengthMM: 2 * tip * math.Sin(math.Pi*float64(teeth-1)/n), ToleranceMM: opt.JigToleranceMM,
		WorstMM: float64(steps) * opt.JigToleranceMM, LikelyMM: math.Sqrt(float64(steps)) * opt.JigToleranceMM, DatumMM: opt.JigToleranceMM}
	w.Notes = append(w.Notes, fmt.Sprintf("a jig of %d teeth (%.1f mm) is set %d times round: within %.2f mm a step it may fail to close by %.2f mm, likely %.2f mm; set every tooth from tooth 1 by its chord instead, and no tooth is off by more than %.2f mm",
		teeth, w.Jig.LengthMM, steps, opt.JigToleranceMM, w.Jig.WorstMM, w.Jig.LikelyMM, w.Jig.DatumMM))
}

// JigDrawing is the spacing jig: a plate that lies against the tips, with a line at
// the middle of each tooth.
func (w WheelWork) JigDrawing() draw.Drawing {
	d := draw.Drawing{Title: title(w.Mark, w.Name) + ", spacing jig", Notes: []string{fmt.Sprintf("%d teeth of %d, set its first line on the middle of the last tooth that stands", w.Jig.Teeth, w.Teeth), "full size"}}
	n, root, tip := float64(w.Teeth), w.RootMM/2, w.TipMM/2
	step, sweep := 2*math.Pi/n, 2*math.Pi*float64(w.Jig.Teeth)/n
	high := tip + math.Max(40, tip-root)
	at := func(r, phi float64) [2]float64 {
		sin, cos := math.Sincos(phi)
		return [2]float64{r * sin, r * cos}
	}
	lo, hi := -sweep/2, sweep/2
	// Seen with the middle up, angles run clockwise: sweeps change their sign.
	d.Add(draw.Cut, draw.Contour{Closed: true, Vertices: []draw.Vertex{{At: at(tip, lo), SweepRad: -sweep}, {At: at(tip, hi)}, {At: at(high, hi), SweepRad: sweep}, {At: at(high, lo)}}})
	for k := range w.Jig.Teeth {
		phi := lo + step*(float64(k)+0.5)
		a, b := at(tip, phi), at(high, phi)
		d.Add(draw.Mark, draw.Segment(a[0], a[1], b[0], b[1]))
		n := at(high-10, phi)
		d.Add(draw.Mark, draw.Label{At: [2]float64{n[0] + 3, n[1] - 3}, HeightMM: 6, Text: fmt.Sprint(k + 1)})
	}
	foot := at(tip, lo)
	for i, t := range append([]string{d.Title, fmt.Sprintf("chord over its lines at the tip %.1f mm, from line to line %.1f mm", w.Jig.LengthMM, w.StepTipMM)}, d.Notes...) {
		d.Add(draw.Text, draw.Label{At: [2]float64{0, foot[1] - 12*float64(i+1)}, HeightMM: 6, Middle: true, Text: t})
	}
	return d
}
