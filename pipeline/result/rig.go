package result

// Rig is what lifters need to know first.
type Rig struct {
	Whole       *Weighed      `json:"whole,omitempty"`
	Pieces      List[Weighed] `json:"pieces"`
	Unknown     List[string]  `json:"unknown"` // elements whose mass or solid is not known: not in the whole
	Lifts       List[Lift]    `json:"lifts"`
	Assumptions List[string]  `json:"assumptions"`
	Cautions    List[string]  `json:"cautions"`
}

// Weighed is a mass with its range, and its centre of gravity with the box in
// which it lies whatever the masses in their ranges. SITE.
type Weighed struct {
	ID       string `json:"id,omitempty"`
	MassKG   KG     `json:"mass_kg"` // with the middle of the weld allowance
	LowKG    KG     `json:"low_kg"`
	HighKG   KG     `json:"high_kg"`
	CentreMM Point  `json:"centre_mm"`
	WithinMM Bounds `json:"within_mm"`
}

// WeldJoint is a place where two pieces are to be welded.
type WeldJoint struct {
	A            string   `json:"a"`
	B            string   `json:"b"`
	Kind         string   `json:"kind"` // fillet, flare, groove, edge or point
	LengthMM     MM       `json:"length_mm"`
	Runs         int      `json:"runs"`
	AtMM         Point    `json:"at_mm"` // SITE
	ThickMM      MM       `json:"thickness_mm"`
	LegMM        MM       `json:"fillet_least_mm,omitzero"`
	WeldKG       KG       `json:"weld_kg"`
	OpenLeastDeg Deg      `json:"open_least_deg"` // angle between the faces along the seam
	OpenMostDeg  Deg      `json:"open_most_deg"`
	TightMM      MM       `json:"tight_mm,omitzero"` // of seam under 30°, where the toe cannot be welded
	Hangs        *Hanging `json:"hangs,omitempty"`
	Remedy       *Remedy  `json:"remedy,omitempty"`
}

// Hanging is what a joint holds by dead weight; Use is the share of 0.30 FEXX on
// its throat, left out where the seam carries nothing.
type Hanging struct {
	Element string  `json:"element"`
	Pieces  int     `json:"pieces"`
	Alone   bool    `json:"alone"`
	MassKG  KG      `json:"mass_kg"`
	ArmMM   MM      `json:"arm_mm"`
	Use     *Factor `json:"use,omitempty"`
}

// Remedy is what could take the place of a tack that does not scale.
type Remedy struct {
	Kind       string `json:"kind"`
	LengthMM   MM     `json:"length_mm"`
	DiameterMM MM     `json:"diameter_mm,omitzero"`
	ThickMM    MM     `json:"thickness_mm,omitzero"`
	Why        string `json:"why"`
}

// Lift is how a piece, or the whole, may hang from one hook: a first choice.
// Tensions are the worst over the range of the centre of gravity, dynamic factor
// included.
type Lift struct {
	Of         string       `json:"of"` // an element, or whole
	LoadKG     KG           `json:"load_kg,omitzero"`
	HookMM     *Point       `json:"hook_mm,omitempty"`
	HeadRoomMM MM           `json:"head_room_mm,omitzero"`
	TiltDeg    Deg          `json:"tilt_deg,omitzero"`
	Legs       List[Leg]    `json:"legs"`
	Hoist      string       `json:"hoist,omitempty"` // the job's smallest that carries it
	Used       *Factor      `json:"used,omitempty"`  // of its capacity
	WhyNot     string       `json:"why_not,omitempty"`
	Cautions   List[string] `json:"cautions"`
}

// Leg is a sling from a lug to the hook.
type Leg struct {
	Element  string `json:"element"`
	AtMM     Point  `json:"at_mm"`
	LengthMM MM     `json:"length_mm"`
	AngleDeg Deg    `json:"angle_deg"` // from horizontal, least
	TensionN Factor `json:"tension_n"`
}

// Haul is the work taken apart for the road.
type Haul struct {
	Sections    List[Load]    `json:"sections"`
	FieldWeldMM MM            `json:"field_weld_mm"`
	Cuts        List[Cutting] `json:"cuts"`
	Exact       bool          `json:"exact"` // no other way has fewer sections, or as few and less weld
	WhyNot      string        `json:"why_not,omitempty"`
	Assumptions List[string]  `json:"assumptions"`
	Cautions    List[string]  `json:"cautions"`
}

// Load is what travels as one piece, in the pose in which it rests.
type Load struct {
	Elements List[string] `json:"elements"`
	Mass     Weighed      `json:"mass"`
	LengthMM MM           `json:"length_mm,omitzero"`
	WidthMM  MM           `json:"width_mm,omitzero"`
	HeightMM MM           `json:"height_mm,omitzero"`
	Fits     bool         `json:"fits"`
	Why      string       `json:"why,omitempty"`
}

// Cutting is a joint that is left for the site.
type Cutting struct {
	A      string `json:"a"`
	B      string `json:"b"`
	WeldMM MM     `json:"weld_mm"`
}
