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

// Lands are the annuli of a wheel's faces from the middle outwards, where these
// are stepped: the first is the hub, the last the toothed rim.
type Lands []Land

// Land reaches from one diameter to another; its faces lie front_mm and back_mm
// from the middle of the rim's thickness, along the axis and against it.
type Land struct {
	FromDiameterMM MM `json:"from_diameter_mm"`
	ToDiameterMM   MM `json:"to_diameter_mm"`
	ThicknessMM    MM `json:"thickness_mm"`
	FrontMM        MM `json:"front_mm"`
	BackMM         MM `json:"back_mm"`
	FaceU95MM      MM `json:"face_u95_mm"`
}

func (l Lands) suits(key string) bool { return bare(key) }

func (l Lands) MarshalJSON() ([]byte, error) { return List[Land](l).MarshalJSON() }

func (l Lands) times(k float64) Value {
	out := make(Lands, len(l))
	for i, x := range l {
		for _, v := range []struct{ to, from *MM }{{&out[i].FromDiameterMM, &x.FromDiameterMM}, {&out[i].ToDiameterMM, &x.ToDiameterMM}, {&out[i].ThicknessMM, &x.ThicknessMM},
			{&out[i].FrontMM, &x.FrontMM}, {&out[i].BackMM, &x.BackMM}, {&out[i].FaceU95MM, &x.FaceU95MM}} {
			*v.to = MM(float64(*v.from) * k)
		}
	}
	return out
}

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
