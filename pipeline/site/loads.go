package site

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// loads are the solved cases of a structure, each with a factor of 1.
type loads struct {
	dead, live, ice Solution
	wind            []Solution // by direction; empty where its forces are not covered
	braking         []Solution // to four sides
	quake           []Solution // by direction; empty without a coefficient
	liveWeld        *Solution  // where it does most to a weld, if that is another place
	liveAt          r3.Vec
	liveOn          string
	raised          float64 // by which sums are multiplied for the second order; 0: not at all
}

// iceKGM3 is glaze, ASCE 7-16 10.4.1 (56 pcf).
const iceKGM3 = 900.0

// solveLoads solves every case once; combinations are sums of them.
func (s *Structure) solveLoads(w Wind, opt CheckOptions) (loads, error) {
	var l loads
	var err error
	if l.dead, err = s.Frame.Solve(s.SelfWeight()); err != nil {
		return l, err
	}
	if l.ice, err = s.Frame.Solve(s.iced(opt.IceMM)); err != nil {
		return l, err
	}
	for _, way := range []r3.Vec{{X: brakingG}, {Y: brakingG}, {X: -brakingG}, {Y: -brakingG}} {
		x, err := s.Frame.Solve(s.pulled(way))
		if err != nil {
			return l, err
		}
		l.braking = append(l.braking, x)
	}
	if opt.Seismic > 0 { // weight pulled level, from every side that the wind comes from
		for k := range directions {
			sin, cos := math.Sincos(2 * math.Pi * float64(k) / directions)
			l.quake = append(l.quake, l.braking[0].times(cos*opt.Seismic/brakingG).plus(l.braking[1].times(sin*opt.Seismic/brakingG)))
		}
	}
	if w.Gust > 0 {
		for _, d := range w.Towards {
			x, err := s.Frame.Solve(d.Case())
			if err != nil {
				return l, err
			}
			l.wind = append(l.wind, x)
		}
	}
	return l, s.climb(&l, opt)
}

// iced is the weight of a coat of ice on all surfaces of every piece, hidden ones too.
func (s *Structure) iced(mm float64) Case {
	var c Case
	for i, p := range s.Pieces {
		area := 0.0
		for _, t := range p.Triangles {
			a, b, d := p.PointsMM[t[0]], p.PointsMM[t[1]], p.PointsMM[t[2]]
			area += r3.Norm(r3.Cross(r3.Sub(b, a), r3.Sub(d, a))) / 2
		}
		weight := iceKGM3 * 1e-9 * area * mm * gravityMS2
		if len(s.BeamsOf[i]) == 0 {
			c.Nodes = append(c.Nodes, NodeLoad{Node: s.NodesOf[i][0], Wrench: Wrench{ForceN: r3.Vec{Z: -weight}}})
			continue
		}
		length := 0.0
		for _, b := range s.BeamsOf[i] {
			length += s.spanMM(b)
		}
		for _, b := range s.BeamsOf[i] {
			c.Beams = append(c.Beams, BeamLoad{Beam: b, NPerM: r3.Vec{Z: -1000 * weight / length}})
		}
	}
	return c
}

func (s *Structure) spanMM(beam int) float64 {
	b := s.Model.Beams[beam]
	return r3.Norm(r3.Sub(s.Model.Nodes[b.A].AtMM, s.Model.Nodes[b.B].AtMM))
}

// climb puts the climbing load where it does most: of all nodes within reach, and
// the outermost points of rigid pieces there, the one with the highest stress in a beam; where
// none has any, the one furthest from the middle of the feet. The one that does most to a weld
// is a case of its own.
func (s *Structure) climb(l *loads, opt CheckOptions) error {
	centre, worst, worstWeld := s.footCentre(), -1.0, 0.0
	lines := s.weldLines()
	l.live = l.dead.like()
	var weld Solution
	var weldAt r3.Vec
	for i := range s.Pieces {
		for _, h := range s.holds(i, opt.ReachMM) {
			load := Wrench{ForceN: r3.Vec{Z: -opt.ClimbingN}}.about(h.at, s.Model.Nodes[h.node].AtMM)
			x, err := s.Frame.Solve(Case{Nodes: []NodeLoad{{Node: h.node, Wrench: load}}})
			if err != nil {
				return err
			}
			score := s.highestStress(x) + 1e-9*math.Hypot(h.at.X-centre.X, h.at.Y-centre.Y)
			if score > worst {
				worst, l.live, l.liveAt, l.liveOn = score, x, h.at, s.Pieces[i].Part.ID
			}
			if score := s.highestWeld(x, lines); score > worstWeld {
				worstWeld, weld, weldAt = score, x, h.at
			}
		}
	}
	if worstWeld > 0 && weldAt != l.liveAt {
		l.liveWeld = &weld
	}
	return nil
}

func (s *Structure) weldLines() []weldLine {
	out := make([]weldLine, len(s.Joints))
	for i, j := range s.Joints {
		out[i] = newWeldLine(j.Seam)
	}
	return out
}

// highestWeld is the greatest force a millimetre over the thinner part, MPa.
func (s *Structure) highestWeld(x Solution, lines []weldLine) float64 {
	worst := 0.0
	for i, j := range s.Joints {
		thin := min(s.Pieces[j.A].thinMM(), s.Pieces[j.B].thinMM())
		if lines[i].lengthMM > 0 && !math.IsInf(thin, 1) {
			f, _ := lines[i].peak(x.Links[j.Link], j.AtMM)
			worst = max(worst, f/thin)
		}
	}
	return worst
}

// hold is where somebody may stand or hang, and the node that takes it.
type hold struct {
	node int
	at   r3.Vec
}

// handMM is how far apart places are tried, about a hand's reach of each other (common
// practice, no source); ends always.
const handMM = 100.0

// holds of a piece within a height: its nodes, or the outermost points of a rigid one.
func (s *Structure) holds(piece int, reach float64) []hold {
	var out []hold
	if len(s.BeamsOf[piece]) > 0 {
		nodes := s.NodesOf[piece]
		for i, n := range nodes {
			at := s.Model.Nodes[n].AtMM
			apart := len(out) == 0 || r3.Norm(r3.Sub(at, out[len(out)-1].at)) >= handMM || i == len(nodes)-1
			if at.Z <= reach && apart {
				out = append(out, hold{n, at})
			}
		}
		return out
	}
	node := s.NodesOf[piece][0]
	for _, way := range []r3.Vec{{X: 1}, {X: -1}, {Y: 1}, {Y: -1}} {
		best, at := math.Inf(-1), r3.Vec{}
		for _, x := range s.Pieces[piece].PointsMM {
			if d := r3.Dot(x, way); x.Z <= reach && d > best {
				best, at = d, x
			}
		}
		if !math.IsInf(best, -1) {
			out = append(out, hold{node, at})
		}
	}
	return out
}

// highestStress in any beam, MPa.
func (s *Structure) highestStress(x Solution) float64 {
	worst := 0.0
	for i, b := range s.Model.Beams {
		worst = max(worst, b.Section.stress(x.Beams[i].A), b.Section.stress(x.Beams[i].B))
	}
	return worst
}

// stress is von Mises' of the greatest normal and the greatest shear stress of a
// section, as if both were at one place: on the safe side, MPa.
func (s Section) stress(w Wrench) float64 {
	my, mz := math.Abs(w.MomentNMM.Y)/s.WyMM3, math.Abs(w.MomentNMM.Z)/s.WzMM3
	bend := my + mz
	if s.Round {
		bend = math.Hypot(my, mz)
	}
	normal := math.Abs(w.ForceN.X)/s.AreaMM2 + bend
	shear := s.ShearPeak*math.Hypot(w.ForceN.Y, w.ForceN.Z)/s.AreaMM2 + math.Abs(w.MomentNMM.X)/s.WtMM3
	return math.Sqrt(normal*normal + 3*shear*shear)
}

// each walks through the combinations, those with wind or an earthquake to every side. What it
// hands over holds until the next.
func (l *loads) each(sums []Combination, do func(c Combination, towardsDeg *float64, x Solution)) {
	still, sum := l.dead.like(), l.dead.like()
	raised := max(l.raised, 1)
	one := func(c Combination, live Solution) {
		still.clear()
		still.add(l.dead, raised*c.Dead)
		still.add(live, raised*c.Live)
		still.add(l.ice, raised*c.Ice)
		turning, share := l.wind, c.Wind
		switch {
		case c.Seismic > 0:
			turning, share = l.quake, c.Seismic
		case c.Wind == 0:
			do(c, nil, still)
			return
		}
		for k, x := range turning {
			deg := 360 * float64(k) / directions
			sum.clear()
			sum.add(still, 1)
			sum.add(x, raised*share)
			do(c, &deg, sum)
		}
	}
	for _, c := range sums {
		one(c, l.live)
		if l.liveWeld != nil && c.Live > 0 {
			one(c, *l.liveWeld)
		}
	}
}

func (s Solution) clear() {
	clear(s.ShiftMM)
	clear(s.TurnRad)
	clear(s.Beams)
	clear(s.Links)
	clear(s.Reactions)
}

// add puts a multiple of another solution of the same shape on top.
func (s Solution) add(t Solution, k float64) {
	if k == 0 {
		return
	}
	for i := range s.ShiftMM {
		s.ShiftMM[i], s.TurnRad[i] = r3.Add(s.ShiftMM[i], r3.Scale(k, t.ShiftMM[i])), r3.Add(s.TurnRad[i], r3.Scale(k, t.TurnRad[i]))
	}
	for i, b := range t.Beams {
		s.Beams[i] = BeamForces{s.Beams[i].A.plus(b.A.times(k)), s.Beams[i].B.plus(b.B.times(k))}
	}
	for i, w := range t.Links {
		s.Links[i] = s.Links[i].plus(w.times(k))
	}
	for i, w := range t.Reactions {
		s.Reactions[i] = s.Reactions[i].plus(w.times(k))
	}
}

func (s Solution) times(k float64) Solution {
	o := s.like()
	o.add(s, k)
	return o
}

func (s Solution) plus(t Solution) Solution {
	o := s.times(1)
	o.add(t, 1)
	return o
}

// like is an empty solution of the same shape.
func (s Solution) like() Solution {
	return Solution{ShiftMM: make([]r3.Vec, len(s.ShiftMM)), TurnRad: make([]r3.Vec, len(s.TurnRad)), Beams: make([]BeamForces, len(s.Beams)),
		Links: make([]Wrench, len(s.Links)), Reactions: make([]Wrench, len(s.Reactions))}
}
