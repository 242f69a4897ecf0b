package report

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"math"
	"strings"

	"pointup/pipeline/job"
	"pointup/pipeline/result"
)

// sample is a document with every kind of value in it. Its numbers are made up.
func sample() result.Document {
	j, err := job.ForScan("heron.stl", "mm", 12)
	if err != nil {
		panic(err)
	}
	j.Piece, j.Pieces.Expected = "Heron", new(7)
	ring := sampleOf("E02", "ring", result.Dims{
		{Key: "section", Value: result.Text("flat")}, {Key: "outside_diameter_mm", Value: result.MM(40)}, {Key: "thickness_mm", Value: result.MM(3)},
		{Key: "hole_count", Value: result.Count(1)}, {Key: "holes", Value: result.Holes{{Shape: "round", CentreMM: [2]result.MM{15, 0}, DiameterMM: new(result.MM(4))}}},
	})
	arc := sampleOf("E03", "arc", result.Dims{
		{Key: "centreline_diameter_mm", Value: result.MM(90)}, {Key: "sweep_deg", Value: result.Deg(92.5)},
		{Key: "segments", Value: result.Segments{{Kind: "straight", LengthMM: new(result.MM(10))}, {Kind: "arc", CentrelineDiameterMM: new(result.MM(90)), SweepDeg: new(result.Deg(92.5)), TurnDeg: new(result.Deg(-15))}}},
	})
	plate := sampleOf("E04", "plate", result.Dims{
		{Key: "thickness_mm", Value: result.MM(2)}, {Key: "hole_count", Value: result.Count(0)},
		{Key: "outline_mm", Value: result.Outline{{To: [2]result.MM{1, 0}}, {To: [2]result.MM{0, 1}, Via: &[2]result.MM{0.7, 0.7}}, {To: [2]result.MM{0, 0}}}},
	})
	free := sampleOf("E05", "freeform", result.Dims{{Key: "length_mm", Value: result.MM(9)}})
	free.Deviation, free.Hidden = nil, []string{"wall_mm"}
	return result.Document{
		Schema: result.SchemaName, Version: "0.1", Job: j,
		Scan: result.Scan{
			File: "heron.stl", SHA256: strings.Repeat("ab", 32), Unit: "mm", Triangles: 1000, Vertices: 502, Shells: 4, BoundaryLoops: 1,
			BoundsMM: result.Bounds{Max: result.Point{10, 20, 450}}, EdgeMedianMM: 0.5, NoiseMM: 0.0213,
			Findings: []result.Finding{
				{Code: "dust", Severity: "note", What: "3 loose specks", Advice: "none needed"},
				{Code: "open-boundary", Severity: "warning", What: "an opening 3.2 mm wide", WhereMM: &result.Point{1, 2, 3}, Advice: "scan it again"},
				{Code: "open-boundary", Severity: "warning", What: "an opening 2.2 mm wide", WhereMM: &result.Point{1, 2, 9}, Advice: "scan it again"},
			},
		},
		Scale:      result.Scale{Ratio: 12, From: "ratio", HeightFullMM: 5400, SiteFromScan: [3][4]result.Factor{{12, 0, 0, -5}, {0, 12, 0, 3}, {0, 0, 12, 0}}},
		Elements:   []result.Element{sampleTube("E01"), ring, arc, plate, free},
		Unassigned: result.Unassigned{Faces: 12, AreaMM2: 3.5, Why: "dust"},
		Gates:      []result.Gate{{Name: "surface_p95", Limit: 1, Value: 1.2}, {Name: "missing_stock", Limit: 0, Value: 0, Passed: true}},
	}
}

func sampleTube(id string) result.Element {
	e := sampleOf(id, "tube", result.Dims{
		{Key: "outside_diameter_mm", Value: result.MM(21.34567891)}, {Key: "inside_diameter_mm", Value: result.MM(17.3)},
		{Key: "wall_mm", Value: result.MM(2.02)}, {Key: "length_mm", Value: result.MM(120.5)},
	})
	e.Name = "leg"
	e.U95 = result.Widths{{Key: "outside_diameter_mm", Value: 0.012345}, {Key: "length_mm", Value: 0.1}}
	e.Ends = []result.End{{Kind: "square", AngleDeg: new(result.Deg(0.01))}, {Kind: "hidden"}}
	e.Form = result.Form{RoundnessMM: new(result.MM(0.1))}
	return e
}

func sampleOf(id, kind string, d result.Dims) result.Element {
	return result.Element{
		ID: id, Kind: kind, Faces: 100, Maquette: d, FullSize: d.Times(12),
		Frame:     result.Frame{OriginMM: result.Point{1, 2, 3}, Axis: result.Vector{0, 0, 1}, Ref: result.Vector{1, -1e-12, 0}},
		Deviation: &result.Deviation{RMSMM: 0.5, MeanMM: -0.01, P95MM: 1.2, MaxMM: 3.4, Within: 0.99, Points: 300},
		Coverage:  0.83, Alternatives: []result.Alternative{{Kind: "bar", RMSMM: 2}}, Notes: []string{"a note"},
	}
}

// picture is a PNG of one colour.
func picture() []byte {
	img := image.NewRGBA(image.Rect(0, 0, 8, 6))
	img.Set(1, 1, color.RGBA{1, 2, 3, 255})
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		panic(err)
	}
	return b.Bytes()
}

func pictures() map[string][]byte {
	return map[string][]byte{"overview.png": picture(), "deviation.png": picture(), "E01.png": picture(), "E02.png": picture(), "other.png": []byte("not looked at")}
}

// sampleArt is a page's art: pictures, a file, and a scene of two boxes on top of each
// other, the scan of the lower one 0.5 mm too large on one side.
func sampleArt() Art {
	s := &Scene{ScanFromSite: [3][4]float64{{1. / 12, 0, 0, 5. / 12}, {0, 1. / 12, 0, -0.25}, {0, 0, 1. / 12, 0}}, RangeMM: 1, Colours: []string{"#053061", "#f7f7f7", "#67001f"},
		Pieces: []ScenePiece{{ID: "E01"}, {ID: "E02", MoveMM: [3]float64{0, 0, 400}}}}
	for _, name := range []string{"scan", "fitted", "stock"} {
		l := Layer{Name: name, Label: "the " + name}
		for k := range 2 {
			l = withBox(l, [3]float32{-300 + 100*float32(k), -200, 500 * float32(k)}, [3]float32{300, 200, 500 * float32(k+1)}, uint16(k+1))
		}
		if name == "scan" {
			l.DeviationMM = make([]float32, len(l.Points))
			l.DeviationMM[0], l.DeviationMM[1] = 0.5, float32(math.NaN())
		}
		s.Layers = append(s.Layers, l)
	}
	return Art{Pictures: pictures(), Scene: s, Files: []string{"elements.csv", "models/as-scanned/E01.step", "patterns/E01-on-E02.dxf", "pictures/E01.png"}}
}

func withBox(l Layer, lo, hi [3]float32, piece uint16) Layer {
	first := uint32(len(l.Points))
	for i := range 8 {
		p := lo
		for k := range 3 {
			if i>>k&1 == 1 {
				p[k] = hi[k]
			}
		}
		l.Points = append(l.Points, p)
	}
	for _, t := range [][3]uint32{{0, 2, 1}, {1, 2, 3}, {4, 5, 6}, {5, 7, 6}, {0, 1, 4}, {1, 5, 4}, {2, 6, 3}, {3, 6, 7}, {0, 4, 2}, {2, 4, 6}, {1, 3, 5}, {3, 7, 5}} {
		l.Triangles, l.Piece = append(l.Triangles, [3]uint32{first + t[0], first + t[1], first + t[2]}), append(l.Piece, piece)
	}
	return l
}
