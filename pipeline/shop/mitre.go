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
	BendMM     float64 // radius of the centreline of a bent piece, 0 of a straight one
	oblique    oblique
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

// oblique is the plane cut of a bent piece: its unit normal along the outward
// tangent, away from the centre of curvature and along the bend's axis, the turn
// round the section where the cut reaches farthest, and the least reach.
//
// hand is 1 where the turn runs to the right on the printed face, seen with the cut
// up, else −1.
type oblique struct{ along, out, up, longRad, leastMM, hand float64 }

// reach is how far the generator at a turn from the outside of the bend runs beyond
// the square section through the middle of the cut, along itself. With ρ = R + r cos
// ψ its radius of bend and z = r sin ψ, the plane through R is met at δ where
// ρ (out cos δ + along sin δ) + z up = R out; the derivation is ours.
func (m Mitre) reach(turnRad float64) float64 {
	o, r := m.oblique, m.OutsideMM/2
	sin, cos := math.Sincos(turnRad)
	rho := m.BendMM + r*cos
	h := math.Hypot(o.along, o.out)
	x := (m.BendMM*o.out - r*sin*o.up) / (rho * h)
	return rho * (math.Asin(math.Max(-1, math.Min(1, x))) - math.Atan2(o.out, o.along))
}

// ArcEndsOf are the plane cuts of an arc that are not square, by the lengths along
// its own bent generators. A compound bend says why there is none.
func ArcEndsOf(p stock.Part, stations int) ([]Mitre, error) {
	if p.Kind != "arc" || p.Made || IsFlat(p) {
		return nil, nil
	}
	if stations != 16 && stations != 32 {
		return nil, fmt.Errorf("mitre: %d stations; give 16 or 32", stations)
	}
	s := sizes{part: p}
	bend, section := s.need("centreline_diameter_mm")/2, s.need("section_diameter_mm")
	var out []Mitre
	for i, e := range p.Ends {
		n := r3.Norm(e.Out)
		if e.Kind != "mitre" || n == 0 || s.missing != "" {
			continue
		}
		if len(p.Segments) > 0 {
			return nil, fmt.Errorf("%s: end %d of a compound bend is not square: cut it to fit", p.ID, i+1)
		}
		d := r3.Sub(e.AtMM, p.Frame.OriginMM)
		d = r3.Sub(d, r3.Scale(r3.Dot(d, p.Frame.Axis), p.Frame.Axis))
		if !(r3.Norm(d) > 0) || bend <= section/2 {
			continue
		}
		away := r3.Unit(d)
		tangent := r3.Cross(p.Frame.Axis, away)
		hand := -1.0 // seen from outside, forward × up = −away × tangent
		if r3.Dot(tangent, e.Out) < 0 {
			tangent, hand = r3.Scale(-1, tangent), 1
		}
		m := Mitre{Part: p.ID, End: i + 1, OutsideMM: section, BendMM: bend,
			oblique: oblique{hand: hand, along: r3.Dot(tangent, e.Out) / n, out: r3.Dot(away, e.Out) / n, up: r3.Dot(p.Frame.Axis, e.Out) / n}}
		m.AngleDeg = math.Acos(math.Min(1, m.oblique.along)) * 180 / math.Pi
		if m.AngleDeg <= squareDeg || m.AngleDeg > 80 {
			continue
		}
		m.fromLongest()
		m.LongWay = r3.Add(r3.Scale(math.Cos(m.oblique.longRad), away), r3.Scale(math.Sin(m.oblique.longRad), p.Frame.Axis))
		for k := range stations {
			m.StationsMM = append(m.StationsMM, m.height(2*math.Pi*float64(k)/float64(stations)))
		}
		m.PatternMM = m.length()
		out = append(out, m)
	}
	return out, nil
}

// fromLongest finds the generators that reach farthest and least, to a tenth of a
// degree.
func (m *Mitre) fromLongest() {
	most, least := math.Inf(-1), math.Inf(1)
	for k := range 3600 {
		turn := 2 * math.Pi * float64(k) / 3600
		h := m.reach(turn)
		if h > most {
			most, m.oblique.longRad = h, turn
		}
		least = math.Min(least, h)
	}
	m.oblique.leastMM = least
}

// height is the ordinate at a turn from the longest generator, over the shortest.
func (m Mitre) height(t float64) float64 {
	if m.BendMM > 0 {
		return m.reach(m.oblique.longRad+m.oblique.hand*t) - m.oblique.leastMM
	}
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
	if m.BendMM > 0 {
		d.Notes = append(d.Notes, fmt.Sprintf("of a bend of %.1f mm: ordinates run along the tube's own bent lines; slit the paper between stations and lay each strip on its line", m.BendMM))
	}
	d.Items = wrapped(m.OutsideMM, len(m.StationsMM), m.height).Items
	return d
}
