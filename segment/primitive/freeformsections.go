package primitive

import (
	"cmp"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// Station is the outline of a section across the frame's Ref at StationMM from its
// origin: polylines of axis × ref and axis, seen against Ref, outer ones
// counter-clockwise; a closed one ends where it starts.
type Station struct {
	StationMM float64
	Loops     [][][2]float64
}

// How much is kept: enough to draw a rib by, bounded whatever the scan.
const (
	stationCount = 9
	loopsMost    = 8
	pointsMost   = 121
)

// sectionsOf cuts the patch at nine even stations along its length.
func sectionsOf(p *Patch, f Frame, lengthMM float64) []Station {
	origin := r3.Sub(f.OriginMM, p.OriginMM)
	across := r3.Cross(f.Axis, f.Ref)
	flat := make([][3]float64, len(p.P))
	for i, q := range p.P {
		s := r3.Sub(q, origin)
		flat[i] = [3]float64{r3.Dot(s, across), r3.Dot(s, f.Axis), r3.Dot(s, f.Ref)}
	}
	var out []Station
	for k := 1; k <= stationCount; k++ {
		at := lengthMM * (float64(k)/(stationCount+1) - 0.5)
		out = append(out, Station{at, p.section(flat, at)})
	}
	return out
}

// section links the crossings of facets with the plane into polylines, thins them
// and keeps the longest.
func (p *Patch) section(flat [][3]float64, at float64) [][][2]float64 {
	above := func(v int32) bool { return flat[v][2] >= at }
	side := func(f, from, to int) bool {
		t := p.Facet[f]
		return !above(t[from]) && above(t[to])
	}
	// edgeUp is the facet's edge that rises through the plane, edgeDown the other.
	find := func(f int, up bool) int {
		for k := 0; k < 3; k++ {
			if up && side(f, k, (k+1)%3) || !up && side(f, (k+1)%3, k) {
				return k
			}
		}
		return -1
	}
	point := func(f, k int) [2]float64 {
		a, b := flat[p.Facet[f][k]], flat[p.Facet[f][(k+1)%3]]
		s := (at - a[2]) / (b[2] - a[2])
		return [2]float64{a[0] + s*(b[0]-a[0]), a[1] + s*(b[1]-a[1])}
	}
	seen := map[int]bool{}
	var loops [][][2]float64
	for f := range p.Facet {
		if seen[f] || find(f, true) < 0 {
			continue
		}
		start := f
		for g := int(p.Next[f][find(f, true)]); g >= 0 && g != f; { // back to an open end
			k := find(g, true)
			if k < 0 || seen[g] || len(loops) > len(p.Facet) {
				break
			}
			seen[g] = true
			start, g = g, int(p.Next[g][k])
		}
		clear := start
		line := [][2]float64{point(start, find(start, true))}
		walked := map[int]bool{}
		for g := start; g >= 0 && !walked[g]; {
			k := find(g, false)
			if k < 0 {
				break
			}
			walked[g], seen[g] = true, true
			line = append(line, point(g, k))
			g = int(p.Next[g][k])
			if g == clear {
				line[len(line)-1] = line[0]
				break
			}
		}
		slices.Reverse(line) // seen against Ref, metal on the left
		loops = append(loops, line)
	}
	return thinLoops(loops, p)
}

// thinLoops straightens loops within the noise and half a thousandth of the size,
// or more where points would be too many, and keeps the longest, longest first.
func thinLoops(loops [][][2]float64, p *Patch) [][][2]float64 {
	length := func(l [][2]float64) float64 {
		s := 0.0
		for i := 1; i < len(l); i++ {
			s += hypot(l[i][0]-l[i-1][0], l[i][1]-l[i-1][1])
		}
		return s
	}
	slices.SortStableFunc(loops, func(a, b [][2]float64) int { return cmp.Compare(length(b), length(a)) })
	var out [][][2]float64
	for _, l := range loops {
		if len(out) >= loopsMost || len(out) > 0 && length(l) < 6*p.EdgeMM {
			break
		}
		tol := max(p.NoiseMM, 5e-4*p.SizeMM)
		thin := straightened(l, tol)
		for len(thin) > pointsMost {
			tol *= 1.5
			thin = straightened(l, tol)
		}
		if len(thin) > 1 {
			out = append(out, thin)
		}
	}
	return out
}

// straightened keeps of a polyline what is needed to stay within tol of it
// (Douglas and Peucker, Cartographica 10 (1973) 112). A closed one is parted at
// the point farthest from its start.
func straightened(l [][2]float64, tol float64) [][2]float64 {
	n := len(l)
	if n < 3 {
		return l
	}
	keep := make([]bool, n)
	keep[0], keep[n-1] = true, true
	type span struct{ a, b int }
	stack := []span{{0, n - 1}}
	for len(stack) > 0 {
		s := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		far, at := 0.0, -1
		a, b := l[s.a], l[s.b]
		for i := s.a + 1; i < s.b; i++ {
			if d := segmentDistance(l[i], a, b); d > far {
				far, at = d, i
			}
		}
		if at > 0 && far > tol {
			keep[at] = true
			stack = append(stack, span{s.a, at}, span{at, s.b})
		}
	}
	var out [][2]float64
	for i, k := range keep {
		if k {
			out = append(out, l[i])
		}
	}
	return out
}

func segmentDistance(q, a, b [2]float64) float64 {
	dx, dy, px, py := b[0]-a[0], b[1]-a[1], q[0]-a[0], q[1]-a[1]
	if l := dx*dx + dy*dy; l > 0 {
		s := min(max((px*dx+py*dy)/l, 0), 1)
		px, py = px-s*dx, py-s*dy
	}
	return hypot(px, py)
}
