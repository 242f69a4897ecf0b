package primitive

import (
	"math/rand/v2"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh/synthetic"
)

// TestIdealIsKept holds that a kept ideal surface gives the same distances to the
// last bit, of every kind, and that damaged bytes are refused or harmless.
func TestIdealIsKept(t *testing.T) {
	list := []specimen{
		{"tube", synthetic.Tube{OutsideDiameterMM: 20, InsideDiameterMM: 15, LengthMM: 40}, 1.5, 0, 0},
		{"ring", synthetic.RoundRing{CentrelineDiameterMM: 50, SectionDiameterMM: 8}, 1.5, 0, 0},
		{"arc", synthetic.Arc{CentrelineDiameterMM: 80, SectionDiameterMM: 8, SweepDeg: 140}, 1.5, 0, 0},
		{"coil", synthetic.Coil{CentrelineDiameterMM: 30, SectionDiameterMM: 5, PitchMM: 9, Turns: 2}, 1.2, 0, 0},
		{"wheel", synthetic.ToothedWheel{ToothCount: 12, TipDiameterMM: 40, RootDiameterMM: 32, BoreDiameterMM: 10, ThicknessMM: 5, Teeth: synthetic.StraightTeeth()}, 1, 0, 0},
		{"plate", synthetic.Plate{Outline: synthetic.Rectangle(40, 30), Holes: []synthetic.Hole{synthetic.RoundHole(5, 5, 8)}, ThicknessMM: 3}, 1.2, 0, 0},
		{"rolled plate", synthetic.RolledPlate{InsideDiameterMM: 60, ThicknessMM: 3, WidthMM: 20, SweepDeg: 140}, 1.4, 0, 0},
		{"profile", synthetic.Profile{Section: synthetic.Hexagon(12), LengthMM: 40}, 1.2, 0, 0},
		{"mitred box", synthetic.Profile{Section: synthetic.Rectangle(20, 14), Openings: synthetic.Box(20, 14, 3, 1).Openings, LengthMM: 40, Ends: [2]synthetic.End{{MitreDeg: 30, AzimuthDeg: 20}, {}}}, 1.2, 0, 0},
		{"sphere", synthetic.Sphere{DiameterMM: 30}, 1.4, 0, 0},
		{"cone", synthetic.Cone{LargeDiameterMM: 40, SmallDiameterMM: 20, HeightMM: 30, WallMM: 2}, 1.3, 0, 0},
	}
	for _, c := range list {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			e := recognised(t, synthetic.Piece{Name: c.name, Shape: c.shape, Pose: aslant()}, scanOptions(c.edgeMM))
			require.NotEqual(t, "freeform", e.Kind)
			data, err := e.Ideal()
			require.NoError(t, err)
			var back Element
			require.NoError(t, back.SetIdeal(data))
			rng := rand.New(rand.NewPCG(5, 0))
			for range 200 {
				q := r3.Add(e.Frame.OriginMM, r3.Vec{X: 30 * rng.NormFloat64(), Y: 30 * rng.NormFloat64(), Z: 30 * rng.NormFloat64()})
				require.Equal(t, e.DistanceMM(q), back.DistanceMM(q))
			}
			again, err := back.Ideal()
			require.NoError(t, err)
			require.Equal(t, data, again)
			require.Error(t, new(Element).SetIdeal(append([]byte{200}, data[1:]...)))
			require.Error(t, new(Element).SetIdeal(data[:len(data)-1]))
		})
	}
}

// TestEverySolidIsKept holds that whoever writes a new solid adds it to the list:
// a piece that cannot be kept makes every correction of its scan slow.
func TestEverySolidIsKept(t *testing.T) {
	var known []string
	for _, k := range keepable() {
		known = append(known, reflect.TypeOf(k).Elem().Name())
	}
	files, err := filepath.Glob("*.go")
	require.NoError(t, err)
	for _, f := range files {
		text, err := os.ReadFile(f)
		require.NoError(t, err)
		for _, m := range regexp.MustCompile(`(?m)^func \(\w+ \*(\w+)\) surfaces\(\) int`).FindAllSubmatch(text, -1) {
			require.Contains(t, known, string(m[1]), "add it to keepable in keep.go")
		}
	}
}
