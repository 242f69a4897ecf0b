package result

// Revision is what a new scan or choice changes among pieces that exist at full size
// (made in the job). They keep the size to which they were cut.
type Revision struct {
	Pieces      List[Revised] `json:"pieces"`
	Assumptions List[string]  `json:"assumptions"`
	Cautions    List[string]  `json:"cautions"`
}

// Revised is one such piece: what it was cut to and what it would be cut to now.
type Revised struct {
	ID       string          `json:"id"`
	Name     string          `json:"name"`
	From     string          `json:"from"` // where its size is known from: an earlier run, the stock named in the job, or the scan
	WasKind  string          `json:"was_kind,omitempty"`
	WasStock string          `json:"was_stock,omitempty"`
	NowStock string          `json:"now_stock,omitempty"`
	Changes  List[Change]    `json:"changes"`
	Changed  bool            `json:"changed"` // a size by more than its tolerance, or its kind or stock
	Joints   List[MadeJoint] `json:"joints"`
}

// Change is a size, in the unit that its key ends in; ± is that of ISO 13920 for
// the job's class.
type Change struct {
	Key         string `json:"key"`
	Was         Factor `json:"was"`
	Now         Factor `json:"now"`
	By          Factor `json:"by"`
	PlusMinusMM *MM    `json:"plus_minus_mm,omitempty"`
	Within      bool   `json:"within"`
}

// MadeJoint is a joint of a made piece: the gap, or overlap below 0, that is left.
type MadeJoint struct {
	With   string `json:"with"`
	GapMM  MM     `json:"gap_mm"`
	Closes bool   `json:"closes"`
}
