package synthetic

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r3"
)

// Streams of random numbers, one for each use, so that asking for one
// disturbance leaves the others as they were.
const (
	useNoise = iota + 1
	useCorrelated
	useWaves
	useSpikes
	useDust
	useMissing
	useSlivers
	useCopies
	useFlips
	useOrder
)

// stream returns the random numbers of one use on one piece; scene-wide uses
// take piece -1.
func stream(seed uint64, piece, use int) *rand.Rand {
	return rand.New(rand.NewPCG(mix(seed), mix(uint64(piece+1)<<8|uint64(use))))
}

// mix spreads nearby numbers over all bits (S. Vigna's splitmix64).
func mix(x uint64) uint64 {
	x += 0x9e3779b97f4a7c15
	x = (x ^ x>>30) * 0xbf58476d1ce4e5b9
	x = (x ^ x>>27) * 0x94d049bb133111eb
	return x ^ x>>31
}

func normalVec(r *rand.Rand) r3.Vec {
	return r3.Vec{X: r.NormFloat64(), Y: r.NormFloat64(), Z: r.NormFloat64()}
}

func direction(r *rand.Rand) r3.Vec {
	for {
		v := normalVec(r)
		if l := r3.Norm(v); l > 1e-3 {
			return r3.Scale(1/l, v)
		}
	}
}

// waves is a sum of plane waves: amplitude × sum of cos(k·x + phase).
type waves struct {
	k         []r3.Vec
	phase     []float64
	amplitude float64
}

func (w waves) at(p r3.Vec) float64 {
	var sum float64
	for i, k := range w.k {
		sum += math.Cos(k.X*p.X + k.Y*p.Y + k.Z*p.Z + w.phase[i])
	}
	return w.amplitude * sum
}

// smoothTerms is how many waves stand for a smoothed field: one realisation's
// variance is then within some 1/sqrt(256) of what is asked, and the ensemble's
// is exact.
const smoothTerms = 256

// smooth is white noise smoothed by a Gaussian of standard deviation smoothMM
// and brought to standard deviation sigma: its correlation at distance d is
// exp(-d²/(4 smoothMM²)). Its wave vectors are drawn from the spectrum, normal
// of standard deviation 1/(√2 smoothMM) (M. Shinozuka, J. Acoust. Soc. Am. 49
// (1971) 357-368).
func smooth(r *rand.Rand, sigma, smoothMM float64) waves {
	w := waves{make([]r3.Vec, smoothTerms), make([]float64, smoothTerms), sigma * math.Sqrt(2.0/smoothTerms)}
	for i := range w.k {
		w.k[i] = r3.Scale(1/(math.Sqrt2*smoothMM), normalVec(r))
		w.phase[i] = 2 * math.Pi * r.Float64()
	}
	return w
}

// longTerms is how many waves make waviness.
const longTerms = 5

// long is waviness of the given rms: waves in random directions, from one to
// two wavelengths long.
func long(r *rand.Rand, rms, wavelengthMM float64) waves {
	w := waves{make([]r3.Vec, longTerms), make([]float64, longTerms), rms * math.Sqrt(2.0/longTerms)}
	for i := range w.k {
		w.k[i] = r3.Scale(2*math.Pi/(wavelengthMM*(1+r.Float64())), direction(r))
		w.phase[i] = 2 * math.Pi * r.Float64()
	}
	return w
}
