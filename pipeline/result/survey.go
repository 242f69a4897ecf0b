package result

// Sections are the outlines of a freeform at even stations along its reference
// direction.
type Sections []Section

// Section is one station: closed loops, open ones where the scan is open, each a
// polyline of u, v across the reference direction.
type Section struct {
	StationMM MM            `json:"station_mm"` // from the middle of the smallest box
	LoopsMM   List[Polygon] `json:"loops_mm"`
}

// Polygon is a polyline; a closed one ends where it starts.
type Polygon List[[2]MM]

func (p Polygon) MarshalJSON() ([]byte, error) { return List[[2]MM](p).MarshalJSON() }

func (s Sections) suits(key string) bool { return bare(key) }

func (s Sections) MarshalJSON() ([]byte, error) { return List[Section](s).MarshalJSON() }

func (s Sections) times(k float64) Value {
	out := make(Sections, len(s))
	for i, x := range s {
		loops := make(List[Polygon], len(x.LoopsMM))
		for j, l := range x.LoopsMM {
			loops[j] = make(Polygon, len(l))
			for m := range l {
				loops[j][m] = *pair(&l[m], k)
			}
		}
		out[i] = Section{MM(float64(x.StationMM) * k), loops}
	}
	return out
}

func (x MM2) times(k float64) Value { return MM2(float64(x) * k * k) }
func (x MM3) times(k float64) Value { return MM3(float64(x) * k * k * k) }
func (x MM2) suits(key string) bool { return endsIn(key, "_mm2") }
func (x MM3) suits(key string) bool { return endsIn(key, "_mm3") }
