package primitive

import (
	"math"
	"slices"
)

// ringPattern tells whether the holes stand on one circle at equal angles,
// perhaps with some missing: a third of the places at most.
func ringPattern(holes []Hole) (Pattern, bool) {
	var p Pattern
	if len(holes) < leastLike {
		return p, false
	}
	at := make([][2]float64, len(holes))
	for i, h := range holes {
		at[i] = h.CentreMM
	}
	c, r, rms, _, ok := circleOf(at)
	if len(at) == 3 { // three points leave no residual
		q := circleThrough(at[0], at[1], at[2])
		c, r, rms, ok = [2]float64{q[0], q[1]}, q[2], 0, q[2] > 0
	}
	size := math.Sqrt(median(areasOf(holes)))
	slack := math.Min(0.2*size, 0.06*r)
	if !ok || r < 0.6*size || rms > slack {
		return p, false
	}
	phi := make([]float64, len(at))
	for i, q := range at {
		if math.Abs(hypot(q[0]-c[0], q[1]-c[1])-r) > 3*slack {
			return p, false
		}
		phi[i] = math.Atan2(q[1]-c[1], q[0]-c[0])
	}
	n, start, off := equalSteps(phi)
	if n == 0 || off*r > slack {
		return p, false
	}
	p = Pattern{Arrangement: "ring", Holes: len(holes), CircleMM: 2 * r, CentreMM: c, StepDeg: 360 / float64(n)}
	p.Hole, p.HoleU95 = medianHole(holes)
	p.ScatterMM = hypot(rms, off*r)
	p.PitchU95 = 2 * 1.96 * p.ScatterMM / math.Sqrt(float64(len(holes)))
	p.AngleDeg = math.Mod(start*180/math.Pi+720, 360/float64(n))
	taken := make([]bool, n)
	for _, x := range phi {
		taken[placeOf(x-start, n)] = true
	}
	for k := range taken {
		if !taken[k] {
			sin, cos := math.Sincos(start + 2*math.Pi*float64(k)/float64(n))
			p.MissingMM = append(p.MissingMM, [2]float64{c[0] + r*cos, c[1] + r*sin})
		}
	}
	return p, true
}

func placeOf(x float64, n int) int {
	k := int(math.Round(x*float64(n)/(2*math.Pi))) % n
	if k < 0 {
		k += n
	}
	return k
}

// equalSteps is the least number n of equal steps round the turn on whose places
// the angles stand, one each; start is the angle of place 0, off the rms angle
// from the places. n is 0 where there is none of up to half as many again.
func equalSteps(phi []float64) (n int, start, off float64) {
	for n = len(phi); n <= len(phi)*3/2; n++ {
		var a, b float64
		for _, x := range phi {
			sin, cos := math.Sincos(float64(n) * x)
			a, b = a+cos, b+sin
		}
		start = math.Atan2(b, a) / float64(n)
		taken := map[int]bool{}
		worst, ss := 0.0, 0.0
		for _, x := range phi {
			k := placeOf(x-start, n)
			d := math.Remainder(x-start-2*math.Pi*float64(k)/float64(n), 2*math.Pi)
			taken[k] = true
			worst, ss = max(worst, math.Abs(d)), ss+d*d
		}
		if len(taken) == len(phi) && worst < 0.12*2*math.Pi/float64(n) {
			return n, start, math.Sqrt(ss / float64(len(phi)))
		}
	}
	return 0, 0, 0
}

// BoltCircle is the ring of round holes that has most of them, about the origin;
// ok is false where there is none.
func BoltCircle(list []Pattern) (Pattern, bool) {
	i := slices.IndexFunc(list, func(p Pattern) bool {
		return p.Arrangement == "ring" && p.Hole.Shape == "round" && hypot(p.CentreMM[0], p.CentreMM[1]) < 0.05*p.CircleMM
	})
	if i < 0 {
		return Pattern{}, false
	}
	return list[i], true
}
