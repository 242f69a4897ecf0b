package shop

import (
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/stock"
)

// Hanging is what a joint holds by dead weight.
type Hanging struct {
	Part      int  // the one of the two that is farther from the ground; -1 where both stand on it
	Parts     int  // how many hang on it, this one included
	Alone     bool // no other way to the ground: the joint holds it by itself
	MassKG    float64
	CentreMM  r3.Vec
	ArmMM     float64 // level distance from the seam's middle to that centre
	StressMPa float64 // on the throat, the largest along the seam
	Use       float64 // of 0.30 FEXX; over UseMost the seam is short
	unknown   bool    // some mass is not known
}

const gravity = 9.80665 // m/s², ISO 80000-3

// holding finds what each joint holds.
type holding struct {
	bodies []Body
	joints []WeldJoint
	next   [][][2]int // of each part: neighbour, joint
	ground []bool
	depth  []int // joints to the ground; -1 where there is no way
}

func newHolding(parts []stock.Part, bodies []Body, joints []WeldJoint, groundMM float64) *holding {
	h := &holding{bodies: bodies, joints: joints, next: neighbours(len(parts), joints), ground: standing(parts, groundMM)}
	h.depth = h.reach(-1, -1)
	return h
}

// neighbours are each part's joints: the other part and the joint.
func neighbours(parts int, joints []WeldJoint) [][][2]int {
	next := make([][][2]int, parts)
	for k, j := range joints {
		next[j.A] = append(next[j.A], [2]int{j.B, k})
		next[j.B] = append(next[j.B], [2]int{j.A, k})
	}
	return next
}

// standing are the parts that reach the ground; of none the lowest.
func standing(parts []stock.Part, groundMM float64) []bool {
	out := make([]bool, len(parts))
	low := math.Inf(1)
	for _, p := range parts {
		low = min(low, p.BoxMM[0].Z)
	}
	for i, p := range parts {
		out[i] = p.BoxMM[0].Z <= max(low, groundMM)
	}
	return out
}

// reach counts joints from the ground to each part without one part and one joint.
func (h *holding) reach(without, cut int) []int {
	depth := make([]int, len(h.next))
	var queue []int
	for i := range depth {
		depth[i] = -1
		if h.ground[i] && i != without {
			depth[i] = 0
			queue = append(queue, i)
		}
	}
	for ; len(queue) > 0; queue = queue[1:] {
		for _, n := range h.next[queue[0]] {
			if depth[n[0]] < 0 && n[0] != without && n[1] != cut {
				depth[n[0]] = depth[queue[0]] + 1
				queue = append(queue, n[0])
			}
		}
	}
	return depth
}

// on is what hangs on joint k: the farther part and all that has no way to the
// ground but through it.
func (h *holding) on(k int) Hanging {
	j := h.joints[k]
	far, near := j.B, j.A
	if h.depth[far] < h.depth[near] || h.depth[far] == h.depth[near] && h.bodies[far].CentreMM.Z < h.bodies[near].CentreMM.Z {
		far, near = near, far
	}
	if h.ground[far] {
		return Hanging{Part: -1}
	}
	out := Hanging{Part: far, Alone: h.reach(-1, k)[far] < 0}
	without := h.reach(far, -1)
	var sum r3.Vec
	for i, b := range h.bodies {
		if i != far && (without[i] >= 0 || h.depth[i] < 0) {
			continue
		}
		out.Parts++
		out.MassKG += b.MassKG
		out.unknown = out.unknown || b.MassKG == 0
		sum = r3.Add(sum, r3.Scale(b.MassKG, b.CentreMM))
	}
	if out.MassKG > 0 {
		out.CentreMM = r3.Scale(1/out.MassKG, sum)
		d := r3.Sub(out.CentreMM, j.AtMM)
		out.ArmMM = math.Hypot(d.X, d.Y)
	}
	return out
}

// lineStress is the largest stress, MPa, on the throats of a seam under a force
// (N) through a point: each bit carries force and, as a rigid body that turns,
// moment: s = F/A + θ×r with J θ = M, J = ∫ t(r²I − r rᵀ) ds. That is the line
// method of weld groups (AISC Design Guide 29; Blodgett) for a seam of any shape in
// space. A bit also resists being turned about itself by its throat, t³/12.
// Infinite where no bit has a throat.
func lineStress(seam []SeamBit, force, at r3.Vec) float64 {
	var middle r3.Vec
	area := 0.0
	for _, s := range seam {
		a := s.ThroatMM * s.LengthMM
		middle, area = r3.Add(middle, r3.Scale(a, s.AtMM)), area+a
	}
	if area == 0 {
		return math.Inf(1)
	}
	middle = r3.Scale(1/area, middle)
	var j [6]float64
	for _, s := range seam {
		t := s.ThroatMM
		r, d, a := r3.Sub(s.AtMM, middle), s.Way, t*s.LengthMM
		along, own := s.LengthMM*s.LengthMM/12, t*t/12
		rr := r3.Dot(r, r) + along
		add := func(k int, eye float64, ru, rv, du, dv float64) {
			j[k] += a * (eye*rr - ru*rv - along*du*dv + own*du*dv)
		}
		add(0, 1, r.X, r.X, d.X, d.X)
		add(1, 0, r.X, r.Y, d.X, d.Y)
		add(2, 0, r.X, r.Z, d.X, d.Z)
		add(3, 1, r.Y, r.Y, d.Y, d.Y)
		add(4, 0, r.Y, r.Z, d.Y, d.Z)
		add(5, 1, r.Z, r.Z, d.Z, d.Z)
	}
	moment := r3.Cross(r3.Sub(at, middle), force)
	var turn mat.VecDense
	full := mat.NewSymDense(3, []float64{j[0], j[1], j[2], j[1], j[3], j[4], j[2], j[4], j[5]})
	var chol mat.Cholesky
	if !chol.Factorize(full) || chol.SolveVecTo(&turn, mat.NewVecDense(3, []float64{moment.X, moment.Y, moment.Z})) != nil {
		return math.Inf(1)
	}
	theta := r3.Vec{X: turn.AtVec(0), Y: turn.AtVec(1), Z: turn.AtVec(2)}
	return worstEnd(seam, middle, r3.Scale(1/area, force), theta)
}

// worstEnd is the largest stress at the ends of all bits, the bending of the throat
// itself added.
func worstEnd(seam []SeamBit, middle, direct, theta r3.Vec) float64 {
	worst := 0.0
	for _, s := range seam {
		t := s.ThroatMM
		if t == 0 {
			continue
		}
		for _, side := range []float64{-0.5, 0.5} {
			r := r3.Sub(r3.Add(s.AtMM, r3.Scale(side*s.LengthMM, s.Way)), middle)
			f := r3.Add(direct, r3.Cross(theta, r))
			worst = max(worst, r3.Norm(f)+math.Abs(r3.Dot(theta, s.Way))*t/2)
		}
	}
	return worst
}

// throat of a bit of the joint, mm: of a fillet leg × cos(half the angle between
// the faces), nothing where the toe cannot be welded.
func (j *WeldJoint) throat(parts []stock.Part, s SeamBit) float64 {
	switch {
	case j.ThickMM == 0 || j.Kind == "point":
		return 0
	case j.Kind == "groove":
		return j.ThickMM
	case j.Kind == "flare":
		return flareMM(parts[j.A], parts[j.B], j.ThickMM)
	case j.Kind == "edge":
		return j.LegMM * math.Sqrt2 / 2
	case s.OpenDeg < tightDeg:
		return 0
	}
	return j.LegMM * math.Cos(s.OpenDeg/2*math.Pi/180)
}

// StrengthN is what the seam carries by its throat alone: 0.30 FEXX (AISC Design
// Guide 29), 0 where the thickness of the parts is not known.
func (j WeldJoint) StrengthN(weldMPa float64) float64 {
	area := 0.0
	for _, s := range j.Seam {
		area += s.LengthMM * s.ThroatMM
	}
	return 0.30 * weldMPa * area
}
