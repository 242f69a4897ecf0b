package shop

import (
	"strconv"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/stock"
)

// builder holds what the search asks again and again.
type builder struct {
	opt    OrderOptions
	bodies []Body
	joints []WeldJoint
	next   [][][2]int
	ground []bool
	lowest []float64 // of each part, SITE
	poses  []pose
	uses   map[useKey]float64
}

// useKey is a part in a pose with those of its joints that are welded.
type useKey struct {
	move
	joints string
}

// pose is a way in which the work may stand: the direction of SITE that points up,
// two level ones, and what is different by it.
type pose struct {
	up, u, v r3.Vec
	overMM   []float64  // of each joint, overhead seam
	low      []float64  // of each part, lowest point along up
	foot     [][]r3.Vec // of each part, points near it
}

// move is one step: the pose, then the part that is set in it.
type move struct{ pose, part int }

func newBuilder(parts []stock.Part, bodies []Body, joints []WeldJoint, opt OrderOptions) *builder {
	b := &builder{opt: opt, bodies: bodies, joints: joints, next: neighbours(len(parts), joints), uses: map[useKey]float64{}, ground: standing(parts, opt.GroundMM)}
	for _, p := range parts {
		b.lowest = append(b.lowest, p.BoxMM[0].Z)
	}
	x, y, z := r3.Vec{X: 1}, r3.Vec{Y: 1}, r3.Vec{Z: 1}
	for _, up := range []r3.Vec{z, x, r3.Scale(-1, x), y, r3.Scale(-1, y), r3.Scale(-1, z)} {
		u := x
		if r3.Dot(up, x) != 0 {
			u = y
		}
		p := pose{up: up, u: u, v: r3.Cross(up, u)}
		for _, j := range joints {
			p.overMM = append(p.overMM, positionsOf(j, up)[WeldOverhead])
		}
		for _, body := range bodies {
			p.feet(body, opt.FloorMM)
		}
		b.poses = append(b.poses, p)
	}
	return b
}

// feet adds a part's lowest points; a part without points rests under its centre.
func (p *pose) feet(b Body, floorMM float64) {
	points := b.points()
	low := r3.Dot(points[0], p.up)
	for _, q := range points {
		low = min(low, r3.Dot(q, p.up))
	}
	var foot []r3.Vec
	for _, q := range points {
		if r3.Dot(q, p.up) <= low+floorMM {
			foot = append(foot, q)
		}
	}
	p.low, p.foot = append(p.low, low), append(p.foot, foot)
}

// joined are the parts that joints lead to from one, rising.
func (b *builder) joined(from int) []int {
	seen := make([]bool, len(b.next))
	seen[from] = true
	for queue := []int{from}; len(queue) > 0; queue = queue[1:] {
		for _, n := range b.next[queue[0]] {
			if !seen[n[0]] {
				seen[n[0]] = true
				queue = append(queue, n[0])
			}
		}
	}
	var out []int
	for i, s := range seen {
		if s {
			out = append(out, i)
		}
	}
	return out
}

// set holds parts; it can be compared.
type set [PartsMost / 64]uint64

func (s set) has(i int) bool { return s[i/64]>>(i%64)&1 == 1 }
func (s set) with(i int) set { s[i/64] |= 1 << (i % 64); return s }

// meets are the joints of a part to those that stand.
func (b *builder) meets(s set, part int) (joints []int) {
	for _, n := range b.next[part] {
		if s.has(n[0]) {
			joints = append(joints, n[1])
		}
	}
	return joints
}

// price is what setting a part costs, hours, without props and turns.
func (b *builder) price(s set, m move) float64 {
	hours := 0.0
	for _, n := range b.next[m.part] {
		if s.has(n[0]) {
			hours += b.poses[m.pose].overMM[n[1]] / 1000 * b.opt.OverheadHM
		}
	}
	if b.bodies[m.part].MassKG > b.opt.HandKG {
		hours += b.opt.LiftH
	}
	if b.use(s, m) > b.opt.UseMost {
		hours += b.opt.PropH
	}
	return hours
}

// plain is the order of lowest parts first, of those that a joint reaches, in the
// pose of the site.
func (b *builder) plain(group []int) []move {
	var out []move
	var s set
	for range group {
		best := -1
		for _, i := range group {
			free := len(out) == 0 && b.ground[i] || len(out) > 0 && len(b.meets(s, i)) > 0
			if free && !s.has(i) && (best < 0 || b.lowest[i] < b.lowest[best]) {
				best = i
			}
		}
		out, s = append(out, move{0, best}), s.with(best)
	}
	return out
}

// use is the share of what its seams to the set may carry that a part uses by its
// own weight; 0 where it has none, or the thickness of one is not known.
func (b *builder) use(s set, m move) float64 {
	key := useKey{move: m}
	for _, n := range b.next[m.part] {
		if s.has(n[0]) {
			key.joints += strconv.Itoa(n[1]) + " "
		}
	}
	if use, known := b.uses[key]; known || key.joints == "" {
		return use
	}
	b.uses[key] = b.useOf(b.meets(s, m.part), m)
	return b.uses[key]
}

func (b *builder) useOf(joints []int, m move) float64 {
	var seam []SeamBit
	for _, k := range joints {
		if b.joints[k].ThickMM == 0 {
			return 0
		}
		seam = append(seam, b.joints[k].Seam...)
	}
	body := b.bodies[m.part]
	if body.MassKG == 0 {
		return 0
	}
	weight := r3.Scale(-body.MassKG*gravity, b.poses[m.pose].up)
	return min(useMost, lineStress(seam, weight, body.CentreMM)/(0.30*b.opt.WeldMPa))
}

// useMost stands for seams that carry nothing.
const useMost = 1000
