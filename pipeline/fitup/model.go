package fitup

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/stock"
)

// ground stands for the plane z = 0 where a number of a part is asked.
const ground = -1

func (m *model) body(i int) *body {
	if i == ground {
		return m.floor
	}
	return m.bodies[i]
}

func newFloor() *body {
	s := &shape{}
	s.add("ground", true, func(q r3.Vec) float64 { return q.Z })
	at := pose{r3.Vec{}, r3.Vec{X: 1}, r3.Vec{Y: 1}, r3.Vec{Z: 1}}
	return &body{shape: s, scan: s, scanned: at, at: at, reachMM: 1, fixed: true, first: -1, cutAt: [2]int{-1, -1}}
}

// body is a part in the solve.
//
// Its unknowns stand from first on: three of shift, mm, and three of turn, rad
// times reachMM; those of a cut from cutAt on: slide and two tilts, mm. -1: none.
type body struct {
	part, was stock.Part // as sized, as scanned
	shape     *shape     // as sized
	scan      *shape
	scanned   pose
	at        pose
	anchor    pose          // where it would stay
	anchored  [2][3]float64 // and its cuts
	middle    r3.Vec        // local
	reachMM   float64
	weight    float64 // root of its area against the mean
	fixed     bool
	grounded  bool
	first     int
	cutAt     [2]int
	fitted    [2]bool // ends cut to fit a part in which they lie
	reached   [2]bool // ends that go on, hidden, to what they meet
	cutOf     [2]int  // how many of its three a cut has: tilts only where it bears on a flat face
}

func (b *body) centre() r3.Vec { return b.at.point(b.middle) }

type model struct {
	opt       Options
	bodies    []*body
	floor     *body
	contacts  []stock.Contact
	relations []stock.Relation
	touches   []touch
	keeps     []keep
	way       []string // of each contact
	unknowns  int
	datum     int
	mirrors   []mirror
}

func newModel(scan, sized []stock.Part, contacts []stock.Contact, relations []stock.Relation, opt Options) (*model, error) {
	m := &model{opt: opt, floor: newFloor(), contacts: slices.Clone(contacts), relations: relations, way: make([]string, len(contacts))}
	for i := range scan {
		m.bodies = append(m.bodies, newBody(scan[i], sized[i], seamsOf(i, contacts)))
	}
	m.reach()
	if err := m.chooseDatum(); err != nil {
		return nil, err
	}
	m.weigh()
	for k := range contacts {
		m.meet(k)
	}
	for i, b := range m.bodies {
		if b.grounded && !b.fixed {
			m.stand(i)
		}
	}
	for _, b := range m.bodies {
		b.settleHere()
	}
	m.prepareRelations()
	m.number()
	return m, nil
}

// seamsOf are the points of all seams of a part.
func seamsOf(i int, contacts []stock.Contact) []r3.Vec {
	var out []r3.Vec
	for _, c := range contacts {
		if c.A == i || c.B == i {
			for _, s := range c.Seam {
				out = append(out, s.PointMM)
			}
		}
	}
	return out
}

func newBody(was, part stock.Part, seams []r3.Vec) *body {
	b := &body{part: part, was: was, scanned: poseOf(was), first: -1, cutAt: [2]int{-1, -1}}
	b.at = b.scanned
	list := shapesOf(was)
	pick := whichWay(list, b.scanned, was, seams)
	b.scan = list[pick]
	mine := shapesOf(solidAs(was, part))
	b.shape = mine[min(pick, len(mine)-1)]
	b.extent()
	return b
}

// solidAs is a sized part with metal wherever the scan had metal: that stock is a tube
// where the maquette was a bar, or one of a thinner wall, is nothing that a piece which
// stood on its end, or lay in its wall, moves for.
func solidAs(was, part stock.Part) stock.Part {
	part.Dims = slices.Clone(part.Dims)
	for _, key := range [2][2]string{{"inside_diameter_mm", "outside_diameter_mm"}, {"section_bore_mm", "section_diameter_mm"}} {
		if key[0] == "inside_diameter_mm" && part.Kind != "tube" && part.Kind != "bar" {
			continue // the bore of a flat ring, not of a section
		}
		now, known := part.Size(key[0])
		outside, _ := part.Size(key[1])
		before, _ := was.Size(key[0])
		if scanned, ok := was.Size(key[1]); known && ok && scanned > 0 {
			set(&part, key[0], min(now, before*outside/scanned))
		}
	}
	if now, known := part.Size("wall_mm"); known && (part.Kind == "sphere" || part.Kind == "cone") {
		before, hollow := was.Size("wall_mm")
		if !hollow {
			now = 0 // solid
		}
		set(&part, "wall_mm", max(now, before))
	}
	return part
}

// whichWay picks the shape on which the part's seams and ends lie and that fills
// its box.
func whichWay(list []*shape, at pose, p stock.Part, seams []r3.Vec) int {
	best, least := 0, math.Inf(1)
	for k, s := range list {
		sum := 0.0
		for _, q := range seams {
			sum += math.Abs(s.distance(at.local(q)))
		}
		for _, e := range p.Ends {
			if e.Out != (r3.Vec{}) && s.run != nil {
				q := at.local(e.AtMM)
				c, _ := s.run.at(s.run.foot(q))
				sum += r3.Norm(r3.Sub(q, c))
			}
		}
		if box, ok := s.box(at); ok {
			sum += r3.Norm(r3.Sub(box[0], p.BoxMM[0])) + r3.Norm(r3.Sub(box[1], p.BoxMM[1]))
		}
		if sum < least-1e-6 {
			best, least = k, sum
		}
	}
	return best
}

// box is that of a shape's places, false where it has none.
func (s *shape) box(at pose) ([2]r3.Vec, bool) {
	var out [2]r3.Vec
	for i, q := range s.edges {
		p := at.point(q)
		if i == 0 {
			out = [2]r3.Vec{p, p}
		}
		out[0] = r3.Vec{X: min(out[0].X, p.X), Y: min(out[0].Y, p.Y), Z: min(out[0].Z, p.Z)}
		out[1] = r3.Vec{X: max(out[1].X, p.X), Y: max(out[1].Y, p.Y), Z: max(out[1].Z, p.Z)}
	}
	return out, len(s.edges) > 0
}

// extent finds the middle and half-length of a part from its places, or from its
// box.
func (b *body) extent() {
	at := b.scan.edges
	if len(at) == 0 {
		lo, hi := b.was.BoxMM[0], b.was.BoxMM[1]
		for k := range 8 {
			q := r3.Vec{X: pick(k&1, lo.X, hi.X), Y: pick(k>>1&1, lo.Y, hi.Y), Z: pick(k>>2, lo.Z, hi.Z)}
			at = append(at, b.scanned.local(q))
		}
	}
	var sum r3.Vec
	for _, q := range at {
		sum = r3.Add(sum, q)
	}
	b.middle = r3.Scale(1/float64(len(at)), sum)
	for _, q := range at {
		b.reachMM = max(b.reachMM, r3.Norm(r3.Sub(q, b.middle)))
	}
	b.reachMM = max(b.reachMM, 1)
}

func pick(k int, a, b float64) float64 {
	if k == 0 {
		return a
	}
	return b
}

// lowest is the height of the lowest place of a shape.
func lowest(s *shape, at pose, p stock.Part) float64 {
	if len(s.edges) == 0 {
		return p.BoxMM[0].Z
	}
	low := math.Inf(1)
	for _, q := range s.edges {
		low = min(low, at.point(q).Z)
	}
	return low
}

// chooseDatum fixes the datum and what exists already, and tells what stands on
// the ground. The datum goes up or down by what its lowest place did with its new
// size, so that it stands where it stood.
func (m *model) chooseDatum() error {
	m.datum = -1
	low := make([]float64, len(m.bodies))
	for i, b := range m.bodies {
		low[i] = lowest(b.scan, b.scanned, b.was)
	}
	for i, b := range m.bodies {
		b.grounded = m.onGround(i, low)
		b.fixed = b.part.Made || b.was.Made
		if b.part.ID == m.opt.Datum && m.opt.Datum != "" {
			m.datum = i
		}
	}
	if m.datum < 0 && m.opt.Datum != "" {
		return fmt.Errorf("fit-up: the datum %s is none of the parts", m.opt.Datum)
	}
	if m.datum < 0 {
		m.datum = m.heaviest(low)
	}
	if m.datum < 0 {
		return nil
	}
	b := m.bodies[m.datum]
	if !b.fixed {
		b.fixed = true
		b.at.at.Z += low[m.datum] - lowest(b.shape, b.at, b.part)
	}
	return nil
}

// heaviest is the part with the most metal of those on the ground; where none
// stands there, the lowest.
func (m *model) heaviest(low []float64) int {
	best := -1
	for i, b := range m.bodies {
		if best < 0 {
			best = i
			continue
		}
		o := m.bodies[best]
		switch {
		case b.grounded != o.grounded:
			if b.grounded {
				best = i
			}
		case b.grounded && volume(b.was) > volume(o.was), !b.grounded && low[i] < low[best]:
			best = i
		}
	}
	return best
}

// volume is about that of a part's metal: half its area times its thickness is
// exact for thin metal; a solid section has as much again for each of its sides.
func volume(p stock.Part) float64 {
	z := sizes{p}
	for _, key := range []string{"wall_mm", "thickness_mm"} {
		if t := z.mm(key); t > 0 {
			return p.AreaMM2 * t / 2
		}
	}
	for _, key := range []string{"outside_diameter_mm", "section_diameter_mm"} {
		if d := z.mm(key); d > 0 {
			return p.AreaMM2 * d / 4
		}
	}
	if d := z.mm("diameter_mm"); d > 0 {
		return p.AreaMM2 * d / 6
	}
	d := r3.Sub(p.BoxMM[1], p.BoxMM[0])
	return d.X * d.Y * d.Z / 4
}

// Weights of motion: that of a part of mean area is 1. A part of no area would
// move freely, one of a hundred times the mean never: the scale is cut off.
const (
	weightLeast = 0.25
	weightMost  = 16
)

func (m *model) weigh() {
	mean := 0.0
	for _, b := range m.bodies {
		mean += b.was.AreaMM2 / float64(len(m.bodies))
	}
	for _, b := range m.bodies {
		b.weight = 1
		if mean > 0 {
			b.weight = math.Sqrt(min(max(b.was.AreaMM2/mean, weightLeast), weightMost))
		}
	}
}

// number gives the unknowns their places.
func (m *model) number() {
	for _, list := range m.byContact() {
		for _, i := range list {
			m.touches[i].weight = touchWeight / math.Sqrt(float64(len(list)))
		}
	}
	n := 0
	for _, b := range m.bodies {
		if b.fixed {
			continue
		}
		b.first = n
		n += 6
	}
	cuts := m.butting()
	for i, b := range m.bodies {
		for k := range b.cutAt {
			of := max(cuts[i][k], b.cutOf[k]) // what was cut stays cut
			if of > 0 && !b.part.Made && !b.was.Made {
				b.cutAt[k], b.cutOf[k] = n, of
				n += of
			}
		}
	}
	for i := range m.mirrors {
		m.mirrors[i].first = n
		n += 3
	}
	m.unknowns = n
}

// buttCos is the least cosine between the run of a long part and the way apart for
// its end to butt: a part that lies along another is not cut for it.
const buttCos = 0.5

// butting tells at which ends a touch bears: with 1 the end may be cut shorter or
// longer, with 3 also leaning, since it lies on a flat face.
func (m *model) butting() [][2]int {
	out := make([][2]int, len(m.bodies))
	for i := range m.touches {
		t := &m.touches[i]
		for _, p := range [][2]side{{t.a, t.b}, {t.b, t.a}} {
			s, o := p[0], p[1]
			flush := len(s.faces) == 1 && len(o.faces) == 1 && m.body(o.part).shape.faces[o.faces[0]].flat
			b := m.body(s.part)
			for _, f := range s.faces {
				k := b.shape.faces[f].cut
				if k < 0 {
					continue
				}
				if _, _, way := b.shape.cuts[k].place(); math.Abs(r3.Dot(b.at.dir(way), m.now(t).nb)) > buttCos {
					out[s.part][k] = max(out[s.part][k], 1)
					if flush {
						out[s.part][k] = 3
					}
				}
			}
		}
	}
	return out
}
