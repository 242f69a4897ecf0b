package primitive

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// rulingsMost is how many lines are drawn: enough to press by.
const rulingsMost = 12

// flatLeast is the radius, in sizes of the sheet, over which it is flat.
const flatLeast = 20

// rulings are lines of bending through places along a way across them, from the
// middle both ways: at each the turn of the normals over the flat tells the line
// along which nothing turns.
func (s *bentSheet) rulings(u *Unrolled) []Ruling {
	lo, hi := s.box()
	step := u.SizeMM / rulingsMost
	walk := func(from [2]float64, sign float64) (out []Ruling) {
		way := [2]float64{}
		for at, k := from, 0; k < 4*rulingsMost; k++ {
			dir, radius, ok := s.bend(at, 0.1*u.SizeMM)
			if !ok || at[0] < lo[0] || at[0] > hi[0] || at[1] < lo[1] || at[1] > hi[1] {
				break
			}
			across := [2]float64{-dir[1], dir[0]}
			if k == 0 {
				way = [2]float64{sign * across[0], sign * across[1]}
			}
			if across[0]*way[0]+across[1]*way[1] < 0 {
				across = [2]float64{-across[0], -across[1]}
			}
			way = across
			if (k > 0 || sign > 0) && math.Abs(radius) < flatLeast*u.SizeMM {
				out = append(out, u.across(at, dir, radius)...)
			}
			at = [2]float64{at[0] + step*across[0], at[1] + step*across[1]}
		}
		return out
	}
	mid := [2]float64{}
	for _, q := range s.flat {
		mid[0], mid[1] = mid[0]+q[0]/float64(len(s.flat)), mid[1]+q[1]/float64(len(s.flat))
	}
	back := walk(mid, -1)
	slices.Reverse(back)
	return append(back, walk(mid, 1)...)
}

// bend is the direction at a place of the flat along which the normals do not
// turn, and the radius across it: normals and places in space are regressed on the
// flat within reach.
func (s *bentSheet) bend(at [2]float64, reachMM float64) (dir [2]float64, radiusMM float64, ok bool) {
	var uu, uv, vv float64
	var nu, nv, xu, xv r3.Vec
	var mean [2]float64
	var in []int
	for v, q := range s.flat {
		if hypot(q[0]-at[0], q[1]-at[1]) < reachMM {
			in = append(in, v)
			mean[0], mean[1] = mean[0]+q[0], mean[1]+q[1]
		}
	}
	if len(in) < 12 {
		return dir, 0, false
	}
	mean[0], mean[1] = mean[0]/float64(len(in)), mean[1]/float64(len(in))
	for _, v := range in {
		a, b := s.flat[v][0]-mean[0], s.flat[v][1]-mean[1]
		uu, uv, vv = uu+a*a, uv+a*b, vv+b*b
		nu, nv = r3.Add(nu, r3.Scale(a, s.own[v])), r3.Add(nv, r3.Scale(b, s.own[v]))
		xu, xv = r3.Add(xu, r3.Scale(a, s.at[v])), r3.Add(xv, r3.Scale(b, s.at[v]))
	}
	det := uu*vv - uv*uv
	if !(det > 1e-9*(uu+vv)*(uu+vv)) {
		return dir, 0, false
	}
	slope := func(a, b r3.Vec) (r3.Vec, r3.Vec) {
		return r3.Scale(1/det, r3.Sub(r3.Scale(vv, a), r3.Scale(uv, b))), r3.Scale(1/det, r3.Sub(r3.Scale(uu, b), r3.Scale(uv, a)))
	}
	nu, nv = slope(nu, nv)
	xu, xv = slope(xu, xv)
	// The second fundamental form in the flat: how normals turn along places.
	l, m, n := r3.Dot(nu, xu), (r3.Dot(nu, xv)+r3.Dot(nv, xu))/2, r3.Dot(nv, xv)
	half, mid := hypot((l-n)/2, m), (l+n)/2
	turn := math.Atan2(m, (l-n)/2) / 2 // the greater of both, in sign
	k := mid + half
	if mid < 0 {
		turn, k = turn+math.Pi/2, mid-half
	}
	sin, cos := math.Sincos(turn)
	if k == 0 {
		return [2]float64{-sin, cos}, math.Inf(1), true
	}
	return [2]float64{-sin, cos}, 1 / k, true
}

// across are the parts of a line that lie on the sheet.
func (u *Unrolled) across(at, dir [2]float64, radiusMM float64) []Ruling {
	var cuts []float64
	for _, line := range append([][][2]float64{u.Outer}, u.Holes...) {
		for i, a := range line {
			b := line[(i+1)%len(line)]
			da := (a[0]-at[0])*dir[1] - (a[1]-at[1])*dir[0]
			db := (b[0]-at[0])*dir[1] - (b[1]-at[1])*dir[0]
			if (da > 0) == (db > 0) {
				continue
			}
			k := da / (da - db)
			cuts = append(cuts, (a[0]+k*(b[0]-a[0])-at[0])*dir[0]+(a[1]+k*(b[1]-a[1])-at[1])*dir[1])
		}
	}
	slices.Sort(cuts)
	var out []Ruling
	for i := 0; i+1 < len(cuts); i += 2 {
		if cuts[i+1]-cuts[i] > 0.02*u.SizeMM {
			out = append(out, Ruling{[2]float64{at[0] + cuts[i]*dir[0], at[1] + cuts[i]*dir[1]}, [2]float64{at[0] + cuts[i+1]*dir[0], at[1] + cuts[i+1]*dir[1]}, radiusMM})
		}
	}
	return out
}
