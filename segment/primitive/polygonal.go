package primitive

import (
	"cmp"
	"math"
	"slices"
)

// What welds leave of the walls of a rolled section comes in parts, in no order round
// its middle: a channel turns back on itself. But its walls are flat, and each has its
// metal on one side. So the section is led from the end of each side to the beginning
// of that which is met with the least that nobody saw.
const (
	polyTurn  = 12    // deg that a wall's normals stray from its side's
	polyLeast = 0.015 // of the walls' points, on a side
	polyFlat  = 0.8   // of the walls' points, on all sides
	polyGap   = 4     // facet edges without a point part two sides in one line
	polyMost  = 24    // sides
	polyBare  = 0.3   // of the section's length, that nobody saw at most
	polyReach = 3     // facet edges that a side may run past a corner: weld and rounding at its end
	polyGate  = 0.1   // mm off a side, at least, where noise is less: rounding draws a wall
	polyBlind = 1.5   // times its length, that a stretch costs which leads across and not along the sides
)

// polySide is a straight part of a section: all q with n·q = at, from low to high along
// the way that has the metal to its left.
type polySide struct {
	n         [2]float64
	at        float64
	low, high float64
	point     []int
}

func (s *polySide) along(q [2]float64) float64 { return s.n[0]*q[1] - s.n[1]*q[0] }

// place is the point of the side at t along it.
func (s *polySide) place(t float64) [2]float64 {
	return [2]float64{s.at*s.n[0] - t*s.n[1], s.at*s.n[1] + t*s.n[0]}
}

// polygonalWalls makes the outer wall of a section, and those of what is hollow within,
// of the straight sides that all walls of an open scan show; ok is false where these are
// not flat, lead round nothing or mostly where nobody saw any, or are less than the faces.
func polygonalWalls(p *Patch, c *slab, walls []wallLoop) (outer wallLoop, inner []wallLoop, ok bool) {
	var all wallLoop
	for _, w := range walls {
		all.Point, all.Normal = append(all.Point, w.Point...), append(all.Normal, w.Normal...)
		all.Edge, all.WallMM2 = append(all.Edge, w.Edge...), all.WallMM2+w.WallMM2
	}
	if _, faceMM2 := faceMiddle(p, c); all.WallMM2 < 2*faceMM2 {
		return outer, nil, false // a plate
	}
	sides := polySides(&all, max(4*p.NoiseMM, polyGate), polyGap*p.EdgeMM)
	on := 0
	for _, s := range sides {
		on += len(s.point)
	}
	if len(sides) < 3 || len(sides) > polyMost || float64(on) < polyFlat*float64(len(all.Point)) {
		return outer, nil, false
	}
	next, ok := successors(sides, polyReach*p.EdgeMM)
	if !ok {
		return outer, nil, false
	}
	seen := make([]bool, len(sides))
	bare, length := 0.0, 0.0
	for i := range sides {
		if seen[i] {
			continue
		}
		var w wallLoop
		for k := i; !seen[k]; k = next[k] {
			seen[k] = true
			bare += unseenMM(&sides[k], &sides[next[k]], polyReach*p.EdgeMM)
			w.Chain = append(w.Chain, corner(&sides[k], &sides[next[k]])...)
			for _, j := range sides[k].point {
				w.Point, w.Normal = append(w.Point, all.Point[j]), append(w.Normal, all.Normal[j])
			}
		}
		if len(w.Chain) < 3 {
			return outer, nil, false
		}
		length += chainLength(w.Chain)
		area := loopArea(w.Chain)
		w.Hole, w.AreaMM2 = area < 0, math.Abs(area)
		w.WallMM2 = all.WallMM2 * float64(len(w.Point)) / float64(len(all.Point))
		w.Chain = dense(w.Chain, p.EdgeMM)
		switch {
		case w.Hole:
			slices.Reverse(w.Chain)
			inner = append(inner, w)
		case outer.Chain != nil:
			return outer, nil, false // two sections
		default:
			outer = w
		}
	}
	outer.Edge = all.Edge
	return outer, inner, outer.Chain != nil && bare <= polyBare*length && !crossesItself(outer.Chain)
}

// polySides are the straight sides that the wall's points lie on, the longest first.
func polySides(w *wallLoop, gateMM, gapMM float64) []polySide {
	var out []polySide
	left := make([]int, len(w.Point))
	for i := range left {
		left[i] = i
	}
	least := max(polyLeast*float64(len(w.Point)), 8)
	for float64(len(left)) > least {
		n := commonNormal(w, left)
		var facing, rest []int
		for _, i := range left {
			if w.Normal[i][0]*n[0]+w.Normal[i][1]*n[1] > math.Cos(polyTurn*math.Pi/180) {
				facing = append(facing, i)
			} else {
				rest = append(rest, i)
			}
		}
		if float64(len(facing)) < least {
			break
		}
		left = rest
		height := func(i int) float64 { return w.Point[i][0]*n[0] + w.Point[i][1]*n[1] }
		for float64(len(facing)) > least {
			at, on, off := densest(facing, height, gateMM)
			if facing = off; float64(len(on)) < least {
				break
			}
			s := polySide{n: n, at: at}
			slices.SortFunc(on, func(a, b int) int { return cmp.Compare(s.along(w.Point[a]), s.along(w.Point[b])) })
			from := 0
			for k := 1; k <= len(on); k++ {
				if k < len(on) && s.along(w.Point[on[k]])-s.along(w.Point[on[k-1]]) < gapMM {
					continue
				}
				if part := on[from:k]; float64(len(part)) > least {
					x := s
					x.point = part
					x.low, x.high = x.along(w.Point[part[0]]), x.along(w.Point[part[len(part)-1]])
					out = append(out, x)
				}
				from = k
			}
		}
	}
	slices.SortStableFunc(out, func(a, b polySide) int { return cmp.Compare(b.high-b.low, a.high-a.low) })
	return out
}

// commonNormal is the direction that most of the points' normals share.
func commonNormal(w *wallLoop, points []int) [2]float64 {
	const bins = 180
	var count [bins]int
	for _, i := range points {
		count[int((math.Atan2(w.Normal[i][1], w.Normal[i][0])/(2*math.Pi)+1)*bins)%bins]++
	}
	most, at := -1, 0
	for k := range count {
		if n := count[k] + count[(k+1)%bins] + count[(k+bins-1)%bins]; n > most {
			most, at = n, k
		}
	}
	sin, cos := math.Sincos((float64(at) + 0.5) * 2 * math.Pi / bins)
	for range 3 {
		u, v := 0.0, 0.0
		for _, i := range points {
			if m := w.Normal[i]; m[0]*cos+m[1]*sin > math.Cos(polyTurn*math.Pi/180) {
				u, v = u+m[0], v+m[1]
			}
		}
		l := hypot(u, v)
		cos, sin = u/l, v/l
	}
	return [2]float64{cos, sin}
}

// densest splits points by whether they lie within the gate of the height at which most
// do.
func densest(points []int, height func(int) float64, gateMM float64) (at float64, on, off []int) {
	sorted := slices.Clone(points)
	slices.SortStableFunc(sorted, func(a, b int) int { return cmp.Compare(height(a), height(b)) })
	from, best, most := 0, 0, 0
	for to := range sorted {
		for height(sorted[to])-height(sorted[from]) > gateMM {
			from++
		}
		if n := to - from + 1; n > most {
			best, most = from, n
		}
	}
	at = height(sorted[best+most/2])
	for _, i := range points {
		if math.Abs(height(i)-at) <= gateMM {
			on = append(on, i)
		} else {
			off = append(off, i)
		}
	}
	return at, on, off
}

// successors finds the side that each leads to: the links that take least of what nobody
// saw first. ok is false where a side has none left.
func successors(sides []polySide, tolMM float64) (next []int, ok bool) {
	type link struct {
		i, j int
		mm   float64
	}
	var list []link
	for i := range sides {
		for j := range sides {
			if i != j {
				list = append(list, link{i, j, unseenMM(&sides[i], &sides[j], tolMM)})
			}
		}
	}
	slices.SortStableFunc(list, func(a, b link) int { return cmp.Compare(a.mm, b.mm) })
	next = slices.Repeat([]int{-1}, len(sides))
	taken := make([]bool, len(sides))
	for _, l := range list {
		if next[l.i] < 0 && !taken[l.j] {
			next[l.i], taken[l.j] = l.j, true
		}
	}
	return next, !slices.Contains(next, -1)
}

// unseenMM is the length from the end of one side to the beginning of another: along
// both to where they cross, or straight across.
func unseenMM(a, b *polySide, tolMM float64) float64 {
	from, to := a.place(a.high), b.place(b.low)
	if x, ok := crossing(a, b); ok {
		ahead, back := a.along(x)-a.high, b.low-b.along(x)
		if ahead > -tolMM && back > -tolMM {
			return math.Abs(ahead) + math.Abs(back)
		}
	}
	l := hypot(to[0]-from[0], to[1]-from[1])
	if a.n[0]*b.n[0]+a.n[1]*b.n[1] > 0.99 && math.Abs(a.at-b.at) < tolMM && b.low > a.high {
		return l
	}
	return polyBlind * l
}

// crossing is where two sides cross, if they do at 20 degrees or more.
func crossing(a, b *polySide) (x [2]float64, ok bool) {
	det := a.n[0]*b.n[1] - a.n[1]*b.n[0]
	if math.Abs(det) < 0.34 {
		return x, false
	}
	return [2]float64{(a.at*b.n[1] - b.at*a.n[1]) / det, (a.n[0]*b.at - b.n[0]*a.at) / det}, true
}

// corner are the points of the section from the end of one side to the beginning of the
// next.
func corner(a, b *polySide) [][2]float64 {
	from, to := a.place(a.high), b.place(b.low)
	if x, ok := crossing(a, b); ok {
		if l := hypot(to[0]-from[0], to[1]-from[1]); math.Abs(a.along(x)-a.high)+math.Abs(b.low-b.along(x)) <= 2*l+1 {
			return [][2]float64{x}
		}
	}
	return [][2]float64{from, to}
}

// crossesItself tells that two steps of a closed chain, not next to each other, cross.
func crossesItself(chain [][2]float64) bool {
	n := len(chain)
	side := func(a, b, q [2]float64) float64 { return (b[0]-a[0])*(q[1]-a[1]) - (b[1]-a[1])*(q[0]-a[0]) }
	for i := range chain {
		a, b := chain[i], chain[(i+1)%n]
		for j := i + 2; j < n; j++ {
			c, d := chain[j], chain[(j+1)%n]
			if (i != 0 || j != n-1) && side(a, b, c)*side(a, b, d) < 0 && side(c, d, a)*side(c, d, b) < 0 {
				return true
			}
		}
	}
	return false
}
