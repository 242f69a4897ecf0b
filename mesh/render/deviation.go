package render

import (
	"context"
	"fmt"
	"image"
	"math"
	"slices"
)

// Deviation draws the piece coloured by the signed deviation of each point, in
// mm at full size, outside positive, from -rangeMM to rangeMM on a scale that is
// neutral at zero. NaN is no value. The legend beside it says how much of the
// drawn surface's points lies beyond its ends.
//
// Shapes: deviationMM has one row a point of p. Errors: [ErrInput], or ctx's.
func Deviation(ctx context.Context, p Piece, deviationMM []float32, rangeMM float64, v View, s Sheet) (*image.RGBA, error) {
	if err := checkAll(p, s); err != nil {
		return nil, err
	}
	if len(deviationMM) != len(p.Points) {
		return nil, fmt.Errorf("%w: %d deviations for %d points", ErrInput, len(deviationMM), len(p.Points))
	}
	if !(rangeMM > 0) || math.IsInf(rangeMM, 0) {
		return nil, fmt.Errorf("%w: the deviation scale must end above 0 mm, not at %v", ErrInput, rangeMM)
	}
	b := body{points: p.Points, faces: p.Faces, place: p.Site, ids: p.Element, id: 1, value: overRange(deviationMM, rangeMM)}
	bounds := boundsOf(b, v.oblique())
	if err := checkSize(bounds); err != nil {
		return nil, err
	}
	pn, err := newPen(s)
	if err != nil {
		return nil, err
	}
	l := ruleSheet(pn, s)
	u := pn.u
	side := l.drawing.x1 - 330*u
	cam := fit(v.oblique(), bounds, rect{l.drawing.x0 + 50*u, l.drawing.y0 + 40*u, side - 30*u, l.drawing.y1 - 110*u})
	r := newRaster(s.WidthPx, s.HeightPx)
	if err := r.draw(ctx, b, cam, s.progress("picture deviation", len(p.Faces))); err != nil {
		return nil, err
	}
	pitch := max(5, int(7*u*subPx))
	k := sheetInk(u)
	k.inner = max(1, k.inner/2)
	r.paint(pn.img, valueTint(pitch), k)
	scaleBar(pn, pt{l.drawing.x0 + 30*u, l.drawing.y1 - 40*u}, cam.pxPerMM, 0.24*l.drawing.width(), "full size; true for heights and for widths across the sheet")
	pn.line(inkColour(), 1.2, pt{side, l.drawing.y0}, pt{side, l.drawing.y1})
	lg := legend{room: rect{side, l.drawing.y0, l.drawing.x1, l.drawing.y1}, rangeMM: rangeMM, pitch: pitch}
	lg.over, lg.under, lg.none = sharesBeyond(b)
	lg.paint(pn)
	return pn.img, nil
}

// NiceRangeMM returns a round end for the scale of [Deviation]: 1, 2 or 5 times
// a power of ten, the first that 98 of 100 values do not exceed in size; 1 mm
// where there is no value.
func NiceRangeMM(deviationMM []float32) float64 {
	q, ok := sizeAt(deviationMM, 0.98)
	if !ok {
		return 1
	}
	if q < 1e-3 { // under what a picture can mean
		return 1e-3
	}
	n := niceLengthMM(q)
	for _, k := range []float64{1, 2, 2.5, 5, 10} {
		if q <= n*k*(1+1e-9) && isRound(n*k) {
			return n * k
		}
	}
	return 10 * n
}

// sizeAt is the size up to which a share of the finite values lie; not ok where
// there are none. Bits of single precision are in the order of the sizes: values are
// counted by the upper half of them, and those of one count alone are sorted.
func sizeAt(values []float32, share float64) (size float64, ok bool) {
	const infinite = 0x7f800000
	count, n := make([]int, infinite>>16), 0
	for _, v := range values {
		if b := math.Float32bits(v) &^ (1 << 31); b < infinite {
			count[b>>16]++
			n++
		}
	}
	if n == 0 {
		return 0, false
	}
	left, high := int(share*float64(n-1)), 0
	for ; left >= count[high]; high++ {
		left -= count[high]
	}
	var same []uint32
	for _, v := range values {
		if b := math.Float32bits(v) &^ (1 << 31); b < infinite && int(b>>16) == high {
			same = append(same, b)
		}
	}
	slices.Sort(same)
	return float64(math.Float32frombits(same[left])), true
}

// isRound says whether v is 1, 2 or 5 times a power of ten.
func isRound(v float64) bool { return math.Abs(niceLengthMM(v)/v-1) < 1e-9 }

// overRange divides by the end of the scale; what is not finite has no value.
func overRange(mm []float32, end float64) []float32 {
	out := make([]float32, len(mm))
	for i, d := range mm {
		out[i] = float32(float64(d) / end)
		if math.IsInf(float64(d), 0) {
			out[i] = float32(math.NaN())
		}
	}
	return out
}

// sharesBeyond returns the shares of b's points, weighted by a third of the
// facets round them at full size, over and under the scale and without a value.
func sharesBeyond(b body) (over, under, none float64) {
	total := 0.0
	for _, f := range b.faces {
		n := facetNormal(b.points, f)
		a := math.Sqrt(n[0]*n[0] + n[1]*n[1] + n[2]*n[2])
		if math.IsNaN(a) || math.IsInf(a, 0) {
			continue
		}
		total += 3 * a
		for _, i := range f {
			switch t := b.value[i]; {
			case t != t:
				none += a
			case t > 1:
				over += a
			case t < -1:
				under += a
			}
		}
	}
	if total == 0 {
		return 0, 0, 1
	}
	return over / total, under / total, none / total
}
