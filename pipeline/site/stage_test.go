package site

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// The mast alone stands on its own weight, 1.35 of it with EN; lying on the floor along
// y with the arm cantilevering up it is no mast: what points up decides where the feet are.
func TestPartialBuilds(t *testing.T) {
	pieces, contacts := withArm(1)
	stages := Stages(pieces, contacts, steel, pressure(t, "EN 1991-1-4"), []Standing{
		{Name: "mast", Pieces: []int{0}, Up: r3.Vec{Z: 1}},
		{Name: "with arm", Pieces: []int{0, 2}, Up: r3.Vec{Z: 1}},
		{Name: "head down", Pieces: []int{0, 2}, Up: r3.Vec{Z: -1}},
		{Name: "loose", Pieces: []int{1, 2}, Up: r3.Vec{Z: 1}},
	}, nil)
	sec := steel.round(219.1, 202.7)
	mast := 1.35 * gravityMS2 * 7850e-9 * sec.AreaMM2 * 4000
	require.Len(t, stages[0].Members, 1)
	near(t, -mast, stages[0].Members[0].AxialN, 1e-6, "at its foot")
	require.Empty(t, stages[0].Joints)

	arm := steel.round(88.9, 77.9)
	own := 1.35 * gravityMS2 * 7850e-9 * arm.AreaMM2 * 1500
	near(t, own, stages[1].Joints[0].ForceN, 1e-3, "weight of the arm in its weld")
	near(t, own*750, stages[1].Joints[0].MomentNMM, 1e-3, "and its moment")
	near(t, own*860, stages[1].Members[0].BendingNMM, 1e-3, "at the mast's foot")
	near(t, mast+own, -stages[1].Members[0].AxialN, 1e-3, "pressed")
	// The mast alone as a column under its own weight buckles at 7.837 EI/L² (Timoshenko and
	// Gere, 2.12); the frame takes each quarter's greatest compression, the safe side.
	require.Less(t, stages[0].CriticalFactor, 7.837*steel.ElasticMPa*sec.IyMM4/(4000*4000)/mast)
	require.Greater(t, stages[0].CriticalFactor, 0.5*7.837*steel.ElasticMPa*sec.IyMM4/(4000*4000)/mast)

	near(t, mast+own, -stages[2].Members[0].AxialN, 1e-3, "turned over it stands on its head")
	require.Contains(t, stages[3].WhyNot, "not held")
}

// A tube that hangs by its ends from one hook, legs at 60°: half its weight at each, pressed by W/2
// tan 30°, bent by WL/8 in the middle; by its quarters, bent over them.
func TestHungTubeByHand(t *testing.T) {
	tube := mast(88.9, 5.5, 4000)
	lay := func(v r3.Vec) r3.Vec { return r3.Vec{X: v.Z - 2000, Y: v.Y, Z: 1000 - v.X} }
	tube.Part.Frame.OriginMM, tube.Part.Frame.Axis, tube.Part.Frame.Ref = lay(tube.Part.Frame.OriginMM), r3.Vec{X: 1}, r3.Vec{Z: -1}
	for i, x := range tube.PointsMM {
		tube.PointsMM[i] = lay(x)
	}
	hook := r3.Vec{Z: 1000 + 2000*math.Sqrt(3)}
	got := Stages([]Piece{tube}, nil, steel, pressure(t, "ASCE 7-16"), nil, []Hanging{{Name: "lift", Pieces: []int{0}, HookMM: hook, Factor: 1.1,
		Lugs: []LugAt{{0, r3.Vec{X: -2000, Z: 1000}}, {0, r3.Vec{X: 2000, Z: 1000}}}}})
	require.Empty(t, got[0].WhyNot)
	w := 1.1 * gravityMS2 * 7850e-9 * steel.round(88.9, 77.9).AreaMM2 * 4000
	m := got[0].Members[0]
	near(t, w*4000/8, m.BendingNMM, 1e-6, "in the middle")
	near(t, -w/2*math.Tan(math.Pi/6), m.AxialN, 1e-6, "pressed")
}

// Four legs of one length share evenly; any three that hold it leave one slack, so
// that two across carry half each (ASME B30.9 practice counts on two).
func TestFourLegs(t *testing.T) {
	x := Hanging{HookMM: r3.Vec{Z: 1000}}
	for _, at := range []r3.Vec{{X: 500, Y: 500}, {X: -500, Y: 500}, {X: -500, Y: -500}, {X: 500, Y: -500}} {
		x.Lugs = append(x.Lugs, LugAt{AtMM: at})
	}
	all := sharings(x, 1000)
	length := math.Sqrt(1000*1000+2*500*500) / 1000
	for _, p := range all[0] {
		near(t, 250*length, p, 1e-9, "evenly")
	}
	most := 0.0
	for _, ps := range all[1:] {
		for _, p := range ps {
			most = max(most, p)
		}
	}
	require.NotEmpty(t, all[1:])
	near(t, 500*length, most, 1e-9, "two across")
}
