package solid

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// specimen is a shape of every kind with the volume that a formula independent
// of this room gives: handbook solids, Pappus' rule; in mm³.
type specimen struct {
	name   string
	shape  Shape
	volume float64
}

const deg = math.Pi / 180

func mitred(z, slopeDeg, azimuthDeg float64) Cut {
	sin, cos := math.Sincos(azimuthDeg * deg)
	t := math.Tan(slopeDeg * deg)
	return Cut{z, t * cos, t * sin}
}

func specimens() []specimen {
	pi := math.Pi
	bolts := []Outline{Round(0, 0, 30)}
	for k := range 6 {
		sin, cos := math.Sincos(float64(k) * 60 * deg)
		bolts = append(bolts, Round(70*cos, 70*sin, 8))
	}
	slot := Outline{{To: [2]float64{330, 30}}, {To: [2]float64{330, 50}, Via: [2]float64{340, 40}, Arc: true}, {To: [2]float64{270, 50}}, {To: [2]float64{270, 30}, Via: [2]float64{260, 40}, Arc: true}}
	plate := Outline{{To: [2]float64{480, 0}}, {To: [2]float64{500, 20}, Via: [2]float64{480 + 20*math.Sin(pi/4), 20 - 20*math.Cos(pi/4)}, Arc: true}, {To: [2]float64{500, 200}}, {To: [2]float64{0, 200}}, {To: [2]float64{0, 0}}}
	ell := Polygon([2]float64{0, 0}, [2]float64{80, 0}, [2]float64{80, 8}, [2]float64{8, 8}, [2]float64{8, 80}, [2]float64{0, 80})
	blank := Rectangle(600, 300)
	diamond := Polygon([2]float64{400, 0}, [2]float64{430, 40}, [2]float64{400, 80}, [2]float64{370, 40})
	return []specimen{
		{"tube", Tube(180, 150, Cut{Z: -500}, Cut{Z: 500}), pi / 4 * (180*180 - 150*150) * 1000},
		{"tube, mitred both ends", Tube(180, 150, mitred(-500, 30, 20), mitred(500, -25, 110)), pi / 4 * (180*180 - 150*150) * 1000},
		{"bar, mitred", Tube(50, 0, mitred(-100, 45, 200), Cut{Z: 100}), pi / 4 * 2500 * 200},
		{"disc", Slab(40, Round(0, 0, 130)), pi * 130 * 130 * 40},
		{"flat ring", Slab(40, Round(0, 0, 850), Round(0, 0, 730)), pi * (850*850 - 730*730) * 40},
		{"flange", Slab(20, Round(0, 0, 100), bolts...), pi * 20 * (100*100 - 30*30 - 6*8*8)},
		{"plate", Slab(12, plate, Round(100, 100, 40), slot), 12 * (500*200 - 400*(1-pi/4) - pi*1600 - (60*20 + pi*100))},
		{"angle, mitred", Prism{Outer: ell, Low: Cut{}, High: Cut{1000, 0.2, -0.3}}, 1000*1216 + (0.2-0.3)*(8*80*40+72*8*4)},
		{"sector", Sector(1960, 1700, 40, 70*deg), pi / 4 * (1960*1960 - 1700*1700) * 40 * 70 / 360},
		{"wheel", Slab(60, Wheel{Teeth: 28, TipMM: 722, RootMM: 632}.Outline(), Round(0, 0, 100)), 0},
		{"round-seated wheel", Slab(60, Wheel{Teeth: 28, TipMM: 722, RootMM: 632, SeatMM: 48, SeatPitchMM: 76}.Outline(), Round(0, 0, 100)), 0},
		{"cone", Frustum(240, 80, 260, 0), pi * 260 / 3 * (120*120 + 120*40 + 40*40)},
		{"pointed cone", Frustum(240, 0, 260, 0), pi * 260 / 3 * 120 * 120},
		{"cone with wall", Frustum(240, 100, 200, 10), 0},
		{"pointed cone with wall", Frustum(240, 0, 200, 10), 0},
		{"ball", Ball{DiameterMM: 180}, pi / 6 * 180 * 180 * 180},
		{"hollow ball", Ball{180, 160}, pi / 6 * (180*180*180 - 160*160*160)},
		{"round ring", RoundRing{1100, 80, 0}, 2 * pi * 550 * pi * 40 * 40},
		{"round ring of tube", RoundRing{1100, 80, 70}, 2 * pi * 550 * pi * (40*40 - 35*35)},
		{"arc", Bend{Legs: []Leg{{RadiusMM: 600, SweepRad: 90 * deg}}, SectionMM: 60}, pi * 900 * 600 * pi / 2},
		{"compound bend of tube", compound(), pi / 4 * (60*60 - 50*50) * (300 + 200*1.2 + 150 + 250*2.1 + 180*0.9 + 400)},
		{"coil", Coil{CentrelineMM: 160, SectionMM: 30, PitchMM: 60, Turns: 8, StartRad: 1}, pi / 4 * 900 * 8 * math.Hypot(pi*160, 60)},
		{"left coil of tube", Coil{CentrelineMM: 160, SectionMM: 30, BoreMM: 24, PitchMM: 60, Turns: 2.3, Left: true}, pi / 4 * (900 - 576) * 2.3 * math.Hypot(pi*160, 60)},
		{"rolled plate", RolledSlab{880, 20, Rectangle(1178, 440), nil}, 1178 * 440 * 20},
		{"rolled plate with holes", RolledSlab{880, 20, blank, []Outline{Round(100, 20, 40), Round(240, -60, 60), diamond, Polygon([2]float64{500, -50}, [2]float64{560, -50}, [2]float64{560, 50}, [2]float64{500, 50})}},
			20 * (600*300 - pi*1600 - pi*3600 - 30*80 - 60*100)},
		{"facets", Facets{Surface: tetrahedron()}, 1000 * 1000 * 1000 / 6},
	}
}

func compound() Bend {
	return Bend{Legs: []Leg{{LengthMM: 300}, {RadiusMM: 200, SweepRad: 1.2}, {LengthMM: 150}, {RadiusMM: 250, SweepRad: 2.1, TurnRad: 1}, {RadiusMM: 180, SweepRad: 0.9, TurnRad: -2}, {LengthMM: 400}},
		SectionMM: 60, BoreMM: 50, StartOut: r3.Vec{X: 0.3, Y: 0.2, Z: -1}}
}

func tetrahedron() Mesh {
	return Mesh{Points: []r3.Vec{{}, {X: 1000}, {Y: 1000}, {Z: 1000}}, Triangles: [][3]uint32{{0, 2, 1}, {0, 1, 3}, {1, 2, 3}, {0, 3, 2}}}
}
