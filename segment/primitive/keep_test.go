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
	list := append(specimens(),
		specimen{"plate", synthetic.Plate{Outline: synthetic.Rectangle(40, 30), Holes: []synthetic.Hole{synthetic.RoundHole(5, 5, 8)}, ThicknessMM: 3}, 1.2, 0, 0},
		specimen{"rolled plate", synthetic.RolledPlate{InsideDiameterMM: 60, ThicknessMM: 3, WidthMM: 30, SweepDeg: 140}, 1.2, 0, 0},
		specimen{"profile", synthetic.Profile{Section: synthetic.Hexagon(12), LengthMM: 50}, 1.2, 0, 0},
	)
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
