package shop

import (
	"fmt"
	"math"

	"pointup/pipeline/draw"
	"pointup/pipeline/solid"
	"pointup/pipeline/stock"
)

// Loop is one closed line of cut: a contour of straights and arcs, or a circle
// where RadiusMM is over 0.
type Loop struct {
	Contour  draw.Contour
	CentreMM [2]float64
	RadiusMM float64
}

func round(x, y, radiusMM float64) Loop { return Loop{CentreMM: [2]float64{x, y}, RadiusMM: radiusMM} }

func polygon(points ...[2]float64) Loop { return Loop{Contour: draw.Polyline(true, points...)} }

// LengthMM is the length of the cut.
func (l Loop) LengthMM() float64 {
	if l.RadiusMM > 0 {
		return 2 * math.Pi * l.RadiusMM
	}
	return l.Contour.LengthMM()
}

// AreaMM2 is what the loop encloses, whichever way it runs.
func (l Loop) AreaMM2() float64 {
	if l.RadiusMM > 0 {
		return math.Pi * l.RadiusMM * l.RadiusMM
	}
	return math.Abs(l.Contour.AreaMM2())
}

func (l Loop) shape() draw.Shape {
	if l.RadiusMM > 0 {
		return draw.Circle(l.CentreMM[0], l.CentreMM[1], l.RadiusMM)
	}
	return l.Contour
}

// chordRad is the sweep of a chord that stands for a piece of arc where distances
// are measured: its bow is 4e-5 of the radius.
const chordRad = math.Pi / 180

// line is the loop in chords, whose corners lie on it.
func (l Loop) line() [][2]float64 {
	if l.RadiusMM > 0 {
		var out [][2]float64
		for k := range 360 {
			sin, cos := math.Sincos(float64(k) * chordRad)
			out = append(out, [2]float64{l.CentreMM[0] + l.RadiusMM*cos, l.CentreMM[1] + l.RadiusMM*sin})
		}
		return out
	}
	return l.Contour.Chords(chordRad)
}

// box is the rectangle along u and v that encloses the loop, exactly.
func (l Loop) box() (lo, hi [2]float64) { return draw.Box(l.shape()) }

// moved turns the loop about the origin, then shifts it.
func (l Loop) moved(turnRad float64, by [2]float64) Loop {
	out := Loop{CentreMM: moved(l.CentreMM, turnRad, by), RadiusMM: l.RadiusMM, Contour: draw.Contour{Closed: l.Contour.Closed}}
	for _, v := range l.Contour.Vertices {
		out.Contour.Vertices = append(out.Contour.Vertices, draw.Vertex{At: moved(v.At, turnRad, by), SweepRad: v.SweepRad})
	}
	return out
}

func moved(p [2]float64, turnRad float64, by [2]float64) [2]float64 {
	sin, cos := math.Sincos(turnRad)
	return [2]float64{cos*p[0] - sin*p[1] + by[0], sin*p[0] + cos*p[1] + by[1]}
}

// turnOf is the sweep of the arc from a through via to b: twice the turn between
// its chords, since an angle at the circumference is half that at the centre.
func turnOf(a, via, b [2]float64) float64 {
	x, y := via[0]-a[0], via[1]-a[1]
	u, v := b[0]-via[0], b[1]-via[1]
	return 2 * math.Atan2(x*v-y*u, x*u+y*v)
}

// step is one step of an outline as both rooms have it.
type step struct {
	to, via [2]float64
	arc     bool
}

func stepsOf(outline []stock.Step) []step {
	var out []step
	for _, s := range outline {
		out = append(out, step{s.To, s.Via, s.Arc})
	}
	return out
}

func stepsOfSolid(outline solid.Outline) []step {
	var out []step
	for _, s := range outline {
		out = append(out, step{s.To, s.Via, s.Arc})
	}
	return out
}

// loopOf closes an outline; one of a single arc is a circle through its ends.
func loopOf(outline []step) (Loop, error) {
	n := len(outline)
	if n == 1 && outline[0].arc {
		a, b := outline[0].to, outline[0].via
		return round((a[0]+b[0])/2, (a[1]+b[1])/2, math.Hypot(a[0]-b[0], a[1]-b[1])/2), nil
	}
	if n < 2 {
		return Loop{}, fmt.Errorf("an outline of %d steps encloses nothing", n)
	}
	c := draw.Contour{Closed: true}
	for i, s := range outline {
		from := outline[(i+n-1)%n].to
		if from == s.to {
			continue
		}
		v := draw.Vertex{At: from}
		if s.arc {
			v.SweepRad = turnOf(from, s.via, s.to)
		}
		c.Vertices = append(c.Vertices, v)
	}
	l := Loop{Contour: c}
	if len(c.Vertices) < 2 || !(l.AreaMM2() > 0) {
		return Loop{}, fmt.Errorf("an outline encloses nothing")
	}
	return l, nil
}

// holeLoop is the edge of a hole and its width: the largest ball that passes.
func holeLoop(h stock.Hole) (Loop, float64, error) {
	a, b := h.AcrossMM[0]/2, h.AcrossMM[1]/2
	var l Loop
	width := 2 * b
	if x := h.CentreMM[0] + h.CentreMM[1] + h.AngleDeg; math.IsNaN(x) || math.IsInf(x, 0) {
		return l, 0, fmt.Errorf("its place is no number")
	}
	switch h.Shape {
	case "round":
		if !(h.DiameterMM > 0) || math.IsInf(h.DiameterMM, 0) {
			return l, 0, fmt.Errorf("a round hole of %g mm is none", h.DiameterMM)
		}
		return round(h.CentreMM[0], h.CentreMM[1], h.DiameterMM/2), h.DiameterMM, nil
	case "diamond":
		l, width = polygon([2]float64{a, 0}, [2]float64{0, b}, [2]float64{-a, 0}, [2]float64{0, -b}), 2*a*b/math.Hypot(a, b)
	case "rectangle":
		l = polygon([2]float64{-a, -b}, [2]float64{a, -b}, [2]float64{a, b}, [2]float64{-a, b})
	case "slot":
		l = Loop{Contour: draw.Contour{Closed: true, Vertices: []draw.Vertex{
			{At: [2]float64{b - a, -b}}, {At: [2]float64{a - b, -b}, SweepRad: math.Pi}, {At: [2]float64{a - b, b}}, {At: [2]float64{b - a, b}, SweepRad: math.Pi}}}}
	default:
		own, err := loopOf(stepsOf(h.Outline))
		if err != nil {
			return Loop{}, 0, err
		}
		return own, narrowest(own.line()), nil
	}
	if !(b > 0 && a >= b) || math.IsInf(a, 0) {
		return Loop{}, 0, fmt.Errorf("a %s of %g × %g mm is no hole", h.Shape, 2*a, 2*b)
	}
	return l.moved(h.AngleDeg*math.Pi/180, h.CentreMM), width, nil
}

// narrowest is the least width of a polygon between parallel lines, in steps of a
// degree: exact for what has parallel sides, never under the true width.
func narrowest(line [][2]float64) float64 {
	best := math.Inf(1)
	for k := range 180 {
		sin, cos := math.Sincos(float64(k) * math.Pi / 180)
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, p := range line {
			x := cos*p[0] + sin*p[1]
			lo, hi = min(lo, x), max(hi, x)
		}
		best = min(best, hi-lo)
	}
	return best
}
