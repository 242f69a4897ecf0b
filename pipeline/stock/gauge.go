package stock

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
)

// GaugeOptions of the scale without a gauge.
type GaugeOptions struct {
	RangeShare float64   // how far the scale may be off, either way
	StepShare  float64   // between trial scales
	OddShares  []float64 // shares of metal that was never standard, at most 1; all are tried, all alike likely
	WidthMost  float64   // a set wider than this share of the range tells nothing
	PeakShare  float64   // a second interval is named if it has this probability
}

// DefaultGaugeOptions try ±3 % in steps of 0.005 %, and from 5 % odd metal to
// none that is standard.
func DefaultGaugeOptions() GaugeOptions {
	return GaugeOptions{RangeShare: 0.03, StepShare: 5e-5, OddShares: []float64{0.05, 0.1, 0.2, 0.4, 0.6, 0.8, 1}, WidthMost: 0.5, PeakShare: 0.03}
}

// Gauge is the scan's scale error by the maquette's own metal: the scan shows
// true × (1 + error).
type Gauge struct {
	Verdict    string  // clear, ambiguous (several intervals) or uninformative
	ErrorShare float64 // most probable; 0 where uninformative
	Low, High  float64 // ends of the 95 % set, all intervals together
	Peaks      []Peak  // its intervals, the most probable first
	System     string  // of the metal: us, metric, own, or mixed
	SystemP    float64 // probability of that
	OddShare   float64 // of the metal that was never standard, mean
	Matches    []Match // aligned with what was found
	Profile    []Trial // log-likelihood over the range, 0 at the best
	Text       string  // in words
}

// Peak is an interval of the 95 % set of greatest density.
type Peak struct{ ErrorShare, Low, High, Probability float64 }

// Match is what a found size most likely was, at the most probable error.
type Match struct {
	Mark       string
	SizeMM     float64
	ResidualMM float64 // found, corrected, less the mean of what is made in that size
	Standard   float64 // probability that it was standard at all
}

// Trial is a trial error and its log-likelihood.
type Trial struct{ ErrorShare, LogLikelihood float64 }

// ScaleError estimates by which factor the scan is off from what was found. Each
// size is either one of its tables (all alike likely, normal about it with the
// mill's tolerance and u95), or odd with a share (any size, evenly by logarithm);
// the metal was of one system or mixed. Likelihoods are multiplied over the sizes,
// averaged over the shares of odd metal and the systems, all alike likely before.
// The 95 % set holds the densest 95 % over an even prior within the range; the
// tables' own steps make it fall apart where several scales fit (ambiguous), or
// spread over the range (uninformative). The derivation is ours; a mixture with a
// uniform outlier part as in Box and Tiao, Biometrika 55 (1968) 119.
//
// An error where options are out of range or a size is no positive number.
func ScaleError(found []Found, c Catalogue, opt GaugeOptions) (Gauge, error) {
	if err := opt.check(); err != nil {
		return Gauge{}, err
	}
	g := gauging{found: found, opt: opt, systems: append(systemsOf(c), "mixed")}
	if len(g.systems) == 2 {
		g.systems = g.systems[:1]
	}
	known := map[string][]standardSize{}
	for i, f := range found {
		if !(f.ValueMM > 0) || !(f.U95MM >= 0) || math.IsInf(f.ValueMM+f.U95MM, 0) {
			return Gauge{}, fmt.Errorf("found size %d (%s) is %v mm with u95 %v mm; give a size over 0 with its uncertainty", i+1, f.Key, f.ValueMM, f.U95MM)
		}
		table := fmt.Sprint(f.Forms, f.Key)
		if _, read := known[table]; !read {
			sizes, err := standardSizes(c, f.Forms, f.Key)
			if err != nil {
				return Gauge{}, err
			}
			known[table] = sizes
		}
		g.add(f, known[table])
	}
	return g.gauge(), nil
}

func (o GaugeOptions) check() error {
	steps := 2 * o.RangeShare / o.StepShare
	switch {
	case !(o.RangeShare > 0 && o.RangeShare < 0.5):
		return fmt.Errorf("the range of the scale error is %v; give a share over 0 and under 0.5", o.RangeShare)
	case !(steps >= 10 && steps <= 1e5):
		return fmt.Errorf("the step of the scale error is %v; give one that makes 10 to 100,000 steps", o.StepShare)
	case len(o.OddShares) == 0 || slices.ContainsFunc(o.OddShares, func(x float64) bool { return !(x > 0 && x <= 1) }):
		return fmt.Errorf("the shares of odd metal are %v; give some over 0, at most 1", o.OddShares)
	case !(o.WidthMost > 0 && o.WidthMost <= 1) || !(o.PeakShare >= 0 && o.PeakShare < 1):
		return fmt.Errorf("the greatest width is %v and the least share of a peak %v; give shares of 1", o.WidthMost, o.PeakShare)
	}
	return nil
}

// gauging holds what one estimate is made from.
type gauging struct {
	found   []Found
	sizes   [][]standardSize // those that a found size may be within the range
	number  []map[string]int // how many sizes its tables have, by system
	oddLog  [][]float64      // log of the density where none of them is near, by share of odd metal
	opt     GaugeOptions
	systems []string
}

// farSD: a size more standard deviations away adds nothing to a density.
const farSD = 8.0

func (g *gauging) add(f Found, sizes []standardSize) {
	number := map[string]int{}
	var near []standardSize
	for _, s := range sizes {
		number[s.system]++
		number["mixed"]++
		reach := s.mean*g.opt.RangeShare + farSD*math.Hypot(f.U95MM/1.96, s.sd*(1+g.opt.RangeShare))
		if math.Abs(f.ValueMM-s.mean) < reach {
			near = append(near, s)
		}
	}
	var odd []float64
	for _, q := range g.opt.OddShares {
		odd = append(odd, math.Log(q*oddDensity(f.ValueMM)))
	}
	g.sizes, g.number, g.oddLog = append(g.sizes, near), append(g.number, number), append(g.oddLog, odd)
}

// oddDensity is that of a size about which nothing is known: even by logarithm
// from 1 mm to 1 m.
func oddDensity(mm float64) float64 { return 1 / (mm * math.Log(1000)) }

// densities are those of a found size about each of its tables' if the scan is off by
// a share.
func (g *gauging) densities(i int, off float64) []float64 {
	f, out := g.found[i], make([]float64, len(g.sizes[i]))
	for k, s := range g.sizes[i] {
		sd := math.Hypot(f.U95MM/1.96, s.sd*(1+off))
		if z := (f.ValueMM - s.mean*(1+off)) / sd; math.Abs(z) < farSD {
			out[k] = math.Exp(-z*z/2) / (sd * math.Sqrt(2*math.Pi))
		}
	}
	return out
}

// standardDensity is that of a found size if it was standard in a system, of those
// about each size.
func (g *gauging) standardDensity(i int, system string, about []float64) float64 {
	n, sum := g.number[i][system], 0.0
	for k := range g.sizes[i] {
		if system == "mixed" || g.sizes[i][k].system == system {
			sum += about[k]
		}
	}
	if n == 0 {
		return 0
	}
	return sum / float64(n)
}

// logLikelihood of all that was found, by share of odd metal, of the densities about
// the sizes of each.
func (g *gauging) logLikelihood(system string, about [][]float64) []float64 {
	out := make([]float64, len(g.opt.OddShares))
	for i, f := range g.found {
		standard, odd := g.standardDensity(i, system, about[i]), oddDensity(f.ValueMM)
		if standard == 0 {
			floats.Add(out, g.oddLog[i])
			continue
		}
		for k, q := range g.opt.OddShares {
			out[k] += math.Log((1-q)*standard + q*odd)
		}
	}
	return out
}

// gauge sums the likelihood over trials, systems and shares of odd metal.
func (g *gauging) gauge() Gauge {
	n := int(math.Round(2*g.opt.RangeShare/g.opt.StepShare)) + 1
	off, log, each := make([]float64, n), make([]float64, n), make([][][]float64, n) // each: by trial, system, share
	for k := range n {
		off[k] = g.opt.RangeShare * (2*float64(k)/float64(n-1) - 1)
		var bySystem []float64
		about := make([][]float64, len(g.found))
		for i := range about {
			about[i] = g.densities(i, off[k])
		}
		for _, s := range g.systems {
			l := g.logLikelihood(s, about)
			each[k], bySystem = append(each[k], l), append(bySystem, floats.LogSumExp(l))
		}
		log[k] = floats.LogSumExp(bySystem)
	}
	out := Gauge{}
	best, all := slices.Max(log), floats.LogSumExp(log)
	p, system := make([]float64, n), make([]float64, len(g.systems))
	for k := range n {
		out.Profile = append(out.Profile, Trial{off[k], log[k] - best})
		p[k] = math.Exp(log[k] - all)
		for s := range system {
			for q, l := range each[k][s] {
				x := math.Exp(l - all)
				system[s] += x
				out.OddShare += x * g.opt.OddShares[q]
			}
		}
	}
	s := floats.MaxIdx(system)
	out.System, out.SystemP = g.systems[s], system[s]
	out.Peaks = densest(off, p, 0.95)
	g.judge(&out)
	for i := range g.found {
		out.Matches = append(out.Matches, g.match(i, out))
	}
	return out
}
