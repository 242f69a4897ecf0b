package solid

import "math"

// Wheel is the rim of a toothed wheel of which counts and sizes are known, all
// teeth alike, one centred on x. Straight teeth have flanks of lines between the
// root and tip circles; round-seated ones (SeatMM over 0) arcs of that diameter
// between teeth, SeatPitchMM apart in chords, and flanks that touch them.
type Wheel struct {
	Teeth         int
	TipMM, RootMM float64 // diameters
	WidthMM       float64 // of a tooth along the circle half-way up, 0: half the pitch there
	SeatMM        float64
	SeatPitchMM   float64
}

// flankLean is what half a straight tooth loses in width from root to tip, as a
// share of its depth: that of a 14½° rack's flank, from memory of the old American
// standard. The scan gives the width half-way up only.
const flankLean = 0.2586

// Outline runs counter-clockwise; nil where the sizes make no rim.
func (w Wheel) Outline() Outline {
	tip, root := w.TipMM/2, w.RootMM/2
	if w.Teeth < 3 || w.Teeth > 2000 || !finite(w.TipMM, w.RootMM, w.WidthMM, w.SeatMM, w.SeatPitchMM) || !(root > leastMM) || tip-root < leastMM {
		return nil
	}
	if o := w.seated(tip, root); o != nil {
		return o
	}
	mid, pitch := (tip+root)/2, 2*math.Pi/float64(w.Teeth)
	half := w.WidthMM / mid / 2
	if half <= 0 || half > 0.45*pitch {
		half = pitch / 4
	}
	lean := flankLean * (tip - root) / 2 / mid
	lean = min(lean, 0.8*half, 0.8*(pitch/2-half))
	var out Outline
	for k := range w.Teeth {
		c := pitch * float64(k)
		out = append(out,
			Step{To: polar(root, c-half-lean), Via: polar(root, c-pitch/2), Arc: true},
			Step{To: polar(tip, c-half+lean)},
			Step{To: polar(tip, c+half-lean), Via: polar(tip, c), Arc: true},
			Step{To: polar(root, c+half+lean)})
	}
	return out
}

func polar(r, phi float64) [2]float64 {
	sin, cos := math.Sincos(phi)
	return [2]float64{r * cos, r * sin}
}

// seated is a rim with round seats: each an arc of 180° less twice the slope of
// its flanks, which are tangents to it up to the tip circle. nil where the tooth
// has no top left.
func (w Wheel) seated(tip, root float64) Outline {
	if w.SeatMM <= 0 {
		return nil
	}
	pitch, r := 2*math.Pi/float64(w.Teeth), w.SeatMM/2
	at := root + r
	if w.SeatPitchMM > 0 {
		at = w.SeatPitchMM / 2 / math.Sin(pitch/2)
	}
	if at-r < leastMM || at+leastMM > tip {
		return nil
	}
	// In the frame of a gap, x outwards through the seat's centre at distance at:
	// a flank leaves the seat square to its radius, open degrees off x.
	for _, open := range []float64{15, 10, 5, 0} {
		sin, cos := math.Sincos(open * math.Pi / 180)
		x, y := at-r*sin, r*cos                  // where seat and flank touch
		b := x*cos + y*sin                       // up the flank to the tip circle
		t := -b + math.Sqrt(b*b+tip*tip-x*x-y*y) // (x + t cos)² + (y + t sin)² = tip²
		reach := math.Atan2(y+t*sin, x+t*cos)
		if !(t > leastMM) || !(pitch/2-reach > 2*leastMM/tip) {
			continue
		}
		touch, low := math.Atan2(y, x), math.Hypot(x, y)
		var out Outline
		for k := range w.Teeth {
			c := pitch * (float64(k) + 0.5)
			out = append(out,
				Step{To: polar(low, c-touch)},
				Step{To: polar(low, c+touch), Via: polar(at-r, c), Arc: true},
				Step{To: polar(tip, c+reach)},
				Step{To: polar(tip, c+pitch-reach), Via: polar(tip, c+pitch/2), Arc: true})
		}
		return out
	}
	return nil
}
