package assembly

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// settle brings the chains onto both surfaces, drops what lies in a bore, where
// no weld could be laid, and what is no contact once the growth is taken away,
// and keeps the runs that remain.
func (s *seam) settle(chains []seamRun) {
	var facing []float64
	for _, c := range chains {
		var r seamRun
		off := make([]float64, len(c.at)) // from the nearer-lying surface, past the gap
		r.at, r.na, r.nb = make([]r3.Vec, len(c.at)), make([]r3.Vec, len(c.at)), make([]r3.Vec, len(c.at))
		for i, p := range c.at {
			x, na, nb := s.onto(p)
			off[i] = math.Inf(1)
			if s.a.inBore(x, na) || s.b.inBore(x, nb) {
				continue
			}
			facing = append(facing, s.facingAt(x, na, nb))
			r.at[i], r.na[i], r.nb[i] = s.shrink(x, na, nb)
			da, db := math.Abs(s.a.distance(r.at[i])), math.Abs(s.b.distance(r.at[i]))
			off[i] = max(da, db) - s.gapMM
		}
		r.closed = c.closed
		s.runs = append(s.runs, split(r, s.kept(off, c.closed))...)
	}
	slices.Sort(facing)
	if len(facing) > 0 {
		s.facing = facing[len(facing)/2]
	}
	s.runs = joined(single(s.runs, singleCells*s.cellMM), 2.5*s.cellMM)
	longest := 0.0
	for _, r := range s.runs {
		longest = max(longest, pathLength(r.at))
	}
	s.runs = slices.DeleteFunc(s.runs, func(r seamRun) bool {
		l := pathLength(r.at)
		return len(r.at) < 3 || l < scrapShare*longest && (!r.closed || l < scrapCells*s.cellMM)
	})
}

// looseTols is how many tolerances a seam may gape, next to where it keeps within
// one: a bar cut square against a tube gapes at its sides.
const looseTols = 2

// kept tells which points of a run belong to the seam: those within the tolerance
// of both surfaces, and on from them as far as it gapes little.
func (s *seam) kept(off []float64, closed bool) []bool {
	n := len(off)
	out := make([]bool, n)
	for i := range out {
		out[i] = off[i] <= s.tolMM
	}
	for _, step := range []int{1, n - 1} {
		for k := range 2 * n { // twice round, to go on past the start
			i := k
			if step > 1 {
				i = 2*n - 1 - k
			}
			j := i + step
			if !closed && (i%n == n-1 && step == 1 || i%n == 0 && step > 1) {
				continue
			}
			if out[i%n] && off[j%n] <= looseTols*s.tolMM {
				out[j%n] = true
			}
		}
	}
	return out
}

// singleCells is under the distance of seams on the two faces of a sheet.
const singleCells = 0.9

// A run under this share of the longest is a scrap of one that was found twice,
// if it is open or no longer than some cells round.
const (
	scrapShare = 0.05
	scrapCells = 12
)

// onto moves p to where both distances are growMM.
func (s *seam) onto(p r3.Vec) (at, na, nb r3.Vec) {
	start := p
	for range 6 {
		da, ma := s.a.look(p)
		db, mb := s.b.look(p)
		na, nb = ma, mb
		if max(math.Abs(da-s.growMM), math.Abs(db-s.growMM)) < 1e-7 {
			break
		}
		q := r3.Add(p, leastStep(na, nb, s.growMM-da, s.growMM-db, 1e-3))
		if r3.Norm(r3.Sub(q, start)) > 2*s.cellMM {
			break
		}
		p = q
	}
	return p, na, nb
}

// Following back: in steps, as long as each surface's normal turns by less than
// about 18 degrees a step; past that the point has come to a rim, and the last
// normals lead on in a straight line.
const (
	shrinkSteps = 4
	shrinkCos   = 0.95
	// facingMost is the cosine between outward normals past which surfaces run so
	// nearly towards each other that their crossing is not defined by them.
	facingMost = -0.77
)

// led is a point on its way back, with the normals there and the growth left.
type led struct {
	at, na, nb r3.Vec
	left       float64
}

// shrink takes the growth away: it follows the curve's point back along both
// surfaces to where both distances are 0. Where it comes to a rim, the step before
// may have begun to turn about it, and is taken back too.
func (s *seam) shrink(p, na, nb r3.Vec) (at, ma, mb r3.Vec) {
	now := led{p, na, nb, s.growMM}
	before := now
	for k := range shrinkSteps {
		want := s.growMM * float64(shrinkSteps-1-k) / shrinkSteps
		q, qa, qb, ok := s.follow(now.at, now.na, now.nb, want)
		if !ok {
			now = before
			break
		}
		before, now = now, led{q, qa, qb, want}
	}
	if now.left > 0 {
		c := max(r3.Dot(now.na, now.nb), facingMost)
		now.at = r3.Sub(now.at, r3.Scale(now.left/(1+c), r3.Add(now.na, now.nb)))
	}
	return now.at, now.na, now.nb
}

func (s *seam) follow(p, na, nb r3.Vec, want float64) (at, ma, mb r3.Vec, ok bool) {
	q := p
	for range 5 {
		da, qa := s.a.look(q)
		db, qb := s.b.look(q)
		if r3.Dot(qa, na) < shrinkCos || r3.Dot(qb, nb) < shrinkCos {
			return p, na, nb, false
		}
		if max(math.Abs(da-want), math.Abs(db-want)) < 1e-6 {
			return q, qa, qb, true
		}
		q = r3.Add(q, leastStep(qa, qb, want-da, want-db, 1e-6))
		if r3.Norm(r3.Sub(q, p)) > 2*s.growMM {
			return p, na, nb, false
		}
	}
	return p, na, nb, false
}

// facingAt is the cosine between the outward normals where most of the growth is
// taken away: near -1 on surfaces that touch where they face each other, however
// small they are beside the growth.
func (s *seam) facingAt(p, na, nb r3.Vec) float64 {
	for k := range shrinkSteps {
		least := s.gapMM/2 + 0.15*(s.growMM-s.gapMM/2)
		want := s.growMM - (s.growMM-least)*float64(k+1)/shrinkSteps
		q, qa, qb, ok := s.follow(p, na, nb, want)
		if !ok {
			break
		}
		p, na, nb = q, qa, qb
	}
	return r3.Dot(na, nb)
}

// inBore tells a point on the inside wall of a tube: nearer to the centreline
// than the middle of the wall, and the surface looking at it.
func (b *body) inBore(p, n r3.Vec) bool {
	var outer, inner float64
	f := b.e.Frame
	w := r3.Sub(p, f.OriginMM)
	h := r3.Dot(w, f.Axis)
	off := r3.Sub(w, r3.Scale(h, f.Axis))
	switch b.e.Kind {
	case "tube":
		outer, _ = b.e.Dim("outside_diameter_mm")
		inner, _ = b.e.Dim("inside_diameter_mm")
	case "arc", "ring":
		outer, _ = b.e.Dim("section_diameter_mm")
		inner, _ = b.e.Dim("section_bore_mm")
		c, _ := b.e.Dim("centreline_diameter_mm")
		off = r3.Sub(w, r3.Scale(c/2, unit(off)))
	}
	rho := r3.Norm(off)
	return inner > 0 && len(b.e.Segments) == 0 && rho < (outer+inner)/4 && r3.Dot(n, off) < -0.5*rho
}
