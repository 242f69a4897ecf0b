package fit

import (
	"math"
	"runtime"
	"sync"
	"sync/atomic"

	"gonum.org/v1/gonum/spatial/r3"
)

// Doubt is what the residuals of an association leave open about its
// parameters: white noise and, with the weights that the residuals give them,
// fields of many lengths and strengths over the piece.
type Doubt struct {
	p     int
	white []float64   // p×p
	field [][]float64 // p×p each, of unit variance
	cases []doubtCase
	free  float64
}

// doubtCase is one field: which, its variance and that of the white noise, and
// its share of belief.
type doubtCase struct {
	field    int     // -1: none
	scale    float64 // of both variances, against the noise within cells
	strength float64 // variance of the field, mm²
	weight   float64
}

// Limits of what is believed of fields.
const (
	fieldNone    = 0.7  // belief before looking that there is none
	fieldNoise   = 50.0 // points that the noise within cells counts as when the noise between is found
	fieldShort   = 0.35 // shortest length over the width of a cell
	fieldLong    = 0.25 // longest over the extent of the points
	fieldStep    = 1.5  // from one length to the next
	fieldShown   = 0.2  // share of a field that the fit leaves in the residuals, for them to tell of it
	fieldWeakest = 0.05 // least variance over that of a cell's mean by white noise
	fieldGrowth  = 2.0  // from one variance to the next
	fieldSteps   = 18   // variances: up to 6000 times that noise
)

// Doubt returns how sure the parameters of a least-squares association are when
// residuals are not independent.
//
// The residuals are taken for white noise and one Gaussian field over the piece,
// of correlation exp(-d²/2L²) at distance d in space, whose kind, length L and
// variance are weighted by the restricted likelihood of the means of cells
// (Patterson and Thompson, Biometrika 58 (1971) 545), which takes nothing from
// the residuals but what the fit cannot have taken up: the fit swallows long
// waves on one surface, that show on others. Cells and priors are ours. inv is
// the row-major inverse of the normal matrix JᵀJ, unweighted.
//
// Points times k, with the residuals, give k² of the covariance.
func (s Sightings) Doubt(inv []float64) Doubt {
	d := Doubt{p: s.P, white: make([]float64, s.P*s.P), cases: []doubtCase{{-1, 1, 0, 1}}, free: float64(len(s.At) - s.P)}
	if len(s.At) <= s.P {
		return d
	}
	s = s.feet()
	c := s.divide()
	mid := make([]float64, s.P*s.P)
	for i, k := range s.Surface {
		addSquare(mid, s.Slope[i*s.P:(i+1)*s.P], c.white[k])
	}
	d.white = sandwich(inv, mid, s.P)
	base := c.orthonormal()
	free := float64(len(c.n) - len(base))
	if free < 6 {
		d.whole(s)
		return d
	}
	d.weigh(c, base, free, inv)
	return d
}

// whole takes the noise from all residuals, where there are too few cells.
func (d *Doubt) whole(s Sightings) {
	ssq, within := 0.0, 0.0
	c := s.divide()
	for i, r := range s.Residual {
		ssq += r * r
		within += c.white[s.Surface[i]]
	}
	n := float64(len(s.Residual))
	d.cases[0].scale = math.Max(ssq/(n-float64(s.P))*n/within, 1)
}

// weigh fills the fields and their cases.
func (d *Doubt) weigh(c cells, base [][]float64, free float64, inv []float64) {
	z := make([]float64, len(c.n))
	level := 0.0 // mean variance of a cell's white noise
	for k := range z {
		z[k] = c.mean[k] / c.sd(k)
		level += c.sd(k) * c.sd(k) / float64(len(z))
	}
	without(z, base)
	none := 0.0
	for _, v := range z {
		none += v * v
	}
	power := (free + fieldNoise) / 2
	d.free = free + fieldNoise
	logs := []float64{math.Log(fieldNone) - power*math.Log(none+fieldNoise)}
	d.cases = []doubtCase{{-1, (none + fieldNoise) / d.free, 0, 0}}
	for _, f := range c.fields(z, base, inv) {
		if f.spread == nil {
			continue
		}
		d.field = append(d.field, f.spread)
		v := fieldWeakest * level
		for range fieldSteps {
			ssq, logDet := f.whitened.weighted(v)
			d.cases = append(d.cases, doubtCase{len(d.field) - 1, (ssq + fieldNoise) / d.free, v, 0})
			logs = append(logs, -logDet/2-power*math.Log(ssq+fieldNoise))
			v *= fieldGrowth
		}
	}
	d.share(logs)
}

// fieldOf is what a field of one kind and length does to the parameters, nil where the
// fit leaves too little of it in the residuals, and to the whitened means of cells.
type fieldOf struct {
	spread   []float64
	whitened tridiagonal
}

// fields are those of every kind and length in turn, found as many at a time as there
// are processors.
func (c *cells) fields(z []float64, base [][]float64, inv []float64) []fieldOf {
	lengths, push := c.lengths(), c.pushes()
	skin := make([]lower, len(lengths))
	beside(len(lengths), func(i int) { skin[i] = c.skin(lengths[i]) })
	mirrors := mirrorsOnto(base)
	z = turned(z, mirrors)
	out := make([]fieldOf, len(fieldKinds)*len(lengths))
	beside(len(out), func(n int) {
		kind, i := fieldKinds[n/len(lengths)], n%len(lengths)
		if kind == fieldApart && len(c.white) == 1 {
			return // the same as skin
		}
		a := c.whiten(c.kernel(lengths[i], kind, skin[i]))
		spread, whole := a.spreadTo(push), a.trace()
		if a = a.beyond(mirrors); a.trace() < fieldShown*whole {
			return
		}
		out[n] = fieldOf{sandwich(inv, spread, c.p), a.tridiagonal(z)}
	})
	return out
}

// beside does something for [0,n), as many at a time as there are processors; each
// writes to its own place.
func beside(n int, do func(i int)) {
	var next atomic.Int32
	var all sync.WaitGroup
	var fault atomic.Pointer[any]
	for range min(runtime.GOMAXPROCS(0), n) {
		all.Go(func() {
			defer func() {
				if p := recover(); p != nil {
					fault.Store(&p)
				}
			}()
			for i := next.Add(1) - 1; int(i) < n; i = next.Add(1) - 1 {
				do(int(i))
			}
		})
	}
	all.Wait()
	if p := fault.Load(); p != nil {
		panic(*p) // brought to where it can be told
	}
}

// share turns logarithms of likelihood, the first with its own prior and the
// rest with what is left in equal parts, into weights, and drops what has none.
func (d *Doubt) share(logs []float64) {
	most := math.Inf(-1)
	for i := 1; i < len(logs); i++ {
		logs[i] += math.Log((1 - fieldNone) / float64(len(logs)-1))
	}
	for _, l := range logs {
		most = math.Max(most, l)
	}
	sum := 0.0
	for i, l := range logs {
		d.cases[i].weight = math.Exp(l - most)
		sum += d.cases[i].weight
	}
	kept := d.cases[:0]
	for _, c := range d.cases {
		if c.weight /= sum; c.weight > 1e-4 {
			kept = append(kept, c)
		}
	}
	d.cases = kept
}

// sd is the standard deviation of a cell's mean by white noise.
func (c *cells) sd(k int) float64 { return math.Sqrt(c.white[c.surface[k]] / c.n[k]) }

// fieldKind is how a field on one surface goes with that on another.
type fieldKind int

const (
	fieldSkin  fieldKind = iota // outward everywhere: waves of metal, a coat
	fieldApart                  // each surface for itself
	fieldShift                  // a shift in space: a bow, a bent view
	fieldRough                  // skin, a third of it each of the length, its half and its quarter
)

var fieldKinds = []fieldKind{fieldSkin, fieldApart, fieldShift, fieldRough}

// lengths are those that fields are tried with, mm.
func (c *cells) lengths() []float64 {
	var out []float64
	for l := fieldShort * c.size; l <= math.Max(fieldLong*c.extent, 2*fieldShort*c.size); l *= fieldStep {
		out = append(out, l)
	}
	return out
}

// kernel is the covariance of the cells' means under a field of unit variance
// and length l, made of that of a skin.
func (c *cells) kernel(l float64, kind fieldKind, skin lower) lower {
	out := newLower(len(c.n))
	for i := range out {
		copy(out[i], skin[i])
		for j := range out[i] {
			switch {
			case kind == fieldRough:
				out[i][j] = (skin[i][j] + c.correlation(l/2, i, j) + c.correlation(l/4, i, j)) / 3
			case kind == fieldShift:
				out[i][j] *= r3.Dot(c.normal[i], c.normal[j])
			case kind == fieldApart && c.surface[i] != c.surface[j]:
				out[i][j] = 0
			}
		}
	}
	return out
}

// skin is the kernel of a field that goes outward everywhere.
func (c *cells) skin(l float64) lower {
	out := newLower(len(c.n))
	for i := range out {
		for j := range out[i] {
			out[i][j] = c.correlation(l, i, j)
		}
	}
	return out
}

// correlation is that of two cells' means under a skin of length l: it is blurred by
// the spread of points within each.
func (c *cells) correlation(l float64, i, j int) float64 {
	w := l*l + c.spread[i] + c.spread[j]
	x := r3.Norm2(r3.Sub(c.at[i], c.at[j])) / (2 * w)
	if x >= skinEnd {
		return 0
	}
	return l * l / w * math.Exp(-x)
}

// skinEnd is the exponent from which a correlation is nothing beside 1 in float64.
const skinEnd = 40

// pushes are what a cell's mean, whitened, adds to the gradient by each parameter.
func (c *cells) pushes() [][]float64 {
	out := make([][]float64, c.p)
	for j := range out {
		out[j] = make([]float64, len(c.n))
		for k := range c.n {
			out[j][k] = c.slope[k][j] * c.sd(k)
		}
	}
	return out
}

// orthonormal spans what the parameters can do to the whitened means of cells
// (Gram and Schmidt, twice over).
func (c *cells) orthonormal() [][]float64 {
	var base [][]float64
	for j := range c.p {
		x := make([]float64, len(c.n))
		before := 0.0
		for k := range x {
			x[k] = c.slope[k][j] / (c.n[k] * c.sd(k))
			before += x[k] * x[k]
		}
		without(x, base)
		without(x, base)
		after := 0.0
		for _, v := range x {
			after += v * v
		}
		if after <= 1e-10*before || after == 0 {
			continue
		}
		for k := range x {
			x[k] /= math.Sqrt(after)
		}
		base = append(base, x)
	}
	return base
}

// without takes the part of x within the base away.
func without(x []float64, base [][]float64) {
	for _, b := range base {
		dot := 0.0
		for k, v := range b {
			dot += v * x[k]
		}
		for k, v := range b {
			x[k] -= dot * v
		}
	}
}
