package synthetic

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// tideGear is a gear with straight flanks, a bore and six bolt holes.
func tideGear() ToothedWheel {
	return ToothedWheel{ToothCount: 40, TipDiameterMM: 130, RootDiameterMM: 116, BoreDiameterMM: 14, ThicknessMM: wheelThick,
		Teeth: StraightTeeth(), Holes: BoltCircle(6, 84, 9)}
}

// chainWheel is a wheel of 28 teeth that takes roller chain 240 of ASME B29.1
// (pitch 76.2 mm, rollers of 47.62 mm) once it is enlarged ten times. Root
// diameter: that of the pitch circle, pitch / sin(180 deg / teeth), less a
// roller; tip diameter: pitch (0.6 + cot(180 deg / teeth)), as the standard has
// it. Seats are 2 % wider than a roller.
func chainWheel() ToothedWheel {
	const teeth, pitch, roller = 28, 7.62, 4.762
	half := math.Pi / teeth
	return ToothedWheel{ToothCount: teeth, TipDiameterMM: pitch * (0.6 + 1/math.Tan(half)), RootDiameterMM: pitch/math.Sin(half) - roller,
		BoreDiameterMM: 20, ThicknessMM: wheelThick, Teeth: RollerTeeth(1.02 * roller)}
}

// ebbBand places the band round the dial's rim, from 100 degrees.
func ebbBand() Pose {
	p := facing(0, dialBack-gap/2-2, wheelHeight)
	p.Ref = r3.Vec{X: cosine(rad(100)), Z: sine(rad(100))}
	return p
}

// tideScreen is a strip with four staggered rows of ten holes, 10 mm apart,
// rolled to 150 degrees.
func tideScreen() RolledPlate {
	s := RolledPlate{InsideDiameterMM: 88, ThicknessMM: 2, WidthMM: 44, SweepDeg: 150}
	const rows, columns, pitch = 4, 10, 10.0
	for i := range rows {
		for k := range columns {
			u := s.developed()/2 + pitch*(float64(k)-(columns-0.5)/2+float64(i%2)/2)
			s.Holes = append(s.Holes, RoundHole(u, pitch*sine(rad(60))*(float64(i)-(rows-1)/2.0), 6))
		}
	}
	return s
}

// davit is a quarter arc out of the mast's left side, a spring that hangs
// under its end and a sinker under that, each a gap from the next.
func davit() []Piece {
	foot := -(mastRadius + gap)
	spring := Coil{CentrelineDiameterMM: 16, SectionDiameterMM: springWire, PitchMM: 6, Turns: 8}
	sinker := Cone{LargeDiameterMM: 24, SmallDiameterMM: 8, HeightMM: 26}
	x := foot - davitRadius - spring.CentrelineDiameterMM/2
	top := davitHeight - davitRadius - gap // of the spring
	high := spring.PitchMM*spring.Turns + springWire
	return []Piece{
		{Name: "davit", Shape: Arc{CentrelineDiameterMM: 2 * davitRadius, SectionDiameterMM: 6, SweepDeg: 90},
			Pose: Pose{OriginMM: r3.Vec{X: foot, Z: davitHeight - davitRadius}, Axis: r3.Vec{Y: -1}, Ref: r3.Vec{Z: 1}}},
		{Name: "spring", Shape: spring, Pose: Upright(x, 0, top-high/2)},
		{Name: "sinker", Shape: sinker, Pose: Pose{OriginMM: r3.Vec{X: x, Z: top - high - gap - sinker.HeightMM/2}, Axis: r3.Vec{Z: -1}, Ref: r3.Vec{X: 1}}},
	}
}
