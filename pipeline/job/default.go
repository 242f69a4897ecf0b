package job

import (
	"math"
	"strings"

	"pointup/pipeline/quantity"
)

// Default returns a job with every default filled in. It is not complete: a scan
// file, its unit and the enlargement have no default.
func Default() Job {
	return Job{
		Version: 1,
		Scan:    Scan{Up: "+z", Ground: "lowest"},
		Enlarge: Enlarge{Trust: "scan"},
		ByHand:  []Measured{},
		Pieces:  Pieces{Rows: []Row{}, Join: [][]Ref{}, Part: [][][3]float64{}},
		Limits:  Limits{Form: 0.02, SurfaceMM: 3, Work: "ISO 13920-BF", StockChange: StockChange{Share: 0.03, SizeMM: 6}},
		Metal:   metalOf("us"),
		Shop:    shopOf("us"),
		Show:    Show{Units: "both"},
		Decided: []Decided{},
	}
}

// metalOf returns the usual structural steel of a system of stock sizes.
func metalOf(system string) Metal {
	m := Metal{System: system, Grade: "ASTM A36", Finish: "bare", WallMinMM: 5, Tables: []string{}, Ban: []string{}}
	if system == "metric" {
		m.Grade = "EN 10025 S235JR"
	}
	return m
}

// shopOf returns what a workshop buys: 20 ft bars and 8 × 4 ft sheets, or 6 m and
// 3 × 1.5 m. Kerfs are middling ones of the process; the pace is that of a small
// shop with hand-held welding (common practice, no source).
func shopOf(system string) Shop {
	s := Shop{
		BarLengthsMM: []float64{6096},
		Sheets:       []Sheet{{LengthMM: 2438.4, WidthMM: 1219.2}},
		KerfMM:       map[string]float64{"plasma": 3, "laser": 0.3},
		Hoists:       []Hoist{},
		Pace:         Pace{CutMH: 40, PierceS: 5, SawS: 300, BendH: 0.5, DepositionKGH: 2.5, ArcShare: 0.25, LiftH: 0.75, SetupH: 0.5},
	}
	if system == "metric" {
		s.BarLengthsMM, s.Sheets = []float64{6000}, []Sheet{{LengthMM: 3000, WidthMM: 1500}}
	}
	return s
}

// The ratios that are taken: below and above, a unit or a decimal mark is wrong.
const (
	ratioMin = 0.01
	ratioMax = 10000
)

// ForScan returns the job of a run without a job file: a scan, its unit and the
// ratio of full size to maquette, all else default.
func ForScan(file, unit string, ratio float64) (Job, error) {
	j := Default()
	if _, err := quantity.UnitMM(unit); err != nil {
		return Job{}, &Error{File: base(file), What: "the unit of the scan is " + quoted(unit), Advice: "say mm, cm, m, in or ft"}
	}
	if math.IsNaN(ratio) || ratio < ratioMin || ratio > ratioMax {
		return Job{}, &Error{File: base(file), What: "the ratio is " + quantity.Exact(ratio), Advice: "give a number from 0.01 to 10000: full size over maquette"}
	}
	j.Scan.File, j.Scan.Unit, j.Enlarge.Ratio = file, unit, &ratio
	j.Piece = title(file)
	return j, nil
}

// title makes a name for the work of the scan's file name.
func title(file string) string {
	name := base(file)
	if i := strings.LastIndex(name, "."); i > 0 {
		name = name[:i]
	}
	return printable(name)
}
