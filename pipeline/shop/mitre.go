package shop

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/draw"
	"pointup/pipeline/stock"
)

// Mitre is the plane cut of a round piece.
type Mitre struct {
	Part       string
	End        int // 1 or 2, along the axis
	OutsideMM  float64
	AngleDeg   float64 // off square
	StationsMM []float64
	LongWay    r3.Vec // from the axis to the longest generator, SITE
	PatternMM  float64
}

// squareDeg is up to which an end counts as cut square: common practice, no
// source.
const squareDeg = 1

// MitresOf are the plane cuts of a straight round piece that are not square.
// Ordinates are over the shortest generator, from the longest on: r tan a (1 +
// cos t).
func MitresOf(p stock.Part, stations int) ([]Mitre, error) {
	a := axisOf(p)
	if a.outside == 0 || p.Made {
		return nil, nil
	}
	if stations != 16 && stations != 32 {
		return nil, fmt.Errorf("mitre: %d stations; give 16 or 32", stations)
	}
	var out []Mitre
	for _, e := range p.Ends {
		n := r3.Norm(e.Out)
		if e.Kind != "mitre" || n == 0 {
			continue
		}
		along := r3.Dot(e.Out, a.way) / n
		deg := math.Acos(math.Min(1, math.Abs(along))) * 180 / math.Pi
		if deg <= squareDeg || deg > 80 {
			continue
		}
		m := Mitre{Part: p.ID, End: 1, OutsideMM: a.outside, AngleDeg: deg}
		if along > 0 {
			m.End = 2
		}
		// The plane rises outwards where its normal leans back to the axis.
		lean := r3.Sub(r3.Scale(1/n, e.Out), r3.Scale(along, a.way))
		m.LongWay = r3.Unit(r3.Scale(-1, lean))
		for i := range stations {
			m.StationsMM = append(m.StationsMM, m.height(2*math.Pi*float64(i)/float64(stations)))
		}
		m.PatternMM = m.length()
		out = append(out, m)
	}
	return out, nil
}

func (m Mitre) height(t float64) float64 {
	return m.OutsideMM / 2 * math.Tan(m.AngleDeg*math.Pi/180) * (1 + math.Cos(t))
}

// length is that of the pattern's curve: the girth of the ellipse.
func (m Mitre) length() (sum float64) {
	step := 2 * math.Pi / curveSteps
	for i := range curveSteps {
		t := step * float64(i)
		sum += math.Hypot(m.OutsideMM/2*step, m.height(t+step)-m.height(t))
	}
	return sum
}

// Wrap is the template, wrapped round the outside, its edges meeting along the
// longest generator.
func (m Mitre) Wrap() draw.Drawing {
	d := draw.Drawing{Title: fmt.Sprintf("%s end %d, wrap-round template of a mitre", m.Part, m.End), Notes: []string{
		fmt.Sprintf("outside %.1f mm, %.2f° off square", m.OutsideMM, m.AngleDeg), "wrap it printed face out, the curve towards the cut; edges meet on the longest side"}}
	d.Items = wrapped(m.OutsideMM, len(m.StationsMM), m.height).Items
	return d
}
