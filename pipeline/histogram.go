package pipeline

import "math"

// histogram is how the deviation of an element is spread: the share of its surface
// between each two edges, mm at full size, and beyond the outer ones.
type histogram struct {
	edgesMM, shares []float64
	below, above    float64
}

// histogramBins are as many to each side of zero, so that zero is an edge.
const histogramBins = 24

// newHistogram has edges to a round number past three standard deviations, if the
// deviation is normal: 95 % lie within two.
func newHistogram(p95MM float64) *histogram {
	reach := roundUp(1.5 * p95MM)
	h := &histogram{edgesMM: make([]float64, histogramBins+1), shares: make([]float64, histogramBins)}
	for i := range h.edgesMM {
		h.edgesMM[i] = reach * float64(2*i-histogramBins) / histogramBins
	}
	return h
}

// add counts a deviation with its share of the surface.
func (h *histogram) add(mm, share float64) {
	reach := h.edgesMM[histogramBins]
	switch {
	case mm < -reach:
		h.below += share
	case mm > reach:
		h.above += share
	default:
		k := int(math.Floor((mm + reach) / (2 * reach) * histogramBins))
		h.shares[min(k, histogramBins-1)] += share
	}
}

// roundUp is the next of 1, 1.2, 1.5, 2, 3, 4, 5, 6, 8 times a power of ten; 0.01 mm
// at the least.
func roundUp(x float64) float64 {
	x = max(x, 0.01)
	p := math.Pow(10, math.Floor(math.Log10(x)))
	for _, m := range []float64{1, 1.2, 1.5, 2, 3, 4, 5, 6, 8} {
		if m*p >= x*(1-1e-9) {
			return m * p
		}
	}
	return 10 * p
}
