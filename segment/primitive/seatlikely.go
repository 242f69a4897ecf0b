package primitive

import (
	"math"
)

// bottoms are the points of all sound gaps folded on half of one: across from the
// gap's middle, and out from the wheel's axis, mm. The flank beside is the line
// x = at + slope y.
type bottoms struct {
	p         [][2]float64
	at, slope float64
}

// seatLikelier weighs a seat of radius rho about a point out mm from the axis
// against a land at one radius: each may go on in the flank, points count by the
// square of their distance over that of the noise, to 4 deviations, and the
// seat's one parameter more costs the logarithm of their number (Schwarz, Annals
// of Statistics 6 (1978) 461). Points within marginMM of the land's corner, which
// a meshing filter rounds, tell neither from the other.
//
// ok is false where the flanks show too little to say.
func (t *teeth) seatLikelier(w *wallLoop, out, rho, marginMM float64) (likelier, ok bool) {
	b, ok := t.folded(w)
	if !ok {
		return false, false
	}
	root := b.landRadius(t.root, t.noiseMM)
	corner := b.corner(root)
	seat, land, n := 0.0, 0.0, 0.0
	for _, q := range b.p {
		if hypot(q[0]-corner[0], q[1]-corner[1]) < marginMM {
			continue
		}
		flank := b.flank(q)
		seat += t.misfit(min(math.Abs(hypot(q[0], q[1]-out)-rho), flank))
		land += t.misfit(min(math.Abs(hypot(q[0], q[1])-root), flank))
		n++
	}
	return seat+math.Log(max(n, 1)) < land, n >= 12
}

func (t *teeth) misfit(d float64) float64 {
	d /= t.noiseMM
	return min(d*d, 16)
}

// folded gathers points up to three tenths of the depth above the root, and the
// line through those of the flanks above.
func (t *teeth) folded(w *wallLoop) (b bottoms, ok bool) {
	depth := t.tip - t.root
	var flank [][2]float64
	for _, q := range t.points(w) {
		x, i := t.local(q.phi + t.pitch()/2)
		if !t.sound(i) || !t.sound((i+t.n-1)%t.n) {
			continue
		}
		sin, cos := math.Sincos(math.Abs(x))
		at := [2]float64{q.r * sin, q.r * cos}
		switch h := (q.r - t.root) / depth; {
		case h < 0.3:
			b.p = append(b.p, at)
		case h < 0.75 && math.Abs(q.nt) > 0.4:
			flank = append(flank, at)
		}
	}
	if len(b.p) < 12 || len(flank) < 6 {
		return b, false
	}
	var y, x []float64
	for _, q := range flank {
		y, x = append(y, q[1]), append(x, q[0])
	}
	b.at, b.slope = lineThrough(y, x)
	return b, true
}

// flank is the distance of q from the flank's line.
func (b *bottoms) flank(q [2]float64) float64 {
	return math.Abs(q[0]-b.at-b.slope*q[1]) / hypot(1, b.slope)
}

// landRadius is the mean radius of the points that lie on a land rather than a
// flank, from a first guess, those over 3 deviations off left out.
func (b *bottoms) landRadius(r, noiseMM float64) float64 {
	reach := math.Inf(1)
	for range 8 {
		sum, n := 0.0, 0.0
		for _, q := range b.p {
			d := math.Abs(hypot(q[0], q[1]) - r)
			if d < b.flank(q) && d < reach {
				sum, n = sum+hypot(q[0], q[1]), n+1
			}
		}
		if n > 0 {
			r = sum / n
		}
		reach = max(3*noiseMM, 0.5*min(reach, 1e3*noiseMM))
	}
	return r
}

// corner is where the land ends in the flank.
func (b *bottoms) corner(root float64) [2]float64 {
	y := root
	for range 10 {
		x := b.at + b.slope*y
		y = math.Sqrt(max(root*root-x*x, 0))
	}
	return [2]float64{b.at + b.slope*y, y}
}
