package site

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/stock"
)

// Standing is a part of the work while it is built: what stands, in the pose in which it
// does.
type Standing struct {
	Name   string
	Pieces []int
	Up     r3.Vec
}

// Hanging is a part of the work on legs from one hook, upright.
type Hanging struct {
	Name   string
	Pieces []int
	HookMM r3.Vec
	Lugs   []LugAt
	Factor float64 // dynamic
}

// LugAt is where a leg holds a piece.
type LugAt struct {
	Piece int
	AtMM  r3.Vec
}

// Stage is what a partial build or a lift does to its pieces and joints.
type Stage struct {
	Name           string        `json:"name"`
	Pieces         int           `json:"pieces"`
	Load           string        `json:"load"`
	DeflectionMM   float64       `json:"deflection_mm"`
	DeflectionOf   string        `json:"deflection_of,omitempty"`
	CriticalFactor float64       `json:"critical_factor,omitempty"` // of its load that buckles it; absent: nothing is pressed
	Utilisation    float64       `json:"utilisation"`
	UtilisationOf  string        `json:"utilisation_of,omitempty"`
	Members        []StageMember `json:"members"`
	Joints         []StageJoint  `json:"joints"`
	WhyNot         string        `json:"why_not,omitempty"`
}

// StageMember is a piece at its most stressed place.
type StageMember struct {
	ID          string  `json:"id"`
	AxialN      float64 `json:"axial_n"`
	ShearN      float64 `json:"shear_n"`
	TorqueNMM   float64 `json:"torque_nmm"`
	BendingNMM  float64 `json:"bending_nmm"`
	Utilisation float64 `json:"utilisation"` // of stress
}

// StageJoint is a weld as it is to be at the end; a tack carries less.
type StageJoint struct {
	A           string  `json:"a"`
	B           string  `json:"b"`
	ForceN      float64 `json:"force_n"`
	MomentNMM   float64 `json:"moment_nmm"`
	Utilisation float64 `json:"utilisation"` // 0 where no seam was found
}

// StageBasis says what stages leave out.
const StageBasis = "partial builds: own weight, feet clamped to the floor as found, props and hook not counted, welds complete: tacks, wind and knocks are not covered; lifts: legs share the load by least squares, with four or more any three that can hold it too"

// Stages are solved each on its own; one that cannot be says why.
func Stages(pieces []Piece, contacts []stock.Contact, metal Metal, p Pressure, standing []Standing, hanging []Hanging) []Stage {
	out := []Stage{}
	dead := 1.0
	if !p.asce() {
		dead = 1.35
	}
	for _, x := range standing {
		opt := DefaultOptions()
		opt.Up, opt.Floor = x.Up, true
		out = append(out, stageOf(x.Name, x.Pieces, pieces, contacts, metal, p, opt, func(s *Structure) ([]Solution, string, error) {
			sol, err := s.Frame.Solve(s.SelfWeight())
			return []Solution{sol.times(dead)}, fmt.Sprintf("%.2f own weight", dead), err
		}))
	}
	for _, x := range hanging {
		opt := DefaultOptions()
		at := positions(x.Pieces)
		opt.Held = at[x.Lugs[0].Piece]
		g := stageOf(x.Name, x.Pieces, pieces, contacts, metal, p, opt, func(s *Structure) ([]Solution, string, error) {
			sols, err := s.hung(x, at, dead*x.Factor)
			return sols, fmt.Sprintf("%.2f × %.2f own weight, legs: %d", dead, x.Factor, len(x.Lugs)), err
		})
		if len(g.Members)+len(g.Joints) > 0 || g.WhyNot != "" { // a rigid piece alone has nothing to judge
			out = append(out, g)
		}
	}
	return out
}

func positions(which []int) map[int]int {
	at := map[int]int{}
	for k, i := range which {
		at[i] = k
	}
	return at
}

// stageOf builds the frame of some pieces and judges the worst of its loads.
func stageOf(name string, which []int, pieces []Piece, contacts []stock.Contact, metal Metal, p Pressure, opt Options, load func(*Structure) ([]Solution, string, error)) Stage {
	out := Stage{Name: name, Pieces: len(which), Members: []StageMember{}, Joints: []StageJoint{}}
	at := positions(which)
	var some []Piece
	for _, i := range which {
		some = append(some, pieces[i])
	}
	var between []stock.Contact
	for _, c := range contacts {
		a, okA := at[c.A]
		b, okB := at[c.B]
		if okA && okB {
			c.A, c.B = a, b
			between = append(between, c)
		}
	}
	s, err := Build(some, between, metal, opt)
	if err != nil {
		out.WhyNot = err.Error()
		return out
	}
	sols, words, err := load(s)
	if err != nil {
		out.WhyNot = err.Error()
		return out
	}
	out.Load = words
	out.judge(s, sols, metal.allowMPa(p), filletMPa(p))
	return out
}

// judge takes the worst of several ways to carry one load.
func (g *Stage) judge(s *Structure, sols []Solution, allow, weld float64) {
	g.Members, g.Joints = make([]StageMember, 0, len(s.Pieces)), make([]StageJoint, len(s.Joints))
	lines := s.weldLines()
	for i, j := range s.Joints {
		g.Joints[i] = StageJoint{A: s.Pieces[j.A].Part.ID, B: s.Pieces[j.B].Part.ID}
	}
	q := squeeze{PressN: make([]float64, len(s.Model.Beams)), TipNMM: make([]float64, len(s.Frame.groups.ref))}
	for i, x := range s.Pieces {
		if len(s.BeamsOf[i]) == 0 {
			continue
		}
		m := StageMember{ID: x.Part.ID}
		for _, sol := range sols {
			for _, b := range s.BeamsOf[i] {
				for _, w := range []Wrench{sol.Beams[b].A, sol.Beams[b].B} {
					q.PressN[b] = max(q.PressN[b], -w.ForceN.X)
					if u := s.Model.Beams[b].Section.stress(w) / allow; u > m.Utilisation {
						m = StageMember{x.Part.ID, w.ForceN.X, math.Hypot(w.ForceN.Y, w.ForceN.Z), w.MomentNMM.X, math.Hypot(w.MomentNMM.Y, w.MomentNMM.Z), u}
					}
				}
			}
		}
		g.Members = append(g.Members, m)
		g.worse(m.Utilisation, m.ID)
	}
	for _, sol := range sols {
		for i, j := range s.Joints {
			x, w := &g.Joints[i], sol.Links[j.Link]
			x.ForceN, x.MomentNMM = max(x.ForceN, r3.Norm(w.ForceN)), max(x.MomentNMM, r3.Norm(w.MomentNMM))
			thin := min(s.Pieces[j.A].thinMM(), s.Pieces[j.B].thinMM())
			if lines[i].lengthMM > 0 && !math.IsInf(thin, 1) {
				f, _ := lines[i].peak(w, j.AtMM)
				x.Utilisation = max(x.Utilisation, filletLegMM(f, weld)/thin)
			}
			g.worse(x.Utilisation, x.A+"–"+x.B)
		}
		for n, v := range sol.ShiftMM {
			if d := r3.Norm(v); d > g.DeflectionMM {
				g.DeflectionMM, g.DeflectionOf = d, s.Model.Nodes[n].Of
			}
		}
	}
	s.tipping(sols[0], q.TipNMM)
	if alpha, err := s.Frame.criticalFactor(q); err == nil && !math.IsInf(alpha, 1) {
		g.CriticalFactor = alpha
	}
}

func (g *Stage) worse(use float64, of string) {
	if use > g.Utilisation {
		g.Utilisation, g.UtilisationOf = use, of
	}
}

// hung solves the work on its legs: pulled by its weight and by the legs, which
// balance it; what the hold in one node has to give is the rest, that the hook is not right
// over the centre of gravity. It refuses legs that leave more than a twentieth of the weight.
func (s *Structure) hung(x Hanging, at map[int]int, factor float64) ([]Solution, error) {
	weight := factor * gravityMS2 * s.MassKG()
	dead, err := s.Frame.Solve(s.SelfWeight())
	if err != nil {
		return nil, err
	}
	var out []Solution
	for _, pulls := range sharings(x, weight) {
		var c Case
		for i, l := range x.Lugs {
			n := s.nearest(at[l.Piece], l.AtMM)
			pull := Wrench{ForceN: r3.Scale(pulls[i], r3.Unit(r3.Sub(x.HookMM, l.AtMM)))}
			c.Nodes = append(c.Nodes, NodeLoad{n, pull.about(l.AtMM, s.Model.Nodes[n].AtMM)})
		}
		sol, err := s.Frame.Solve(c)
		if err != nil {
			return nil, err
		}
		sum := dead.times(factor).plus(sol)
		if r := r3.Norm(sum.Reactions[0].ForceN); r > 0.05*weight {
			return nil, fmt.Errorf("the legs leave %.0f N of %.0f N", r, weight)
		}
		out = append(out, sum)
	}
	return out, nil
}

// sharings are the pulls of legs that hold a weight under their hook: by least squares,
// and of four legs or more by any three that can.
func sharings(x Hanging, weightN float64) [][]float64 {
	all := make([]int, len(x.Lugs))
	for i := range all {
		all[i] = i
	}
	out := [][]float64{x.pulls(all, weightN)}
	if len(all) < 4 {
		return out
	}
	for i := range all {
		for j := range i {
			for k := range j {
				p := x.pulls([]int{k, j, i}, weightN)
				if min(p[k], p[j], p[i]) >= -1e-6*weightN && x.holds(p, weightN) {
					out = append(out, p)
				}
			}
		}
	}
	return out
}

func (x Hanging) pulls(legs []int, weightN float64) []float64 {
	a := mat.NewDense(3, len(legs), nil)
	for k, i := range legs {
		u := r3.Unit(r3.Sub(x.HookMM, x.Lugs[i].AtMM))
		a.SetCol(k, []float64{u.X, u.Y, u.Z})
	}
	var t mat.VecDense
	t.MulVec(pseudoInverse(a), mat.NewVecDense(3, []float64{0, 0, weightN}))
	out := make([]float64, len(x.Lugs))
	for k, i := range legs {
		out[i] = t.AtVec(k)
	}
	return out
}

func (x Hanging) holds(pulls []float64, weightN float64) bool {
	sum := r3.Vec{Z: -weightN}
	for i, p := range pulls {
		sum = r3.Add(sum, r3.Scale(p, r3.Unit(r3.Sub(x.HookMM, x.Lugs[i].AtMM))))
	}
	return r3.Norm(sum) <= 1e-3*weightN
}
