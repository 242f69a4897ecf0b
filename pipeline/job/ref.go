package job

import (
	"encoding/json"
	"fmt"
)

// Ref points at a piece: by its name or id, or by a point on it in scan units.
type Ref struct {
	Name string
	At   *[3]float64
}

// MarshalJSON writes a name as a string and a point as three numbers.
func (r Ref) MarshalJSON() ([]byte, error) {
	if r.At != nil {
		return json.Marshal(r.At)
	}
	return json.Marshal(r.Name)
}

// UnmarshalJSON reads what MarshalJSON writes.
func (r *Ref) UnmarshalJSON(data []byte) error {
	*r = Ref{}
	if len(data) > 0 && data[0] == '"' {
		return json.Unmarshal(data, &r.Name)
	}
	var at []float64
	if err := json.Unmarshal(data, &at); err != nil {
		return err
	}
	if len(at) != 3 {
		return fmt.Errorf("a point has %d numbers; give 3", len(at))
	}
	r.At = &[3]float64{at[0], at[1], at[2]}
	return nil
}
