package primitive

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// proposeChain follows the patch's centreline, where it has one, and divides it
// into straights and arcs. The axes say nothing of it. Divisions into as many
// legs as pay, and into other numbers where the nodes leave a doubt, go on to be
// fitted to the surface.
func proposeChain(p *Patch, _ []motion) []candidate {
	whole := p.whole()
	if whole.Next == nil || len(whole.Facet) < 100 {
		return nil
	}
	w, ok := centrelineOf(whole)
	if !ok {
		return nil
	}
	wound, winds := windingOf(w)
	if winds && wound.offMM < windingSure*w.r {
		return nil
	}
	starts := chainStarts(w)
	if winds && len(starts) > 0 && wound.score < starts[0].score {
		return nil
	}
	doubt := 2. // welds draw the nodes beside them: what is plain by these may not be by the surface
	if whole.OpenEdges > 0 {
		doubt = 5
	}
	var out []candidate
	for _, s := range starts {
		c := s.c
		if s.score > starts[0].score+doubt*plainEvidence {
			break
		}
		if !c.compound() || !c.startSection(p) {
			continue
		}
		gate := max(0.25*c.rs, 6*p.NoiseMM)
		if c.rb > 0 {
			gate = max(min(gate, 0.4*(c.rs-c.rb)), 6*p.NoiseMM)
		}
		out = append(out, candidate{sol: c, gateMM: gate, sizeMM: 2 * c.rs, describe: c.describe})
	}
	return out
}

// windingSure is how near the nodes of a path lie to a winding, in radii of the
// section, that no division into arcs need be tried: over a turn and more none
// comes near by chance.
const windingSure = 0.01

// pathVertices are enough to follow a centreline.
const pathVertices = 8000

// centrelineOf is the path of a patch that is one round rod or tube for the
// greater part; two fifths at least are its outer wall, of which a thin tube has
// little over half.
func centrelineOf(p *Patch) (tubePath, bool) {
	seeds := tubeSeeds(p)
	thin := p.thin(pathVertices)
	for _, s := range seeds[:min(3, len(seeds))] {
		w, ok := followTube(thin, s)
		if ok && w.wallMM2 > 0.4*p.TotalMM2 && len(w.node) >= 8 {
			return w, true
		}
	}
	return tubePath{}, false
}

// compound tells whether the legs are those of a bent piece: one arc that is
// seen as such, 10 degrees.
func (c *chain) compound() bool {
	most := 0.0
	for _, l := range c.legs {
		most = max(most, l.sweep)
	}
	return len(c.legs) > 1 && most > 10*math.Pi/180
}

// endShows is the share of an end's area that its facets have at least: a few that look
// the way it runs are of a corner of the weld there.
const endShows = 0.1

// startSection finds section, bore and ends about the centreline.
func (c *chain) startSection(p *Patch) bool {
	var out, in weighted
	var ends [2]weighted
	for i, q := range p.FacetC {
		at := c.now.nearest(q)
		_, t := c.now.at(at.i, at.s)
		w := r3.Sub(q, at.p)
		n := p.FacetN[i]
		if math.Abs(r3.Dot(n, t)) < wallCos {
			if r3.Dot(n, w) > 0 {
				out.add(norm(w), p.FacetMM2[i])
			} else {
				in.add(norm(w), p.FacetMM2[i])
			}
		}
		for k := range ends {
			f := &c.ends.f[k]
			u, v, h := f.local(q)
			if r3.Dot(n, f.D) > 0.8 && hypot(u, v) < 1.3*c.rs && math.Abs(h-c.rs) < 2.5*c.rs {
				ends[k].add(h, p.FacetMM2[i])
			}
		}
	}
	c.rs = out.median()
	if !(c.rs > 0) || !out.within(c.rs, 0.25*c.rs) {
		return false
	}
	if in.total > 0.02*out.total && len(in.v) >= 6 {
		if rb := in.median(); rb < c.rs && in.within(rb, 0.1*c.rs) {
			c.rb = rb
		}
	}
	for k := range ends {
		if section := math.Pi * (c.rs*c.rs - c.rb*c.rb); len(ends[k].v) >= 3 && ends[k].total > endShows*section {
			c.ends.seen[k] = true
			c.ends.e[k].z = ends[k].median()
		} else if p.OpenEdges == 0 {
			return false // a closed surface shows its ends
		}
	}
	c.ends.trial = c.ends.e
	c.prepare(make([]float64, c.params()))
	c.accept()
	c.prepare(make([]float64, c.params()))
	return c.sound()
}
