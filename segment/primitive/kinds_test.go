package primitive

import (
	"testing"

	"pointup/mesh/synthetic"
)

// specimen is a piece and how near the reading must come: mm for lengths, deg
// for angles. Diameters and thicknesses rest on some thousand vertices of 0.02
// mm noise and would do with a hundredth of the bound; lengths rest on the few
// vertices of an end.
type specimen struct {
	name    string
	shape   synthetic.Shape
	edgeMM  float64
	mm, deg float64
}

func specimens() []specimen {
	return []specimen{
		{"tube", synthetic.Tube{OutsideDiameterMM: 30, InsideDiameterMM: 26, LengthMM: 60}, 1.5, .02, 0},
		{"mitred tube", synthetic.Tube{OutsideDiameterMM: 20, InsideDiameterMM: 16, LengthMM: 50, Ends: [2]synthetic.End{{MitreDeg: 30, AzimuthDeg: 40}, {}}}, 1.2, .03, 0},
		{"bar", synthetic.Bar{OutsideDiameterMM: 8, LengthMM: 60}, 0.9, .02, 0},
		{"disc", synthetic.Disc{OutsideDiameterMM: 50, ThicknessMM: 4}, 1.5, .02, 0},
		{"ring flat", synthetic.Ring{OutsideDiameterMM: 60, InsideDiameterMM: 30, ThicknessMM: 5}, 1.5, .02, 0},
		{"ring round", synthetic.RoundRing{CentrelineDiameterMM: 60, SectionDiameterMM: 8}, 1.2, .02, 0},
		{"arc solid", synthetic.Arc{CentrelineDiameterMM: 80, SectionDiameterMM: 8, SweepDeg: 140}, 1, .03, .1},
		{"arc hollow", synthetic.Arc{CentrelineDiameterMM: 80, SectionDiameterMM: 12, SectionBoreMM: 8, SweepDeg: 140}, 1.6, .03, .1},
		{"coil left", synthetic.Coil{CentrelineDiameterMM: 30, SectionDiameterMM: 5, PitchMM: 9, Turns: 3, LeftHand: true}, 1, .03, .3},
		{"wheel", synthetic.ToothedWheel{ToothCount: 18, TipDiameterMM: 60, RootDiameterMM: 50, BoreDiameterMM: 14, ThicknessMM: 5, Teeth: synthetic.StraightTeeth()}, 1, .05, 0},
	}
}

func TestKinds(t *testing.T) {
	for _, c := range specimens() {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			p := synthetic.Piece{Name: c.name, Shape: c.shape, Pose: aslant()}
			e := recognised(t, p, scanOptions(c.edgeMM))
			requireTruth(t, p, e, c.mm, c.deg)
			requireFrame(t, p, e, 2*c.mm, 0.005)
		})
	}
}
