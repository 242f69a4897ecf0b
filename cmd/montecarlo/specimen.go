package main

import (
	"pointup/mesh/synthetic"
)

// noiseMM is the white noise of every scan: that of a good hand-held scanner.
const noiseMM = 0.03

// specimen is a piece and, where its bound can be given, its surfaces as a
// function of parameters.
type specimen struct {
	name   string
	shape  synthetic.Shape
	edgeMM float64 // of facets, for 1000 to 2000 vertices
	ideal  *ideal  // nil: reported, no bound
}

// specimens are of some 2000 to 3000 facets, so that thousands are read in
// minutes.
func specimens() []specimen {
	return []specimen{
		{"tube", synthetic.Tube{OutsideDiameterMM: 16, InsideDiameterMM: 12, LengthMM: 30}, 1.6, tubeOf(8, 6, 30)},
		{"bar", synthetic.Bar{OutsideDiameterMM: 12, LengthMM: 36}, 1.2, barOf(6, 36)},
		{"disc", synthetic.Disc{OutsideDiameterMM: 32, ThicknessMM: 4}, 1.4, discOf(16, 4)},
		{"ring flat", synthetic.Ring{OutsideDiameterMM: 40, InsideDiameterMM: 20, ThicknessMM: 6}, 1.6, ringOf(20, 10, 6)},
		{"ring round", synthetic.RoundRing{CentrelineDiameterMM: 36, SectionDiameterMM: 8}, 1.6, torusOf(18, 4)},
		{"arc", synthetic.Arc{CentrelineDiameterMM: 50, SectionDiameterMM: 7, SweepDeg: 140}, 1.2, nil},
		{"sphere", synthetic.Sphere{DiameterMM: 24}, 1.2, ballOf(12)},
		{"cone", synthetic.Cone{LargeDiameterMM: 20, SmallDiameterMM: 10, HeightMM: 30}, 1.2, coneOf(10, 5, 30, 0)},
		{"cone wall", synthetic.Cone{LargeDiameterMM: 24, SmallDiameterMM: 14, HeightMM: 26, WallMM: 2}, 1.5, coneOf(12, 7, 26, 2)},
		{"arc flat", synthetic.FlatArc{OutsideDiameterMM: 50, InsideDiameterMM: 34, ThicknessMM: 4, SweepDeg: 140}, 1.2, nil},
		{"rolled cone", synthetic.RolledCone{LargeInsideDiameterMM: 70, SmallInsideDiameterMM: 50, ThicknessMM: 3, SlantMM: 24, SweepDeg: 130}, 1.5, nil},
		{"coil", synthetic.Coil{CentrelineDiameterMM: 24, SectionDiameterMM: 4, PitchMM: 8, Turns: 2}, 1.2, nil},
		{"wheel", synthetic.ToothedWheel{ToothCount: 12, TipDiameterMM: 40, RootDiameterMM: 32, BoreDiameterMM: 10, ThicknessMM: 5, Teeth: synthetic.StraightTeeth()}, 1.2, nil},
		{"plate", synthetic.Plate{Outline: synthetic.Rectangle(34, 22), ThicknessMM: 3, Holes: []synthetic.Hole{synthetic.RoundHole(8, 3, 6)}}, 1.2, nil},
		{"profile", synthetic.Profile{Section: synthetic.Angle(16, 16, 3), LengthMM: 30}, 1.2, nil},
		{"profile mitre", synthetic.Profile{Section: synthetic.Channel(18, 12, 3, 3), LengthMM: 34, Ends: [2]synthetic.End{{MitreDeg: 40, AzimuthDeg: 20}, {MitreDeg: 25, AzimuthDeg: 130}}}, 1.2, nil},
		{"bend", synthetic.Bent{SectionDiameterMM: 6, Legs: []synthetic.Bend{{LengthMM: 14}, {RadiusMM: 14, AngleDeg: 90}, {LengthMM: 12}}}, 1.2, nil},
		{"rolled plate", synthetic.RolledPlate{InsideDiameterMM: 60, ThicknessMM: 3, WidthMM: 20, SweepDeg: 130}, 1.6, nil},
	}
}

// scanOptions is one scan. The waves are half as high as the noise, each of the
// two: smooth noise whose correlation falls to 1/e at four facets, as a mesher's
// filter leaves, and waves of six to twelve facets. Longer ones would be sizes
// and form of so small a piece, which no reading can tell from the metal's own.
func scanOptions(s specimen, seed uint64, waves bool) synthetic.Options {
	opt := synthetic.DefaultOptions()
	opt.Seed, opt.EdgeMM, opt.NoiseMM, opt.Isotropic = seed, s.edgeMM, noiseMM, true
	if waves {
		opt.CorrelatedMM, opt.SmoothMM = noiseMM/2, 2*s.edgeMM
		opt.WavinessMM, opt.WavelengthMM = noiseMM/2, 6*s.edgeMM
	}
	return opt
}
