package synthetic

import "gonum.org/v1/gonum/spatial/r3"

// gap is left between pieces of the demo that would be welded: each is a shell
// of its own, over three times the noise apart.
const gap = 0.1

// The demo's chief sizes, mm at maquette scale, which places depend on.
const (
	mastRadius  = 9.0
	baseHeight  = 8.0
	mastHeight  = 500.0
	wheelThick  = 6.0
	wheelHeight = 380.0 // of the tide wheel's axis over the ground
	floatHeight = 120.0
	floatRadius = 55.0
	floatBar    = 8.0
	dialBack    = 13.2 // the dial's back face over the mast's axis
	dialRim     = 170.0
	davitHeight = 330.0
	davitRadius = 60.0
	springWire  = 3.0
)

// TideClock is the demo: a maquette, 10:1, of a clock for a harbour wall, some
// 530 mm tall. A mast on an eight-sided base carries a gear for the tide, a chain
// wheel for the moon, a dial behind them with a band for the ebb, a hand, a float
// ring on three spokes, a gauge plate, a boom and a ball on a cap. A bent davit
// holds a spring with a sinker; a perforated screen stands on the base. Front
// is -y.
func TideClock() Scene {
	scene := Scene{Name: "Tide Clock"}
	put := func(name string, s Shape, p Pose) {
		scene.Pieces = append(scene.Pieces, Piece{Name: name, Shape: s, Pose: p})
	}
	put("base", tideBase(), Upright(0, 0, baseHeight/2))
	put("mast", Tube{OutsideDiameterMM: 2 * mastRadius, InsideDiameterMM: 15, LengthMM: mastHeight},
		Upright(0, 0, baseHeight+gap+mastHeight/2))

	front := -(mastRadius + gap + wheelThick/2)
	put("tide wheel", tideGear(), facing(0, front, wheelHeight))
	put("moon wheel", chainWheel(), facing(-20, front, wheelHeight-101.1416))
	put("dial", Ring{OutsideDiameterMM: dialRim, InsideDiameterMM: 146, ThicknessMM: 4}, facing(0, dialBack-gap/2-2, wheelHeight))
	put("hand", Bar{OutsideDiameterMM: 5, LengthMM: 150},
		Along(r3.Vec{X: 8, Y: front - wheelThick/2 - gap - 2.5, Z: wheelHeight + 14}, r3.Vec{X: 1, Z: 1.75}))

	put("float", RoundRing{CentrelineDiameterMM: 2 * floatRadius, SectionDiameterMM: floatBar}, Upright(0, 0, floatHeight))
	for i, name := range []string{"spoke north", "spoke west", "spoke east"} {
		put(name, Bar{OutsideDiameterMM: 6, LengthMM: floatRadius - floatBar/2 - mastRadius - 3*gap}, spoke(90+120*float64(i)))
	}
	put("gauge", tideGauge(), Pose{OriginMM: r3.Vec{X: mastRadius + gap, Z: 205}, Axis: r3.Vec{Y: -1}, Ref: r3.Vec{X: 1}})
	put("boom", Tube{OutsideDiameterMM: 10, InsideDiameterMM: 8, LengthMM: 90, Ends: [2]End{{45, 180}, {}}}, boom(90))
	put("cap", Disc{OutsideDiameterMM: 26, ThicknessMM: 4}, Upright(0, 0, baseHeight+mastHeight+2*gap+2))
	put("moon", Sphere{DiameterMM: 18}, Upright(0, 0, baseHeight+mastHeight+4+3*gap+9))
	put("ebb band", FlatArc{OutsideDiameterMM: 196, InsideDiameterMM: dialRim + 2*gap, ThicknessMM: 4, SweepDeg: 70}, ebbBand())
	put("screen", tideScreen(), Pose{OriginMM: r3.Vec{Z: baseHeight + gap + 22}, Axis: r3.Vec{Z: 1}, Ref: r3.Vec{X: cosine(rad(15)), Y: sine(rad(15))}})
	for _, p := range davit() {
		put(p.Name, p.Shape, p.Pose)
	}
	return scene
}

// TideClockOptions is the demo's scan: facets of about 1.3 mm, noise of 0.03 mm.
func TideClockOptions() Options {
	opt := DefaultOptions()
	opt.Seed, opt.EdgeMM, opt.NoiseMM = 1883, 1.3, 0.03
	return opt
}

// facing places a shape with its axis to the front.
func facing(x, y, z float64) Pose {
	return Pose{OriginMM: r3.Vec{X: x, Y: y, Z: z}, Axis: r3.Vec{Y: -1}, Ref: r3.Vec{X: 1}}
}

// spoke places a bar from the mast out to the float, two gaps short of it: its
// flat end meets a ring that curves away on either side.
func spoke(angleDeg float64) Pose {
	out := r3.Vec{X: cosine(rad(angleDeg)), Y: sine(rad(angleDeg))}
	mid := (mastRadius + floatRadius - floatBar/2 - gap) / 2
	return Along(r3.Add(r3.Scale(mid, out), r3.Vec{Z: floatHeight}), out)
}

// boom places a tube leaning out at 45 degrees, its mitred end flat to the
// mast's side.
func boom(length float64) Pose {
	foot := r3.Vec{X: mastRadius + gap, Z: 465}
	out := r3.Unit(r3.Vec{X: 1, Z: 1})
	return Pose{OriginMM: r3.Add(foot, r3.Scale(length/2, out)), Axis: out, Ref: r3.Vec{X: 1}}
}

// tideBase is a rectangle of 150 × 110 mm with cut corners, four bolt holes and
// a slot for cables.
func tideBase() Plate {
	return Plate{
		Outline: Polygon([2]float64{-55, -55}, [2]float64{55, -55}, [2]float64{75, -35}, [2]float64{75, 35},
			[2]float64{55, 55}, [2]float64{-55, 55}, [2]float64{-75, 35}, [2]float64{-75, -35}),
		Holes: []Hole{RoundHole(-58, -34, 7), RoundHole(58, -34, 7), RoundHole(58, 34, 7), RoundHole(-58, 34, 7),
			LongHole("slot", 0, 34, 26, 9, 0)},
		ThicknessMM: baseHeight,
	}
}

// tideGauge stands beside the mast, its outer edge an arc, one hole a mark of
// the tide.
func tideGauge() Plate {
	return Plate{
		Outline: []Step{Line(0, -55), Line(34, -55), ArcVia(62, 0, 34, 55), Line(0, 35)},
		Holes: []Hole{RoundHole(18, -38, 9), RoundHole(24, -16, 12), RoundHole(26, 10, 15),
			LongHole("diamond", 46, -3, 22, 10, 90), LongHole("slot", 22, 34, 18, 6, 30)},
		ThicknessMM: 5,
	}
}
