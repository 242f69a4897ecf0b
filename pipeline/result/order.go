package result

// Order is in which order the work is put together: a build for each part of it
// that hangs together and has more than one piece. Places are in SITE whatever the
// pose.
type Order struct {
	Builds      List[Build]  `json:"builds"`
	Loose       List[string] `json:"loose"` // elements that nothing joins to the ground
	Assumptions List[string] `json:"assumptions"`
}

// Build is one order beside the plain one: lowest piece first, never turned.
type Build struct {
	Exact bool           `json:"exact"` // no order of this model costs less
	Best  Plan           `json:"best"`
	Plain Plan           `json:"plain"`
	Steps List[SetPiece] `json:"steps"` // of the best

	Benched *Benched `json:"benched,omitempty"` // a way with less overhead weld, in more hours or fewer
}

// Benched is a build in which sub-assemblies are welded on the bench and set as one.
// Order and steps of what is set name its heaviest piece, steps the others with it.
type Benched struct {
	SubAssemblies List[SubAssembly] `json:"sub_assemblies"`
	Set           Plan              `json:"set"`
	Steps         List[SetPiece]    `json:"steps"`
	OverheadM     Factor            `json:"overhead_m"` // benches and setting together
	Hours         Hours             `json:"hours"`
	Assumptions   List[string]      `json:"assumptions"`
}

// SubAssembly is what is welded on the bench.
type SubAssembly struct {
	Name     string         `json:"name"`
	Elements List[string]   `json:"elements"`
	Mass     *Weighed       `json:"mass,omitempty"` // left out where a piece has none that is known
	Bench    Plan           `json:"bench"`
	Steps    List[SetPiece] `json:"steps"`
}

// Plan is an order with what it costs.
type Plan struct {
	Order     List[string] `json:"order"`
	OverheadM Factor       `json:"overhead_m"` // of weld
	Turns     int          `json:"turns"`
	Props     int          `json:"props"`
	Lifts     int          `json:"lifts"`
	Hours     Hours        `json:"hours"`
	Closing   string       `json:"closing,omitempty"` // the piece that closes the last loop
}

// SetPiece is a step: one piece is set.
type SetPiece struct {
	Element      string       `json:"element"`
	With         List[string] `json:"with,omitempty"` // set as one with it
	Mark         string       `json:"mark,omitempty"`
	Up           Vector       `json:"up"` // direction of SITE that points up in this pose
	Turned       bool         `json:"turned"`
	AddedKG      KG           `json:"added_kg"`
	MassKG       KG           `json:"mass_kg"` // of all that stands
	CentreMM     Point        `json:"centre_mm"`
	HeightMM     MM           `json:"height_mm"`
	MarginMM     MM           `json:"margin_mm"` // of the centre of gravity inside the base; negative: outside
	Lift         bool         `json:"lift"`
	Closes       bool         `json:"closes"`
	FlatMM       MM           `json:"flat_mm"` // of seam in each position of welding
	HorizontalMM MM           `json:"horizontal_mm"`
	VerticalMM   MM           `json:"vertical_mm"`
	OverheadMM   MM           `json:"overhead_mm"`
	Props        List[Prop]   `json:"props"`
	Tapes        List[Tape]   `json:"tapes"`
	Levels       List[Level]  `json:"levels"`
	Plumb        *Plumb       `json:"plumb,omitempty"`
	Fixed        int          `json:"fixed"` // motions of six that the tapes see
	Note         string       `json:"note,omitempty"`
}

// Prop holds what stands while it is not well inside its base.
type Prop struct {
	Element string `json:"element"`
	AtMM    Point  `json:"at_mm"`
	HighMM  MM     `json:"high_mm"`
	Way     Vector `json:"way"` // where the work would fall
	ForceN  Factor `json:"force_n"`
	Turning bool   `json:"turning"` // while what stood before is turned
}

// Punch is a punched mark on a piece.
type Punch struct {
	Element string `json:"element"`
	Number  int    `json:"number"`
	AtMM    Point  `json:"at_mm"`
	Where   string `json:"where"`
}

// Tape is a distance between two marks; ± by ISO 13920.
type Tape struct {
	From        Punch  `json:"from"`
	To          Punch  `json:"to"`
	LengthMM    MM     `json:"length_mm"`
	PlusMinusMM MM     `json:"plus_minus_mm"`
	FeetIn      string `json:"length_ft_in"`
}

// Level is the height of a mark over the floor.
type Level struct {
	At          Punch  `json:"at"`
	HeightMM    MM     `json:"height_mm"`
	PlusMinusMM MM     `json:"plus_minus_mm"`
	FeetIn      string `json:"height_ft_in"`
}

// Plumb is how a piece's axis stands, and how it is turned about it.
type Plumb struct {
	LeanDeg      Deg    `json:"lean_deg"`
	TowardDeg    Deg    `json:"toward_deg"` // counter-clockwise from zero, seen from above
	Zero         Vector `json:"zero"`
	PlusMinusMMM Factor `json:"plus_minus_mm_m"`
	ClockDeg     *Deg   `json:"clock_deg,omitempty"`
}
