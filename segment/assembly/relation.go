package assembly

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh"
)

// Relation is something that bodies have in common.
//
// Bodies are rising; To is the other side of a perpendicular. Residual is the
// largest departure from the relation and Within the uncertainty (99.7 %) that it
// keeps to, both in Unit, deg or mm. Chance is the share of relations of this
// kind that unrelated pieces would be expected to give.
type Relation struct {
	Kind, Of         string
	Bodies, To       []int
	Value            float64 // equal: the common size, mm; equally_spaced: the spacing, mm or deg
	Residual, Within float64
	Unit             string
	Chance           float64
	AtMM, Normal     r3.Vec // mirrored: the plane
}

// chanceShare is the share of false relations that is let pass: the common 5 %.
//
// The test: pieces that have nothing to do with each other have directions
// spread evenly over the sphere, places over the scan's box, and sizes evenly
// over a decade on a logarithmic scale. That gives each pair a chance of keeping
// to the relation within its own uncertainty; the sum over all pairs is the
// number of false ones to expect. A kind of relation is listed only where that
// is at most chanceShare of the number found (false discovery rate, Benjamini
// and Hochberg 1995).
const chanceShare = 0.05

// Relations finds what the bodies have in common within uncertainty: parallel,
// perpendicular, coaxial, coplanar, equal, equally_spaced, mirrored, tangent.
func Relations(m *mesh.Mesh, bodies []Body, contacts []Contact, g Grain) []Relation {
	f := make([]feature, len(bodies))
	whole := box{lo: r3.Vec{X: math.Inf(1), Y: math.Inf(1), Z: math.Inf(1)}, hi: r3.Vec{X: math.Inf(-1), Y: math.Inf(-1), Z: math.Inf(-1)}}
	for i, b := range outlines(m, bodies) {
		f[i] = newFeature(b, g)
		whole.lo = r3.Vec{X: min(whole.lo.X, b.box.lo.X), Y: min(whole.lo.Y, b.box.lo.Y), Z: min(whole.lo.Z, b.box.lo.Z)}
		whole.hi = r3.Vec{X: max(whole.hi.X, b.box.hi.X), Y: max(whole.hi.Y, b.box.hi.Y), Z: max(whole.hi.Z, b.box.hi.Z)}
	}
	r := &relating{f: f, spanMM: max(r3.Norm(r3.Sub(whole.hi, whole.lo)), 1e-6)}
	var out []Relation
	out = append(out, r.directions()...)
	out = append(out, r.coaxial()...)
	out = append(out, r.coplanar()...)
	out = append(out, r.equal()...)
	out = append(out, r.spaced()...)
	out = append(out, r.mirrored()...)
	return append(out, r.tangent(contacts)...)
}

// relating holds what the tests for relations share.
type relating struct {
	f      []feature
	spanMM float64
	same   [][]int // groups of equal pieces, found by equal
}

// feature is what relations look at in a body, with uncertainties (95 %).
type feature struct {
	b       *body
	axis    r3.Vec // zero where there is none
	at      r3.Vec
	tilt    float64 // rad
	placeMM float64 // of the axis, or the middle plane, at its origin
	round   bool    // has an axis of revolution
	halfMM  float64 // of a flat piece: half its thickness; -1: not flat
}

// Least uncertainties: below these the fits' own numbers are not trusted, since
// bow, warp and correlated noise that they leave out come in.
const (
	tiltLeastRad  = 0.05 * math.Pi / 180
	placeLeastMM  = 0.01
	placeNoises   = 0.5
	sizeLeastMM   = 0.005
	tiltPerSize   = 2.5
	placePerSize  = 0.7
	featureForms  = 0.1
	unsureTiltRad = 1 * math.Pi / 180
)

// newFeature takes the uncertainty of an axis from that of the section: n points
// of scatter s give a radius to s/√n, an axis' place to s√(2/n), and its tilt to
// that times √12 over the length on which it was seen; so tilt is about
// 2.5 u95(diameter)/length, and for the faces of a plate 1.7. The derivation is
// ours.
func newFeature(b *body, g Grain) feature {
	f := feature{b: b, at: b.e.Frame.OriginMM, halfMM: -1}
	e := b.e
	if e.Kind == "sphere" || e.Kind == "freeform" {
		f.placeMM = max(placeLeastMM, placeNoises*g.NoiseMM)
		return f
	}
	f.axis = e.Frame.Axis
	section, span := 0.0, 0.0
	for _, d := range e.Dims {
		if d.Count || d.U95 <= 0 {
			continue
		}
		switch d.Key {
		case "thickness_mm", "section_diameter_mm", "outside_diameter_mm", "inside_diameter_mm", "large_diameter_mm":
			section = max(section, d.U95)
		}
		switch d.Key {
		case "length_mm", "width_mm", "outside_diameter_mm", "tip_diameter_mm", "centreline_diameter_mm", "inside_diameter_mm", "height_mm", "large_diameter_mm":
			if b.class() == long && e.Kind != "arc" && e.Kind != "ring" && e.Kind != "coil" && d.Key != "length_mm" {
				continue
			}
			if span == 0 || d.Key == "length_mm" {
				span = d.Value
			}
			if d.Key == "width_mm" {
				span = min(span, d.Value)
			}
		}
	}
	switch e.Kind {
	case "tube", "bar", "disc", "toothed_wheel", "cone", "coil", "arc", "ring", "rolled_plate":
		f.round = true
	}
	if b.class() == flat && e.Kind != "rolled_plate" || e.Kind == "ring" || e.Kind == "arc" {
		if t, ok := e.Dim("thickness_mm"); ok {
			f.halfMM = t / 2
		} else {
			f.halfMM = 0
		}
	}
	f.tilt, f.placeMM = unsureTiltRad, max(placeLeastMM, placeNoises*g.NoiseMM, placePerSize*section, featureForms*b.formMM)
	if span > 0 {
		f.tilt = max(tiltLeastRad, (tiltPerSize*section+featureForms*b.formMM)/span)
	}
	return f
}

// pair is a relation of two bodies on trial.
type pair struct {
	i, j             int
	residual, within float64
}

// family is every pair of one kind that was tried: those that hold, and how many
// chance would give.
type family struct {
	held   []pair
	chance float64
}

func (f *family) try(i, j int, residual, within, chance float64) {
	f.chance += min(chance, 1)
	if residual <= within {
		f.held = append(f.held, pair{i, j, residual, within})
	}
}

// share is the expected share of false ones among those held.
func (f *family) share() float64 {
	if len(f.held) == 0 {
		return 1
	}
	return f.chance / float64(len(f.held))
}

// groups joins held pairs into sets in which every two hold (complete linkage):
// the closest first, each body in one set.
func (f *family) groups() []group {
	list := slices.Clone(f.held)
	slices.SortStableFunc(list, func(a, b pair) int {
		switch x, y := a.residual/a.within, b.residual/b.within; {
		case x < y:
			return -1
		case x > y:
			return 1
		}
		return 0
	})
	held := map[[2]int]pair{}
	for _, p := range list {
		held[[2]int{p.i, p.j}] = p
	}
	in := map[int]int{}
	var sets []group
	set := func(i int) int {
		if _, ok := in[i]; !ok {
			in[i] = len(sets)
			sets = append(sets, group{members: []int{i}})
		}
		return in[i]
	}
	for _, p := range list {
		a, b := set(p.i), set(p.j)
		if a == b || !fits(held, sets[a].members, sets[b].members) {
			continue
		}
		for _, i := range sets[b].members {
			in[i] = a
		}
		sets[a].members = append(sets[a].members, sets[b].members...)
		sets[b].members = nil
	}
	sets = slices.DeleteFunc(sets, func(g group) bool { return len(g.members) < 2 })
	for k := range sets {
		s := &sets[k]
		slices.Sort(s.members)
		for a, i := range s.members {
			for _, j := range s.members[a+1:] {
				if p := held[[2]int{i, j}]; p.residual > s.residual || s.within == 0 {
					s.residual, s.within = p.residual, p.within
				}
			}
		}
	}
	slices.SortFunc(sets, func(a, b group) int { return slices.Compare(a.members, b.members) })
	return sets
}

// group is bodies every two of which hold a relation, with the worst pair's
// residual.
type group struct {
	members          []int
	residual, within float64
}

// fits tells whether every member of one set holds with every one of the other.
func fits(held map[[2]int]pair, a, b []int) bool {
	for _, i := range a {
		for _, j := range b {
			if _, ok := held[[2]int{min(i, j), max(i, j)}]; !ok {
				return false
			}
		}
	}
	return true
}

// manyFactor widens an uncertainty of 95 % to 99.7 %, so that a group of a few
// pieces, each compared with every other, still holds together 95 times of 100.
const manyFactor = 1.5

// joint is the uncertainty of a difference of two quantities.
func joint(a, b float64) float64 { return manyFactor * math.Hypot(a, b) }

func deg(rad float64) float64 { return rad * 180 / math.Pi }
