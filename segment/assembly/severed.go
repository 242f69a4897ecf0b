package assembly

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/segment/fit"
	"pointup/segment/surface"
)

// A flat piece that another one cuts through comes in parts that share both its
// faces: two planes which look away from each other. Of pieces that only stand in
// line, both planes hardly ever agree, and there is air between them.
const (
	severedFace                 = 25       // points of each face in each part, at least
	severedFlat                 = 0.25     // share of a part's points that such faces have
	severedCos                  = 0.99     // of opposite faces
	severedMost                 = 1.25     // times the longer part's length: the gap where an edge of both lies in one plane too
	overlaidFlat, overlaidLeast = 0.5, 0.7 // share of a part in a face, and of that face over the other part's
	severedLook                 = 1200     // points of a face that are looked at
	severedSteps                = 8        // places at which the gap is looked into
)

// side is the part of one plane that one piece has.
type side struct {
	surface int
	points  []int32
}

// severed ties parts of flat pieces again: piece is the number of each region's
// part, and comes back with one number for what is one. metal tells whether a
// point lies within the scan.
func severed(f *surface.Field, found []surface.Surface, list []region, at, piece []int32, metal func(r3.Vec) bool) []int32 {
	parts, numbers, total := flatSides(list, at, piece)
	out := append([]int32(nil), piece...)
	for i, a := range numbers {
		for _, b := range numbers[:i] {
			if out[a] == out[b] || !inOnePiece(f, found, parts[a], parts[b], min(total[a], total[b]), metal) &&
				!overlaid(f, found, parts[a], parts[b], total[b]) && !overlaid(f, found, parts[b], parts[a], total[a]) {
				continue
			}
			from, to := max(out[a], out[b]), min(out[a], out[b])
			relabel(out, from, to)
		}
	}
	return backed(f, found, parts, numbers, total, out, metal)
}

func relabel(out []int32, from, to int32) {
	for r := range out {
		if out[r] == from {
			out[r] = to
		}
	}
}

// flatSides lists the sides of each part, the parts' numbers in rising order, and
// the number of points of each part.
func flatSides(list []region, at, piece []int32) (parts [][]side, numbers []int32, total []int) {
	parts, total = make([][]side, len(list)), make([]int, len(list))
	for r, x := range list {
		total[piece[r]] += x.points
	}
	members := make([][]int32, len(list))
	for i, r := range at {
		if r >= 0 && list[r].flat {
			members[r] = append(members[r], int32(i))
		}
	}
	for r, x := range list {
		k := piece[r]
		if !x.flat {
			continue
		}
		if n := len(parts[k]); n > 0 && parts[k][n-1].surface == x.surface { // regions are listed by surface
			parts[k][n-1].points = append(parts[k][n-1].points, members[r]...)
			continue
		}
		parts[k] = append(parts[k], side{x.surface, members[r]})
	}
	for k := range parts {
		if len(parts[k]) > 0 {
			numbers = append(numbers, int32(k))
		}
	}
	return parts, numbers, total
}

// inOnePiece tells that two parts share a pair of opposite faces with metal
// between the parts.
func inOnePiece(f *surface.Field, found []surface.Surface, a, b []side, points int, metal func(r3.Vec) bool) bool {
	type both struct{ a, b side }
	var shared []both
	seenA, seenB := 0, 0
	for _, x := range a {
		for _, y := range b {
			if x.surface == y.surface && len(x.points) >= severedFace && len(y.points) >= severedFace {
				shared = append(shared, both{x, y})
				seenA, seenB = seenA+len(x.points), seenB+len(y.points)
			}
		}
	}
	if float64(min(seenA, seenB)) < severedFlat*float64(points) {
		return false
	}
	most := bridgeMost
	if len(shared) > 2 {
		most = severedMost
	}
	for i, s := range shared {
		for _, t := range shared[:i] {
			sink, opposite := behind(found[s.a.surface], found[t.a.surface])
			if opposite && spanned(f, s.a.points, s.b.points, r3.Scale(0.5, sink), most, metal) {
				return true
			}
		}
	}
	return false
}

// overlaid tells that part b goes on with a face of a over metal of which a has the
// other face: two faces of one sheet, of which the first comes in parts. points is
// the number of b's points.
func overlaid(f *surface.Field, found []surface.Surface, a, b []side, points int) bool {
	for _, y := range b {
		if len(y.points) < severedFace || float64(len(y.points)) < overlaidFlat*float64(points) {
			continue
		}
		for _, x := range a {
			if x.surface != y.surface || len(x.points) < severedFace {
				continue
			}
			for _, z := range a {
				sink, opposite := behind(found[y.surface], found[z.surface])
				if opposite && len(z.points) >= severedFace && over(f, y.points, sink, z.points) >= overlaidLeast {
					return true
				}
			}
		}
	}
	return false
}

// over is the share of some points under which, sunk, there is one of the others.
func over(f *surface.Field, points []int32, sink r3.Vec, others []int32) float64 {
	cellMM := 2 * f.SpacingMM
	cell := func(q r3.Vec) [3]int32 {
		return [3]int32{int32(math.Floor(q.X / cellMM)), int32(math.Floor(q.Y / cellMM)), int32(math.Floor(q.Z / cellMM))}
	}
	full := make(map[[3]int32]bool, len(others)/2)
	for _, i := range others {
		full[cell(f.P[i])] = true
	}
	looked := every(points, severedLook)
	n := 0
	for _, i := range looked {
		c := cell(r3.Add(f.P[i], sink))
	near:
		for dx := int32(-1); dx <= 1; dx++ {
			for dy := int32(-1); dy <= 1; dy++ {
				for dz := int32(-1); dz <= 1; dz++ {
					if full[[3]int32{c[0] + dx, c[1] + dy, c[2] + dz}] {
						n++
						break near
					}
				}
			}
		}
	}
	return float64(n) / float64(len(looked))
}

// behind is the way from plane s into the metal as far as plane t, and whether t
// is the face on the other side.
func behind(s, t surface.Surface) (way r3.Vec, ok bool) {
	n, m := outOf(s), outOf(t)
	h := r3.Dot(n, r3.Sub(t.Ideal.(fit.Plane).Point, s.Ideal.(fit.Plane).Point))
	return r3.Scale(h, n), r3.Dot(n, m) < -severedCos && h < 0
}

// outOf is a plane's normal out of the metal.
func outOf(s surface.Surface) r3.Vec {
	n := s.Ideal.(fit.Plane).Axis
	if !s.Convex {
		return r3.Scale(-1, n)
	}
	return n
}

// spanned tells that the shortest way between two parts of a face, sunk into the
// metal, stays in it and is at most so many times as long as the longer part.
func spanned(f *surface.Field, a, b []int32, sink r3.Vec, most float64, metal func(r3.Vec) bool) bool {
	from, to := nearestPair(f, every(a, severedLook), every(b, severedLook))
	gap := r3.Sub(to, from)
	l := r3.Norm(gap)
	if l == 0 || l > most*max(extent(f, a, gap), extent(f, b, gap)) {
		return false
	}
	for k := 1; k <= severedSteps; k++ {
		t := float64(k) / (severedSteps + 1)
		if !metal(r3.Add(r3.Add(from, sink), r3.Scale(t, gap))) {
			return false
		}
	}
	return true
}

func nearestPair(f *surface.Field, a, b []int32) (from, to r3.Vec) {
	least := math.Inf(1)
	for _, i := range a {
		for _, j := range b {
			if d := r3.Norm2(r3.Sub(f.P[i], f.P[j])); d < least {
				least, from, to = d, f.P[i], f.P[j]
			}
		}
	}
	return from, to
}

// extent is the length of the points along a direction.
func extent(f *surface.Field, points []int32, along r3.Vec) float64 {
	d := r3.Unit(along)
	low, high := math.Inf(1), math.Inf(-1)
	for _, i := range points {
		h := r3.Dot(f.P[i], d)
		low, high = min(low, h), max(high, h)
	}
	return high - low
}

// every returns at most n of a list, evenly.
func every[T any](list []T, n int) []T {
	step := (len(list) + n - 1) / n
	if step <= 1 {
		return list
	}
	var out []T
	for i := 0; i < len(list); i += step {
		out = append(out, list[i])
	}
	return out
}
