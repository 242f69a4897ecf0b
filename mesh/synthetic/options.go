package synthetic

import (
	"errors"
	"fmt"
	"math"
)

// Options says how finely a scene is meshed and what the scanner does to it.
// Counts are over the whole scene; what is 0 is not done.
type Options struct {
	Seed   uint64
	EdgeMM float64 // edge length of facets, about

	NoiseMM   float64 // standard deviation, one independent draw a vertex, along its normal
	Isotropic bool    // NoiseMM along each of x, y, z instead

	CorrelatedMM float64 // standard deviation of smooth noise along the normal, each smooth surface for itself
	SmoothMM     float64 // standard deviation of the Gaussian that smooths it

	WavinessMM   float64 // rms of a few long waves along the normal
	WavelengthMM float64 // their shortest length

	RoundingMM float64 // radius that sharp edges, outer and inner, are rounded to

	Spikes    int     // vertices thrown out along their normal
	SpikeMM   float64 // by up to this, either way
	DustBlobs int     // small closed shells near the surface, piece -1
	DustMM    float64 // their size, about
	Gaps      int     // places left out of the scan
	GapMM     float64 // their radius

	Flipped    int // facets turned inside out
	Slivers    int // edges split a thousandth of their length from an end
	Degenerate int // facets added with two corners the same
	Doubled    int // facets given twice
	Shuffled   bool
	KeepShare  float64 // share of facets that decimation keeps; 1 keeps all
}

// DefaultOptions is a clean scan in facets of 1 mm.
func DefaultOptions() Options {
	return Options{Seed: 1, EdgeMM: 1, SmoothMM: 4, WavelengthMM: 60, SpikeMM: 2, DustMM: 1, GapMM: 4, KeepShare: 1}
}

func (o Options) check() error {
	sizes := []Dim{{"noise", o.NoiseMM}, {"correlated noise", o.CorrelatedMM}, {"waviness", o.WavinessMM}, {"rounding", o.RoundingMM}}
	for _, s := range sizes {
		if !(s.Value >= 0 && s.Value <= 1e4) {
			return fmt.Errorf("options: %s is %g mm; give 0 to 10000 mm", s.Key, s.Value)
		}
	}
	lengths := []Dim{{"edge length", o.EdgeMM}, {"smoothing length", o.SmoothMM}, {"wavelength", o.WavelengthMM},
		{"spike", o.SpikeMM}, {"dust size", o.DustMM}, {"gap radius", o.GapMM}}
	for _, l := range lengths {
		if err := positive("options", l.Key, l.Value); err != nil {
			return err
		}
	}
	// Each gap and each sliver looks through all facets, so these are fewer.
	counts := []struct {
		what    string
		n, most int
	}{
		{"spikes", o.Spikes, 1e6}, {"dust blobs", o.DustBlobs, 1e6}, {"gaps", o.Gaps, 1000}, {"flipped facets", o.Flipped, 1e6},
		{"slivers", o.Slivers, 10000}, {"degenerate facets", o.Degenerate, 1e6}, {"doubled facets", o.Doubled, 1e6},
	}
	for _, c := range counts {
		if c.n < 0 || c.n > c.most {
			return fmt.Errorf("options: %d %s; give 0 to %d", c.n, c.what, c.most)
		}
	}
	if !(o.KeepShare > 0 && o.KeepShare <= 1) || math.IsNaN(o.KeepShare) {
		return fmt.Errorf("options: decimation keeps a share of %g; give one over 0, at most 1", o.KeepShare)
	}
	return nil
}

// errStream refuses what a scene that is never held whole cannot have.
var errStream = errors.New("options: spikes, dust, gaps, damaged facets, shuffling and decimation need the whole scan; use Scan, or leave them out")

// streams says that vertices are disturbed one piece at a time and facets not
// at all.
func (o Options) streams() bool {
	return o.Spikes+o.DustBlobs+o.Gaps+o.Flipped+o.Slivers+o.Degenerate+o.Doubled == 0 && !o.Shuffled && o.KeepShare == 1
}
