package result

// Rig is what lifters need to know first.
type Rig struct {
	Whole       *Weighed      `json:"whole,omitempty"`
	Pieces      List[Weighed] `json:"pieces"`
	Unknown     List[string]  `json:"unknown"` // elements whose mass or solid is not known: not in the whole
	Lifts       List[Lift]    `json:"lifts"`
	Turns       List[Turn]    `json:"turns"`
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
	Hoist      string       `json:"hoist,omitempty"`  // the job's smallest that carries it
	Used       *Factor      `json:"used,omitempty"`   // of its capacity
	Tandem     *Tandem      `json:"tandem,omitempty"` // two hoists, where one does not carry it: legs are then of no use
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

// Tandem is a load on two hoists, each by a vertical line.
type Tandem struct {
	Hoists   List[Holding] `json:"hoists"`
	Derating Factor        `json:"derating"` // each must be able to lift so many times its share
}

// Holding is one hoist of several: the share at the worst place of the centre of
// gravity, what the hoist needs for it with the derating, and that over its
// capacity.
type Holding struct {
	Hoist      string `json:"hoist"`
	CapacityKG KG     `json:"capacity_kg"`
	Element    string `json:"element"`
	AtMM       Point  `json:"at_mm"`
	ShareKG    KG     `json:"share_kg"`
	NeededKG   KG     `json:"needed_kg"`
	Used       Factor `json:"used"`
}

// Turn is how a load that lies, as it is welded or travels, is turned up to where
// it stands: on its foot, by a head line that pulls straight up. Loads are the worst
// over the range of the centre of gravity, dynamic factor included. Where ByDeg is
// 0 it lies as it stands.
type Turn struct {
	Of           string         `json:"of"` // as of a lift
	LengthMM     MM             `json:"length_mm,omitzero"`
	WidthMM      MM             `json:"width_mm,omitzero"`
	HeightMM     MM             `json:"height_mm,omitzero"` // as it lies
	ByDeg        Deg            `json:"by_deg"`
	Head         *Lug           `json:"head,omitempty"`
	HeadMostKG   KG             `json:"head_most_kg,omitzero"`
	HeadMostN    Factor         `json:"head_most_n,omitzero"`
	FootMostKG   KG             `json:"foot_most_kg,omitzero"`
	HeadRoomMM   MM             `json:"head_room_mm,omitzero"`
	AloneFromDeg *Deg           `json:"alone_from_deg,omitempty"` // from there on one end can carry all
	Hoist        string         `json:"hoist,omitempty"`
	Used         *Factor        `json:"used,omitempty"`
	Poses        List[TurnPose] `json:"poses"`
	WhyNot       string         `json:"why_not,omitempty"`
	Assumptions  List[string]   `json:"assumptions"`
	Cautions     List[string]   `json:"cautions"`
}

// Lug is where a line holds a piece, SITE, as it stands.
type Lug struct {
	Element string `json:"element"`
	AtMM    Point  `json:"at_mm"`
}

// TurnPose is one step of a turn, lying on the floor at the turn's own place. Below
// is how far the centre of gravity stays under the line from foot to head, at
// least; sideways how far it lies off the upright plane through them, at most.
type TurnPose struct {
	TurnDeg    Deg    `json:"turn_deg"`
	HeadMM     Point  `json:"head_mm"`
	FootMM     Point  `json:"foot_mm"`
	CentreMM   Point  `json:"centre_mm"`
	HeadKG     KG     `json:"head_kg"`
	FootKG     KG     `json:"foot_kg"`
	BelowMM    MM     `json:"below_mm"`
	SidewaysMM MM     `json:"sideways_mm"`
	Holds      string `json:"holds"` // shared, head alone or tail alone
}

// Haul is the work taken apart for the road.
type Haul struct {
	Sections    List[Load]    `json:"sections"`
	FieldWeldMM MM            `json:"field_weld_mm"`
	Cuts        List[Cutting] `json:"cuts"`
	OnSite      *Benched      `json:"on_site,omitempty"` // in which order sections are set, where there are several
	Exact       bool          `json:"exact"`             // no other way has fewer sections, or as few and less weld
	WhyNot      string        `json:"why_not,omitempty"`
	Assumptions List[string]  `json:"assumptions"`
	Cautions    List[string]  `json:"cautions"`
}

// Load is what travels as one piece, in the pose in which it rests.
type Load struct {
	Elements List[string]  `json:"elements"`
	Mass     Weighed       `json:"mass"`
	LengthMM MM            `json:"length_mm,omitzero"`
	WidthMM  MM            `json:"width_mm,omitzero"`
	HeightMM MM            `json:"height_mm,omitzero"`
	Down     *Vector       `json:"down,omitempty"` // in SITE: what points down, and along the bed, as it lies
	Along    *Vector       `json:"along,omitempty"`
	TipDeg   Deg           `json:"tip_deg"` // lean of the bed at which it tips, least; 0: it can tip as it lies
	Fits     bool          `json:"fits"`
	Why      string        `json:"why,omitempty"`
	Route    List[Passing] `json:"route"`
}

// Passing is a section at one passage of the job's route, from 1: the width that
// it sweeps with the fixed axle under its middle, and at its end; left out where the
// curve is too tight for it.
type Passing struct {
	Passage    int    `json:"passage"`
	WidthMM    *MM    `json:"width_mm,omitempty"` // of the passage, as the radius of its middle and the slope
	RadiusMM   *MM    `json:"radius_mm,omitempty"`
	SlopeDeg   *Deg   `json:"slope_deg,omitempty"`
	SweptMinMM *MM    `json:"swept_least_mm,omitempty"`
	SweptMaxMM *MM    `json:"swept_most_mm,omitempty"`
	RoomMM     *MM    `json:"room_mm,omitempty"` // width of the passage less the least swept
	Passes     string `json:"passes"`            // passes, depends, too narrow or not judged
	Stands     bool   `json:"stands"`            // it does not tip on the slope
}

// Cutting is a joint that is left for the site.
type Cutting struct {
	A      string `json:"a"`
	B      string `json:"b"`
	WeldMM MM     `json:"weld_mm"`
}
