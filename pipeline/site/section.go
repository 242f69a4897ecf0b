package site

import (
	"fmt"
	"math"

	"pointup/pipeline/stock"
)

// Metal is what the work is made of.
type Metal struct {
	DensityKGM3 float64
	ElasticMPa  float64
	Poisson     float64
	YieldMPa    float64
}

// MetalOf gives a material its stiffness: by density, as materials.csv has none.
// Values from memory (EN 1993-1-1 3.2.6, EN 1993-1-4, EN 1999-1-1).
func MetalOf(m stock.Material) (Metal, error) {
	if !(m.DensityKGM3 > 0 && m.YieldMPa > 0) {
		return Metal{}, fmt.Errorf("%s has no density or yield strength in the table of materials; name a structural grade", m.Name)
	}
	e := 105e3 // copper and bronze
	switch {
	case m.DensityKGM3 < 3000:
		e = 70e3
	case m.DensityKGM3 < 7880:
		e = 210e3
	case m.DensityKGM3 < 8100:
		e = 200e3 // austenitic stainless
	}
	return Metal{DensityKGM3: m.DensityKGM3, ElasticMPa: e, Poisson: 0.3, YieldMPa: m.YieldMPa}, nil
}

// of finishes a section: stiffness and mass follow from its shape.
func (m Metal) of(s Section) Section {
	s.ElasticMPa, s.ShearMPa = m.ElasticMPa, m.ElasticMPa/(2*(1+m.Poisson))
	s.MassKGMM = m.DensityKGM3 * 1e-9 * s.AreaMM2
	s.PolarMassKGMM = m.DensityKGM3 * 1e-9 * (s.IyMM4 + s.IzMM4)
	return s
}

// depthMM is the larger depth of a section, as twice what lies between I and W.
func (s Section) depthMM() float64 { return 2 * max(s.IyMM4/s.WyMM3, s.IzMM4/s.WzMM3) }

// round is a bar, or a tube where it has a bore. The largest shear stress of a tube
// is taken as twice the mean (thin wall), of a bar 4/3.
func (m Metal) round(od, bore float64) Section {
	a := math.Pi / 4 * (od*od - bore*bore)
	i := math.Pi / 64 * (math.Pow(od, 4) - math.Pow(bore, 4))
	w := 2 * i / od
	peak := 2.0
	if bore == 0 {
		peak = 4.0 / 3
	}
	return m.of(Section{AreaMM2: a, IyMM4: i, IzMM4: i, JMM4: 2 * i, WyMM3: w, WzMM3: w, WtMM3: 2 * w, ShearPeak: peak, Round: true})
}

// flat is a solid rectangle, y along its height h. Torsion: Roark's formula for a
// rectangle, a ≥ b half sides, within 4 % of the exact one (from memory).
func (m Metal) flat(h, t float64) Section {
	a, b := max(h, t)/2, min(h, t)/2
	j := a * b * b * b * (16.0/3 - 3.36*b/a*(1-math.Pow(b/a, 4)/12))
	wt := 8 * a * a * b * b / (3*a + 1.8*b)
	return m.of(Section{AreaMM2: h * t, IyMM4: h * t * t * t / 12, IzMM4: t * h * h * h / 12, JMM4: j, WyMM3: h * t * t / 6, WzMM3: t * h * h / 6,
		WtMM3: wt, ShearPeak: 1.5})
}

// box is a rectangular hollow section with sharp corners, y along its height:
// torsion by Bredt, closed thin wall.
func (m Metal) box(h, w, t float64) Section {
	i := func(a, b float64) float64 { return (b*a*a*a - (b-2*t)*math.Pow(a-2*t, 3)) / 12 }
	core := (h - t) * (w - t)
	return m.of(Section{AreaMM2: 2 * (h + w - 2*t) * t, IyMM4: i(w, h), IzMM4: i(h, w), JMM4: 2 * t * core * core / (h + w - 2*t),
		WyMM3: 2 * i(w, h) / w, WzMM3: 2 * i(h, w) / h, WtMM3: 2 * t * core, ShearPeak: 2.5})
}

// polygon is a section by its outline and the way of its stiff axis (of y) from u.
// Torsion: Saint-Venant's A⁴/40Iₚ for a compact section, the thin strips' Σ bt³/3 for
// an angle of thickness t > 0.
func (m Metal) polygon(points [][2]float64, t float64) (Section, float64, error) {
	a, c, iu, iv, iuv := moments(points)
	if !(a > 0) {
		return Section{}, 0, fmt.Errorf("its section has no area")
	}
	turn := 0.5 * math.Atan2(-2*iuv, iu-iv) // of the axis about which it is stiffest
	mid, half := (iu+iv)/2, math.Hypot((iu-iv)/2, iuv)
	big, small := mid+half, mid-half
	sin, cos := math.Sincos(turn)
	var reachBig, reachSmall float64
	for _, p := range points {
		u, v := p[0]-c[0], p[1]-c[1]
		reachBig, reachSmall = max(reachBig, math.Abs(-sin*u+cos*v)), max(reachSmall, math.Abs(cos*u+sin*v))
	}
	j := a * a * a * a / (40 * (iu + iv))
	wt := j / math.Sqrt(a/math.Pi)
	if t > 0 {
		j, wt = a*t*t/3, a*t/3
	}
	// z is the stiff axis, so that y lies a quarter turn on from it.
	s := Section{AreaMM2: a, IyMM4: small, IzMM4: big, JMM4: j, WyMM3: small / reachSmall, WzMM3: big / reachBig, WtMM3: wt, ShearPeak: 2}
	return m.of(s), turn + math.Pi/2, nil
}

// moments of a polygon: area, centroid, and second moments about axes u, v through
// it (Green's theorem).
func moments(points [][2]float64) (a float64, c [2]float64, iu, iv, iuv float64) {
	var su, sv float64
	for i, p := range points {
		q := points[(i+1)%len(points)]
		k := p[0]*q[1] - p[1]*q[0]
		a += k / 2
		su += k * (p[0] + q[0]) / 6
		sv += k * (p[1] + q[1]) / 6
		iu += k * (p[1]*p[1] + p[1]*q[1] + q[1]*q[1]) / 12
		iv += k * (p[0]*p[0] + p[0]*q[0] + q[0]*q[0]) / 12
		iuv += k * (p[0]*q[1] + 2*p[0]*p[1] + 2*q[0]*q[1] + q[0]*p[1]) / 24
	}
	if a == 0 {
		return
	}
	c = [2]float64{su / a, sv / a}
	return a, c, iu - a*c[1]*c[1], iv - a*c[0]*c[0], iuv - a*c[0]*c[1]
}
