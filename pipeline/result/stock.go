package result

// KG is a mass in kg, to the gram.
type KG float64

// Hours of work, to a hundredth.
type Hours float64

// Money in the job's currency, to a hundredth.
type Money float64

func (x KG) MarshalJSON() ([]byte, error)    { return number(float64(x), 3) }
func (x Hours) MarshalJSON() ([]byte, error) { return number(float64(x), 2) }
func (x Money) MarshalJSON() ([]byte, error) { return number(float64(x), 2) }

// Stock is what the pieces are made of, and the assembly that comes of it. All at
// full size, places in SITE.
type Stock struct {
	System    string         `json:"system"`
	Grade     string         `json:"grade"`
	Families  List[Family]   `json:"families"`
	Parts     List[Part]     `json:"parts"` // of the as-stock assembly
	Decisions List[Decision] `json:"decisions"`
	Objective Objective      `json:"objective"`
	Missing   int            `json:"missing"` // pieces without stock
	MassKG    KG             `json:"mass_kg"` // of all pieces whose mass is known
	Assembly  Assembly       `json:"assembly"`
	Fidelity  *Fidelity      `json:"fidelity,omitempty"`
	Gauge     *Gauge         `json:"gauge,omitempty"`
	Measure   List[Reading]  `json:"measure_first"`
}

// Family is like pieces that have one size of stock.
type Family struct {
	Letter      string       `json:"letter"`
	Class       string       `json:"class"`
	Elements    List[string] `json:"elements"`
	Marks       List[string] `json:"marks"` // aligned with elements
	Sizes       List[Lead]   `json:"sizes"` // what stock has to match
	Stock       *StockSize   `json:"stock,omitempty"`
	Route       *Route       `json:"route,omitempty"` // where no stock as sold makes it
	Missing     bool         `json:"missing"`
	Pinned      bool         `json:"pinned"`
	OpenEnd     string       `json:"open_end,omitempty"`
	Nearest     string       `json:"nearest,omitempty"` // marks, whatever the limit
	Below       string       `json:"below,omitempty"`
	Above       string       `json:"above,omitempty"`
	ChangeOf    string       `json:"change_of,omitempty"` // key of the size that changes most against its limit
	ChangeMM    MM           `json:"change_mm"`           // stock less scan
	ChangeShare Share        `json:"change_share"`
	ChangeU95MM MM           `json:"change_u95_mm"`
	Within      bool         `json:"within"` // limits.stock_change
	WhyWall     string       `json:"why_wall,omitempty"`
	FitRMSMM    *MM          `json:"fit_rms_mm,omitempty"` // largest deviation of the scan from a fitted piece
	MassKG      KG           `json:"mass_kg"`
	Each        List[Each]   `json:"each"`
}

// Lead is a size that stock has to match.
type Lead struct {
	Key     string `json:"key"`
	ScanMM  MM     `json:"scan_mm"`
	U95MM   MM     `json:"u95_mm"`
	StockMM *MM    `json:"stock_mm,omitempty"`
}

// StockSize is an item of stock.
type StockSize struct {
	Mark       string `json:"mark"`
	Form       string `json:"form"`
	System     string `json:"system"`
	Standard   string `json:"standard"`
	FromMemory bool   `json:"from_memory"` // no published page was at hand for the row
	ODMM       MM     `json:"outside_diameter_mm,omitzero"`
	WallMM     MM     `json:"wall_mm,omitzero"`
	DesignMM   MM     `json:"wall_design_mm,omitzero"`
	WidthMM    MM     `json:"width_mm,omitzero"`
	HeightMM   MM     `json:"height_mm,omitzero"`
	ThickMM    MM     `json:"thickness_mm,omitzero"`
	MassKGM    Factor `json:"mass_kg_m,omitzero"`
	MassKGM2   Factor `json:"mass_kg_m2,omitzero"`
}

// Route is how a section that is not sold is made.
type Route struct {
	Kind string       `json:"kind"`
	From List[string] `json:"from"` // marks of stock
	Text string       `json:"text"`
}

// Each is one piece of a family.
type Each struct {
	ID          string `json:"id"`
	ChangeMM    MM     `json:"change_mm"`
	ChangeShare Share  `json:"change_share"`
	MassKG      *KG    `json:"mass_kg,omitempty"`
	WhyNoMass   string `json:"why_no_mass,omitempty"`
}

// Part is a piece as it will be built.
type Part struct {
	ID       string      `json:"id"`
	Mark     string      `json:"mark,omitempty"`
	Stock    string      `json:"stock,omitempty"`
	FullSize List[Named] `json:"full_size"`
	Frame    Frame       `json:"frame"` // SITE
	ShiftMM  MM          `json:"shift_mm"`
	TurnDeg  Deg         `json:"turn_deg"`
	MassKG   *KG         `json:"mass_kg,omitempty"`
}

// Named is a number under its key.
type Named struct {
	Key   string `json:"key"`
	Value Factor `json:"value"`
}

// Decision is a choice that the user may turn round.
type Decision struct {
	Elements List[string] `json:"elements"`
	What     string       `json:"what"`
	Taken    string       `json:"taken"`
	Ways     List[Way]    `json:"ways"`
}

// Way is one answer to a decision; MassKG is what it adds to the way taken.
type Way struct {
	Name     string `json:"name"`
	Stock    string `json:"stock,omitempty"`
	ChangeMM MM     `json:"change_mm"`
	MassKG   KG     `json:"mass_kg"`
	Text     string `json:"text"`
}

// Objective is how good the choice of all families is: no choice costs less than
// LowerBound.
type Objective struct {
	Cost       Factor `json:"cost"`
	LowerBound Factor `json:"lower_bound"`
	GapShare   Share  `json:"gap_share"`
	Exact      bool   `json:"exact"`
	Sizes      int    `json:"sizes"` // different ones bought
}

// Assembly is how the sized pieces were laid out again.
type Assembly struct {
	Solved    bool           `json:"solved"`
	WhyNot    string         `json:"why_not,omitempty"`
	Datum     string         `json:"datum,omitempty"`
	ShiftMM   MM             `json:"shift_max_mm"`
	GapMM     MM             `json:"gap_max_mm"` // largest gap or overlap left at a contact
	BeforeMM  MM             `json:"gap_before_max_mm"`
	Joints    List[Joint]    `json:"joints"`
	Trims     List[Trim]     `json:"trims"`
	Conflicts List[Conflict] `json:"conflicts"`
}

// Joint is what became of a contact: positive apart, negative in each other.
type Joint struct {
	A        string `json:"a"`
	B        string `json:"b"`
	Way      string `json:"way"` // touch, through or crossing
	GapMM    MM     `json:"gap_mm"`
	BeforeMM MM     `json:"before_mm"`
}

// Trim is how an end was cut anew.
type Trim struct {
	ID      string `json:"id"`
	End     string `json:"end"` // low or high along the axis
	ByMM    MM     `json:"by_mm"`
	LeanDeg Deg    `json:"lean_deg"`
}

// Conflict is what cannot all close.
type Conflict struct {
	Elements List[string] `json:"elements"`
	What     string       `json:"what"`
	WorstMM  MM           `json:"worst_mm"`
}

// Fidelity is how the stock model differs from the fitted one to visitors' eyes.
type Fidelity struct {
	EyeMM       MM         `json:"eye_mm"`
	VisionMin   Factor     `json:"normal_vision_arcmin"`
	Views       List[View] `json:"views"`
	WorstDeg    Deg        `json:"worst_azimuth_deg"`
	WorstArcmin Factor     `json:"worst_arcmin"`
	Seen        bool       `json:"seen"` // more than normal vision tells
}

// View is one standpoint.
type View struct {
	AzimuthDeg    Deg           `json:"azimuth_deg"` // of the visitor, from +x to +y
	DistanceMM    MM            `json:"distance_mm"`
	StepArcmin    Factor        `json:"step_arcmin"` // to which it is told
	OutlineArcmin Factor        `json:"outline_arcmin"`
	OutlineMM     MM            `json:"outline_mm"`
	Element       string        `json:"element,omitempty"` // whose outline moves most
	MovedShare    Share         `json:"moved_share"`
	Openings      List[Opening] `json:"openings"` // the five that change most
}

// Opening is a place where one sees through the work.
type Opening struct {
	BeforeArcmin Factor `json:"before_arcmin"`
	AfterArcmin  Factor `json:"after_arcmin"`
}

// Gauge is the scan's error of scale by the standard sizes on the maquette.
type Gauge struct {
	Verdict string      `json:"verdict"`               // clear, ambiguous or uninformative
	Error   *Factor     `json:"scale_error,omitempty"` // the scan shows true × (1 + error)
	Low     *Factor     `json:"low,omitempty"`         // 95 % interval
	High    *Factor     `json:"high,omitempty"`
	What    string      `json:"what"`
	Fitted  List[Match] `json:"fitted"`
}

// Match is the standard size that a size of the maquette most likely was, and the
// chance that it was standard at all.
type Match struct {
	Element string `json:"element"`
	Key     string `json:"key"`
	FoundMM MM     `json:"found_mm"`
	Mark    string `json:"mark"`
	SizeMM  MM     `json:"size_mm"`
	Chance  Share  `json:"chance"`
}

// Reading is a caliper reading that could change a choice of stock.
type Reading struct {
	Element  string `json:"element"`
	Key      string `json:"key"`
	Chance   Share  `json:"chance"`
	ScanMM   MM     `json:"scan_mm"`   // maquette scale
	BorderMM MM     `json:"border_mm"` // where the choice turns, maquette scale
	Other    string `json:"other"`     // what it turns to
}
