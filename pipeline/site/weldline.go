package site

import (
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"
)

// weldLine is a weld as a line without width: its length, centre and second moments.
// Under a force F and a moment M about its centre a place r from it carries F/L + ω × r
// a millimetre, where ω is what makes ∫ r × (ω × r) = M: the elastic line method in space.
// For two lines of depth d and for a circle it gives the published section moduli d²/3
// and πd²/4.
type weldLine struct {
	points   []r3.Vec
	lengthMM float64
	centre   r3.Vec
	turn     *mat.SymDense // of the line, mm³
	axes     [3]r3.Vec     // principal ones of turn, by rising value
	values   []float64     // nil where there are none
}

// newWeldLine takes runs of points; a segment's moments are exact.
func newWeldLine(runs ...[]r3.Vec) weldLine {
	w := weldLine{turn: mat.NewSymDense(3, nil)}
	sum := r3.Vec{}
	each := func(do func(a, b r3.Vec, l float64)) {
		for _, run := range runs {
			for i := 1; i < len(run); i++ {
				do(run[i-1], run[i], r3.Norm(r3.Sub(run[i], run[i-1])))
			}
		}
	}
	each(func(a, b r3.Vec, l float64) {
		w.lengthMM += l
		sum = r3.Add(sum, r3.Scale(l/2, r3.Add(a, b)))
	})
	if w.lengthMM == 0 {
		return w
	}
	w.centre = r3.Scale(1/w.lengthMM, sum)
	for _, run := range runs {
		w.points = append(w.points, run...)
	}
	each(func(a, b r3.Vec, l float64) { // Simpson is exact for a square
		for k, at := range []r3.Vec{a, r3.Scale(0.5, r3.Add(a, b)), b} {
			w.add(r3.Sub(at, w.centre), l*[]float64{1.0 / 6, 4.0 / 6, 1.0 / 6}[k])
		}
	})
	var eigen mat.EigenSym
	if eigen.Factorize(w.turn, true) {
		var v mat.Dense
		eigen.VectorsTo(&v)
		w.values = eigen.Values(nil)
		for k := range w.axes {
			w.axes[k] = r3.Vec{X: v.At(0, k), Y: v.At(1, k), Z: v.At(2, k)}
		}
	}
	return w
}

func (w *weldLine) add(r r3.Vec, l float64) {
	c := [3]float64{r.X, r.Y, r.Z}
	for i := range 3 {
		for j := range i + 1 {
			v := -c[i] * c[j]
			if i == j {
				v += r3.Norm2(r)
			}
			w.turn.SetSym(j, i, w.turn.At(j, i)+l*v)
		}
	}
}

// normal of the plane in which the line lies best: its axis of most turning moment.
func (w weldLine) normal() r3.Vec { return w.axes[2] }

// straightShare: a turning moment of a line under this share of its largest is that of
// one straight run, which nothing turns about its own length.
const straightShare = 1e-6

// peak is the largest force a millimetre of weld under a wrench given at a point. twist is
// the moment (N·mm) that a straight run cannot take.
func (w weldLine) peak(load Wrench, at r3.Vec) (nPerMM, twistNMM float64) {
	load = load.about(at, w.centre)
	if w.lengthMM == 0 || w.values == nil {
		return math.Inf(1), 0
	}
	omega := r3.Vec{}
	for k, value := range w.values {
		axis := w.axes[k]
		m := r3.Dot(load.MomentNMM, axis)
		if value <= straightShare*w.values[2] {
			twistNMM = max(twistNMM, math.Abs(m))
			continue
		}
		omega = r3.Add(omega, r3.Scale(m/value, axis))
	}
	for _, p := range w.points {
		f := r3.Add(r3.Scale(1/w.lengthMM, load.ForceN), r3.Cross(omega, r3.Sub(p, w.centre)))
		nPerMM = max(nPerMM, r3.Norm(f))
	}
	return nPerMM, twistNMM
}

// throat of a fillet over its leg.
const throat = 0.7071

// filletMPa is what a fillet of E70 metal may carry on its throat: 0.30 F_EXX in
// allowable stress (AISC Design Guide 29's example, 0.928 kip/in a sixteenth); with EN 1993-1-8
// 4.5.3.3 fu/(√3 βw γM2), here of S235: 360/(√3·0.8·1.25), the least of its table (from memory).
func filletMPa(p Pressure) float64 {
	if p.asce() {
		return 0.30 * 70 * ksiMPa
	}
	return 360 / (math.Sqrt(3) * 0.8 * 1.25)
}

const ksiMPa = 6.894757

// filletLegMM is the leg that carries a force a millimetre.
func filletLegMM(nPerMM, mpa float64) float64 { return nPerMM / (mpa * throat) }

// leastLegMM is AWS D1.1:2025 table 7.7, by the thinner part (low-hydrogen process).
func leastLegMM(thinMM float64) float64 {
	switch {
	case thinMM <= 6:
		return 3
	case thinMM <= 12:
		return 5
	case thinMM <= 20:
		return 6
	}
	return 8
}
