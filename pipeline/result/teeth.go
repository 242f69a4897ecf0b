package result

import "encoding/json"

// WornTeeth are the teeth of a wheel that are not like the others.
type WornTeeth []WornTooth

// WornTooth counts from 0, the tooth that u points to, counter-clockwise about
// the axis.
type WornTooth struct {
	Tooth int    `json:"tooth"`
	What  string `json:"what"`  // worn, bent or missing
	ByMM  MM     `json:"by_mm"` // lacking height, or how far its middle is along the rim
}

// Chains are the roller chains that a wheel's seats fit, best first. Their
// lengths are the standards': they do not grow with the work.
type Chains []Chain

type Chain struct {
	Standard     string `json:"standard"`
	Number       string `json:"number,omitempty"` // ANSI
	ISO          string `json:"iso"`
	PitchMM      MM     `json:"pitch_mm"`
	RollerMM     MM     `json:"roller_diameter_mm"`
	InnerWidthMM MM     `json:"inner_width_mm"`
	FromMemory   bool   `json:"from_memory,omitempty"` // check this row against the standard
}

func (t WornTeeth) suits(key string) bool { return bare(key) }
func (c Chains) suits(key string) bool    { return bare(key) }

func (t WornTeeth) MarshalJSON() ([]byte, error) { return List[WornTooth](t).MarshalJSON() }
func (c Chains) MarshalJSON() ([]byte, error)    { return List[Chain](c).MarshalJSON() }

func (t WornTeeth) times(k float64) Value {
	out := make(WornTeeth, len(t))
	for i, x := range t {
		x.ByMM = MM(float64(x.ByMM) * k)
		out[i] = x
	}
	return out
}

// times leaves the chains: those of another scale are found anew.
func (c Chains) times(float64) Value { return c }

func marshal(v any) ([]byte, error) { return json.Marshal(v) }
