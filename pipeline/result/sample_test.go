package result

import (
	"strings"

	"pointup/pipeline/job"
)

// sample is a document with every kind of value in it. Its numbers are made up.
func sample() Document {
	j, err := job.ForScan("scans/heron.stl", "mm", 12)
	if err != nil {
		panic(err)
	}
	j.Pieces.Rows = append(j.Pieces.Rows, job.Row{ID: "E01", Name: "leg <a> & b", At: &[3]float64{1, 2, 3}})
	j.Pieces.Join = append(j.Pieces.Join, []job.Ref{{Name: "E01"}, {At: &[3]float64{4, 5, 6}}})
	return Document{
		Schema: SchemaName, Version: "0.1", Job: j,
		Files: map[string]string{"elements.ply": "sha256 " + strings.Repeat("0a", 32), "elements.csv": "sha256 " + strings.Repeat("ff", 32)},
		Scan: Scan{
			File: "dir/heron.stl", SHA256: strings.Repeat("ab", 32), Unit: "mm", Triangles: 1000, Vertices: 502, Shells: 4, DustShells: 1,
			BoundsMM: Bounds{Min: Point{-1.00004, 0, 2}, Max: Point{10, 20, 30.123456}}, EdgeMedianMM: 0.512349, NoiseMM: 0.0213,
			Findings: List[Finding]{{Code: "open-boundary", Severity: "warning", What: "an opening", WhereMM: &Point{1, 2, 3}, Advice: "scan it"}},
		},
		Scale: Scale{Ratio: 12, From: "ratio", HeightFullMM: 5400, SiteFromScan: [3][4]Factor{{12, 0, 0, -5}, {0, 12, 0, 3}, {0, 0, 12, 0}}},
		Elements: List[Element]{
			tube("E01"),
			element("E02", "ring", Dims{{"section", Text("flat")}, {"outside_diameter_mm", MM(40)}, {"inside_diameter_mm", MM(20)}, {"thickness_mm", MM(3)}, {"hole_count", Count(1)}, {"holes", Holes{{Shape: "round", CentreMM: [2]MM{15, 0}, DiameterMM: new(MM(4))}}}}),
			element("E03", "plate", Dims{
				{"thickness_mm", MM(2)}, {"length_mm", MM(50)}, {"width_mm", MM(30)}, {"hole_count", Count(2)},
				{"holes", Holes{
					{Shape: "slot", CentreMM: [2]MM{1, 2}, AcrossMM: &[2]MM{8, 4}, AngleDeg: new(Deg(30))},
					{Shape: "other", CentreMM: [2]MM{9, 2}, OutlineMM: Outline{{To: [2]MM{1, 0}}, {To: [2]MM{0, 1}, Via: &[2]MM{0.7, 0.7}}}},
				}},
				{"outline_mm", Outline{{To: [2]MM{25, -15}}, {To: [2]MM{25, 15}}, {To: [2]MM{-25, 15}, Via: &[2]MM{0, 20}}}},
			}),
			element("E04", "arc", Dims{{"centreline_diameter_mm", MM(90)}, {"section_diameter_mm", MM(6)}, {"sweep_deg", Deg(92.5)}, {"segments", Segments{
				{Kind: "straight", LengthMM: new(MM(10))}, {Kind: "arc", CentrelineDiameterMM: new(MM(90)), SweepDeg: new(Deg(92.5)), TurnDeg: new(Deg(-15))},
			}}}),
			element("E05", "coil", Dims{{"centreline_diameter_mm", MM(30)}, {"section_diameter_mm", MM(3)}, {"pitch_mm", MM(5)}, {"turns", Factor(3.25)}, {"hand", Text("right")}}),
			freeform("E06"),
			element("E07", "toothed_wheel", Dims{{"tooth_count", Count(20)}, {"tip_diameter_mm", MM(56)}, {"seat_pitch_mm", MM(6.35)}, {"tooth_form", Text("round-seated")},
				{"worn_teeth", WornTeeth{{Tooth: 3, What: "bent", ByMM: -0.4}}},
				{"lands", Lands{{6, 14, 6.5, 3.5, 3, 0.01}, {14, 60, 4, 2, 2, 0.01}}},
				{"chains", Chains{{Standard: "ASME B29.1", Number: "25", ISO: "04C", PitchMM: 6.35, RollerMM: 3.3, InnerWidthMM: 3.17}, {Standard: "ISO 606", ISO: "16B", PitchMM: 25.4, FromMemory: true}}},
				{"bolt_circle", BoltCircle{HoleCount: 6, HoleDiameterMM: 4, CircleDiameterMM: 24, CircleU95MM: 0.01}},
				{"pattern", Pattern{Arrangement: "square", Shape: "diamond", AcrossMM: &[2]MM{5, 3}, HoleCount: 11, MissingCount: 1, RowCount: 3, ColumnCount: 4, PitchAlongMM: new(MM(5)), PitchAcrossMM: new(MM(5)), OpenPercent: new(Factor(40.3)), MissingMM: List[[2]MM]{{1, 2}}}}}),
		},
		Unassigned: Unassigned{Faces: 12, AreaMM2: 3.5, Why: "dust"},
		Gates:      List[Gate]{{Name: "surface_p95", Limit: 3, Value: 1.2, Passed: true}},
	}
}

func tube(id string) Element {
	e := element(id, "tube", Dims{{"outside_diameter_mm", MM(21.34567891)}, {"inside_diameter_mm", MM(17.3)}, {"wall_mm", MM(2.02)}, {"length_mm", MM(120.5)}})
	e.U95 = Widths{{"outside_diameter_mm", 0.012345}, {"length_mm", 0.1}}
	e.Ends = List[End]{{Kind: "square", AngleDeg: new(Deg(0.01))}, {Kind: "hidden"}}
	e.Form = Form{RoundnessMM: new(MM(0.1)), StraightnessMM: new(MM(0.2))}
	return e
}

func element(id, kind string, d Dims) Element {
	return Element{
		ID: id, Kind: kind, Faces: 100, Maquette: d, FullSize: d.Times(12),
		Frame:     Frame{OriginMM: Point{1, 2, 3}, Axis: Vector{0, 0, 1}, Ref: Vector{1, -1e-12, 0}},
		Deviation: &Deviation{RMSMM: 0.5, MeanMM: -0.01, P95MM: 1.2, MaxMM: 3.4, Within: 0.99, Points: 300},
		Coverage:  0.83, Alternatives: List[Alternative]{{Kind: "bar", RMSMM: 2}}, Notes: List[string]{"a note"},
	}
}

func freeform(id string) Element {
	e := element(id, "freeform", Dims{{"length_mm", MM(9)}, {"width_mm", MM(8)}, {"height_mm", MM(7)}, {"surface_area_mm2", MM2(120)}, {"volume_mm3", MM3(300)},
		{"sections", Sections{{StationMM: -3, LoopsMM: List[Polygon]{{{0, 0}, {1, 0}, {1, 1}, {0, 0}}}}, {StationMM: 3}}}})
	e.Deviation, e.Hidden = nil, List[string]{"wall_mm"}
	return e
}
