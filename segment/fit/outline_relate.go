package fit

import (
	"math"
	"slices"
)

// outlineTurnMax is how far from parallel or square two edges may be for noise
// to be the reason: beyond, an edge was meant to lean or is too short to tell.
const outlineTurnMax = 1.5 * math.Pi / 180

// relate sets lines that are parallel or square within 3.5 sigma of their
// directions exactly so, and returns for every step the first step of its group.
//
// Directions are compared modulo a right angle, the surest first. Without this
// the smallest rectangle round a noisy rectangle is always too large: one of
// its sides touches whichever corner stands out.
func (f *outlineFitter) relate(on bool) []int {
	n := len(f.Segs)
	group, sd := make([]int, n), make([]float64, n)
	var lines []int
	for k := range f.Segs {
		group[k] = k
		if s := f.Segs[k]; !s.Arc {
			if sd[k] = f.turnSD(k); sd[k] < outlineTurnMax {
				lines = append(lines, k)
			}
		}
	}
	if !on {
		return group
	}
	slices.SortStableFunc(lines, func(a, b int) int {
		if d := sd[a] - sd[b]; d != 0 {
			return int(math.Copysign(1, d))
		}
		return a - b
	})
	done := make([]bool, n)
	for i, seed := range lines {
		if done[seed] {
			continue
		}
		f.gatherGroup(seed, lines[i:], sd, done, group)
	}
	return group
}

// gatherGroup collects the lines that lean like seed and gives them one direction.
func (f *outlineFitter) gatherGroup(seed int, rest []int, sd []float64, done []bool, group []int) {
	base := f.Segs[seed].C.Theta
	mean, weight := 0.0, 0.0
	members := []int{}
	for _, k := range rest {
		if done[k] {
			continue
		}
		d := math.Remainder(f.Segs[k].C.Theta-base, math.Pi/2)
		off := math.Abs(d - mean)
		if weight > 0 && (off > 3.5*math.Sqrt(sd[k]*sd[k]+1/weight) || off > outlineTurnMax) {
			continue
		}
		w := 1 / math.Max(sd[k]*sd[k], 1e-30)
		mean = (mean*weight + d*w) / (weight + w)
		weight += w
		done[k] = true
		members = append(members, k)
	}
	slices.Sort(members)
	for _, k := range members {
		group[k] = members[0]
		c := &f.Segs[k].C
		c.Theta += mean - math.Remainder(c.Theta-base, math.Pi/2)
	}
}

// turnSD is the standard deviation of a line's direction.
func (f *outlineFitter) turnSD(k int) float64 {
	s := f.Segs[k]
	ma, mb := f.meetings(k)
	pts := append(f.gather(s.Lo, s.Hi, s.C, ma, mb), f.sideOf(k)...)
	u := s.C.u()
	var sw, m, q float64
	for _, p := range pts {
		t := (p.P[0]-s.C.Q[0])*u[0] + (p.P[1]-s.C.Q[1])*u[1]
		w := p.W / p.Var
		sw += w
		m += w * t
		q += w * t * t
	}
	if sw <= 0 || q-m*m/sw <= 0 {
		return math.Inf(1)
	}
	return 1 / math.Sqrt(q-m*m/sw)
}
