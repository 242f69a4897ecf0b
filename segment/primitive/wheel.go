package primitive

import (
	"math"
	"sort"
)

// meanProfile averages the contour of all sound teeth over one pitch. Flanks
// may be steeper than radial, so it is averaged along the contour: points are
// binned by the angle about a point inside the tooth's foot.
func (t *teeth) meanProfile(pts []polar, edgeMM float64) {
	// Polar angle about the foot of the tooth on the root circle, below the root
	// by half a pitch, sees tops, flanks and half bottoms in order.
	foot := max(t.root-0.35*t.pitch()*t.root, 0.2*t.root)
	type place struct{ a, x, y float64 }
	var all []place
	half := t.pitch() / 2
	for _, q := range pts {
		x, i := t.local(q.phi)
		if !t.sound(i) || math.Abs(x) > half {
			continue
		}
		sin, cos := math.Sincos(x)
		px, py := q.r*sin, q.r*cos
		all = append(all, place{math.Atan2(px, py-foot), px, py})
	}
	sort.SliceStable(all, func(i, j int) bool { return all[i].a < all[j].a })
	if len(all) < 8 {
		return
	}
	length := 2*(t.tip-t.root) + t.pitch()*t.root
	bins := min(max(int(length/(0.5*edgeMM)), 12), 160, len(all)/3)
	t.profile = t.profile[:0]
	for k := 0; k < bins; k++ {
		part := all[k*len(all)/bins : (k+1)*len(all)/bins]
		var xs, ys []float64
		for _, q := range part {
			xs, ys = append(xs, q.x), append(ys, q.y)
		}
		x, y := median(xs), median(ys)
		t.profile = append(t.profile, [2]float64{math.Atan2(x, y), hypot(x, y)})
	}
	t.profile = append([][2]float64{{-half, t.gapRadius()}}, append(t.profile, [2]float64{half, t.gapRadius()})...)
}

// gapRadius is the contour's radius in the middle of a gap.
func (t *teeth) gapRadius() float64 { return t.root }

// whole is the contour of all teeth as a line.
func (t *teeth) whole() *contourLine {
	var p [][2]float64
	for k := 0; k < t.n; k++ {
		turn := t.phase + float64(k)*t.pitch()
		for _, q := range t.profile {
			sin, cos := math.Sincos(turn + q[0])
			p = append(p, [2]float64{t.centre[0] + q[1]*cos, t.centre[1] + q[1]*sin})
		}
	}
	return newContourLine(p)
}
