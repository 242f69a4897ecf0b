package primitive

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// wound says in words what a freeform is that winds in a plane or on a cone: no
// kind has it, but a shop can roll it from these numbers. Such a piece is one
// piece of metal. Others are left as they are.
func (e *Element) wound(p *Patch, opt Options) {
	whole := p.whole()
	if whole.Next == nil || len(whole.Facet) < 100 {
		return
	}
	words, ok := woundRod(p, whole, opt)
	if !ok {
		words, ok = woundBar(p, opt)
	}
	if ok {
		e.Whole = true
		e.Notes = append(e.Notes, words)
	}
}

// woundRod is that of a round bar or tube.
func woundRod(p, whole *Patch, opt Options) (words string, ok bool) {
	w, ok := centrelineOf(whole)
	if !ok {
		return "", false
	}
	s, ok := windingOf(w)
	if most := limit(p, 2*w.r, opt); !ok || s.offMM > most || math.Abs(s.growth)*s.turning() < most {
		return "", false
	}
	section, bore := w.section(p)
	s.reach(whole, section)
	what := fmt.Sprintf("a round bar of %.2f mm", 2*section)
	if bore > 0 {
		what = fmt.Sprintf("a round tube of %.2f mm, bore %.2f mm", 2*section, 2*bore)
	}
	return s.words(what, section), true
}

// flatRise is the rise over all turns, in sections' radii, up to which a spiral
// lies in a plane; common practice, no source.
const flatRise = 0.5

// words names the winding of what, of half the section's height, with its numbers.
func (s winding) words(what string, section float64) string {
	const turn = 2 * math.Pi
	lo, hi := s.radius(s.from), s.radius(s.to)
	sizes := fmt.Sprintf("%.2f turns, centreline %.1f mm across at the inner end and %.1f mm at the outer, pitch %.2f mm outwards",
		s.turning()/turn, 2*min(lo, hi), 2*max(lo, hi), turn*math.Abs(s.growth))
	length := fmt.Sprintf("developed length %.0f mm, all at maquette scale", s.lengthMM())
	if math.Abs(s.lead)*s.turning() < flatRise*section {
		return fmt.Sprintf("flat spiral: %s rolled in one plane, %s, %s", what, sizes, length)
	}
	hand := "right"
	if s.lead < 0 {
		hand = "left"
	}
	return fmt.Sprintf("conical coil: %s wound on a cone, %s-handed, %s and %.2f mm along the axis, %s",
		what, hand, sizes, turn*math.Abs(s.lead), length)
}

// lengthMM is that of the centreline: √(r² + growth² + lead²) over the angle, by
// Simpson's rule, exact to a micrometre as the root is nearly linear.
func (s winding) lengthMM() float64 {
	const n = 200
	at := func(i int) float64 {
		return hypot(s.radius(s.from+s.turning()*float64(i)/n), hypot(s.growth, s.lead))
	}
	sum := at(0) + at(n)
	for i := 1; i < n; i++ {
		sum += float64(2+2*(i%2)) * at(i)
	}
	return sum * s.turning() / n / 3
}

// section is the radius of the outer wall round the path, and that of the bore, 0
// where none was seen: medians of the vertices' distances.
func (w tubePath) section(p *Patch) (outer, bore float64) {
	var out, in weighted
	for v, q := range p.P {
		at := w.nearest(q)
		d := r3.Sub(q, at.c)
		d = r3.Sub(d, r3.Scale(r3.Dot(d, at.t), at.t))
		l := norm(d)
		if l == 0 || math.Abs(r3.Dot(p.N[v], at.t)) > wallCos {
			continue
		}
		if r3.Dot(p.N[v], d) > 0 {
			out.add(l, p.AreaMM2[v])
		} else {
			in.add(l, p.AreaMM2[v])
		}
	}
	outer = out.median()
	if in.total > 0.02*out.total && len(in.v) >= 6 && in.median() < outer {
		bore = in.median()
	}
	return outer, bore
}

// nearest is the node nearest to q.
func (w tubePath) nearest(q r3.Vec) tubeNode {
	best, least := 0, math.Inf(1)
	for i, n := range w.node {
		if d := r3.Norm2(r3.Sub(q, n.c)); d < least {
			best, least = i, d
		}
	}
	return w.node[best]
}

// reach moves the ends to where the wall ends: the outermost vertices past each
// end that lie within the section as the centreline would go on.
func (s *winding) reach(p *Patch, section float64) {
	var beyond [2][]float64
	for _, q := range p.P {
		u, v, h := s.f.local(q)
		for k, end := range [2]float64{s.from, s.to} {
			phi := math.Remainder(math.Atan2(v, u)-end, 2*math.Pi)
			past := phi * float64(2*k-1)
			rc := s.radius(end + phi)
			if past > 0 && past < min(4*section/s.radius(end), 1) && hypot(hypot(u, v)-rc, h-s.lead*(end+phi)) < 1.3*section {
				beyond[k] = append(beyond[k], past)
			}
		}
	}
	if len(beyond[0]) > 0 {
		s.from -= quantile(beyond[0], 0.95)
	}
	if len(beyond[1]) > 0 {
		s.to += quantile(beyond[1], 0.95)
	}
}
