package primitive

import (
	"cmp"
	"math"
	"reflect"
	"slices"

	"golang.org/x/sync/errgroup"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh"
)

// Options of Recognise.
type Options struct {
	FormShare float64 // form limit as a share of the section's size
	FormNoise float64 // and in multiples of the scan's noise; the larger counts
}

// DefaultOptions returns the limits that the contract names.
func DefaultOptions() Options { return Options{FormShare: 0.02, FormNoise: 5} }

// candidate is a primitive on its way to be fitted.
type candidate struct {
	sol      solid
	gateMM   float64 // distance within which a vertex may belong at first
	sizeMM   float64 // section size that the form limit is a share of
	describe func(*Element, association, *Patch)
	// sheet marks a piece of two faces that may be pierced: its form is that of
	// the faces, its first two surfaces, and the walls of holes need not lie on
	// any surface of its own.
	sheet bool
	more  float64 // parameters that are fitted apart from the joint fit
	// leastSeen is the share of its surface that an open scan must show, where
	// that is more than the usual.
	leastSeen float64

	glanced                    solid // as a glance leaves it; nil where there was none
	settled                    bool  // fitted to a thinned patch
	convinces                  verdict
	fit                        association
	formMM                     float64 // robust form error
	explained                  float64 // share of the patch's area that its surfaces account for
	rmsMM                      float64
	coverage                   float64
	count, correlated, floorMM float64
	patchMM                    float64 // size of the patch
}

// verdict is what a look at the whole patch said of a candidate.
type verdict int

const (
	unasked verdict = iota
	doubtful
	convinced
)

// elsewhere leaves out the motions whose direction was tried already.
func elsewhere(list []motion, tried []r3.Vec) []motion {
	var out []motion
	for _, m := range list {
		if !parallel(tried, m.f.D) {
			out = append(out, m)
		}
	}
	return out
}

// proposal makes candidates of a patch about the given axes.
type proposal func(*Patch, []motion) []candidate

// What a piece can be; a new primitive is one file and one name here. simple
// ones need a direction only, swept ones an axis that is known in place, others
// neither.
var (
	simple   = []proposal{proposeRound, proposeTorus, proposeCone}
	axisless = []proposal{proposeSphere}
	bendings = []proposal{proposeBend, proposeCoil}
	rollings = []proposal{proposeSector, proposeConeSection}
	swept    = slices.Concat(bendings, rollings)
)

// Recognise decides which primitive the patch is and fits it.
//
// Every candidate is first fitted to a thinned patch; those whose form error is
// within the limit are eligible, and among them the lowest Bayesian information
// criterion decides. The best is then fitted to the whole patch and must hold
// there too. Axes that cost a search are tried only where the principal
// directions lead to no fit that noise alone explains.
func Recognise(p *Patch, opt Options) Element {
	e, _ := recognise(p, opt, false)
	return e
}

// recognise also tells whether the piece is plain: round, with nothing left that
// closer vertices could tell. Of a rough patch nothing else is wanted: what may be flat
// is left as it is.
func recognise(p *Patch, opt Options, rough bool) (e Element, plain bool) {
	if len(p.Facet) == 0 {
		return freeform(p), false
	}
	scout := p.thin(scoutVertices)
	glance := p.thin(glanceVertices)
	directions := principalDirections(scout)
	var list []candidate
	tryAbout := func(proposals []proposal, axes func(proposal) []motion) {
		found := make([][]candidate, len(proposals))
		beside(len(proposals), func(i int) {
			found[i] = eligible(proposals[i](scout, axes(proposals[i])), scout, glance, opt)
		})
		list = slices.Concat(append([][]candidate{list}, found...)...)
		rank(list)
	}
	try := func(proposals []proposal, axes []motion) {
		tryAbout(proposals, func(proposal) []motion { return axes })
	}
	bare := unlocated(directions)
	tryAbout(simple, func(propose proposal) []motion { return promising(propose, glance, bare, opt) })
	inDoubt := func() bool { return len(list) == 0 || !list[0].convincing(p, opt) }
	if p.OpenEdges > 0 || inDoubt() { // a part of a ball may look like one of a ring
		try(axisless, nil)
	}
	if inDoubt() {
		if d, ok := slantDirection(scout); ok && !parallel(directions, d) {
			try([]proposal{proposeCone}, unlocated([]r3.Vec{d}))
		}
	}
	var tryEdges func() // where a flat piece, seen on its faces, left no doubt
	if inDoubt() || list[0].sizeable() || list[0].halfTurn(p) {
		if rough && (len(list) > 0 && list[0].sizeable() || flat(scout, directions)) {
			return Element{}, false
		}
		onFaces, edges := mainFaces(scout, bare)
		try([]proposal{proposeSlab}, onFaces)
		tryEdges = func() {
			try([]proposal{proposeSlab}, edges)
			try([]proposal{proposePrism}, bare)
			tryEdges = nil
		}
		if len(list) == 0 || !list[0].sheet || list[0].hidesEdge() || !list[0].convincing(p, opt) {
			tryEdges()
		}
		try([]proposal{flatArcs(list)}, nil)
		preferArc(list, p)
	}
	partial := func() bool {
		return inDoubt() || list[0].turns() && (p.OpenEdges > 0 || list[0].parted(p))
	}
	var turning, located []motion
	if partial() {
		turning = slidingMotions(scout, directions)
		located = turning
		if m, ok := bowed(scout, directions); ok {
			located = append(slices.Clip(turning), m)
		}
		try(bendings, located)
	}
	if inDoubt() {
		try([]proposal{proposeChain}, nil)
	}
	if located != nil && partial() {
		try([]proposal{proposeRound}, elsewhere(turning, directions))
		try([]proposal{proposeTorus}, turning)
		try(rollings, located)
	}
	if len(list) > 1 && !list[0].convincing(p, opt) {
		for i := range list {
			list[i].weigh()
		}
		rank(list)
	}
	order(list, p, opt)
	c := firstThatHolds(list, p, opt)
	if c == nil && tryEdges != nil {
		others := list
		list = nil
		tryEdges()
		order(list, p, opt)
		c = firstThatHolds(list, p, opt)
		list = slices.Concat(list, others)
	}
	if c == nil && p.OpenEdges == 0 {
		others := list
		list = nil
		try([]proposal{proposeStepped}, bare)
		c = firstThatHolds(list, p, opt)
		list = slices.Concat(list, others)
	}
	if p.OpenEdges > 0 && (c == nil || c.lacksSide()) {
		others := list
		list = nil
		try([]proposal{proposeStanding}, bare)
		if s := mostCovered(list, p, opt); s != nil && (c == nil || s.coverage > c.coverage+sideShare) {
			c = s
		}
		list = slices.Concat(list, others)
	}
	if p.OpenEdges > 0 && c == nil {
		others := list
		list = nil
		try([]proposal{proposeEndless}, bare)
		c = firstThatHolds(list, p, opt)
		list = slices.Concat(list, others)
	}
	if c != nil {
		e := c.element(p)
		e.Alternatives = alternatives(list, e.Kind)
		return e, !c.sheet && !c.sizeable() && c.more == 0 && c.convincing(p, opt)
	}
	e = freeform(p)
	e.wound(p, opt)
	return e, false
}

// order puts those first, of ranked candidates, that others only look as good as.
func order(list []candidate, p *Patch, opt Options) {
	preferArc(list, p)
	straightFirst(list)
	evenFirst(list, p, opt)
	endsFirst(list)
	turnFirst(list, p)
	partFirst(list, p)
	slabFirst(list, p, opt)
	faceFirst(list, p)
	rolledFirst(list, p)
}

// toFront puts candidate i before all others.
func toFront(list []candidate, i int) {
	c := list[i]
	copy(list[1:i+1], list[:i])
	list[0] = c
}

// eligible are those candidates that a glance gives hope for and that a fit to the scout
// finds eligible, in their order. Of those that a glance leads to the same only the first
// is fitted.
func eligible(list []candidate, scout, glance *Patch, opt Options) []candidate {
	good := make([]bool, len(list))
	beside(len(list), func(i int) { good[i] = !list[i].hopeless(glance, opt) })
	for i := range list {
		for k := 0; good[i] && k < i; k++ {
			good[i] = !good[k] || !list[i].sameAs(&list[k], glance)
		}
	}
	beside(len(list), func(i int) { good[i] = good[i] && list[i].settle(scout, opt, scouting) })
	var out []candidate
	for i, c := range list {
		if good[i] {
			out = append(out, c)
		}
	}
	return out
}

// beside does something for [0,n), all at a time; each writes to its own place.
func beside(n int, do func(i int)) {
	if n == 1 {
		do(0)
		return
	}
	var g errgroup.Group
	for i := range n {
		g.Go(mesh.Guarded(func() error {
			do(i)
			return nil
		}))
	}
	if err := g.Wait(); err != nil {
		panic(err) // a fault, brought to where it can be told
	}
}

// sideShare of its surface is what a plate that lacks a side shows less of than
// one that stands on a hidden face.
const sideShare = 0.1

// faceLeast points are what a face shows at least: fewer are facets of the weld that
// it stands in.
const faceLeast = 8

// lacksSide tells a plate or profile of whose outline a side is hidden, so that seen
// from another direction it may stand on that, and one, or a wheel, of which a face
// is all but hidden.
func (c *candidate) lacksSide() bool {
	switch c.sol.(type) {
	case *plate:
		return c.hidesEdge() || c.lacksFace()
	case *toothedWheel:
		return c.lacksFace()
	}
	return false
}

// hidesEdge tells a plate or profile that shows no end of its length or width.
func (c *candidate) hidesEdge() bool {
	pl, ok := c.sol.(*plate)
	return ok && (pl.hidden[0] || pl.hidden[1])
}

func (c *candidate) lacksFace() bool {
	n := c.fit.counts(c.sol.surfaces())
	return min(n[0], n[1]) < faceLeast
}

// firstThatHolds fits candidates to the whole patch, best first, and returns the
// first that holds there too; nil for none.
func firstThatHolds(list []candidate, p *Patch, opt Options) *candidate {
	for i := range list {
		if list[i].holds(p, list, opt) {
			return &list[i]
		}
	}
	return nil
}

// mostCovered is the one of which most is seen of those that hold on the whole patch;
// nil for none. A plate may stand on its hidden face, or on what is open at its side:
// what explains as much with less that nobody saw is the better answer.
func mostCovered(list []candidate, p *Patch, opt Options) *candidate {
	var best *candidate
	for i := range list {
		if c := &list[i]; c.holds(p, list, opt) && (best == nil || c.coverage > best.coverage) {
			best = c
		}
	}
	return best
}

// holds fits the candidate to the whole patch and tells whether it is eligible there.
func (c *candidate) holds(p *Patch, list []candidate, opt Options) bool {
	if _, part := partOfTurn(p, c, list); part {
		return false
	}
	return c.measure(p, opt)
}

// measure fits a candidate that a scout found eligible to the whole patch and tells
// whether it is so there, and seen enough. What the scout shows to be square is fitted
// as that.
func (c *candidate) measure(p *Patch, opt Options) bool {
	c.gateMM = min(c.gateMM, max(6*c.rmsMM, 6*p.NoiseMM))
	if s, ok := c.sol.(squaring); ok {
		s.squareUp(p.thin(scoutVertices), &c.fit)
	}
	return c.settle(p.thin(fitVertices), opt, measuring) && c.covers(p, opt)
}

// weigh finds how far the candidate's residuals are correlated.
func (c *candidate) weigh() {
	for s := range c.sol.surfaces() {
		c.correlated = max(c.correlated, c.fit.surface(s).Inflation)
	}
}

// strayShare is the range, as a share of the patch's size, over which what a
// candidate does not explain lies evenly.
const strayShare = 0.1

// rank sorts candidates by the Bayesian information criterion, best first. Points
// count for as many as are independent: where the surface is wavy, a shape that
// follows the waves gains nothing.
func rank(list []candidate) {
	correlated := 1.0
	for _, c := range list {
		correlated = max(correlated, c.correlated)
	}
	score := func(c candidate) float64 {
		n := max(c.count/correlated, 30)
		sigma := hypot(c.rmsMM, c.floorMM)
		stray := (1 - c.explained) * max(math.Log(strayShare*c.patchMM/sigma), 0)
		return 2*n*(math.Log(sigma)+stray) + (float64(c.sol.params())+c.more)*math.Log(n)
	}
	slices.SortStableFunc(list, func(a, b candidate) int { return cmp.Compare(score(a), score(b)) })
}

// turns tells a full turn, of which an open scan may show a part only.
func (c *candidate) turns() bool {
	switch s := c.sol.(type) {
	case *round:
		return !s.free
	case *torus:
		return true
	}
	return false
}

// sizeable tells a flat round piece, which may have teeth or bolt holes that a
// round fit does not see.
func (c *candidate) sizeable() bool {
	r, ok := c.sol.(*round)
	return ok && !r.free
}

// convincing tells whether the candidate leaves nothing to explain: residuals as
// small as the noise, or a tenth of the form that is allowed. The answer is kept.
func (c *candidate) convincing(p *Patch, opt Options) bool {
	if c.convinces == unasked {
		c.convinces = doubtful
		if c.explainsAll(p, opt) {
			c.convinces = convinced
		}
	}
	return c.convinces == convinced
}

func (c *candidate) explainsAll(p *Patch, opt Options) bool {
	if c.rmsMM > max(1.3*p.NoiseMM, 1e-5*p.SizeMM, 0.1*limit(p, c.sizeMM, opt)) || c.explained <= 0.97 {
		return false
	}
	return c.covers(p, opt) && (p.OpenEdges > 0 || c.coverage > 0.95)
}

// scoutVertices are enough to tell kinds apart and to start the full fit within
// its basin.
const scoutVertices = 4000

// glanceVertices are enough to see that most candidates are not at all like the
// patch.
const glanceVertices = 300

// promising leaves out the axes about which a few points already show that all
// that is proposed is hopeless.
func promising(propose proposal, glance *Patch, axes []motion, opt Options) []motion {
	if glance.full == nil {
		return axes // all points are looked at anyway
	}
	var out []motion
	for _, m := range axes {
		list := propose(glance, []motion{m})
		if len(list) == 0 || slices.ContainsFunc(list, func(c candidate) bool { return !c.hopeless(glance, opt) }) {
			out = append(out, m)
		}
	}
	return out
}

// hopeless fits a copy of the candidate to a few points and tells whether it is
// so far off that more of them would not make it eligible: four times the limit,
// where a fit of 300 points errs by far less, or half of what has to be explained.
// The form of an end of which they show a handful may be anything: what explains
// enough of the surface, and lies close to it, is not hopeless.
func (c *candidate) hopeless(glance *Patch, opt Options) bool {
	if glance.full == nil || len(glance.P) > 2*glanceVertices || c.sheet {
		return false
	}
	q := *c
	if q.sol = copied(c.sol); q.sol == nil {
		return false
	}
	if q.settle(glance, opt, glancing) {
		c.glanced = q.sol
		return false
	}
	most, least := limit(glance, q.sizeMM, opt), q.leastExplained()
	if q.fit.Seen == nil {
		return true
	}
	near := q.rmsMM <= most && q.explained >= least
	return !near && !(q.formMM <= 4*most && q.rmsMM <= 4*most && q.explained >= least/2)
}

// sameAs tells that a glance has led two candidates to one solid: nowhere do they part by
// half the noise.
func (c *candidate) sameAs(o *candidate, glance *Patch) bool {
	a, b := c.glanced, o.glanced
	if a == nil || b == nil || reflect.TypeOf(a) != reflect.TypeOf(b) || a.params() != b.params() {
		return false
	}
	most := max(0.5*glance.NoiseMM, 1e-5*glance.SizeMM)
	return !slices.ContainsFunc(glance.P, func(q r3.Vec) bool { return math.Abs(a.distance(q)-b.distance(q)) > most })
}

// fitVertices are those of the final fit: with 0.02 mm of noise the diameters of a
// tube of 30 mm have a u95 of 0.0008 mm then; a scale that is sure to 0.02 %, as a
// good scanner's is, adds 0.006 mm.
const fitVertices = 16000

// settle fits the candidate to the patch, measures it and tells whether it is
// eligible.
func (c *candidate) settle(p *Patch, opt Options, to aim) bool {
	a, err := c.associate(p, to)
	if s, ok := c.sol.(squaring); ok && to == measuring {
		for err == nil && s.squareUp(p, &a) {
			c.settled = true
			a, err = c.associate(p, to)
		}
	}
	if err != nil {
		return false
	}
	c.fit, c.settled = a, true
	c.judge(p)
	most := limit(p, c.sizeMM, opt)
	return c.formMM <= most && c.rmsMM <= most && c.explained >= c.leastExplained()
}

// covers measures how much of the solid the scan saw and tells whether that can
// be all of it: a scan without open edges has seen the whole piece, and nearly a
// full turn is none.
func (c *candidate) covers(p *Patch, opt Options) bool {
	gate := max(limit(p, c.sizeMM, opt), 3*c.rmsMM)
	c.coverage = min(seenArea(p, c.sol, gate)/c.sol.areaMM2(), 1)
	if s, ok := c.sol.(developable); ok && c.sheet && c.coverage < wholeSeen {
		s.pierce(s.openings(p, c.fit))
		c.coverage = min(seenArea(p, c.sol, gate)/c.sol.areaMM2(), 1)
	}
	least := 0.85
	switch {
	case p.OpenEdges > 0:
		least = max(0.2, c.leastSeen)
	case c.turns():
		least = 0.95
	}
	return c.coverage >= least
}

// wholeSeen is the coverage under which a rolled plate is looked over for holes.
const wholeSeen = 0.97

// limit is the largest form error at which a kind of this size is eligible;
// never under the rounding of single precision coordinates.
func limit(p *Patch, sizeMM float64, opt Options) float64 {
	return max(opt.FormNoise*p.NoiseMM, opt.FormShare*sizeMM, 1e-6*p.SizeMM)
}

// minExplained is the least share of a patch's area that a primitive's own
// surfaces must account for; the rest may be dents, dust, weld and edges.
const (
	minExplained      = 0.8
	minExplainedSheet = 0.6
)

func (c *candidate) leastExplained() float64 {
	if c.sheet {
		return minExplainedSheet
	}
	return minExplained
}

// walled is a solid with walls that take no part in the joint fit.
type walled interface {
	wall(p r3.Vec) (distanceMM float64, normal r3.Vec)
}

// judge measures the candidate on all of the patch.
func (c *candidate) judge(p *Patch) {
	c.formMM = 0
	n := c.sol.surfaces()
	bySurface := make([]weighted, n)
	bySurface[0] = roomFor(len(p.P))
	near := roomFor(len(p.P))
	c.sol.prepare(make([]float64, c.sol.params()))
	gate := max(c.sizeMM*0.02, 5*p.NoiseMM, 1e-5*p.SizeMM)
	explained := 0.0
	for v, q := range p.P {
		best, at := math.Inf(1), -1
		for s := 0; s < n; s++ {
			r := math.Abs(c.sol.residual(q, s, nil))
			if r < best && r3.Dot(p.N[v], c.sol.normal(q, s)) > 0.7 {
				best, at = r, s
			}
		}
		if w, ok := c.sol.(walled); ok && best > gate {
			if d, n := w.wall(q); math.Abs(d) <= gate && r3.Dot(p.N[v], n) > 0.7 {
				explained += p.AreaMM2[v]
				near.add(math.Abs(d), p.AreaMM2[v])
				continue
			}
		}
		d := math.Abs(c.sol.distance(q))
		near.add(d, p.AreaMM2[v])
		if at >= 0 && best <= 10*gate { // what is farther off stands on the piece, or it on that
			bySurface[at].add(best, p.AreaMM2[v])
			if best <= gate {
				explained += p.AreaMM2[v]
			}
		} else if d <= gate {
			explained += p.AreaMM2[v]
		}
	}
	for s := range bySurface {
		if c.sheet && s > 1 {
			break
		}
		if bySurface[s].total > 0.02*p.TotalMM2 {
			c.formMM = max(c.formMM, bySurface[s].quantile(formQuantile))
		}
	}
	c.explained = explained / p.TotalMM2
	c.rmsMM = near.quantile(0.68)
	c.count, c.patchMM = float64(len(p.P)), p.SizeMM
	c.floorMM = max(p.NoiseMM, 1e-6*p.SizeMM)
}

// formQuantile makes the form error robust: a fifth of a surface may be dented,
// spattered or worn without changing what the piece is.
const formQuantile = 0.8

// principalDirections are directions that could be the piece's axis: those of
// the normals' Gaussian image and of the surface itself.
func principalDirections(p *Patch) []r3.Vec {
	var m, q [6]float64
	var mean r3.Vec
	total := 0.0
	for i, c := range p.FacetC {
		mean = r3.Add(mean, r3.Scale(p.FacetMM2[i], c))
		total += p.FacetMM2[i]
	}
	mean = r3.Scale(1/total, mean)
	for i, n := range p.FacetN {
		addOuter(&m, n, p.FacetMM2[i])
		addOuter(&q, r3.Sub(p.FacetC[i], mean), p.FacetMM2[i])
	}
	a, b := eigen(m), eigen(q)
	var out []r3.Vec
	for _, d := range append(a[:], b[:]...) {
		if !parallel(out, d) {
			out = append(out, d)
		}
	}
	return out
}

// mainShare of a patch's surface are the faces of a flat piece: seen on edge, it can be
// nothing that it is not seen on them.
const mainShare = 0.5

// mainFaces parts axes in the one across which most of a patch's surface lies, if that
// makes it a flat piece, and the others.
func mainFaces(p *Patch, axes []motion) (across, others []motion) {
	at, most := -1, mainShare*p.TotalMM2
	for i, m := range axes {
		c, face, _, ok := slabFaces(p, m.f.D)
		if !ok || min(len(face[0].v), len(face[1].v)) < 2 {
			continue
		}
		c.z = [2]float64{face[0].median(), face[1].median()}
		if mm2 := face[0].total + face[1].total; c.thicknessMM() > 0 && mm2 > most {
			at, most = i, mm2
		}
	}
	if at < 0 {
		return axes, nil
	}
	return axes[at : at+1], slices.Concat(axes[:at], axes[at+1:])
}

// flat tells that the patch has two faces square to one of the directions.
func flat(p *Patch, directions []r3.Vec) bool {
	return slices.ContainsFunc(directions, func(d r3.Vec) bool {
		_, ok := startSlab(p, d)
		return ok
	})
}

// unlocated makes motions of bare directions.
func unlocated(directions []r3.Vec) []motion {
	var out []motion
	for _, d := range directions {
		out = append(out, motion{f: newFrame(r3.Vec{}, d)})
	}
	return out
}

// parallel tells whether a direction is within 2 degrees of one already listed.
func parallel(list []r3.Vec, d r3.Vec) bool {
	for _, e := range list {
		if math.Abs(r3.Dot(e, d)) > 0.9994 {
			return true
		}
	}
	return false
}

func addOuter(m *[6]float64, v r3.Vec, w float64) {
	m[0] += w * v.X * v.X
	m[1] += w * v.X * v.Y
	m[2] += w * v.X * v.Z
	m[3] += w * v.Y * v.Y
	m[4] += w * v.Y * v.Z
	m[5] += w * v.Z * v.Z
}
