package primitive

import (
	"math"
	"slices"
)

// flanks measures each tooth's flanks at mid-height: tooth width, of sound
// teeth, and the pitch errors of both sides as on a gear chart (ISO 1328-1:
// largest single pitch deviation and total cumulative pitch deviation), of all
// teeth but missing ones; the larger side counts.
func (t *teeth) flanks(pts []polar, noiseMM float64) {
	mid := (t.tip + t.root) / 2
	at := t.flankPlaces(pts)
	var all, places [2][]float64
	scatter, least := 0.0, math.Inf(1)
	for side := range at {
		place := make([]float64, t.n)
		for i, v := range at[side] {
			place[i] = math.NaN()
			if len(v) < 3 {
				continue
			}
			place[i] = median(slices.Clone(v))
			least = min(least, float64(len(v)))
			if t.sound(i) {
				scatter = max(scatter, 1.4826*medianOff(v)*mid)
				all[side] = append(all[side], place[i])
			}
		}
		places[side] = place
		single, total := pitchErrors(place)
		t.pitchSingle = max(t.pitchSingle, single*mid)
		t.pitchTotal = max(t.pitchTotal, total*mid)
	}
	// A median errs by 1.2533 deviations over √n; the largest of m normal values is
	// about √(2 ln m) deviations.
	if !math.IsInf(least, 1) {
		one := 1.2533 * max(min(scatter, 3*noiseMM), noiseMM) / math.Sqrt(least) * math.Sqrt(2*math.Log(float64(2*t.n)))
		t.singleU, t.totalU = math.Sqrt2*one, 2*one
	}
	if len(all[0]) > 0 && len(all[1]) > 0 {
		t.widthMM = (average(all[1]) - average(all[0])) * mid
		n := float64(len(pts)) * 0.2
		t.widthU = 2 * math.Sqrt2 * max(noiseMM, t.residualMM) / math.Sqrt(max(n, 1))
		t.remeasure(pts, places, [2]float64{average(all[0]), average(all[1])})
	}
}

// remeasure says by how much worn teeth are short and bent ones off, now that
// tip, root and centre are known.
func (t *teeth) remeasure(pts []polar, places [2][]float64, sound [2]float64) {
	mid := (t.tip + t.root) / 2
	for k := range t.worn {
		x := &t.worn[k]
		if a, b := places[0][x.Number], places[1][x.Number]; x.What == "bent" && !math.IsNaN(a+b) {
			x.ByMM = (a - sound[0] + b - sound[1]) / 2 * mid
			continue
		}
		var tops []float64
		highest := 0.0
		for _, q := range pts {
			if _, i := t.local(q.phi); i == x.Number {
				highest = max(highest, q.r)
			}
		}
		for _, q := range pts {
			if _, i := t.local(q.phi); i == x.Number && q.nr > 0.93 && q.r > highest-0.15*(t.tip-t.root) {
				tops = append(tops, q.r)
			}
		}
		if x.What != "bent" && len(tops) > 2 {
			x.ByMM = t.tip - median(tops)
		}
	}
}

// flankPlaces are the angles of each tooth's low and high flank from its centre,
// taken to mid-height along the mean slope of sound teeth.
func (t *teeth) flankPlaces(pts []polar) (at [2][][]float64) {
	depth, mid := t.tip-t.root, (t.tip+t.root)/2
	at = [2][][]float64{make([][]float64, t.n), make([][]float64, t.n)}
	slope := [2]*line{{}, {}}
	use := func(do func(side, i int, x, r float64)) {
		for _, q := range pts {
			x, i := t.local(q.phi)
			if math.Abs(q.r-mid) < 0.3*depth && math.Abs(q.nt) > 0.4 && t.fault(i) != "missing" {
				side := 0
				if q.nt > 0 {
					side = 1
				}
				do(side, i, x, q.r)
			}
		}
	}
	use(func(side, i int, x, r float64) {
		if t.sound(i) {
			slope[side].add(r-mid, x)
		}
	})
	use(func(side, i int, x, r float64) {
		at[side][i] = append(at[side][i], x-slope[side].slope()*(r-mid))
	})
	return at
}

// pitchErrors returns the largest step between neighbours and the range of the
// flanks' places; NaN marks a tooth without.
func pitchErrors(place []float64) (single, total float64) {
	lo, hi := math.Inf(1), math.Inf(-1)
	for i, x := range place {
		if math.IsNaN(x) {
			continue
		}
		lo, hi = min(lo, x), max(hi, x)
		if y := place[(i+1)%len(place)]; !math.IsNaN(y) {
			single = max(single, math.Abs(y-x))
		}
	}
	return single, max(hi-lo, 0)
}
