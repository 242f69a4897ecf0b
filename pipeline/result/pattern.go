package result

// Pattern is how like holes of a piece are set out; a lattice has rows, a ring a
// circle. Lengths in mm, in the element's u, v.
type Pattern struct {
	Arrangement        string      `json:"arrangement"` // square, rectangular, staggered_60, staggered_45, staggered, oblique, row or ring
	Shape              string      `json:"shape"`       // of the median hole
	DiameterMM         *MM         `json:"diameter_mm,omitempty"`
	AcrossMM           *[2]MM      `json:"across_mm,omitempty"`
	HoleCount          int         `json:"hole_count"`
	MissingCount       int         `json:"missing_count"`
	OtherCount         int         `json:"other_count"` // holes of the piece that are not in it
	RowCount           int         `json:"row_count,omitempty"`
	ColumnCount        int         `json:"column_count,omitempty"`
	PitchAlongMM       *MM         `json:"pitch_along_mm,omitempty"`  // of neighbours in a row
	PitchAcrossMM      *MM         `json:"pitch_across_mm,omitempty"` // of rows
	CentresMM          *MM         `json:"centres_mm,omitempty"`      // least distance of two holes
	RowsDeg            *Deg        `json:"rows_deg,omitempty"`        // of the rows against u
	CircleDiameterMM   *MM         `json:"circle_diameter_mm,omitempty"`
	StepDeg            *Deg        `json:"step_deg,omitempty"`
	CentreMM           [2]MM       `json:"centre_mm"`
	PitchU95MM         MM          `json:"pitch_u95_mm"` // of a pitch or the circle
	ScatterMM          MM          `json:"scatter_mm"`   // rms distance of holes from their places
	OpenPercent        *Factor     `json:"open_area_percent,omitempty"`
	OpenFormulaPercent *Factor     `json:"open_area_formula_percent,omitempty"`
	MissingMM          List[[2]MM] `json:"missing_mm"` // at most 200 places
}

func (p Pattern) suits(key string) bool { return bare(key) }

func (p Pattern) MarshalJSON() ([]byte, error) {
	type plain Pattern
	return marshal(plain(p))
}

func (p Pattern) times(k float64) Value {
	for _, x := range []**MM{&p.DiameterMM, &p.PitchAlongMM, &p.PitchAcrossMM, &p.CentresMM, &p.CircleDiameterMM} {
		*x = length(*x, k)
	}
	p.AcrossMM, p.CentreMM = pair(p.AcrossMM, k), *pair(&p.CentreMM, k)
	p.PitchU95MM, p.ScatterMM = MM(float64(p.PitchU95MM)*k), MM(float64(p.ScatterMM)*k)
	missing := make(List[[2]MM], len(p.MissingMM))
	for i := range p.MissingMM {
		missing[i] = *pair(&p.MissingMM[i], k)
	}
	p.MissingMM = missing
	return p
}

// BoltCircle is the ring of round holes about a wheel's axis.
type BoltCircle struct {
	HoleCount        int `json:"hole_count"`
	MissingCount     int `json:"missing_count"`
	HoleDiameterMM   MM  `json:"hole_diameter_mm"`
	CircleDiameterMM MM  `json:"circle_diameter_mm"`
	CircleU95MM      MM  `json:"circle_u95_mm"`
}

func (b BoltCircle) suits(key string) bool { return bare(key) }

func (b BoltCircle) MarshalJSON() ([]byte, error) {
	type plain BoltCircle
	return marshal(plain(b))
}

func (b BoltCircle) times(k float64) Value {
	for _, x := range []*MM{&b.HoleDiameterMM, &b.CircleDiameterMM, &b.CircleU95MM} {
		*x = MM(float64(*x) * k)
	}
	return b
}
