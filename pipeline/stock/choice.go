package stock

// Family is like pieces: they have one size of stock. Its letter and their
// numbers make the piece marks A1, A2, …; pieces that are the same in everything
// share a mark.
type Family struct {
	Letter  string // A, B … Z, AA …
	Class   string // what of the pieces leads: see Lead
	Members []int  // indices of parts, rising
	Marks   []string
	Lead    []Lead
	Pin     string // stock that the user named for all of them
	Made    bool   // they exist at full size
}

// Lead is a size that is seen and that stock has to match: the mean of the
// family at full size.
//
//	class      leads
//	hollow     outside_diameter_mm (a bore was seen)
//	round      outside_diameter_mm (no bore was seen)
//	flat       thickness_mm
//	rolled     thickness_mm (plate that is bent)
//	strip      thickness_mm, width_mm
//	box        height_mm, width_mm
//	angle      height_mm, width_mm (legs), thickness_mm
//	shape      height_mm, width_mm (smallest box round another section)
//	formed     diameter_mm, or large_diameter_mm
//	free       none
type Lead struct {
	Key     string
	ValueMM float64
	U95MM   float64
}

// Pick is what a family is made of.
type Pick struct {
	Family
	Size  Size   // of stock; where Route is set, the section that it makes
	Route *Route // nil: stock as bought
	// Missing: nothing in the tables makes it; Size is empty.
	Missing bool
	Pinned  bool
	End     string // how an open end is seen: plain, scaled wall, lip ring, end plate; empty where none is

	Nearest, Below, Above *Size // by what leads, whatever the limit; nil where there is none

	ChangeMM    float64 // stock less scan, of the lead that changes most against its limit
	ChangeShare float64
	ChangeU95MM float64
	ChangeOf    string // key of that lead
	Within      bool   // the change is within the limit
	WhyWall     string
	Each        []Each  // aligned with Members
	EndMassKG   float64 // lip rings or end plates, of all pieces
	MassKG      float64 // of all pieces, EndMassKG included
}

// Each is one piece of a family.
type Each struct {
	Part        int
	ChangeMM    float64 // of the lead that ChangeOf names, against this piece alone
	ChangeShare float64
	MassKG      float64 // 0 where its length is not known
	MassWhyNot  string  // why there is none
}

// Route is how a section for which no stock is sold is made.
type Route struct {
	Kind        string  // rolled, mitred, turned, laminated, machined, built up, formed
	From        []Size  // stock that it is made of
	DevelopedMM float64 // rolled, mitred: width of the plate round the tube; built up shape: round the section
	Seams       int     // along the length
	Segments    int     // mitred: straight lengths in a whole turn
	TakeOffMM   float64 // turned: of the diameter; machined: of the thickness
	StripMM     float64 // built up: width of the edge strip
	Text        string  // in words, with its numbers
}

// Decision is a choice that the user may turn round.
type Decision struct {
	Parts  []int
	Letter string
	What   string
	Taken  string
	Ways   []Way
}

// Way is one answer to a decision.
type Way struct {
	Name     string
	Mark     string // stock, for a pin; empty where no pin says it
	ChangeMM float64
	MassKG   float64 // more than the way taken (less where negative), of all pieces together
	Text     string
}

// Choice is the stock of a whole work.
type Choice struct {
	Families  []Pick
	Decisions []Decision
	Sizes     int // different ones bought
	Missing   int // pieces without stock
	Cost      float64
	// LowerBound of the cost of any choice; GapShare = (Cost − LowerBound) / Cost.
	// Exact says that the search came to its end.
	LowerBound, GapShare float64
	Exact                bool
	Terms                Terms

	catalogue Catalogue
	options   Options
}

// Terms are the parts of a choice's cost, by which it may be checked.
type Terms struct{ Change, Metal, Sizes, Work float64 }

// Options of the choice. Every weight is in units of one piece that is changed by
// the whole of its limit: common practice, no source.
type Options struct {
	ChangeShare float64  // limit of the change of a size, as a share of it
	ChangeMM    float64  // and in mm, whichever is smaller
	WallMinMM   float64  // least nominal wall, for strength; also of plate that tubes are rolled of
	Grade       string   // of materials.csv, as "ASTM A36"
	Ban         []string // forms (pipe), routes (turned), standards or marks that are not to be used

	ChangeWeight float64 // a piece changed by its limit; grows with the square
	MetalWeight  float64 // a piece twice as heavy as the lightest candidate
	SizeWeight   float64 // one more size to buy
	EndWeight    float64 // a lip ring or an end plate
	Steps        int     // of the search, before it stops with a gap
}

// DefaultOptions are the limits of the contract, 3 % and 6 mm, and middling weights.
func DefaultOptions() Options {
	return Options{ChangeShare: 0.03, ChangeMM: 6, WallMinMM: 5, Grade: "ASTM A36",
		ChangeWeight: 1, MetalWeight: 0.5, SizeWeight: 1, EndWeight: 0.3, Steps: 200_000}
}
