package site

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/stock"
)

// gravityMS2 is the standard acceleration of free fall (3rd CGPM, 1901).
const gravityMS2 = 9.80665

// mergeDepths: joints that lie nearer on a centreline than half its section's depth share
// a node, since so short a length is no beam (and would cost the solution its digits);
// the link still starts at the true place of the joint.
const mergeDepths = 0.5

// Structure is the frame of a work with what its nodes, beams and links are.
//
// Shapes: NodesOf and BeamsOf by piece, along it; a rigid piece has one node.
type Structure struct {
	Pieces  []Piece
	Model   Model
	Frame   *Frame
	NodesOf [][]int
	BeamsOf [][]int
	Joints  []Joint
	Feet    []Foot
	Notes   []string // what is taken for granted, or is not as the piece is
	up      r3.Vec
}

// Joint is one unbroken run of a seam: a link of the model.
type Joint struct {
	A, B    int // pieces
	Contact int
	Run     int
	Link    int
	AtMM    r3.Vec
	Seam    []r3.Vec // empty where none was found
}

// Foot is where a piece stands on the ground, held in all freedoms.
type Foot struct {
	Piece, Support int
	AtMM           r3.Vec
	LowMM, HighMM  r3.Vec // box of the piece's face on the ground
}

// Options of the model.
type Options struct {
	GroundMM float64 // how far over the ground a piece still stands on it
	Up       r3.Vec  // direction of SITE that points up
	Floor    bool    // the ground lies under the lowest piece, not at z = 0
	Held     int     // piece that is held in the air instead of all feet; -1: none
}

// DefaultOptions: 5 mm at full size is what levelling and grout take up (common
// practice, no source).
func DefaultOptions() Options { return Options{GroundMM: 5, Up: r3.Vec{Z: 1}, Held: -1} }

// Build makes the frame of an as-stock assembly: pieces that are long are beams along
// their centrelines, others rigid bodies at their centres of mass; each run of a
// contact is a rigid link between the nearest points of both; pieces that stand on
// the ground are fixed there. It refuses pieces whose sizes or masses are not known and
// what is joined to nothing, by name.
func Build(pieces []Piece, contacts []stock.Contact, metal Metal, opt Options) (*Structure, error) {
	if len(pieces) == 0 {
		return nil, errors.New("there are no pieces to check")
	}
	s := &Structure{Pieces: pieces, NodesOf: make([][]int, len(pieces)), BeamsOf: make([][]int, len(pieces))}
	s.Notes = append(s.Notes, "welded joints are rigid; plates, wheels and stout pieces do not bend; shear strain, buckling and local bending of walls are not covered")
	joints, err := s.joints(contacts)
	if err != nil {
		return nil, err
	}
	lines := make([]*line, len(pieces))
	for i, p := range pieces {
		if lines[i], err = metal.lineOf(p); err != nil {
			return nil, err
		}
		if lines[i] != nil && lines[i].rough != "" {
			s.Notes = append(s.Notes, p.name()+": "+lines[i].rough)
		}
	}
	for i := range pieces {
		var at []r3.Vec
		for _, j := range joints {
			if j.A == i || j.B == i {
				at = append(at, j.AtMM)
			}
		}
		if err := s.addPiece(i, lines[i], at); err != nil {
			return nil, err
		}
	}
	for _, j := range joints {
		j.Link = len(s.Model.Links)
		s.Model.Links = append(s.Model.Links, Link{A: s.nearest(j.A, j.AtMM), B: s.nearest(j.B, j.AtMM), AtMM: j.AtMM})
		s.Joints = append(s.Joints, j)
	}
	s.up = opt.Up
	if opt.Held >= 0 {
		s.Model.Supports = []Support{Fixed(s.NodesOf[opt.Held][0])}
	} else {
		s.stand(lines, opt)
	}
	s.Frame, err = NewFrame(s.Model)
	return s, err
}

// joints are the runs of all contacts. One without a seam sits half-way between the
// nearest points of both surfaces' corners.
func (s *Structure) joints(contacts []stock.Contact) ([]Joint, error) {
	var out []Joint
	for k, c := range contacts {
		if c.A < 0 || c.B < 0 || c.A >= len(s.Pieces) || c.B >= len(s.Pieces) || c.A == c.B {
			return nil, fmt.Errorf("contact %d joins pieces %d and %d of %d", k+1, c.A, c.B, len(s.Pieces))
		}
		runs := map[int][]r3.Vec{}
		last := 0
		for _, p := range c.Seam {
			runs[p.Run] = append(runs[p.Run], p.PointMM)
			last = max(last, p.Run)
		}
		for run := range last + 1 {
			if seam := runs[run]; len(seam) > 0 {
				out = append(out, Joint{A: c.A, B: c.B, Contact: k, Run: run, AtMM: middle(seam), Seam: seam})
			}
		}
		if len(runs) == 0 {
			at, ok := halfway(s.Pieces[c.A].PointsMM, s.Pieces[c.B].PointsMM)
			if !ok {
				return nil, fmt.Errorf("%s and %s touch at no known place", s.Pieces[c.A].name(), s.Pieces[c.B].name())
			}
			out = append(out, Joint{A: c.A, B: c.B, Contact: k, AtMM: at})
			s.Notes = append(s.Notes, fmt.Sprintf("%s and %s: no seam was found; joined where they are nearest", s.Pieces[c.A].name(), s.Pieces[c.B].name()))
		}
	}
	return out, nil
}

// middle of a line through points, by length.
func middle(seam []r3.Vec) r3.Vec {
	sum, length := r3.Vec{}, 0.0
	for i := 1; i < len(seam); i++ {
		l := r3.Norm(r3.Sub(seam[i], seam[i-1]))
		sum, length = r3.Add(sum, r3.Scale(l/2, r3.Add(seam[i], seam[i-1]))), length+l
	}
	if length == 0 {
		return seam[0]
	}
	return r3.Scale(1/length, sum)
}

func halfway(a, b []r3.Vec) (r3.Vec, bool) {
	best, at := math.Inf(1), r3.Vec{}
	for _, p := range a {
		for _, q := range b {
			if d := r3.Norm2(r3.Sub(p, q)); d < best {
				best, at = d, r3.Scale(0.5, r3.Add(p, q))
			}
		}
	}
	return at, !math.IsInf(best, 1)
}

// addPiece adds the nodes and beams of one piece; its line gets a node at the nearest
// point to each joint.
func (s *Structure) addPiece(i int, l *line, joints []r3.Vec) error {
	p, m := s.Pieces[i], &s.Model
	if l == nil {
		if !(p.MassKG > 0) || math.IsInf(p.MassKG, 0) {
			return fmt.Errorf("%s: its mass is not known; choose its stock", p.name())
		}
		at, second, rough := p.centreOf()
		if rough {
			s.Notes = append(s.Notes, p.name()+": its mass is taken in the middle of its box")
		}
		s.NodesOf[i] = []int{len(m.Nodes)}
		m.Masses = append(m.Masses, p.massAt(len(m.Nodes), second))
		m.Nodes = append(m.Nodes, Node{AtMM: at, Of: p.name()})
		return nil
	}
	points := l.noded(joints)
	first, length := len(m.Nodes), 0.0
	for k, at := range points {
		s.NodesOf[i] = append(s.NodesOf[i], len(m.Nodes))
		m.Nodes = append(m.Nodes, Node{AtMM: at, Of: p.name()})
		next := k + 1
		if next == len(points) {
			if !l.closed {
				break
			}
			next = 0
		}
		length += r3.Norm(r3.Sub(points[next], at))
		up := l.up
		if l.upAt != nil {
			up = l.upAt(r3.Scale(0.5, r3.Add(at, points[next])))
		}
		s.BeamsOf[i] = append(s.BeamsOf[i], len(m.Beams))
		m.Beams = append(m.Beams, Beam{A: first + k, B: first + next, Section: l.section, Up: up, Part: i})
	}
	s.weigh(i, length)
	return nil
}

// weigh gives the beams of a piece its known mass instead of that of their section.
func (s *Structure) weigh(i int, lengthMM float64) {
	if p := s.Pieces[i]; p.MassKG > 0 {
		for _, b := range s.BeamsOf[i] {
			x := &s.Model.Beams[b].Section
			k := p.MassKG / (lengthMM * x.MassKGMM)
			x.MassKGMM, x.PolarMassKGMM = k*x.MassKGMM, k*x.PolarMassKGMM
		}
	}
}

// noded is the line with a point at the nearest place to each joint.
func (l *line) noded(joints []r3.Vec) []r3.Vec {
	count := len(l.points)
	if !l.closed {
		count--
	}
	along := make([][]float64, count) // where a side is cut, from 0 to 1
	for _, j := range joints {
		best, side, t := math.Inf(1), 0, 0.0
		for i := range count {
			a, d := l.points[i], r3.Sub(l.points[(i+1)%len(l.points)], l.points[i])
			k := min(max(r3.Dot(r3.Sub(j, a), d)/r3.Norm2(d), 0), 1)
			if x := r3.Norm(r3.Sub(j, r3.Add(a, r3.Scale(k, d)))); x < best*(1-1e-12) {
				best, side, t = x, i, k
			}
		}
		along[side] = append(along[side], t)
	}
	var out []r3.Vec
	merge := mergeDepths * l.section.depthMM()
	for i := range count {
		a, b := l.points[i], l.points[(i+1)%len(l.points)]
		long := r3.Norm(r3.Sub(b, a))
		slices.Sort(along[i])
		out = append(out, a)
		last := 0.0
		for _, t := range along[i] {
			if (t-last)*long >= merge && (1-t)*long >= merge {
				out = append(out, r3.Add(a, r3.Scale(t, r3.Sub(b, a))))
				last = t
			}
		}
	}
	if !l.closed {
		out = append(out, l.points[len(l.points)-1])
	}
	return out
}

// nearest node of a piece to a place.
func (s *Structure) nearest(piece int, at r3.Vec) int {
	best, node := math.Inf(1), 0
	for _, n := range s.NodesOf[piece] {
		if d := r3.Norm(r3.Sub(s.Model.Nodes[n].AtMM, at)); d < best {
			best, node = d, n
		}
	}
	return node
}

// stand fixes what stands on the ground: of a line the nodes that are lowest, of a
// rigid body the middle of its lowest face.
func (s *Structure) stand(lines []*line, opt Options) {
	ground := 0.0
	if opt.Floor {
		ground = math.Inf(1)
		for _, p := range s.Pieces {
			low, _, _ := p.lowestAlong(opt.Up, 0)
			ground = min(ground, low)
		}
	}
	for i, p := range s.Pieces {
		low, lo, hi := p.lowestAlong(opt.Up, opt.GroundMM)
		if low > ground+opt.GroundMM {
			continue
		}
		if lines[i] == nil {
			s.foot(i, s.NodesOf[i][0], r3.Scale(0.5, r3.Add(lo, hi)))
			s.Feet[len(s.Feet)-1].LowMM, s.Feet[len(s.Feet)-1].HighMM = lo, hi
			continue
		}
		least := math.Inf(1)
		for _, n := range s.NodesOf[i] {
			least = min(least, r3.Dot(s.Model.Nodes[n].AtMM, opt.Up))
		}
		for _, n := range s.NodesOf[i] {
			if x := s.Model.Nodes[n].AtMM; r3.Dot(x, opt.Up) <= least+opt.GroundMM {
				s.foot(i, n, r3.Add(x, r3.Scale(low-r3.Dot(x, opt.Up), opt.Up)))
			}
		}
	}
}

func (s *Structure) foot(piece, node int, at r3.Vec) {
	m := &s.Model
	ground := len(m.Nodes)
	m.Nodes = append(m.Nodes, Node{AtMM: at, Of: s.Pieces[piece].name()})
	m.Links = append(m.Links, Link{A: ground, B: node, AtMM: at})
	s.Feet = append(s.Feet, Foot{Piece: piece, Support: len(m.Supports), AtMM: at, LowMM: at, HighMM: at})
	m.Supports = append(m.Supports, Fixed(ground))
}

// SelfWeight is the case of the work's own weight.
func (s *Structure) SelfWeight() Case { return s.pulled(r3.Scale(-1, s.up)) }

// pulled is the case of all masses pulled by a multiple of gravity.
func (s *Structure) pulled(g r3.Vec) Case {
	var c Case
	for i, b := range s.Model.Beams {
		c.Beams = append(c.Beams, BeamLoad{Beam: i, NPerM: r3.Scale(1000*gravityMS2*b.Section.MassKGMM, g)})
	}
	for _, m := range s.Model.Masses {
		c.Nodes = append(c.Nodes, NodeLoad{Node: m.Node, Wrench: Wrench{ForceN: r3.Scale(gravityMS2*m.KG, g)}})
	}
	return c
}

// MassKG is that of the model.
func (s *Structure) MassKG() float64 {
	sum := 0.0
	for _, b := range s.Model.Beams {
		sum += b.Section.MassKGMM * r3.Norm(r3.Sub(s.Model.Nodes[b.A].AtMM, s.Model.Nodes[b.B].AtMM))
	}
	for _, m := range s.Model.Masses {
		sum += m.KG
	}
	return sum
}
