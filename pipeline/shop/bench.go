package shop

import (
	"context"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/stock"
)

// Unit is what is set as one: a part, or a sub-assembly that is welded on the bench.
type Unit struct {
	Parts []int // rising
	Lead  int   // the heaviest: its marks are measured when the unit is set
	Bench Plan  // of more than one part: on the bench, and up to where it stands
}

// Benched is a build in which sub-assemblies are welded on the bench and lifted as
// one.
type Benched struct {
	Units     []Unit
	Set       Plan // of the units: Step.Part and Prop.Part are leads
	OverheadM float64
	Hours     float64 // of the benches and of the units, as in Plan
}

// BenchTurnH is what turning a sub-assembly on the bench takes, hours: a crane move
// (common practice, no source). What stands takes OrderOptions.TurnH.
const BenchTurnH = 0.5

// BenchAssumptions is what sub-assemblies rest on, beside OrderAssumptions.
func BenchAssumptions() []string {
	return []string{
		"a sub-assembly is welded on a bench in poses in which any of SITE's six directions points up, turned by a crane move, and lifted as one; whether it can be moved in past what stands is not checked",
		"only pieces that are joined by weld and do not stand on the ground are put together on the bench",
	}
}

// Benches looks for sub-assemblies of one order of BuildOrder that spare overhead
// weld: from single parts on, the two units that gain most by being one are joined
// while any gain, by the overhead weld of their seams in the best poses on the bench
// against that in place. After the first, half and all of these steps the units are
// built by BuildOrder's search; of those that lay less overhead than the order the one
// in fewest hours is taken, though they may be more than the order's. nil: none does.
func Benches(ctx context.Context, parts []stock.Part, bodies []Body, joints []WeldJoint, order Order, opt OrderOptions) (*Benched, error) {
	b := newBuilder(parts, bodies, joints, opt)
	var sets [][]int
	for _, s := range order.Best.Steps {
		sets = append(sets, []int{s.Part})
	}
	var ways [][][]int
	for ctx.Err() == nil {
		x, y := b.bestPair(sets)
		if x < 0 {
			break
		}
		one := slices.Sorted(slices.Values(slices.Concat(sets[x], sets[y])))
		sets = slices.Delete(slices.Clone(sets), y, y+1)
		sets[x] = one
		ways = append(ways, sets)
	}
	var best *Benched
	for k, sets := range ways {
		if k != 0 && k != len(ways)/2 && k != len(ways)-1 {
			continue
		}
		way, err := InUnits(ctx, parts, bodies, joints, sets, opt)
		if err != nil {
			return nil, err
		}
		if way.OverheadM < order.Best.OverheadM-1e-3 && (best == nil || way.Hours < best.Hours-tieH) {
			best = way
		}
	}
	return best, ctx.Err()
}

// bestPair are the two sets that gain most by being one, -1 where none do.
func (b *builder) bestPair(sets [][]int) (x, y int) {
	x, y = -1, -1
	most := tieH
	for i := range sets {
		for k := i + 1; k < len(sets); k++ {
			if !b.benchable(sets[i], sets[k]) {
				continue
			}
			both := append(slices.Clone(sets[i]), sets[k]...)
			if gain := b.benchGain(both) - b.benchGain(sets[i]) - b.benchGain(sets[k]); gain > most+tieH {
				x, y, most = i, k, gain
			}
		}
	}
	return x, y
}

// benchable tells of sets that are welded to each other and stand on no ground.
func (b *builder) benchable(one, other []int) bool {
	for _, i := range slices.Concat(one, other) {
		if b.ground[i] {
			return false
		}
	}
	for _, i := range one {
		for _, n := range b.next[i] {
			if slices.Contains(other, n[0]) && b.joints[n[1]].LengthMM > 0 {
				return true
			}
		}
	}
	return false
}

// benchGain is what welding a set on the bench spares, hours: overhead weld against
// the pose of the site, less turns and the lift from the bench.
func (b *builder) benchGain(set []int) float64 {
	if len(set) < 2 {
		return 0
	}
	kg := 0.0
	var seams []int
	for _, i := range set {
		kg += b.bodies[i].MassKG
		for _, n := range b.next[i] {
			if n[0] > i && slices.Contains(set, n[0]) {
				seams = append(seams, n[1])
			}
		}
	}
	if kg > b.opt.TurnMostKG {
		return math.Inf(-1)
	}
	turnH, liftH := BenchTurnH, b.opt.LiftH
	if kg <= b.opt.HandKG {
		turnH, liftH = 0, 0
	}
	here, least := b.overheadH(seams, 0, 0), math.Inf(1)
	for p := range b.poses {
		for q := p; q < len(b.poses); q++ {
			turns := 0.0
			for _, other := range []bool{p != q, p != 0} { // from one to the other, and up to the site's pose
				if other {
					turns++
				}
			}
			least = min(least, b.overheadH(seams, p, q)+turns*turnH)
		}
	}
	return here - least - liftH
}

// overheadH are the hours of overhead weld where each seam is laid in the better of
// two poses.
func (b *builder) overheadH(seams []int, p, q int) float64 {
	sum := 0.0
	for _, k := range seams {
		sum += min(b.poses[p].overMM[k], b.poses[q].overMM[k]) / 1000 * b.opt.OverheadHM
	}
	return sum
}

// InUnits builds each set of parts on the bench and then sets them one by one, both by
// the search of BuildOrder. Sets part the parts of a connected work: none is in two.
func InUnits(ctx context.Context, parts []stock.Part, bodies []Body, joints []WeldJoint, sets [][]int, opt OrderOptions) (*Benched, error) {
	if err := checkBodies("sub-assemblies", parts, bodies); err != nil {
		return nil, err
	}
	in := make([]int, len(parts))
	for i := range in {
		in[i] = -1
	}
	out := &Benched{}
	bench := opt
	bench.TurnH = BenchTurnH
	for k, set := range sets {
		u := Unit{Parts: slices.Clone(set)}
		for _, i := range set {
			if i < 0 || i >= len(parts) || in[i] >= 0 {
				return nil, fmt.Errorf("sub-assemblies: part %d is in two of them or in none that there is", i)
			}
			in[i] = k
			if i == set[0] || bodies[i].MassKG > bodies[u.Lead].MassKG {
				u.Lead = i
			}
		}
		if len(set) > 1 {
			b := newBuilder(parts, bodies, joints, bench)
			for _, i := range set {
				b.ground[i] = true // on the bench
			}
			o, err := b.order(ctx, set)
			if err != nil {
				return nil, err
			}
			u.Bench = o.Best
			out.OverheadM, out.Hours = out.OverheadM+o.Best.OverheadM, out.Hours+o.Best.Hours
		}
		out.Units = append(out.Units, u)
	}
	ps, bs, js := contracted(parts, bodies, joints, out.Units, in)
	group := make([]int, len(sets))
	for k := range group {
		group[k] = k
	}
	o, err := newBuilder(ps, bs, js, opt).order(ctx, group)
	if err != nil {
		return nil, err
	}
	out.Set = o.Best.led(out.Units)
	out.OverheadM, out.Hours = out.OverheadM+o.Best.OverheadM, out.Hours+o.Best.Hours
	return out, nil
}

// contracted are units as parts, with the joints between them.
func contracted(parts []stock.Part, bodies []Body, joints []WeldJoint, units []Unit, in []int) (ps []stock.Part, bs []Body, js []WeldJoint) {
	for _, u := range units {
		p, b := parts[u.Lead], Body{}
		for _, i := range u.Parts {
			p.BoxMM[0].Z = min(p.BoxMM[0].Z, parts[i].BoxMM[0].Z)
			b.MassKG += bodies[i].MassKG
			b.CentreMM = r3.Add(b.CentreMM, r3.Scale(bodies[i].MassKG, bodies[i].CentreMM))
			b.PointsMM = append(b.PointsMM, bodies[i].PointsMM...)
		}
		if b.MassKG > 0 {
			b.CentreMM = r3.Scale(1/b.MassKG, b.CentreMM)
		} else {
			b.CentreMM = bodies[u.Lead].CentreMM
		}
		ps, bs = append(ps, p), append(bs, b)
	}
	for _, j := range joints {
		if a, b := in[j.A], in[j.B]; a >= 0 && b >= 0 && a != b {
			j.A, j.B = a, b
			js = append(js, j)
		}
	}
	return ps, bs, js
}

// led is a plan of units with the leads in their place.
func (p Plan) led(units []Unit) Plan {
	lead := func(i int) int {
		if i < 0 {
			return i
		}
		return units[i].Lead
	}
	props := func(list []Prop) []Prop {
		out := slices.Clone(list)
		for i := range out {
			out[i].Part = lead(out[i].Part)
		}
		return out
	}
	p.Closing, p.LastProps = lead(p.Closing), props(p.LastProps)
	p.Steps = slices.Clone(p.Steps)
	for i, s := range p.Steps {
		p.Steps[i].Part, p.Steps[i].Props, p.Steps[i].Joints = lead(s.Part), props(s.Props), nil
	}
	return p
}
