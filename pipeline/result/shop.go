package result

// Shop is what is cut and bought.
type Shop struct {
	CutList    List[Cut]     `json:"cut_list"`
	Nesting    List[Nesting] `json:"nesting"`
	Purchase   List[Item]    `json:"purchase"`
	Simplify   List[Simple]  `json:"simplify"`
	WeldKG     KG            `json:"weld_kg"`
	Splices    List[Splice]  `json:"splices"`
	NotCovered List[string]  `json:"not_covered"`
}

// Cut is a line of the cut list.
type Cut struct {
	Mark      string       `json:"mark"`
	Of        string       `json:"of,omitempty"`
	Quantity  int          `json:"quantity"`
	Elements  List[string] `json:"elements"`
	Kind      string       `json:"kind"`
	Name      string       `json:"name,omitempty"`
	Stock     string       `json:"stock,omitempty"`
	From      string       `json:"from,omitempty"` // bar or plate
	LengthMM  *MM          `json:"length_mm,omitempty"`
	WidthMM   *MM          `json:"width_mm,omitempty"`
	FeetIn    string       `json:"length_ft_in,omitempty"`
	Ends      List[string] `json:"ends,omitzero"`
	MassKG    *KG          `json:"mass_kg,omitempty"` // of one
	Processes List[string] `json:"processes"`
	CutMM     MM           `json:"cut_mm,omitzero"` // by torch or beam, one piece
	Pierces   int          `json:"pierces,omitzero"`
	SawCuts   int          `json:"saw_cuts,omitzero"`
	Bends     int          `json:"bends,omitzero"`
	Lead      bool         `json:"lead"` // order first
	Notes     List[string] `json:"notes"`
}

// Nesting is how everything of one stock is cut.
type Nesting struct {
	Stock    string         `json:"stock"`
	Process  string         `json:"process"`
	KerfMM   MM             `json:"kerf_mm"`
	Problem  string         `json:"problem,omitempty"`
	Bars     List[Bar]      `json:"bars,omitzero"`
	Sheets   List[CutSheet] `json:"sheets,omitzero"`
	Bought   Factor         `json:"bought"` // mm of bar, mm² of sheet
	Bound    Factor         `json:"bound"`  // no plan buys less
	GapShare Share          `json:"gap_share"`
	Yield    Share          `json:"yield"` // pieces over what is bought
}

// Bar is one bar, or count bars that are cut alike.
type Bar struct {
	StockMM   MM           `json:"stock_mm"`
	Count     int          `json:"count"`
	Cuts      List[BarCut] `json:"cuts"`
	RemnantMM MM           `json:"remnant_mm"`
}

// BarCut is a number of like pieces of one bar.
type BarCut struct {
	Mark     string `json:"mark"`
	LengthMM MM     `json:"length_mm"`
	Quantity int    `json:"quantity"`
}

// CutSheet is one sheet.
type CutSheet struct {
	LengthMM MM           `json:"length_mm"`
	WidthMM  MM           `json:"width_mm"`
	Pieces   List[Placed] `json:"pieces"`
}

// Placed is a piece on a sheet.
type Placed struct {
	Mark     string `json:"mark"`
	AtMM     [2]MM  `json:"at_mm"`
	LengthMM MM     `json:"length_mm"`
	WidthMM  MM     `json:"width_mm"`
	Turned   bool   `json:"turned"`
}

// Item is something to buy.
type Item struct {
	Stock    string       `json:"stock"`
	Standard string       `json:"standard"`
	Count    int          `json:"count"`
	LengthMM MM           `json:"length_mm"`
	WidthMM  MM           `json:"width_mm,omitzero"`
	MassKG   KG           `json:"mass_kg"`
	Lead     bool         `json:"lead"`
	For      List[string] `json:"for"` // marks
}

// Splice is a joint within a piece, since its stock is too short.
type Splice struct {
	Mark   string `json:"mark"`
	Along  string `json:"along"`
	AtMM   MM     `json:"at_mm"`
	SeamMM MM     `json:"seam_mm"`
}

// Simple is a way to make a piece.
type Simple struct {
	Mark     string `json:"mark"`
	Way      string `json:"way"`
	ChangeMM MM     `json:"change_mm"`
	MassKG   KG     `json:"mass_kg"`
	Hours    Hours  `json:"hours"`
	Text     string `json:"text"`
}

// Cost is an estimate of hours and, where the job gives rates, of money.
type Cost struct {
	Currency    string         `json:"currency,omitempty"`
	Priced      bool           `json:"priced"` // every rate that is needed is given
	Lines       List[CostLine] `json:"lines"`
	NetKG       KG             `json:"net_kg"`
	UsedKG      KG             `json:"used_kg"` // bought less remnants that are kept
	BoughtKG    KG             `json:"bought_kg"`
	WeldKG      KG             `json:"weld_kg"`
	Hours       Hours          `json:"hours"`
	HoursLow    Hours          `json:"hours_low"`
	HoursHigh   Hours          `json:"hours_high"`
	Money       *Money         `json:"money,omitempty"`
	MoneyLow    *Money         `json:"money_low,omitempty"`
	MoneyHigh   *Money         `json:"money_high,omitempty"`
	Assumptions List[string]   `json:"assumptions"`
}

// CostLine is one kind of work or material.
type CostLine struct {
	What     string `json:"what"`
	Quantity Factor `json:"quantity"`
	Unit     string `json:"unit"`
	Hours    Hours  `json:"hours,omitzero"`
	Money    *Money `json:"money,omitempty"`
}
