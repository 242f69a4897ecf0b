package primitive

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/dsp/fourier"
)

// teeth is what the outer contour of a wheel says: how many teeth, where, and
// how far they depart from alike.
type teeth struct {
	n           int
	centre      [2]float64
	phase       float64 // angle of tooth 0's centre
	tip, root   float64 // radii
	tipU, rootU float64 // u95 of the radii
	seatMM      float64 // radius of round seats, 0 where the bottoms are straight
	seatU       float64 // u95 of that, and of the seats' distance from the axis
	seatAtU     float64
	form        string  // straight, round-seated or other
	widthMM     float64 // tooth width at mid-height
	widthU      float64
	pitchSingle float64 // largest single pitch error, mm at mid-height
	pitchTotal  float64 // largest cumulative pitch error
	singleU     float64 // what noise alone makes of them
	totalU      float64
	worn        []WornTooth
	profile     [][2]float64 // (phase in [-π/n, π/n], radius) of the mean tooth, rising phase
	residualMM  float64
	noiseMM     float64
}

// WornTooth is one that is not like the others.
type WornTooth struct {
	Number int     // from 0, the tooth that the frame's u points to, counter-clockwise about its axis
	What   string  // worn, bent or missing
	ByMM   float64 // what it lacks of height, or how far its middle is along the rim
}

// teethShare is the least depth of teeth in radii of the tip.
const teethShare = 0.02

// polar is a wall point about the wheel's centre.
type polar struct {
	r, phi float64
	nr, nt float64 // components of its normal, outward and along rising phi
}

// findTeeth looks for equal teeth round the wall; ok is false where there are
// none. noiseMM is that of one point, edgeMM the facets' size, marginMM how far
// from a corner points are not to be trusted.
func findTeeth(w *wallLoop, noiseMM, edgeMM, marginMM float64) (teeth, bool) {
	t := teeth{noiseMM: noiseMM}
	t.centre = polygonCentroid(w.Chain)
	var n int
	var ok bool
	for pass := 0; pass < 5; pass++ { // the first harmonic is the centre's error
		var shift [2]float64
		if n, shift, ok = countTeeth(w, t.centre); !ok {
			return t, false
		}
		t.centre[0] += shift[0]
		t.centre[1] += shift[1]
	}
	t.n = n
	pts := t.points(w)
	radii := make([]float64, len(pts))
	for i, q := range pts {
		radii[i] = q.r
	}
	t.root, t.tip = quantile(radii, 0.03), quantile(radii, 0.97)
	depth := t.tip - t.root
	if depth < max(8*noiseMM, teethShare*t.tip) || t.polygonal(pts) {
		return t, false
	}
	t.findPhase(pts)
	t.judgeTeeth(pts, noiseMM, w.Jump != nil)
	t.lands(w, noiseMM, edgeMM, marginMM)
	pts = t.points(w)
	t.flanks(pts, noiseMM)
	t.meanProfile(pts, edgeMM)
	return t, t.tip > t.root && t.root > 0
}

// points returns the wall's points about the centre; where the wall has no rows
// between its rims, the rim itself.
func (t *teeth) points(w *wallLoop) []polar {
	out := make([]polar, 0, len(w.Point))
	for i, q := range w.Point {
		x, y := q[0]-t.centre[0], q[1]-t.centre[1]
		r := hypot(x, y)
		if r == 0 {
			continue
		}
		nx, ny := w.Normal[i][0], w.Normal[i][1]
		out = append(out, polar{r, math.Atan2(y, x), (nx*x + ny*y) / r, (ny*x - nx*y) / r})
	}
	return out
}

func polygonCentroid(chain [][2]float64) [2]float64 {
	var a, x, y float64
	for i, p := range chain {
		q := chain[(i+1)%len(chain)]
		c := p[0]*q[1] - q[0]*p[1]
		a += c
		x += c * (p[0] + q[0])
		y += c * (p[1] + q[1])
	}
	if a == 0 {
		return chain[0]
	}
	return [2]float64{x / (3 * a), y / (3 * a)}
}

// Resolution of the contour's spectrum: enough for 200 teeth.
const (
	contourSamples = 4096
	mostTeeth      = 200
	leastTeeth     = 5
	teethAlike     = 0.93 // of the most that any count explains: a multiple of the count does as well
)

// countTeeth takes the spectrum of the radius over the turn. The count is the
// largest whose harmonics hold nearly all of the spectrum: its divisors hold as
// much, its multiples less. shift is the centre's error.
func countTeeth(w *wallLoop, centre [2]float64) (n int, shift [2]float64, ok bool) {
	r := contour(w, centre)
	if len(w.Edge) > 0 && unseen(r) > gapsFew {
		return countFolded(w, centre)
	}
	if r = filled(r); r == nil {
		return 0, shift, false
	}
	wave := fourier.NewFFT(contourSamples).Coefficients(nil, r)
	power := make([]float64, contourSamples/4)
	total := 0.0
	for k := 1; k < len(power); k++ {
		a, b := 2*real(wave[k])/contourSamples, -2*imag(wave[k])/contourSamples
		if k == 1 {
			shift = [2]float64{a, b}
			continue
		}
		power[k] = a*a + b*b
		total += power[k]
	}
	if total == 0 {
		return 0, shift, false
	}
	best, hold := 0.0, make([]float64, mostTeeth+1)
	for k := leastTeeth; k <= mostTeeth; k++ {
		for m := k; m < len(power); m += k {
			hold[k] += power[m] / total
		}
		best = max(best, hold[k])
	}
	if best < 0.6 {
		return 0, shift, false
	}
	for k := mostTeeth; k >= leastTeeth; k-- {
		if hold[k] >= teethAlike*best {
			return k, shift, true
		}
	}
	return 0, shift, false
}

// contour samples the chain's radius at even angles, 0 where there is none; where
// it is undercut the outermost crossing counts.
func contour(w *wallLoop, centre [2]float64) []float64 {
	r := make([]float64, contourSamples)
	for i, p := range w.Chain {
		if w.Jump != nil && w.Jump[i] {
			continue
		}
		q := w.Chain[(i+1)%len(w.Chain)]
		raise(r, p[0]-centre[0], p[1]-centre[1], q[0]-centre[0], q[1]-centre[1])
	}
	return r
}

// raise lifts the samples that the way from a to b crosses to its radius there.
func raise(r []float64, ax, ay, bx, by float64) {
	const step = 2 * math.Pi / contourSamples
	from := math.Atan2(ay, ax)
	turn := math.Remainder(math.Atan2(by, bx)-from, 2*math.Pi)
	if math.Abs(turn) > math.Pi/2 {
		return
	}
	if turn < 0 {
		from, turn = from+turn, -turn
		ax, ay, bx, by = bx, by, ax, ay
	}
	for k := int(math.Ceil(from / step)); float64(k)*step <= from+turn; k++ {
		sin, cos := math.Sincos(float64(k) * step)
		// a + s(b-a) along (cos, sin)
		den := (bx-ax)*sin - (by-ay)*cos
		if den == 0 {
			continue
		}
		s := (ay*cos - ax*sin) / den
		if s < -1e-9 || s > 1+1e-9 {
			continue
		}
		at := (k%contourSamples + contourSamples) % contourSamples
		r[at] = max(r[at], (ax+s*(bx-ax))*cos+(ay+s*(by-ay))*sin)
	}
}

// filled interpolates over samples without a value; nil if over a third lack.
func filled(r []float64) []float64 {
	n, lack := len(r), 0
	first := -1
	for i, x := range r {
		if x == 0 {
			lack++
		} else if first < 0 {
			first = i
		}
	}
	if first < 0 || lack > n/3 {
		return nil
	}
	last := first
	for k := 1; k <= n; k++ {
		i := (first + k) % n
		if r[i] == 0 {
			continue
		}
		gap := (i - last + n) % n
		for m := 1; m < gap; m++ {
			f := float64(m) / float64(gap)
			r[(last+m)%n] = (1-f)*r[last] + f*r[i]
		}
		last = i
	}
	return r
}

// polygonal tells a regular polygon from a wheel: a polygon of n sides never
// turns its normal more than half a side's angle from outward.
func (t *teeth) polygonal(pts []polar) bool {
	lean := make([]float64, len(pts))
	for i, q := range pts {
		lean[i] = math.Abs(math.Atan2(q.nt, q.nr))
	}
	return quantile(lean, 0.85) < math.Pi/float64(t.n)+0.25
}

// pitch is the angle of one tooth.
func (t *teeth) pitch() float64 { return 2 * math.Pi / float64(t.n) }

// local is the angle of phi from the centre of the nearest tooth, and which
// tooth that is.
func (t *teeth) local(phi float64) (float64, int) {
	k := math.Round((phi - t.phase) / t.pitch())
	i := int(k) % t.n
	if i < 0 {
		i += t.n
	}
	return phi - t.phase - k*t.pitch(), i
}

// findPhase turns tooth 0 to the first harmonic of the folded radius.
func (t *teeth) findPhase(pts []polar) {
	var a, b float64
	mid := (t.tip + t.root) / 2
	for _, q := range pts {
		sin, cos := math.Sincos(float64(t.n) * q.phi)
		a += (q.r - mid) * cos
		b += (q.r - mid) * sin
	}
	t.phase = math.Atan2(b, a) / float64(t.n)
}

// judgeTeeth lists teeth that are missing, worn short or bent over, by the top
// and the middle of each against the median tooth; where the rim has gaps, only
// of those that it shows.
func (t *teeth) judgeTeeth(pts []polar, noiseMM float64, gaps bool) {
	whole := t.shown(pts)
	type sums struct{ top, mid []float64 }
	each := make([]sums, t.n)
	depth, middle := t.tip-t.root, (t.tip+t.root)/2
	for _, q := range pts {
		x, i := t.local(q.phi)
		each[i].top = append(each[i].top, q.r)
		if math.Abs(q.r-middle) < 0.3*depth && math.Abs(q.nt) > 0.5 {
			each[i].mid = append(each[i].mid, x*middle)
		}
	}
	tops, mids := make([]float64, t.n), make([]float64, t.n)
	for i := range each {
		tops[i] = quantile(each[i].top, 0.93)
		mids[i] = balance(each[i].mid)
	}
	top, mid := median(slices.Clone(tops)), median(slices.Clone(mids))
	width := t.pitch() * middle
	for i := range each {
		switch {
		case len(each[i].top) == 0 || gaps && !whole[i]:
			continue
		case tops[i] < t.root+0.3*depth:
			t.worn = append(t.worn, WornTooth{i, "missing", top - tops[i]})
		case top-tops[i] > max(6*noiseMM, 0.06*depth):
			t.worn = append(t.worn, WornTooth{i, "worn", top - tops[i]})
		case math.Abs(mids[i]-mid) > max(6*noiseMM, 0.025*width):
			t.worn = append(t.worn, WornTooth{i, "bent", mids[i] - mid})
		}
	}
}

// balance is the middle between the mean of the values below and above zero.
func balance(v []float64) float64 {
	var lo, hi []float64
	for _, x := range v {
		if x < 0 {
			lo = append(lo, x)
		} else {
			hi = append(hi, x)
		}
	}
	if len(lo) == 0 || len(hi) == 0 {
		return 0
	}
	return (median(lo) + median(hi)) / 2
}

func (t *teeth) sound(i int) bool { return t.fault(i) == "" }

// fault is what tooth i has: worn, bent, missing, or nothing.
func (t *teeth) fault(i int) string {
	for _, w := range t.worn {
		if w.Number == i {
			return w.What
		}
	}
	return ""
}
