package result

import (
	"pointup/pipeline/job"
	"pointup/pipeline/site"
)

// SchemaName names this form of the document.
const SchemaName = "pointup.result/1"

// Document is result.json. Keys stand in this order; later stages add keys of
// their own at the end.
type Document struct {
	Schema     string            `json:"schema"` // SchemaName
	Version    string            `json:"version"`
	Files      map[string]string `json:"files"` // name → "sha256 …", of every other file
	Job        job.Job           `json:"job"`
	Scan       Scan              `json:"scan"`
	Scale      Scale             `json:"scale"`
	Elements   List[Element]     `json:"elements"`
	Contacts   List[Contact]     `json:"contacts,omitzero"` // nil: not computed
	Relations  List[Relation]    `json:"relations,omitzero"`
	Unassigned Unassigned        `json:"unassigned"`
	Gates      List[Gate]        `json:"gates"`
	Stock      *Stock            `json:"stock,omitempty"`
	Shop       *Shop             `json:"shop,omitempty"`
	Cost       *Cost             `json:"cost,omitempty"`
	Joints     List[WeldJoint]   `json:"joints,omitzero"`
	Order      *Order            `json:"order,omitempty"`
	Rig        *Rig              `json:"rig,omitempty"`
	Sections   *Haul             `json:"sections,omitempty"`
	Revision   *Revision         `json:"revision,omitempty"`
	Site       *site.Report      `json:"site,omitempty"`
	Access     *site.Access      `json:"access,omitempty"`
	Weather    *site.Weather     `json:"weather,omitempty"`
}

// Scan is what the file holds and how good it is.
type Scan struct {
	File             string        `json:"file"` // base name
	SHA256           string        `json:"sha256"`
	Unit             string        `json:"unit"`
	Triangles        int           `json:"triangles"`
	Vertices         int           `json:"vertices"`
	Shells           int           `json:"shells"`
	DustShells       int           `json:"dust_shells"`
	BoundaryLoops    int           `json:"boundary_loops"`
	NonmanifoldEdges int           `json:"nonmanifold_edges"`
	Watertight       bool          `json:"watertight"`
	BoundsMM         Bounds        `json:"bounds_mm"`
	EdgeMedianMM     MM            `json:"edge_median_mm"`
	NoiseMM          MM            `json:"noise_mm"`
	Findings         List[Finding] `json:"findings"`
}

// Bounds is a box along the axes.
type Bounds struct {
	Min Point `json:"min"`
	Max Point `json:"max"`
}

// Finding is something that did not stop the work and that the user should know.
type Finding struct {
	Code     string `json:"code"`     // stable, kebab-case
	Severity string `json:"severity"` // note, warning or serious
	What     string `json:"what"`
	WhereMM  *Point `json:"where_mm,omitempty"` // SCAN
	Advice   string `json:"advice"`
}

// Scale says how the full size comes about.
type Scale struct {
	Ratio        Factor       `json:"ratio"`
	From         string       `json:"from"`           // ratio, height or known_dimension
	HeightFullMM MM           `json:"height_full_mm"` // of the whole work
	SiteFromScan [3][4]Factor `json:"site_from_scan"` // rows; rotation × ratio, translation in mm
}

// Element is one piece of metal.
type Element struct {
	ID           string            `json:"id"`
	Name         string            `json:"name"`
	Kind         string            `json:"kind"`
	Shell        int               `json:"shell"`
	Faces        int               `json:"faces"`
	Maquette     Dims              `json:"maquette"`
	FullSize     Dims              `json:"full_size"`
	U95          Widths            `json:"u95"` // maquette scale
	Hidden       List[string]      `json:"hidden"`
	Ends         List[End]         `json:"ends"`
	Form         Form              `json:"form"`
	Frame        Frame             `json:"frame"`
	Deviation    *Deviation        `json:"deviation"` // nil for freeform
	Coverage     Share             `json:"coverage"`
	Alternatives List[Alternative] `json:"alternatives"`
	Notes        List[string]      `json:"notes"`
}

// End is one end of a tube, bar, arc, coil or profile.
type End struct {
	Kind     string `json:"kind"` // square, mitre, saddle, irregular, open or hidden
	AngleDeg *Deg   `json:"angle_deg,omitempty"`
}

// Form is how far the real thing departs from the ideal, maquette scale; nil
// where a form does not apply.
type Form struct {
	RoundnessMM    *MM `json:"roundness_mm,omitempty"`
	StraightnessMM *MM `json:"straightness_mm,omitempty"`
	FlatnessMM     *MM `json:"flatness_mm,omitempty"`
}

// Frame is the element's own right-handed frame in SCAN: u = Ref,
// v = Axis × Ref.
type Frame struct {
	OriginMM Point  `json:"origin_mm"`
	Axis     Vector `json:"axis"`
	Ref      Vector `json:"ref"`
}

// Deviation is that of the scan from the primitive, full size, outward positive.
type Deviation struct {
	RMSMM  MM    `json:"rms_mm"`
	MeanMM MM    `json:"mean_mm"`
	P95MM  MM    `json:"p95_mm"`
	MaxMM  MM    `json:"max_mm"`
	Within Share `json:"within"` // share of the surface within limits.surface
	Points int   `json:"points"`

	Histogram *Histogram `json:"histogram,omitempty"`
}

// Histogram is how a deviation is spread: the share of the surface between each two
// edges, and below and above them all.
type Histogram struct {
	EdgesMM List[MM]    `json:"edges_mm"`
	Shares  List[Share] `json:"shares"`
	Below   Share       `json:"below"`
	Above   Share       `json:"above"`
}

// Alternative is another kind that was weighed.
type Alternative struct {
	Kind  string `json:"kind"`
	RMSMM MM     `json:"rms_mm"`
}

// Contact is where two pieces meet, in SCAN.
type Contact struct {
	A        string       `json:"a"`
	B        string       `json:"b"`
	Kind     string       `json:"kind"`
	LengthMM MM           `json:"length_mm"`
	AngleDeg *Deg         `json:"angle_deg,omitempty"`
	GapMM    *MM          `json:"gap_mm,omitempty"`
	Through  bool         `json:"through"`
	Seam     List[SeamAt] `json:"seam"`
}

// SeamAt is one point of a seam with the outward normals of both surfaces. Run
// counts the seam's unbroken parts from 1; a closed one ends where it began.
type SeamAt struct {
	Run     int    `json:"run"`
	PointMM Point  `json:"point_mm"`
	NormalA Vector `json:"normal_a"`
	NormalB Vector `json:"normal_b"`
}

// Unassigned is what belongs to no element.
type Unassigned struct {
	Faces   int    `json:"faces"`
	AreaMM2 MM2    `json:"area_mm2"`
	Why     string `json:"why"`
}

// Gate is a limit of the job and whether the result keeps it.
type Gate struct {
	Name   string `json:"name"`
	Limit  Factor `json:"limit"`
	Value  Factor `json:"value"`
	Passed bool   `json:"passed"`
}
