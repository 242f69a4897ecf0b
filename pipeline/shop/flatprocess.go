package shop

import (
	"fmt"
	"math"
)

// process is a way to cut plate: the thickness it takes, the narrowest hole and
// the least web as multiples of the thickness, the narrowest hole whatever the
// thickness.
type process struct {
	name                  string
	thinMM, thickMM       float64
	hole, holeMM, web     float64
	holeSource, webSource string
}

// processes: thickness ranges of laser, plasma and flame are the scope of ISO
// 9013; of the rest what a source says, else from memory.
var processes = []process{
	{"laser", 0.5, 32, 1, 0, 1, "from memory: 0.5 to 1 × thickness", "edge margin of 1 × thickness, from memory"},
	{"plasma", 0.5, 150, 1.5, 0, 1.5, "a plasma cutting guide: 1.5 × thickness", "a plasma cutting guide: 1.5 × thickness"},
	{"flame", 3, 300, 1.5, 12.7, 1, "from memory: 1 to 1.5 × thickness, not under 1/2 in", "edge margin of 1 × thickness, from memory"},
	{"punch", 0.5, 12, 1, 0, 1, "from memory: 1 × thickness in mild steel", "from memory: 1 × thickness"},
}

// Verdict is whether a process can cut a pattern. Warnings say what it cannot and
// by which rule.
type Verdict struct {
	Process  string
	Fit      bool
	Warnings []string
}

// judge holds thickness, narrowest hole and least web against each process.
func judge(f Flat) []Verdict {
	var out []Verdict
	for _, p := range processes {
		v := Verdict{Process: p.name}
		say := func(format string, args ...any) { v.Warnings = append(v.Warnings, fmt.Sprintf(format, args...)) }
		if f.ThicknessMM < p.thinMM || f.ThicknessMM > p.thickMM {
			say("%.1f mm is outside the %g to %g mm that it cuts", f.ThicknessMM, p.thinMM, p.thickMM)
		}
		if least := math.Max(p.hole*f.ThicknessMM, p.holeMM); f.HoleMM < least-1e-9 {
			say("a hole of %.1f mm is under %.1f mm: drill it (%s)", f.HoleMM, least, p.holeSource)
		}
		if least := p.web * f.ThicknessMM; f.WebMM < least-1e-9 {
			say("%.1f mm of metal between cuts is under %.1f mm (%s)", f.WebMM, least, p.webSource)
		}
		v.Fit = len(v.Warnings) == 0
		out = append(out, v)
	}
	return out
}

// CutterLimitMM is the thickest plate that a process cuts, 0 for one not known.
func CutterLimitMM(name string) float64 {
	for _, p := range processes {
		if p.name == name {
			return p.thickMM
		}
	}
	return 0
}
