package stock

import (
	"errors"
	"fmt"
	"math"
)

// errNoStock: the piece is made of nothing that has a mass.
var errNoStock = errors.New("no stock was found for it")

// MassKG is the mass of a part made of a size, in a metal of a density: straight
// and bent parts by the mass of a metre and the length of the axis between their
// end planes (Pappus: exact, saddles and weld apart), flat ones by the mass of a
// square metre of their outline less bores, holes and gaps between teeth. Masses
// of tables are for 7850 kg/m³ and go with the density. An error says which size
// of the part is not known.
func MassKG(p Part, s Size, densityKGM3 float64) (float64, error) {
	if s.Form == "" {
		return 0, errNoStock
	}
	m := massing{p: p, s: s}
	kg := m.kg()
	if len(m.unknown) > 0 {
		return 0, fmt.Errorf("its %s is not known", m.unknown[0])
	}
	if !(densityKGM3 > 0) || math.IsInf(densityKGM3, 0) {
		return 0, fmt.Errorf("the density is %v kg/m³; give one over 0", densityKGM3)
	}
	return kg * densityKGM3 / steelKGM3, nil
}

// massing remembers which sizes were asked for and are not known.
type massing struct {
	p       Part
	s       Size
	unknown []string
}

func (m *massing) size(key string) float64 {
	x, ok := m.p.Size(key)
	if !ok || !(x >= 0) {
		m.unknown = append(m.unknown, key)
	}
	return x
}

// maybe is 0 where the part has no such size.
func (m *massing) maybe(key string) float64 {
	x, _ := m.p.Size(key)
	return x
}

func (m *massing) kg() float64 {
	if shell := m.p.Kind == "sphere" || m.p.Kind == "cone"; shell && !(m.s.WallMM > 0) {
		m.unknown = append(m.unknown, "wall_mm")
		return 0
	}
	switch m.p.Kind {
	case "sphere":
		r := m.size("diameter_mm") / 2
		t := min(m.s.WallMM, r)
		return 4.0 / 3 * math.Pi * (r*r*r - (r-t)*(r-t)*(r-t)) * steelKGM3 * 1e-9
	case "cone":
		return m.cone()
	}
	if m.s.MassKGM2 > 0 {
		area, edge := m.faceMM2()
		return m.s.MassKGM2*area*1e-6 + m.s.MassKGM*edge*1e-3 + landsMM3(m.p.Lands)*steelKGM3*1e-9
	}
	holes := 0.0
	if m.s.Form == "flat" || m.s.Form == "square" {
		holes = holesMM2(m.p.Holes) * m.s.Of("thickness_mm") * steelKGM3 * 1e-9
	}
	return m.s.MassKGM*m.lengthMM()*1e-3 - holes
}

// landsMM3 is what the lands of a wheel have more than its rim is thick.
func landsMM3(lands []Land) float64 {
	sum := 0.0
	for _, l := range lands {
		rim := lands[len(lands)-1]
		sum += math.Pi * (l.ToMM*l.ToMM - l.FromMM*l.FromMM) * (l.FrontMM + l.BackMM - rim.FrontMM - rim.BackMM)
	}
	return sum
}

// cone is a rolled shell: its mean radii times its slant. A wall that leaves no
// bore at the large end is solid.
func (m *massing) cone() float64 {
	a, b, h := m.size("large_diameter_mm")/2, m.size("small_diameter_mm")/2, m.size("height_mm")
	slant := math.Hypot(a-b, h)
	switch {
	case slant == 0:
		return 0
	case m.s.WallMM >= a:
		return math.Pi / 3 * h * (a*a + a*b + b*b) * steelKGM3 * 1e-9
	}
	mean := max((a+b-m.s.WallMM*h/slant)/2, 0)
	return 2 * math.Pi * mean * slant * m.s.WallMM * steelKGM3 * 1e-9
}

// lengthMM is that of the axis.
func (m *massing) lengthMM() float64 {
	const rad = math.Pi / 180
	switch m.p.Kind {
	case "ring":
		return math.Pi * m.size("centreline_diameter_mm")
	case "coil":
		return m.size("turns") * math.Hypot(math.Pi*m.size("centreline_diameter_mm"), m.size("pitch_mm"))
	case "arc":
		if len(m.p.Segments) > 0 {
			return m.segmentsMM()
		}
		return m.size("centreline_diameter_mm") / 2 * m.size("sweep_deg") * rad
	}
	return m.size("length_mm")
}

func (m *massing) segmentsMM() float64 {
	const rad = math.Pi / 180
	sum := 0.0
	for i, s := range m.p.Segments {
		x := massing{p: Part{Dims: s.Dims}}
		if s.Kind == "arc" {
			sum += x.size("centreline_diameter_mm") / 2 * x.size("sweep_deg") * rad
		} else {
			sum += x.size("length_mm")
		}
		for _, u := range x.unknown {
			m.unknown = append(m.unknown, fmt.Sprintf("%s of segment %d", u, i+1))
		}
	}
	return sum
}

// faceMM2 is the area of a flat or developed piece without its holes, and the
// length of all its edges, holes' too (mm).
func (m *massing) faceMM2() (area, edge float64) {
	holes := holesMM2(m.p.Holes)
	for _, h := range m.p.Holes {
		edge += h.perimeterMM()
	}
	disc := func(d float64) (float64, float64) { return math.Pi / 4 * d * d, math.Pi * d }
	switch m.p.Kind {
	case "disc":
		a, e := disc(m.size("outside_diameter_mm"))
		return a - holes, edge + e
	case "ring", "arc":
		turn := 1.0
		a, e := disc(m.size("outside_diameter_mm"))
		b, f := disc(m.size("inside_diameter_mm"))
		if m.p.Kind == "arc" {
			turn = m.size("sweep_deg") / 360
		}
		return (a-b)*turn - holes, edge + (e+f)*turn
	case "toothed_wheel":
		b, f := disc(m.maybe("bore_diameter_mm"))
		return m.wheelMM2() - b - holes, edge + f + math.Pi*m.size("tip_diameter_mm")
	case "rolled_plate":
		a, e := m.rolledMM2()
		return a - holes, edge + e
	}
	l, w := m.size("length_mm"), m.size("width_mm")
	if a, e, ok := outlineOfFace(m.p.Outline, l, w); ok {
		return a - holes, edge + e
	}
	return l*w - holes, edge + 2*(l+w)
}

// rolledMM2 is the developed middle surface of a rolled plate and the length of
// its edges: a rectangle, or where it was rolled to a cone a sector of a ring.
func (m *massing) rolledMM2() (area, edge float64) {
	const rad = math.Pi / 180
	if large, conical := m.p.Size("developed_large_radius_mm"); conical {
		small, sweep := m.size("developed_small_radius_mm"), m.size("developed_sweep_deg")*rad
		return sweep / 2 * (large*large - small*small), sweep*(large+small) + 2*(large-small)
	}
	arc := (m.size("inside_diameter_mm") + m.s.ThicknessMM) / 2 * m.size("sweep_deg") * rad
	w := m.size("width_mm")
	return arc * w, 2 * (arc + w)
}

// outlineOfFace is false where the outline is that of the end of a flat bar.
func outlineOfFace(outline []Step, length, width float64) (area, edge float64, ok bool) {
	if len(outline) < 2 {
		return 0, 0, false
	}
	b := boxOf(polyline(outline))
	if math.Abs(b.longMM-length) > 0.05*length || math.Abs(b.shortMM-width) > 0.05*width {
		return 0, 0, false
	}
	return outlineAreaMM2(outline), perimeterMM(outline), true
}

// wheelMM2 is the area of a toothed rim about its axis, bore not counted. A tooth
// is as wide half-way up as measured, else half its pitch; between round seats the
// gap is half a circle and flanks that open by 15° a side (ASME B29.1's form,
// from memory).
func (m *massing) wheelMM2() float64 {
	tip, root, n := m.size("tip_diameter_mm")/2, m.size("root_diameter_mm")/2, m.size("tooth_count")
	depth, pitch := tip-root, math.Pi*(tip+root)/max(n, 1)
	if seat := m.maybe("seat_diameter_mm") / 2; seat > 0 && seat < depth {
		up := depth - seat
		gap := math.Pi/2*seat*seat + up*(2*seat+up*math.Tan(15*math.Pi/180))
		return math.Pi*tip*tip - n*min(gap, pitch*depth)
	}
	wide := m.maybe("tooth_width_mm")
	if wide <= 0 || wide >= pitch {
		wide = pitch / 2
	}
	return math.Pi*root*root + n*wide*depth
}
