package shop

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/stock"
)

// SeamBit is a short straight part of a seam, SITE.
type SeamBit struct {
	AtMM     r3.Vec // its middle
	Way      r3.Vec // unit, along the seam
	Face     r3.Vec // unit, halfway between the outward normals: where the torch stands; zero where they are opposed
	LengthMM float64
	OpenDeg  float64 // between the faces: 90° of a tee, 180° flush
	ThroatMM float64 // of the weld; 0 where it counts nothing or the thickness is not known
}

// tightDeg is the angle between faces under which the toe cannot be welded:
// common practice, no source.
const tightDeg = 30

// bitsOf are the parts between neighbouring points of each run; of a seam that is
// a point one bit without length.
func bitsOf(seam []stock.SeamAt) []SeamBit {
	var out []SeamBit
	for i, p := range seam {
		if i == 0 || seam[i-1].Run != p.Run {
			continue
		}
		q := seam[i-1]
		d := r3.Sub(p.PointMM, q.PointMM)
		if r3.Norm(d) == 0 {
			continue
		}
		out = append(out, bitOf(r3.Scale(0.5, r3.Add(p.PointMM, q.PointMM)), d, r3.Add(p.A, q.A), r3.Add(p.B, q.B)))
	}
	if len(out) == 0 && len(seam) > 0 {
		out = append(out, bitOf(seam[0].PointMM, r3.Vec{}, seam[0].A, seam[0].B))
	}
	return out
}

func bitOf(at, along, a, b r3.Vec) SeamBit {
	s := SeamBit{AtMM: at, LengthMM: r3.Norm(along), Way: unitOr0(along)}
	a, b = unitOr0(a), unitOr0(b)
	s.OpenDeg = 180 - math.Acos(max(-1, min(1, r3.Dot(a, b))))*180/math.Pi
	s.Face = unitOr0(r3.Add(a, b))
	return s
}

// unitOr0 is v at length 1, or zero where it is next to nothing.
func unitOr0(v r3.Vec) r3.Vec {
	if n := r3.Norm(v); n > 1e-9 {
		return r3.Scale(1/n, v)
	}
	return r3.Vec{}
}

// middleOf is the centroid of a seam by length; of a point the point.
func middleOf(seam []SeamBit) r3.Vec {
	var sum r3.Vec
	total := 0.0
	for _, s := range seam {
		sum, total = r3.Add(sum, r3.Scale(s.LengthMM, s.AtMM)), total+s.LengthMM
	}
	switch {
	case total > 0:
		return r3.Scale(1/total, sum)
	case len(seam) > 0:
		return seam[0].AtMM
	}
	return r3.Vec{}
}

// openness are the least, middle (by length) and most angle between the faces, and
// the length of seam where it is under tightDeg.
func openness(seam []SeamBit) (deg [3]float64, tightMM float64) {
	if len(seam) == 0 {
		return deg, 0
	}
	sorted := slices.Clone(seam)
	slices.SortStableFunc(sorted, func(a, b SeamBit) int { return cmp.Compare(a.OpenDeg, b.OpenDeg) })
	total, gone := 0.0, 0.0
	for _, s := range sorted {
		total += s.LengthMM
		if s.OpenDeg < tightDeg {
			tightMM += s.LengthMM
		}
	}
	middle := sorted[0]
	for _, s := range sorted {
		middle = s
		if gone += s.LengthMM; gone >= total/2 {
			break
		}
	}
	return [3]float64{sorted[0].OpenDeg, middle.OpenDeg, sorted[len(sorted)-1].OpenDeg}, tightMM
}
