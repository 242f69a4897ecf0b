package synthetic

import (
	"cmp"
	"math"
	"slices"
)

// box is a rectangle in the plane, its length at angle from x.
type box struct {
	centre        [2]float64
	length, width float64
	angle         float64
}

// dense samples a loop so finely that the rectangle round the samples is that
// round the loop: an arc in steps of 0.1 degrees strays from its chords by 4e-7
// of its radius.
func dense(l loop) (out [][2]float64) {
	for _, e := range l {
		n := 1
		if e.radius > 0 {
			n = int(math.Ceil(math.Abs(e.sweep) / rad(0.1)))
		}
		for k := range n {
			out = append(out, e.at(float64(k)/float64(n)))
		}
	}
	return out
}

// hull returns the convex hull, counter-clockwise (A. M. Andrew, Another
// efficient algorithm for convex hulls in two dimensions, 1979).
func hull(pts [][2]float64) [][2]float64 {
	pts = slices.Clone(pts)
	slices.SortFunc(pts, func(a, b [2]float64) int {
		return cmp.Or(cmp.Compare(a[0], b[0]), cmp.Compare(a[1], b[1]))
	})
	half := func(out [][2]float64) [][2]float64 {
		base := len(out)
		for _, p := range pts {
			for len(out) >= base+2 && cross2(out[len(out)-2], out[len(out)-1], p) <= 0 {
				out = out[:len(out)-1]
			}
			out = append(out, p)
		}
		return out[:len(out)-1]
	}
	out := half(nil)
	slices.Reverse(pts)
	return half(out)
}

func cross2(a, b, c [2]float64) float64 {
	return (b[0]-a[0])*(c[1]-a[1]) - (b[1]-a[1])*(c[0]-a[0])
}

// smallestBox returns the rectangle of least area round a convex polygon; one
// of its sides lies along an edge (H. Freeman, R. Shapira, CACM 18 (1975)
// 409-413). Of rectangles equal to a part in 1e9 the first found stays.
func smallestBox(hull [][2]float64) box {
	var best box
	least := math.Inf(1)
	for i, p := range hull {
		q := hull[(i+1)%len(hull)]
		a := math.Atan2(q[1]-p[1], q[0]-p[0])
		if b := boxAt(hull, a); b.length*b.width < least*(1-1e-9) {
			best, least = b, b.length*b.width
		}
	}
	if best.width > best.length {
		best.length, best.width, best.angle = best.width, best.length, best.angle+math.Pi/2
	}
	return best
}

func boxAt(pts [][2]float64, angle float64) box {
	s, c := sine(angle), cosine(angle)
	lo, hi := [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
	for _, p := range pts {
		u, v := c*p[0]+s*p[1], c*p[1]-s*p[0]
		lo, hi = [2]float64{min(lo[0], u), min(lo[1], v)}, [2]float64{max(hi[0], u), max(hi[1], v)}
	}
	u, v := (lo[0]+hi[0])/2, (lo[1]+hi[1])/2
	return box{[2]float64{c*u - s*v, s*u + c*v}, hi[0] - lo[0], hi[1] - lo[1], angle}
}
