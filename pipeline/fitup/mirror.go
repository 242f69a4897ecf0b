package fitup

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/stock"
)

// mirror is the plane of a mirrored relation: at its origin, square to its z. It
// is free to move: its unknowns stand from first on, a shift along its normal and
// two tilts, mm at reachMM.
type mirror struct {
	relation int
	at       pose
	reachMM  float64
	pairs    []twin
	alone    []int
	first    int
}

// twin is a part and its image. The axis of the image is sign times the image of
// the axis; e and f are square to it, in the plane's frame.
type twin struct {
	i, j int
	sign float64
	e, f r3.Vec
}

// prepareRelations finds the planes of mirrored relations: that between two like
// parts about which most others have an image or lie in it.
func (m *model) prepareRelations() {
	for k, r := range m.relations {
		if r.Kind != "mirrored" {
			continue
		}
		var best mirror
		score := 0
		residual := math.Inf(1)
		for a, i := range r.Parts {
			for _, j := range r.Parts[a+1:] {
				x, off := m.mirrorOf(r, i, j)
				if n := 2*len(x.pairs) + len(x.alone); n > score || n == score && off < residual-1e-9 {
					best, score, residual = x, n, off
				}
			}
		}
		if len(best.pairs) > 0 {
			best.relation = k
			m.mirrors = append(m.mirrors, best)
		}
	}
}

// mirrorOf takes the plane half-way between two like parts and matches the others.
func (m *model) mirrorOf(r stock.Relation, i, j int) (mirror, float64) {
	a, b := m.bodies[i], m.bodies[j]
	w := r3.Sub(b.scanned.at, a.scanned.at)
	if a.was.Kind != b.was.Kind || r3.Norm(w) < 1e-6 {
		return mirror{}, math.Inf(1)
	}
	e, _ := square(unit(w))
	x := mirror{at: newPose(r3.Scale(0.5, r3.Add(a.scanned.at, b.scanned.at)), w, e), first: -1}
	off := 0.0
	used := map[int]bool{}
	for _, p := range r.Parts {
		x.reachMM = max(x.reachMM, r3.Norm(r3.Sub(m.bodies[p].scanned.at, x.at.at)))
		if used[p] {
			continue
		}
		partner, d := m.image(r, x.at, p, used)
		q := x.at.local(m.bodies[p].scanned.at)
		switch {
		case partner >= 0 && d <= m.opt.TouchMM*4:
			used[p], used[partner] = true, true
			x.pairs = append(x.pairs, m.twin(x.at, p, partner))
			off += d
		case math.Abs(q.Z) <= m.opt.TouchMM*4:
			used[p] = true
			x.alone = append(x.alone, p)
			off += math.Abs(q.Z)
		}
	}
	return x, off
}

// image is the unused like part nearest to the image of p.
func (m *model) image(r stock.Relation, plane pose, p int, used map[int]bool) (int, float64) {
	q := plane.local(m.bodies[p].scanned.at)
	q.Z = -q.Z
	best, least := -1, math.Inf(1)
	for _, o := range r.Parts {
		if o == p || used[o] || m.bodies[o].was.Kind != m.bodies[p].was.Kind {
			continue
		}
		if d := r3.Norm(r3.Sub(plane.local(m.bodies[o].scanned.at), q)); d < least {
			best, least = o, d
		}
	}
	return best, least
}

func (m *model) twin(plane pose, i, j int) twin {
	d := plane.localDir(m.bodies[i].scanned.z)
	d.Z = -d.Z
	t := twin{i: i, j: j, sign: math.Copysign(1, r3.Dot(d, plane.localDir(m.bodies[j].scanned.z)))}
	t.e, t.f = square(d)
	return t
}

func (x *mirror) values(m *model) []float64 {
	var out []float64
	for _, t := range x.pairs {
		p, q := x.at.local(m.mid(t.i)), x.at.local(m.mid(t.j))
		out = append(out, p.X-q.X, p.Y-q.Y, p.Z+q.Z)
		a, b := m.bodies[t.i], m.bodies[t.j]
		if !a.hasAxis() || !b.hasAxis() {
			continue
		}
		d, o := x.at.localDir(a.at.z), x.at.localDir(b.at.z)
		d.Z = -d.Z
		w := r3.Scale(min(a.reachMM, b.reachMM), r3.Sub(r3.Scale(t.sign, o), d))
		out = append(out, r3.Dot(t.e, w), r3.Dot(t.f, w))
	}
	for _, i := range x.alone {
		b := m.bodies[i]
		out = append(out, x.at.local(m.mid(i)).Z)
		d := x.at.localDir(b.at.z)
		switch was := math.Abs(x.at.localDir(b.scanned.z).Z); {
		case !b.hasAxis():
		case was > math.Sqrt2/2:
			out = append(out, d.X*b.reachMM, d.Y*b.reachMM)
		default:
			out = append(out, d.Z*b.reachMM)
		}
	}
	return out
}

// hasAxis tells a part whose axis means something.
func (b *body) hasAxis() bool {
	return b.was.Kind != "sphere" && b.was.Kind != "freeform" && r3.Norm(b.was.Frame.Axis) > 0.5
}
