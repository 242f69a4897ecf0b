package primitive

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh"
	"pointup/mesh/synthetic"
)

// few are specimens of each family of solids, small.
func few() []specimen {
	return []specimen{
		{"tube", synthetic.Tube{OutsideDiameterMM: 16, InsideDiameterMM: 12, LengthMM: 36}, 1.5, .03, 0},
		{"bar", synthetic.Bar{OutsideDiameterMM: 10, LengthMM: 40}, 1.3, .03, 0},
		{"ring round", synthetic.RoundRing{CentrelineDiameterMM: 40, SectionDiameterMM: 8}, 1.4, .03, 0},
	}
}

func scanned(t require.TestingT, s specimen, pose synthetic.Pose) mesh.Soup {
	opt := scanOptions(s.edgeMM)
	opt.Shuffled = false
	return soupOf(t, synthetic.Piece{Name: s.name, Shape: s.shape, Pose: pose}, opt)
}

func read(t require.TestingT, soup mesh.Soup) Element {
	return Recognise(patchOf(t, soup), DefaultOptions())
}

// requireSame holds that b is a with lengths times k, within share of each and
// of its uncertainty. Counts, angles and turns stay.
func requireSame(t require.TestingT, a, b Element, k, share float64) {
	require.Equal(t, a.Kind, b.Kind)
	require.Equal(t, a.Section, b.Section)
	require.Len(t, b.Dims, len(a.Dims))
	for i, d := range a.Dims {
		scale := k
		if d.Count || d.Key == "sweep_deg" || d.Key == "turns" {
			scale = 1
		}
		require.Equal(t, d.Key, b.Dims[i].Key)
		require.InDelta(t, scale*d.Value, b.Dims[i].Value, share*scale*(d.Value+1e-9), "%s", d.Key)
	}
}

// TestMotion turns and moves noisy scans: coordinates of 100 mm in single
// precision round at 4e-6 mm, against sizes of 8 mm, and a vertex may change
// sides of a gate; 2e-4 leaves room for one in some thousand.
func TestMotion(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	for _, s := range few() {
		home := read(t, scanned(t, s, synthetic.Upright(0, 0, 0)))
		vec := func() r3.Vec {
			return r3.Vec{X: rng.NormFloat64(), Y: rng.NormFloat64(), Z: rng.NormFloat64()}
		}
		pose := synthetic.Pose{OriginMM: r3.Scale(40, vec()), Axis: vec(), Ref: vec()}
		requireSame(t, home, read(t, scanned(t, s, pose)), 1, 2e-4)
	}
}

// TestScaling multiplies the coordinates.
func TestScaling(t *testing.T) {
	for _, s := range few()[1:] {
		soup := scanned(t, s, aslant())
		home := read(t, soup)
		const k = 3
		big := soup
		big.Points = make([][3]float32, len(soup.Points))
		for i, p := range soup.Points {
			for c, x := range p {
				big.Points[i][c] = k * x
			}
		}
		requireSame(t, home, read(t, big), k, 2e-4)
	}
}

// TestShuffledFacets gives facets in any order and from any corner: the reading
// is the same to the last bit. Reversed winding too: checking turns shells
// outward.
func TestShuffledFacets(t *testing.T) {
	soup := scanned(t, few()[0], aslant())
	home := read(t, soup)
	for seed := range uint64(4) {
		rng := rand.New(rand.NewPCG(seed, 1))
		other := soup
		other.Corners = slices.Clone(soup.Corners)
		rng.Shuffle(len(other.Corners), func(i, j int) {
			other.Corners[i], other.Corners[j] = other.Corners[j], other.Corners[i]
		})
		for i, c := range other.Corners {
			if seed%2 == 1 {
				c[1], c[2] = c[2], c[1]
			}
			k := rng.IntN(3)
			other.Corners[i] = [3]uint32{c[k], c[(k+1)%3], c[(k+2)%3]}
		}
		require.Equal(t, home, read(t, other))
	}
}

// TestAnyTube reads tubes of any proportions in any pose. Of 1000 vertices the
// residuals tell the noise to 3 %; corners and gates take a little.
func TestAnyTube(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	within := func(lo, hi float64) float64 { return lo + (hi-lo)*rng.Float64() }
	for range 5 {
		od := within(8, 30)
		shape := synthetic.Tube{OutsideDiameterMM: od, InsideDiameterMM: od * within(0.6, 0.88), LengthMM: od * within(0.8, 3)}
		axis := r3.Vec{X: within(-1, 1), Y: within(-1, 1), Z: within(-1, 1)}
		p := synthetic.Piece{Name: "tube", Shape: shape, Pose: synthetic.Along(r3.Vec{X: 5}, axis)}
		opt := scanOptions(od / 11)
		e := recognised(t, p, opt)
		requireTruth(t, p, e, 0.04, 0)
		assert.InDelta(t, opt.NoiseMM, e.RMSMM, 0.2*opt.NoiseMM)
	}
}
