package rig

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// Joint is where two bodies meet, by their indices.
type Joint struct {
	A, B   int
	WeldMM float64 // to be laid on site where sections part here
	Fixed  bool    // may not be left for the site
}

// SectionOptions are the limits of a haul and of the search.
type SectionOptions struct {
	Envelope Envelope
	Seed     uint64 // of the search that is not exact
	Tries    int    // 1 to 1000, from as many beginnings
}

// DefaultSectionOptions has no envelope: it depends on the vehicle and the country.
func DefaultSectionOptions() SectionOptions { return SectionOptions{Seed: 1, Tries: 6} }

func (o SectionOptions) check() error {
	e := o.Envelope
	for _, x := range []struct {
		name, unit string
		value      float64
	}{{"length", "mm", e.LengthMM}, {"width", "mm", e.WidthMM}, {"height", "mm", e.HeightMM}, {"mass", "kg", e.MassKG}} {
		if !(x.value > 0) || math.IsInf(x.value, 0) {
			return fmt.Errorf("the %s of the haul envelope is %v %s; give one over 0", x.name, x.value, x.unit)
		}
	}
	if o.Tries < 1 || o.Tries > 1000 {
		return fmt.Errorf("%d beginnings of the search; give 1 to 1000", o.Tries)
	}
	return nil
}

// Section is what travels as one piece.
type Section struct {
	Bodies []string
	Of     Mass
	Rest   Rest // as it travels
	Fits   bool
	Why    string // why it does not fit
}

// Sections are the work taken apart for the road.
type Sections struct {
	Sections    []Section
	Cuts        []Joint // joints between sections, welded on site
	FieldWeldMM float64
	Exact       bool // no other way has fewer sections, or as few and less weld
	Assumptions []string
	Cautions    []string
}

// Divide takes an assembly apart at joints, so that each section hangs together and
// lies in the envelope in some stable pose, with the fewest sections, and of these
// the least weld on site. Bodies held by fixed joints stay together; one that fits
// in no way travels alone and is named. The search is exact for up to exactLumps
// bodies; for more, bodies are first gathered to gatherTo lumps by the longest welds,
// from several beginnings, each result is improved by moving single bodies, and
// neighbours of the best are divided anew.
func Divide(ctx context.Context, bodies []Body, joints []Joint, opt SectionOptions) (Sections, error) {
	if err := checked(bodies); err != nil {
		return Sections{}, err
	}
	if err := opt.check(); err != nil {
		return Sections{}, err
	}
	for i, j := range joints {
		if n := len(bodies); j.A < 0 || j.B < 0 || j.A >= n || j.B >= n || j.A == j.B || !(j.WeldMM >= 0) || math.IsInf(j.WeldMM, 0) {
			return Sections{}, fmt.Errorf("joint %d is between bodies %d and %d with %v mm of weld; name two of the %d bodies and 0 mm or more", i, j.A, j.B, j.WeldMM, n)
		}
	}
	d := newDivider(ctx, bodies, joints, opt)
	parts, exact := d.search()
	if ctx.Err() != nil {
		return Sections{}, ctx.Err()
	}
	return d.told(parts, exact)
}

// divider holds the atoms: bodies with those that fixed joints tie to them.
type divider struct {
	ctx     context.Context
	bodies  []Body
	joints  []Joint
	opt     SectionOptions
	hulls   []outline // of bodies
	atoms   [][]int   // bodies of an atom
	weld    [][]float64
	meets   [][]bool
	known   map[string]bool    // whether a set of atoms fits
	corners map[string]outline // of the hull of a set of atoms
}

func newDivider(ctx context.Context, bodies []Body, joints []Joint, opt SectionOptions) *divider {
	d := &divider{ctx: ctx, bodies: bodies, joints: joints, opt: opt, known: map[string]bool{}, corners: map[string]outline{}}
	for _, b := range bodies {
		d.hulls = append(d.hulls, outlineOf(b.Points))
	}
	atomOf := make([]int, len(bodies))
	for i := range atomOf {
		atomOf[i] = i
	}
	for _, j := range joints {
		if a, b := atomOf[j.A], atomOf[j.B]; j.Fixed && a != b {
			for i := range atomOf {
				if atomOf[i] == max(a, b) {
					atomOf[i] = min(a, b)
				}
			}
		}
	}
	number := map[int]int{}
	for i, a := range atomOf {
		if _, ok := number[a]; !ok {
			number[a] = len(d.atoms)
			d.atoms = append(d.atoms, nil)
		}
		atomOf[i] = number[a]
		d.atoms[atomOf[i]] = append(d.atoms[atomOf[i]], i)
	}
	d.weld, d.meets = make([][]float64, len(d.atoms)), make([][]bool, len(d.atoms))
	for i := range d.atoms {
		d.weld[i], d.meets[i] = make([]float64, len(d.atoms)), make([]bool, len(d.atoms))
	}
	for _, j := range joints {
		if a, b := atomOf[j.A], atomOf[j.B]; a != b {
			d.weld[a][b] += j.WeldMM
			d.weld[b][a] += j.WeldMM
			d.meets[a][b], d.meets[b][a] = true, true
		}
	}
	return d
}

// bodiesOf are those of a set of atoms, sorted.
func (d *divider) bodiesOf(atoms []int) []int {
	var out []int
	for _, a := range atoms {
		out = append(out, d.atoms[a]...)
	}
	slices.Sort(out)
	return out
}

// fits tells whether a set of atoms lies within the envelope; a single atom always
// may travel.
func (d *divider) fits(atoms []int) bool {
	if len(atoms) == 1 {
		return true
	}
	key := keyOf(atoms, len(d.atoms))
	ok, seen := d.known[key]
	if !seen {
		places, kg := d.weigh(d.bodiesOf(atoms))
		if kg <= d.opt.Envelope.MassKG {
			o := d.outline(atoms)
			ok = d.opt.Envelope.tooMuch(o.points, kg) == "" && d.opt.Envelope.hasRest(o, places)
		}
		d.known[key] = ok
	}
	return ok
}

// outline is the hull of a set of atoms: that of the set without its last, and of
// this one's bodies.
func (d *divider) outline(atoms []int) outline {
	key := keyOf(atoms, len(d.atoms))
	if o, ok := d.corners[key]; ok {
		return o
	}
	last := len(atoms) - 1
	of := d.atoms[atoms[last]]
	o := d.hulls[of[0]]
	if last > 0 {
		o, of = d.outline(atoms[:last]), append([]int{of[0]}, of...)
	}
	for _, i := range of[1:] {
		o = o.with(d.hulls[i])
	}
	d.corners[key] = o
	return o
}

// lay is how a set of atoms travels, why not where it does not fit: then as low as
// it lies.
func (d *divider) lay(atoms []int) (Rest, string) {
	o := d.outline(atoms)
	places, kg := d.weigh(d.bodiesOf(atoms))
	why := d.opt.Envelope.tooMuch(o.points, kg)
	if why == "" {
		if r, ok := d.opt.Envelope.restIn(o, places); ok {
			return r, ""
		}
		why = "in no stable pose does its box lie within the envelope"
	}
	r, _ := lowestRest(o, places)
	return r, why
}

// tooMuch is why a load cannot fit in any pose, if that is seen at once.
func (e Envelope) tooMuch(points []r3.Vec, kg float64) string {
	if kg > e.MassKG {
		return fmt.Sprintf("its mass can be %.0f kg, the envelope allows %.0f kg", kg, e.MassKG)
	}
	if far := math.Sqrt(e.LengthMM*e.LengthMM + e.WidthMM*e.WidthMM + e.HeightMM*e.HeightMM); longer(points, far*(1+1e-9)) {
		return fmt.Sprintf("it is longer than the envelope's diagonal of %.0f mm", far)
	}
	return ""
}

// weigh is where the centre of gravity of bodies may lie, and their greatest mass.
func (d *divider) weigh(of []int) (places []r3.Vec, highKG float64) {
	var set []Body
	m := Mass{}
	kg := 0.0
	for _, i := range of {
		b := d.bodies[i]
		set = append(set, b)
		highKG += b.MassHighKG
		kg += b.MassKG
		m.CentreMM = r3.Add(m.CentreMM, r3.Scale(b.MassKG, b.CentreMM))
	}
	m.CentreMM = r3.Scale(1/kg, m.CentreMM)
	m.BoxMM = boxOfCentre(set)
	return m.places(), highKG
}

// longer tells of points two of which are farther apart, by their extents along
// thirteen directions: never wrongly.
func longer(points []r3.Vec, far float64) bool {
	for i := range 13 { // half of the 26 neighbours of a cell
		k := i + 14
		n := r3.Unit(r3.Vec{X: float64(k%3 - 1), Y: float64(k/3%3 - 1), Z: float64(k/9 - 1)})
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, p := range points {
			x := r3.Dot(p, n)
			lo, hi = min(lo, x), max(hi, x)
		}
		if hi-lo > far {
			return true
		}
	}
	return false
}

func keyOf(atoms []int, n int) string {
	bits := make([]byte, (n+7)/8)
	for _, a := range atoms {
		bits[a/8] |= 1 << (a % 8)
	}
	return string(bits)
}

// told makes the result of sets of atoms: heaviest section first.
func (d *divider) told(parts [][]int, exact bool) (Sections, error) {
	out := Sections{Exact: exact, Cautions: []string{Preliminary}}
	in := make([]int, len(d.bodies))
	for k, atoms := range parts {
		of := d.bodiesOf(atoms)
		s := Section{}
		var set []Body
		for _, i := range of {
			in[i] = k
			s.Bodies = append(s.Bodies, d.bodies[i].ID)
			set = append(set, d.bodies[i])
		}
		var err error
		if s.Of, err = MassOf(set); err != nil {
			return out, err
		}
		s.Rest, s.Why = d.lay(atoms)
		s.Fits = s.Why == ""
		out.Sections = append(out.Sections, s)
	}
	for _, j := range d.joints {
		if in[j.A] != in[j.B] {
			out.Cuts = append(out.Cuts, j)
			out.FieldWeldMM += j.WeldMM
		}
	}
	slices.SortStableFunc(out.Sections, func(a, b Section) int { return cmp.Compare(b.Of.MassKG, a.Of.MassKG) })
	out.say()
	return out, nil
}

func (s *Sections) say() {
	s.Assumptions = append(s.Assumptions, "sections are cut at joints between pieces only, and lie on a face of their hull on a level bed, without a cradle",
		"height is that of the load: the deck's height, timber and lashings come on top")
	if !s.Exact {
		s.Cautions = append(s.Cautions, "there may be a way with fewer sections or less weld on site: not all were tried")
	}
	for _, x := range s.Sections {
		name := x.Bodies[0]
		if !x.Fits {
			s.Cautions = append(s.Cautions, fmt.Sprintf("the section of %s does not fit: %s; allow more, or splice a piece", name, x.Why))
		}
		if x.Rest.TipDeg < chockDeg {
			s.Cautions = append(s.Cautions, fmt.Sprintf("the section of %s tips as it lies at a lean of %.0f°: chock and prop it", name, max(x.Rest.TipDeg, 0)))
		}
	}
}

// chockDeg: a load that tips at less is blocked up: half the acceleration of gravity
// sideways, for which loads are secured on the road (EN 12195-1, from memory), is a
// lean of 26.6°.
const chockDeg = 26.6
