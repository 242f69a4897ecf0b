package fit

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r3"
)

// Limits of the search for correlation.
const (
	lagCentres = 4000 // points whose neighbours are looked up: of 20,000 pairs, lagSigmas are under lagLeast
	lagBudget  = 1e7  // pairs looked at on one level, 0.1 s
	lagBins    = 4    // bins of distance on one level
	lagCount   = 30   // pairs that make a bin
	lagLeast   = 0.03 // the correlation at which a bin ends the sum; of a bell-shaped one, 3 % lie beyond
	lagSigmas  = 3    // and the least significance against white noise
)

// Inflation returns by how much the correlation of residuals along a surface
// inflates the variance of what is estimated from all of them together (a mean,
// a radius, an axis), against independent ones: n points are worth n/Inflation.
//
// It is 1 + Σ N(h) ρ(h) over distances h: ρ is the correlation of residuals h
// apart and N how many neighbours a point has there; the sum ends at the first
// distance whose correlation is under 3 standard deviations of white noise or
// under 0.03. That of the mean follows from its definition; taking parameters
// that vary slowly over the surface for means is ours. Near neighbours are
// looked up among all points, far ones among ever thinner fixed-seed subsets.
//
// points are in mm, residuals in any unit, one a point; spacingMM is the
// distance between neighbouring points, which sets the finest bin; where it is
// not over 0, the extent over √n is taken. Points times k, with the spacing,
// leave the answer. Points or residuals that are not finite are left out; under
// 30 points, or without any residual, the answer is 1; it is never over n.
func Inflation(points []r3.Vec, residual []float64, spacingMM float64) float64 {
	at, r := centredResiduals(points, residual)
	if at == nil {
		return 1
	}
	n := len(at)
	low, high := at[0], at[0]
	for _, p := range at {
		low = r3.Vec{X: math.Min(low.X, p.X), Y: math.Min(low.Y, p.Y), Z: math.Min(low.Z, p.Z)}
		high = r3.Vec{X: math.Max(high.X, p.X), Y: math.Max(high.Y, p.Y), Z: math.Max(high.Z, p.Z)}
	}
	size := norm(r3.Sub(high, low))
	even := size / math.Sqrt(float64(n)) // what a square sheet would have
	if !(spacingMM > 0) || spacingMM > 4*even {
		spacingMM = even
	}
	spacingMM = math.Max(spacingMM, size*1e-6)
	if !(size > 0) {
		return 1
	}
	c := correlogram{at: at, r: r, low: low, size: size, reach: lagBins * spacingMM, thin: 1, rng: rand.New(rand.NewPCG(3, 4))}
	first := c.sum(0)
	if first == 1 {
		return 1
	}
	return math.Min(c.sum(math.Min(first/float64(n), 0.5)), float64(n))
}

// correlogram holds the bins of rising distance found so far, and where the
// next level begins.
type correlogram struct {
	at           []r3.Vec
	r            []float64
	low          r3.Vec // corner of the box round at
	size         float64
	bins         []lag
	ids          []int   // points that the next level looks among
	thin         float64 // points of all that one of ids stands for
	inner, reach float64
	rng          *rand.Rand
}

// ends tells that a bin's correlation is too low to go on. lost is that of sum.
func (b lag) ends(lost float64) bool {
	return b.correlation(lost) < math.Max(lagLeast, lagSigmas*math.Sqrt(2/b.count)) // a pair is counted from both ends
}

func (b lag) correlation(lost float64) float64 { return b.product/b.count*(1-lost) + lost }

// all names every point.
func (c *correlogram) all() []int {
	if c.ids == nil {
		c.ids = make([]int, len(c.at))
		for i := range c.ids {
			c.ids[i] = i
		}
	}
	return c.ids
}

// sum is 1 + Σ N(h) ρ(h). lost is the share of the variance that taking the
// mean away has cost: where a mean of n correlated residuals has the variance
// I/n, every correlation ρ is seen as (ρ - I/n)/(1 - I/n).
func (c *correlogram) sum(lost float64) float64 {
	sum := 1.0
	var bin lag
	for k := 0; k < len(c.bins) || c.grow(); k++ {
		b := c.bins[k]
		bin = lag{bin.count + b.count, bin.product + b.product, bin.share + b.share}
		if bin.count < lagCount {
			continue // a bin of too few pairs goes with the next
		}
		if bin.ends(lost) {
			break
		}
		sum += bin.share * bin.correlation(lost)
		bin = lag{}
	}
	return sum
}

// grow adds the next level of bins, twice as far, among a quarter of the points
// where those of this level had neighbours enough; false where it would reach
// over half the size. Of the first level it finds half the bins before all of them: there
// most sums end, and they take a quarter of the level's pairs.
func (c *correlogram) grow() bool {
	if c.inner >= c.size/2 {
		return false
	}
	known := lagBins
	if c.inner == 0 {
		if c.bins == nil {
			known = lagBins / 2
		}
		c.bins = c.bins[:0]
	}
	level, centres := lags(c.at, c.r, c.all(), c.inner, c.reach, c.reach*float64(known)/lagBins, c.low)
	neighbours := 0.0
	for _, b := range level[:known] {
		neighbours += b.count / centres
		b.share = b.count / centres * c.thin
		c.bins = append(c.bins, b)
	}
	if known < lagBins {
		return true
	}
	c.inner, c.reach = c.reach, 2*c.reach
	if neighbours >= 8*lagBins && len(c.ids) > 1000 {
		c.ids = thinned(c.ids, c.rng)
		c.thin = float64(len(c.at)) / float64(len(c.ids))
	}
	return true
}

// centredResiduals returns the points of finite numbers and their residuals
// less the mean, of variance 1; nil where that says nothing.
func centredResiduals(points []r3.Vec, residual []float64) ([]r3.Vec, []float64) {
	at, r := make([]r3.Vec, 0, len(points)), make([]float64, 0, len(points))
	mean := 0.0
	for i, p := range points {
		if i < len(residual) && finite(norm(p)) && finite(residual[i]*residual[i]) {
			at, r = append(at, p), append(r, residual[i])
			mean += residual[i]
		}
	}
	if len(at) < lagCount {
		return nil, nil
	}
	mean /= float64(len(r))
	ssq := 0.0
	for i := range r {
		r[i] -= mean
		ssq += r[i] * r[i]
	}
	scale := math.Sqrt(ssq / float64(len(r)))
	if !(scale > 1e-12*math.Abs(mean)) || !finite(scale) {
		return nil, nil
	}
	for i := range r {
		r[i] /= scale
	}
	return at, r
}

// lag is one bin of distances: ordered pairs, the sum of their products, and
// how many neighbours of a point stand in it among all points.
type lag struct{ count, product, share float64 }

// lags bins the pairs of ids between inner and reach apart, lagBins of equal
// width, seen from some centres, whose number it returns; of these only pairs up to
// far apart. A grid of cells of that size finds them.
func lags(at []r3.Vec, r []float64, ids []int, inner, reach, far float64, low r3.Vec) ([lagBins]lag, float64) {
	grid := newGrid(at, ids, far, low)
	dealt := make([]r3.Vec, len(ids)) // those near one another together, to be looked through fast
	for n, j := range grid.point {
		dealt[n] = at[j]
	}
	var bins [lagBins]lag
	centres, looked := 0, 0
	m := len(ids)
	step := coprime(m)
	low2, high2 := inner*inner*(1-1e-12), far*far*(1+1e-12) // most pairs are told by squares
	for k := 0; centres < min(m, lagCentres) && looked < lagBudget; k = (k + step) % m {
		i := ids[k]
		centres++
		grid.around(at[i], func(from, to int) {
			looked += to - from + 1
			for n, q := range dealt[from:to] {
				d2 := r3.Norm2(r3.Sub(q, at[i]))
				if d2 >= high2 || d2 < low2 {
					continue
				}
				j, d := int(grid.point[from+n]), math.Sqrt(d2)
				if d >= far || d < inner || j == i {
					continue
				}
				b := &bins[min(int((d-inner)/(reach-inner)*lagBins), lagBins-1)]
				b.count++
				b.product += r[i] * r[j]
			}
		})
	}
	return bins, float64(centres)
}

// coprime returns a step near 0.618 m that shares no factor with m, so that
// steps of it visit every index, evenly from the first on.
func coprime(m int) int {
	step := max(1, int(0.6180339887*float64(m)))
	for {
		a, b := step, m
		for b != 0 {
			a, b = b, a%b
		}
		if a == 1 {
			return step
		}
		step++
	}
}

// thinned returns one in four of ids, one from each run of four.
func thinned(ids []int, rng *rand.Rand) []int {
	kept := pick(len(ids), (len(ids)+3)/4, rng)
	for k, i := range kept {
		kept[k] = ids[i]
	}
	return kept
}
