package result

// Relation is something that elements have in common within uncertainty, at
// maquette scale.
//
// Elements and To are ids; To is the other side of a perpendicular. Residual is
// the largest departure and Within the uncertainty (99.7 %) that it keeps to, both
// in Unit. Value is the size or step that is common. Chance is the share of false
// ones to expect among relations of this kind.
type Relation struct {
	Kind     string       `json:"kind"`
	Of       string       `json:"of"`
	Elements List[string] `json:"elements"`
	To       List[string] `json:"to,omitzero"`
	Value    *MM          `json:"value_mm,omitempty"`
	Step     *Deg         `json:"step_deg,omitempty"`
	Residual Factor       `json:"residual"`
	Within   Factor       `json:"within"`
	Unit     string       `json:"unit"` // mm or deg
	Chance   Share        `json:"chance"`
	AtMM     *Point       `json:"at_mm,omitempty"` // mirrored: a point of the plane, SCAN
	Normal   *Vector      `json:"normal,omitempty"`
}
