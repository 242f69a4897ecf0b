package primitive

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pointup/mesh/synthetic"
)

// pitchDiameters are the published pitch diameters in mm of sprockets for a chain
// of 25.4 mm pitch (ASME B29.1 No. 80, ISO 606 16A), after the number of teeth.
var pitchDiameters = [71]struct {
	teeth int
	mm    float64
}{
	{8, 66.37}, {9, 74.26}, {10, 82.2}, {11, 90.16}, {12, 98.14}, {13, 106.14}, {14, 114.15}, {15, 122.17},
	{16, 130.2}, {17, 138.23}, {18, 146.27}, {19, 154.32}, {20, 162.37}, {21, 170.42}, {22, 178.48}, {23, 186.54},
	{24, 194.6}, {25, 202.66}, {26, 210.72}, {27, 218.79}, {28, 226.86}, {29, 234.93}, {30, 243.0}, {31, 251.07},
	{32, 259.14}, {33, 267.21}, {34, 275.28}, {35, 283.36}, {36, 291.43}, {37, 299.51}, {38, 307.58}, {39, 315.66},
	{40, 323.74}, {41, 331.81}, {42, 339.89}, {43, 347.97}, {44, 356.05}, {45, 364.12}, {46, 372.2}, {47, 380.28},
	{48, 388.36}, {49, 396.44}, {50, 404.52}, {51, 412.6}, {52, 420.68}, {53, 428.76}, {54, 436.84}, {55, 444.92},
	{56, 453.0}, {57, 461.08}, {58, 469.16}, {59, 477.24}, {60, 485.33}, {61, 493.41}, {62, 501.49}, {63, 509.57},
	{64, 517.65}, {65, 525.73}, {66, 533.82}, {70, 566.15}, {72, 582.31}, {75, 606.56}, {80, 646.97}, {84, 679.3},
	{90, 727.8}, {95, 768.22}, {96, 776.31}, {100, 808.64}, {112, 905.65}, {120, 970.32}, {150, 1212.85},
}

// TestChainPitch fits every wheel of the table, at its size, at a quarter and at
// four times: the chain is that of the scaled pitch, and of no other pitch.
func TestChainPitch(t *testing.T) {
	const rollerMM = 15.88
	for _, row := range pitchDiameters {
		n, d := row.teeth, row.mm
		assert.InDelta(t, 25.4/math.Sin(math.Pi/float64(n)), d, 0.01, "%d teeth", n)
		for _, c := range []struct {
			scale float64
			want  string
		}{{1, "80"}, {0.25, "25"}, {3, "240"}} {
			roller := rollerMM
			if c.scale < 1 {
				roller = 4 * 3.30 // No. 25 has the thinner roller, its seats with it
			}
			s := Seats{Teeth: n, RootMM: c.scale * (d - roller), DiameterMM: 1.01 * c.scale * roller}
			list := ChainsThatFit(s)
			require.NotEmpty(t, list, "%d teeth × %g", n, c.scale)
			assert.Equal(t, c.want, list[0].Number, "%d teeth × %g", n, c.scale)
			for _, x := range list {
				assert.InDelta(t, c.scale*25.4, x.PitchMM, 1e-9)
			}
			s.RootMM *= 1.03
			for _, x := range ChainsThatFit(s) {
				assert.NotEqual(t, c.scale*25.4, x.PitchMM)
			}
		}
	}
	assert.Empty(t, ChainsThatFit(Seats{}))
	assert.Empty(t, ChainsThatFit(Seats{Teeth: 20, RootMM: math.NaN(), DiameterMM: 3}))
	assert.Empty(t, ChainsThatFit(Seats{Teeth: 20, RootMM: 146.39, DiameterMM: 30}), "a seat twice the roller")
}

// TestSeatsOfScans reads wheels for a No. 25 chain through the whole fit, with
// noise of 0.02 and 0.05 mm; enlarged four times they take a chain of 25.4 mm
// only if its roller does, and No. 80's is thicker than four of No. 25's.
func TestSeatsOfScans(t *testing.T) {
	for _, n := range []int{9, 25, 44} {
		for _, noise := range []float64{0.02, 0.05} {
			t.Run(fmt.Sprint(n, noise), func(t *testing.T) {
				t.Parallel()
				const pitchMM, rollerMM = 6.35, 3.30
				d := pitchMM / math.Sin(math.Pi/float64(n))
				w := synthetic.ToothedWheel{ToothCount: n, TipDiameterMM: pitchMM * (0.6 + 1/math.Tan(math.Pi/float64(n))), RootDiameterMM: d - rollerMM,
					BoreDiameterMM: 5, ThicknessMM: 2.4, Teeth: synthetic.RollerTeeth(rollerMM)}
				opt := scanOptions(0.5)
				opt.NoiseMM = noise
				e := recognised(t, synthetic.Piece{Name: "sprocket", Shape: w, Pose: aslant()}, opt)
				require.Equal(t, "toothed_wheel", e.Kind)
				require.Equal(t, []Word{{"tooth_form", "round-seated"}}, e.Words)
				pitch := e.dimension("seat_pitch_mm")
				assert.InDelta(t, pitchMM, pitch.Value, max(pitch.U95, 0.02))
				s, ok := e.Seats(1)
				require.True(t, ok)
				list := ChainsThatFit(s)
				require.NotEmpty(t, list)
				assert.Equal(t, []string{"25", "04C"}, []string{list[0].Number, list[0].ISO})
				big, _ := e.Seats(4)
				for _, x := range ChainsThatFit(big) {
					assert.NotEqual(t, "80", x.Number)
				}
			})
		}
	}
}
