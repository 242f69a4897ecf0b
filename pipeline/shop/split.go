package shop

import "math"

// A Joint is a splice of a bar or a seam of a plate that is needed because the
// piece is longer than what is sold.
type Joint struct {
	Mark      string
	AtMM      float64 // from the piece's first end, or along its length or width
	Along     string  // length or width: the direction in which AtMM is measured
	SeamMM    float64 // of weld: the section's girth, or across the plate
	ThickMM   float64
	PiecesOf1 int // pieces that the part is cut into in this direction
}

// shortestMM is the shortest piece that is left at a splice: what a saw's vice
// and a welder's clamps hold; common practice, no source.
const shortestMM = 300

// Splice divides a length into pieces no longer than the longest: full ones and
// the rest, the last two evened out where the rest is under 300 mm. Where says
// how far each splice is from the first end. A length that needs none gives
// itself.
func Splice(lengthMM, longestMM float64) (pieces, where []float64) {
	n := 1
	if longestMM > 0 && lengthMM > longestMM {
		n = int(math.Min(math.Ceil(lengthMM/longestMM-1e-9), 10000))
	}
	if n == 1 {
		return []float64{lengthMM}, nil
	}
	rest := lengthMM - float64(n-1)*longestMM
	for i := range n {
		p := longestMM
		if i == n-1 {
			p = rest
		}
		if even := (longestMM + rest) / 2; rest < shortestMM && i >= n-2 {
			p = even
		}
		pieces = append(pieces, p)
	}
	at := 0.0
	for _, p := range pieces[:n-1] {
		at += p
		where = append(where, at)
	}
	return pieces, where
}

// SplitFlat divides a rectangle into a grid of equal ones that a sheet takes,
// lying or turned, with the least length of seam; nx along its length, ny across.
// A rectangle that fits gives 1, 1; none that fits within 100 × 100 gives 0, 0.
func SplitFlat(lengthMM, widthMM float64, sheets [][2]float64, opt SheetOptions) (nx, ny int) {
	best := math.Inf(1)
	for i := 1; i <= 100; i++ {
		for k := 1; k <= 100; k++ {
			seam := float64(i-1)*widthMM + float64(k-1)*lengthMM
			if seam >= best {
				break
			}
			l, w := lengthMM/float64(i), widthMM/float64(k)
			for _, s := range sheets {
				a, b := s[0]-2*opt.EdgeMM+1e-9, s[1]-2*opt.EdgeMM+1e-9
				if l <= a && w <= b || w <= a && l <= b {
					best, nx, ny = seam, i, k
				}
			}
		}
	}
	return nx, ny
}
