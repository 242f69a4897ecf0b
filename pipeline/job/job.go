// Package job holds the settings of one piece: the job file, read strictly and
// written back with every default explicit.
//
// Inside, lengths are mm, masses kg, forces N, speeds m/s, pressures kPa, angles
// degrees and shares fractions of 1; points named `at` stay in scan units.
package job

import (
	"path/filepath"
	"slices"
	"strings"
)

// Job is a resolved job: every setting that has a default holds it. A nil pointer
// is a setting that was not given and has no default; slices are never nil, so
// that a job and its reading back are equal.
type Job struct {
	Version int        `json:"job"`   // 1
	Piece   string     `json:"piece"` // what the work is called
	Scan    Scan       `json:"scan"`
	Enlarge Enlarge    `json:"enlarge"`
	ByHand  []Measured `json:"by_hand"`
	Pieces  Pieces     `json:"pieces"`
	Limits  Limits     `json:"limits"`
	Metal   Metal      `json:"metal"`
	Shop    Shop       `json:"shop"`
	Haul    *Haul      `json:"haul,omitempty"`
	Site    *Site      `json:"site,omitempty"`
	Gates   Gates      `json:"gates"`
	Show    Show       `json:"show"`
	Decided []Decided  `json:"decided"`
}

// Decided marks a decision that the report asks for as taken.
type Decided struct {
	On   string `json:"on"`             // the decision's own words for itself: finding dust, gate open_loop, hidden E03
	Note string `json:"note,omitempty"` // what was decided
}

// Scan says how the scan file is to be understood.
type Scan struct {
	File      string   `json:"file"`                 // as written in the job; relative to the job file
	Unit      string   `json:"unit"`                 // mm, cm, m, in or ft
	Up        string   `json:"up"`                   // +x, -x, +y, -y, +z or -z
	Ground    string   `json:"ground"`               // lowest
	ScaleU95  *float64 `json:"scale_u95,omitempty"`  // fraction of 1, half-width of the 95 % interval of the scanner's scale
	CoatingMM *float64 `json:"coating_mm,omitempty"` // thickness of a scanning spray, maquette scale

	Parts []ScanPart `json:"parts,omitempty"`
}

// ScanPart is a closer scan of one piece, anywhere in space.
type ScanPart struct {
	File  string `json:"file"` // as written in the job; relative to the job file
	Unit  string `json:"unit"`
	Piece string `json:"piece"` // a name of pieces.rows, or an id
}

// Enlarge says how large the work will be: exactly one of Ratio, HeightMM and
// Known is given.
type Enlarge struct {
	Ratio    *float64 `json:"ratio,omitempty"`     // full size over maquette
	HeightMM *float64 `json:"height_mm,omitempty"` // of the whole work, full size
	Known    *Known   `json:"known,omitempty"`
	Trust    string   `json:"trust"` // scan, or by_hand: hand measurements correct the scale
}

// Known is a dimension whose length at both scales is known.
type Known struct {
	MaquetteMM float64 `json:"maquette_mm"`
	FullMM     float64 `json:"full_mm"`
}

// Measured is a dimension taken by hand on the maquette, in the unit that its
// key ends in (mm, deg) or none.
type Measured struct {
	Piece     string   `json:"piece"`         // name or id
	Dimension string   `json:"dimension"`     // a key of the result: outside_diameter_mm
	Value     float64  `json:"value"`         // maquette scale
	U95       *float64 `json:"u95,omitempty"` // half-width of its 95 % interval
}

// Pieces is what the user knows of the pieces.
type Pieces struct {
	Expected *int           `json:"expected,omitempty"`
	Rows     []Row          `json:"rows"`
	Join     [][]Ref        `json:"join"` // each: what is one piece after all
	Part     [][][3]float64 `json:"part"` // each: a point on each piece that must not be one, scan units
}

// Row says something of one piece; it is found by id, or by a point on it.
type Row struct {
	ID    string      `json:"id,omitempty"` // E01
	Name  string      `json:"name,omitempty"`
	At    *[3]float64 `json:"at,omitempty"` // scan units
	Kind  string      `json:"kind,omitempty"`
	Stock string      `json:"stock,omitempty"`
	Made  bool        `json:"made"` // it exists at full size already
}

// Limits are what the user allows.
type Limits struct {
	Form        float64     `json:"form"`       // share of the section's size
	SurfaceMM   float64     `json:"surface_mm"` // deviation of the scan, full size
	Work        string      `json:"work"`       // ISO 13920-BF: linear class, form class
	StockChange StockChange `json:"stock_change"`
}

// StockChange is how far a stock size may lie from the enlarged size.
type StockChange struct {
	Share  float64 `json:"share"`
	SizeMM float64 `json:"size_mm"`
}

// Metal is what the work is made of.
type Metal struct {
	System    string   `json:"system"` // us, metric or both: whose stock sizes
	Grade     string   `json:"grade"`
	Finish    string   `json:"finish"`
	WallMinMM float64  `json:"wall_min_mm"`
	Tables    []string `json:"tables"` // stock lists of the user, relative to the job file
	Ban       []string `json:"ban"`    // forms of stock that are not to be used
}

// Shop is what the workshop has.
type Shop struct {
	BarLengthsMM []float64          `json:"bar_lengths_mm"`
	Sheets       []Sheet            `json:"sheets"`
	KerfMM       map[string]float64 `json:"kerf_mm"` // by process
	Hoists       []Hoist            `json:"hoists"`
	Rates        *Rates             `json:"rates,omitempty"`
	Pace         Pace               `json:"pace"`
}

// Pace is how fast the workshop works, for the hours of an estimate.
type Pace struct {
	CutMH         float64 `json:"cut_m_h"`         // metres of plate edge an hour, all processes
	PierceS       float64 `json:"pierce_s"`        // seconds a pierce
	SawS          float64 `json:"saw_s"`           // seconds a saw cut, handling included
	BendH         float64 `json:"bend_h"`          // hours a bend or a rolled piece
	DepositionKGH float64 `json:"deposition_kg_h"` // weld metal an hour of arc
	ArcShare      float64 `json:"arc_share"`       // of a welder's hours: the operating factor
	LiftH         float64 `json:"lift_h"`          // hours a lift
	SetupH        float64 `json:"setup_h"`         // hours a set-up of a machine
}

// Sheet is a sheet or plate as bought.
type Sheet struct {
	LengthMM float64 `json:"length_mm"`
	WidthMM  float64 `json:"width_mm"`
}

// Hoist is a crane or hoist and what it may lift.
type Hoist struct {
	Name       string  `json:"name"`
	CapacityKG float64 `json:"capacity_kg"`
}

// Rates are prices in a currency: of an hour, of a kilogram of steel and of one of
// weld metal.
type Rates struct {
	Currency string   `json:"currency"` // ISO 4217, three letters
	Hour     *float64 `json:"hour,omitempty"`
	SteelKG  *float64 `json:"steel_kg,omitempty"`
	WeldKG   *float64 `json:"weld_kg,omitempty"`
}

// Haul is what the road and the vehicle allow.
type Haul struct {
	EnvelopeMM *[3]float64 `json:"envelope_mm,omitempty"` // length, width, height
	MassKG     *float64    `json:"mass_kg,omitempty"`
	Route      []Passage   `json:"route"`
}

// Passage is a tight place on the way.
type Passage struct {
	WidthMM  *float64 `json:"width_mm,omitempty"`
	RadiusMM *float64 `json:"radius_mm,omitempty"`
	Slope    *float64 `json:"slope,omitempty"` // rise over run
}

// Site is what acts on the work where it stands.
type Site struct {
	Wind           *Wind    `json:"wind,omitempty"`
	IceMM          *float64 `json:"ice_mm,omitempty"`
	ClimbingLoadN  *float64 `json:"climbing_load_n,omitempty"`
	SoilBearingKPa *float64 `json:"soil_bearing_kpa,omitempty"`
	Seismic        *Seismic `json:"seismic,omitempty"`

	Corrosivity *string     `json:"corrosivity,omitempty"` // category of ISO 9223: C1 to C5, CX
	LifeYears   *float64    `json:"life_years,omitempty"`
	AirC        *[2]float64 `json:"air_c,omitempty"` // lowest and highest shade temperature of the air
}

// Seismic is an earthquake as a level share of the weight, at the strength level of
// the code that the wind names.
type Seismic struct {
	Coefficient float64 `json:"coefficient"`
}

// Wind is a design wind speed with the code that defines it.
type Wind struct {
	Code     string  `json:"code"`
	SpeedMPS float64 `json:"speed_mps"`
	SpeedIs  string  `json:"speed_is"` // what the speed is: averaging time and level
	Exposure string  `json:"exposure"` // exposure or terrain category of the code
}

// Gates are limits that decide the exit status; one that is not given is not
// looked at.
type Gates struct {
	SurfaceP95MM *float64 `json:"surface_p95_mm,omitempty"` // full size
	MissingStock *int     `json:"missing_stock,omitempty"`
	OpenLoopMM   *float64 `json:"open_loop_mm,omitempty"` // full size
	Utilisation  *float64 `json:"utilisation,omitempty"`

	WeldUse        *float64 `json:"weld_use,omitempty"`
	LiftUse        *float64 `json:"lift_use,omitempty"`
	Access         *int     `json:"access,omitempty"` // openings for a head within reach
	Unlifted       *int     `json:"unlifted,omitempty"`
	Props          *int     `json:"props,omitempty"`
	OverheadWeldMM *float64 `json:"overhead_weld_mm,omitempty"`
	Sections       *int     `json:"sections,omitempty"`
	FieldWeldMM    *float64 `json:"field_weld_mm,omitempty"`
	Blocked        *int     `json:"blocked,omitempty"`
	MadeChangeMM   *float64 `json:"made_change_mm,omitempty"` // full size
}

// Show says how results are shown.
type Show struct {
	Units string `json:"units"` // mm, ft-in or both
}

// From names which of the ways of giving the scale was taken, in the words of
// the result: ratio, height or known_dimension; "" where none was given.
func (e Enlarge) From() string {
	switch {
	case e.Ratio != nil:
		return "ratio"
	case e.HeightMM != nil:
		return "height"
	case e.Known != nil:
		return "known_dimension"
	}
	return ""
}

// ScanPlaces lists where the scan of a job file may lie, best first: beside the
// job file; for a job.out.yaml, which names the scan without its folder, also in
// the folder above it. An absolute path is taken as it is.
func (j Job) ScanPlaces(jobFile string) []string {
	if filepath.IsAbs(j.Scan.File) {
		return []string{j.Scan.File}
	}
	dir := filepath.Dir(jobFile)
	places := []string{filepath.Join(dir, j.Scan.File)}
	if filepath.Base(jobFile) == OutName {
		places = append(places, filepath.Join(dir, "..", j.Scan.File))
	}
	return places
}

// OutName is the name of the job file that a run writes.
const OutName = "job.out.yaml"

// WithoutFolders returns the job with the folders of its file names taken off:
// what is written out holds no path.
func (j Job) WithoutFolders() Job {
	j.Scan.File = base(j.Scan.File)
	j.Scan.Parts = slices.Clone(j.Scan.Parts)
	for i := range j.Scan.Parts {
		j.Scan.Parts[i].File = base(j.Scan.Parts[i].File)
	}
	tables := make([]string, len(j.Metal.Tables))
	for i, t := range j.Metal.Tables {
		tables[i] = base(t)
	}
	j.Metal.Tables = tables
	return j
}

// base is the last element of a path with either kind of slash.
func base(path string) string {
	if path == "" {
		return ""
	}
	if i := strings.LastIndexAny(path, `/\`); i >= 0 && i+1 < len(path) {
		return path[i+1:]
	}
	return path
}
