package primitive

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh"
	"pointup/mesh/synthetic"
)

// arcsInARow is a bent piece of 2 to 4 arcs, between which and at whose ends
// there is a straight in two of five places, turned by any angle; the facet edge
// gives about 24 vertices round the section. Arcs that follow each other without
// a straight differ by a turn of 30 degrees or more or by two fifths in radius:
// else they are as good as one.
func arcsInARow(rng *rand.Rand) (synthetic.Bent, float64) {
	within := func(lo, hi float64) float64 { return lo + (hi-lo)*rng.Float64() }
	for {
		d := within(5, 12)
		b := synthetic.Bent{SectionDiameterMM: d}
		if rng.IntN(2) == 0 {
			b.SectionBoreMM = d * within(0.5, 0.8)
		}
		straight := func() bool {
			is := rng.IntN(5) < 2
			if is {
				b.Legs = append(b.Legs, synthetic.Bend{LengthMM: d * within(0.8, 3)})
			}
			return is
		}
		straight()
		for k := range 2 + rng.IntN(3) {
			a := synthetic.Bend{RadiusMM: d * within(1.5, 5), AngleDeg: within(40, 120)}
			if k > 0 {
				a.TurnDeg = within(0, 180)
				before := b.Legs[len(b.Legs)-1]
				if before.RadiusMM > 0 && !straight() && a.TurnDeg < 30 {
					if a.RadiusMM = before.RadiusMM * 1.4; rng.IntN(2) == 0 {
						a.RadiusMM = before.RadiusMM / 1.4
					}
				}
			}
			b.Legs = append(b.Legs, a)
		}
		straight()
		if free(b) {
			return b, d * math.Pi / 24
		}
	}
}

// wayOf are points every half mm along the centreline of a bent piece.
func wayOf(b synthetic.Bent) []r3.Vec {
	o, x, t := r3.Vec{}, r3.Vec{X: 1}, r3.Vec{Z: 1}
	way := []r3.Vec{o}
	for _, l := range b.Legs {
		x = r3.NewRotation(l.TurnDeg*math.Pi/180, t).Rotate(x)
		length := l.LengthMM + l.RadiusMM*l.AngleDeg*math.Pi/180
		axis := r3.Cross(t, x)
		n := int(2*length) + 1
		h := length / float64(n)
		for range n {
			if l.RadiusMM > 0 {
				r := r3.NewRotation(h/l.RadiusMM, axis)
				x, t = r.Rotate(x), r.Rotate(t)
			}
			o = r3.Add(o, r3.Scale(h, t))
			way = append(way, o)
		}
	}
	return way
}

// free tells whether a bent piece keeps a section's diameter clear of itself and
// no arc is too tight.
func free(b synthetic.Bent) bool {
	for _, l := range b.Legs {
		if l.RadiusMM > 0 && l.RadiusMM < 1.4*b.SectionDiameterMM {
			return false
		}
	}
	way := wayOf(b)
	far := int(8 * b.SectionDiameterMM)
	for i, p := range way {
		for _, q := range way[min(i+far, len(way)):] {
			if r3.Norm(r3.Sub(p, q)) < 2*b.SectionDiameterMM {
				return false
			}
		}
	}
	return true
}

// boreAtEnds is a scan of a bent tube that stands as it is given, without the
// bore where that is deeper than a diameter: as far as a scanner looks in.
func boreAtEnds(t require.TestingT, b synthetic.Bent, opt synthetic.Options) mesh.Soup {
	soup := soupOf(t, synthetic.Piece{Name: "bend", Shape: b, Pose: synthetic.Upright(0, 0, 0)}, opt)
	way := wayOf(b)
	deep := int(2 * b.SectionDiameterMM)
	inside := make([]bool, len(soup.Points))
	for i, p := range soup.Points {
		least, at := math.Inf(1), 0
		for k, q := range way {
			if d := r3.Norm(r3.Sub(q, r3.Vec{X: float64(p[0]), Y: float64(p[1]), Z: float64(p[2])})); d < least {
				least, at = d, k
			}
		}
		inside[i] = least < (b.SectionDiameterMM+b.SectionBoreMM)/4 && at > deep && at < len(way)-deep
	}
	soup.Corners = slices.DeleteFunc(soup.Corners, func(c [3]uint32) bool { return inside[c[0]] || inside[c[1]] || inside[c[2]] })
	return soup
}

// TestArcsInARow reads compound bends whose arcs run into each other: one arc
// with the segments in order, each size within its limits, and nine of ten within
// their u95. Of a tube the bore is seen at the ends only.
func TestArcsInARow(t *testing.T) {
	var within, all [24]int
	t.Run("all", func(t *testing.T) {
		for seed := range all {
			t.Run(fmt.Sprint(seed), func(t *testing.T) {
				t.Parallel()
				rng := rand.New(rand.NewPCG(uint64(seed), 0x61726373))
				b, edge := arcsInARow(rng)
				opt := scanOptions(edge)
				opt.NoiseMM = 0.02 + 0.03*rng.Float64()
				var e Element
				if b.SectionBoreMM > 0 {
					e = read(t, boreAtEnds(t, b, opt))
				} else {
					e = recognised(t, synthetic.Piece{Name: "bend", Shape: b, Pose: aslant()}, opt)
				}
				require.Equal(t, "arc", e.Kind, "%+v", b)
				requireLegs(t, b, e, 0.4)
				assert.InDelta(t, b.SectionDiameterMM, e.dimension("section_diameter_mm").Value, 0.02)
				assert.InDelta(t, b.SectionBoreMM, e.dimension("section_bore_mm").Value, 0.04)
				eachLeg(b, e.Segments, legsOff(b, e.Segments, true, 1) < legsOff(b, e.Segments, false, 1), func(d Dimension, off float64) {
					if all[seed]++; math.Abs(off) <= d.U95 {
						within[seed]++
					}
				})
			})
		}
	})
	var in, of int
	for seed := range all {
		in, of = in+within[seed], of+all[seed]
	}
	assert.Greater(t, of, 150)
	assert.GreaterOrEqual(t, float64(in), 0.9*float64(of), "%d of %d within u95", in, of)
}
