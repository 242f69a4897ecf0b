package site

import "math"

// Streak is where rain that ran over a piece above the ground lands: where rust and dirt
// will mark the plinth or the ground.
type Streak struct {
	From     string     `json:"from"`
	On       string     `json:"on"` // id of a piece that stands on the ground, or ground
	AtMM     [3]float64 `json:"at_mm"`
	LengthMM float64    `json:"length_mm"` // corner to corner of where most of it lands
	RainM2   float64    `json:"rain_m2"`   // plan area that drains there: a litre a millimetre of rain on each
}

// A drop falls where the metal ends over something this much lower; streaks nearer to
// each other than joinMM are one; what drains less than streakLeastM2 is not listed.
const (
	dropMM        = 20.0
	joinMM        = 60.0
	streakLeastM2 = 0.01
)

// drip is where a piece drips to.
type drip struct{ piece, to int }

// streaks lets a millimetre of rain fall on the work and follows it by the way by which
// each void drains.
func (f *flooded) streaks(pieces []Piece) []Streak {
	rain, standing := f.gathered(), standingOn(pieces)
	landed := map[drip]float64{}
	var drips []drip
	for _, i := range f.order {
		v, to := f.voids[i], f.parent[i]
		if v.on < 0 || to < 0 || rain[i] == 0 || standing[v.on] {
			continue
		}
		u := f.voids[to]
		if v.floor-u.floor < dropMM || u.on >= 0 && !standing[u.on] {
			continue
		}
		d := drip{v.on, to}
		if landed[d] == 0 {
			drips = append(drips, d)
		}
		landed[d] += rain[i]
	}
	out := []Streak{}
	done := map[drip]bool{}
	for _, d := range drips {
		if done[d] {
			continue
		}
		if s := f.streak(d, landed, done, pieces); s.RainM2 >= streakLeastM2 {
			out = append(out, s)
		}
	}
	sortBy(out, func(s Streak) float64 { return -s.RainM2 })
	return out
}

// gathered is the plan area in m² whose rain passes each void.
func (f *flooded) gathered() []float64 {
	rain := make([]float64, len(f.voids))
	for i, v := range f.voids {
		if v.under < 0 && v.on >= 0 {
			rain[i] = f.pitch * f.pitch / 1e6
		}
	}
	for k := len(f.order) - 1; k >= 0; k-- {
		if i := f.order[k]; f.parent[i] >= 0 {
			rain[f.parent[i]] += rain[i]
		}
	}
	return rain
}

// standingOn marks the pieces that stand on the ground.
func standingOn(pieces []Piece) []bool {
	out := make([]bool, len(pieces))
	for i, p := range pieces {
		low, _, _ := p.lowest(0)
		out[i] = low <= DefaultOptions().GroundMM
	}
	return out
}

// streak joins drips of one piece that land near each other.
func (f *flooded) streak(first drip, landed map[drip]float64, done map[drip]bool, pieces []Piece) Streak {
	on := f.voids[first.to].on
	s := Streak{From: pieces[first.piece].Part.ID, On: "ground"}
	if on >= 0 {
		s.On = pieces[on].Part.ID
	}
	list := []drip{first}
	done[first] = true
	most := 0.0
	for k := 0; k < len(list); k++ {
		w := landed[list[k]]
		x, y, z := f.floorOf(list[k].to)
		for i, q := range [3]float64{x, y, z} {
			s.AtMM[i] += w * q
		}
		s.RainM2, most = s.RainM2+w, max(most, w)
		f.near(list[k].to, func(n int) {
			d := drip{first.piece, n}
			if !done[d] && landed[d] > 0 && f.voids[n].on == on {
				done[d] = true
				list = append(list, d)
			}
		})
	}
	lo, hi := [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
	for _, d := range list {
		if landed[d] >= most/10 {
			x, y, _ := f.floorOf(d.to)
			lo, hi = [2]float64{min(lo[0], x), min(lo[1], y)}, [2]float64{max(hi[0], x), max(hi[1], y)}
		}
	}
	for i := range s.AtMM {
		s.AtMM[i] /= s.RainM2
	}
	s.LengthMM = math.Hypot(hi[0]-lo[0], hi[1]-lo[1])
	return s
}

func (f *flooded) floorOf(n int) (x, y, z float64) {
	v := f.voids[n]
	x, y = f.at(v.column%f.nx, v.column/f.nx)
	return x, y, v.floor
}

// near calls for the voids of all columns within joinMM.
func (f *flooded) near(at int, do func(n int)) {
	reach := int(math.Ceil(joinMM / f.pitch))
	ci, cj := f.voids[at].column%f.nx, f.voids[at].column/f.nx
	for j := max(cj-reach, 0); j <= min(cj+reach, f.ny-1); j++ {
		for i := max(ci-reach, 0); i <= min(ci+reach, f.nx-1); i++ {
			for n := f.first[j*f.nx+i]; n < f.first[j*f.nx+i+1]; n++ {
				do(n)
			}
		}
	}
}
