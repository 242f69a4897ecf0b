package site

import (
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/stock"
)

// Ranges of CPSC pub. 325 (3.5 and 9 in, both ends free) and of Caring for Our Children
// 6.2.1.9 (3/8 to 1 in).
func TestTraps(t *testing.T) {
	const in = 25.4
	for across, want := range map[float64]string{3.49 * in: "", 3.51 * in: "head", 8.99 * in: "head", 9.01 * in: "", 0.37 * in: "", 0.38 * in: "finger", 1.01 * in: ""} {
		require.Equal(t, want, traps(across), "%g mm", across)
	}
}

func TestHoleAcross(t *testing.T) {
	line := func(u, v float64) stock.Step { return stock.Step{To: [2]float64{u, v}} }
	for _, r := range []struct {
		hole stock.Hole
		want float64
	}{
		{stock.Hole{Shape: "round", DiameterMM: 120}, 120},
		{stock.Hole{Shape: "slot", AcrossMM: [2]float64{300, 100}}, 100},
		{stock.Hole{Shape: "diamond", AcrossMM: [2]float64{80, 60}}, 48}, // sides of 50: area 2400 over 50
		{stock.Hole{Shape: "other", Outline: []stock.Step{line(0, 0), line(300, 0), line(300, 110), line(0, 110)}}, 110},
		{stock.Hole{Shape: "other", Outline: []stock.Step{line(0, 0), line(30, 0), line(0, 40)}}, 24}, // height on the side of 50
		{stock.Hole{Shape: "other"}, 0},
	} {
		require.InDelta(t, r.want, holeAcrossMM(r.hole), 1e-9, "%v", r.hole)
	}
}

func TestOpeningsOfPieces(t *testing.T) {
	f := stock.Frame{OriginMM: r3.Vec{Z: 2500}, Axis: r3.Vec{Y: 1}, Ref: r3.Vec{X: 1}} // v is −z
	box := [2]r3.Vec{{Z: 2000}, {X: 1, Y: 1, Z: 3000}}
	of := func(p stock.Part) []Opening {
		p.Frame, p.BoxMM = f, box
		return Piece{Part: p}.openings(grasp{groundMM: 2600})
	}
	plate := of(stock.Part{ID: "E01", Kind: "plate", Holes: []stock.Hole{{Shape: "round", DiameterMM: 120, CentreMM: [2]float64{0, 400}},
		{Shape: "round", DiameterMM: 120, CentreMM: [2]float64{0, -400}}, {Shape: "round", DiameterMM: 18, CentreMM: [2]float64{0, -400}}, {Shape: "round", DiameterMM: 60}}})
	require.Len(t, plate, 3, "what is out of reach is an entry of its own")
	require.Equal(t, Opening{ID: "E01", What: "hole", Count: 1, AcrossMM: 120, LowestMM: 2100, AtMM: [3]float64{0, 0, 2100}, Bounded: "all round", Traps: "head", Reached: true}, plate[0])
	require.Equal(t, Opening{ID: "E01", What: "hole", Count: 1, AcrossMM: 18, LowestMM: 2900, AtMM: [3]float64{0, 0, 2900}, Bounded: "all round", Traps: "finger"}, plate[2])

	ring := of(stock.Part{ID: "E02", Kind: "ring", Section: "round", Dims: dims("centreline_diameter_mm", 200.0, "section_diameter_mm", 40.0)})
	require.Equal(t, 160.0, ring[0].AcrossMM)
	coil := of(stock.Part{ID: "E03", Kind: "coil", Dims: dims("centreline_diameter_mm", 300.0, "section_diameter_mm", 20.0, "pitch_mm", 35.0, "turns", 4.0)})
	require.InDelta(t, 14.98, coil[0].AcrossMM, 0.01, "35 cos 2.13° − 20")
	require.Equal(t, "finger", coil[0].Traps)
	wheel := of(stock.Part{ID: "E04", Kind: "toothed_wheel", Dims: dims("tip_diameter_mm", 420.0, "root_diameter_mm", 380.0, "tooth_count", 32.0)})
	require.InDelta(t, 19.63, wheel[0].AcrossMM, 0.01, "half of π·400/32")
	tube := stock.Part{ID: "E05", Kind: "tube", Dims: dims("inside_diameter_mm", 100.0), Ends: []stock.End{{Kind: "square", Met: true}, {Kind: "open"}}}
	require.Equal(t, 1, of(tube)[0].Count, "the end that stands on another piece is closed")
}

func TestVeeOfPieces(t *testing.T) {
	tube := func(id string) Piece { return Piece{Part: stock.Part{ID: id, Kind: "tube"}} }
	pieces := []Piece{tube("E01"), tube("E02"), {Part: stock.Part{ID: "E03", Kind: "plate"}}}
	at := seamAt(1, r3.Vec{Z: 1200}, r3.Vec{Z: 1100})
	var a Access
	for _, c := range []stock.Contact{{A: 0, B: 1, AngleDeg: 40, Seam: at}, {A: 0, B: 1, AngleDeg: 60, Seam: at}, {A: 0, B: 2, AngleDeg: 40, Seam: at}} {
		a.vee(pieces, c, grasp{groundMM: 2000})
	}
	require.Equal(t, []Opening{{ID: "E01", With: "E02", What: "V between two pieces", Count: 1, AngleDeg: 40, LowestMM: 1100, AtMM: [3]float64{0, 0, 1100}, Bounded: "partly", Traps: "head", Reached: true}}, a.Openings)
}
