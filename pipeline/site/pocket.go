package site

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// Pocket is a place from which rain does not run off.
type Pocket struct {
	IDs       []string   `json:"ids"` // pieces under the water, most of it first
	VolumeL   float64    `json:"volume_l"`
	DepthMM   float64    `json:"depth_mm"`
	LevelMM   float64    `json:"level_mm"`    // of the brim over the ground
	LowestMM  [3]float64 `json:"lowest_mm"`   // where a drain goes
	AreaM2    float64    `json:"area_m2"`     // of the water when full
	OpenToSky bool       `json:"open_to_sky"` // else only what runs or blows in
	Advice    string     `json:"advice"`
}

// Cavity is room between pieces that nothing gets out of.
type Cavity struct {
	IDs     []string   `json:"ids"`
	VolumeL float64    `json:"volume_l"`
	AtMM    [3]float64 `json:"at_mm"`
}

// What is less is damp, not water (common practice, no source).
const (
	pocketLeastL  = 0.02
	pocketLeastMM = 3.0
)

// drainMM is the least drain that does not clog with leaves (from memory: 25 to 50 mm).
const drainMM = 25.0

// pocketsOf gathers voids that hold water to pockets, largest first, and those that
// nothing leaves to cavities.
func (f *flooded) pocketsOf(pieces []Piece) (pockets []Pocket, cavities []Cavity) {
	seen := make([]bool, len(f.voids))
	pockets, cavities = []Pocket{}, []Cavity{}
	closed := map[string]bool{}
	for _, h := range hollowsOf(pieces) {
		closed[h.ID] = h.Closed
	}
	within := make([]bool, len(pieces))
	for i, p := range pieces {
		within[i] = closed[p.Part.ID]
	}
	for i, v := range f.voids {
		if seen[i] || v.on < 0 || !(v.level > v.floor+pocketLeastMM/3) {
			continue
		}
		room := f.gather(i, seen)
		if math.IsInf(v.level, 1) {
			if c, ok := f.cavity(room, pieces); ok {
				cavities = append(cavities, c)
			}
			continue
		}
		if f.shut(room, within) {
			continue
		}
		if p := f.pocket(room, pieces); p.VolumeL >= pocketLeastL && p.DepthMM >= pocketLeastMM {
			pockets = append(pockets, p)
		}
	}
	sortBy(pockets, func(p Pocket) float64 { return -p.VolumeL })
	sortBy(cavities, func(c Cavity) float64 { return -c.VolumeL })
	return pockets, cavities
}

// gather follows water of one level from void to void.
func (f *flooded) gather(from int, seen []bool) []int {
	room := []int{from}
	seen[from] = true
	level := f.voids[from].level
	for k := 0; k < len(room); k++ {
		f.around(room[k], func(n int, pass float64) {
			u := f.voids[n]
			if !seen[n] && u.on >= 0 && u.level == level && u.level > u.floor && pass <= level {
				seen[n] = true
				room = append(room, n)
			}
		})
	}
	return room
}

// shut tells that the lowest place of a room lies in the bore of a piece whose ends are
// shut: what fit-up leaves open there is closed by its weld.
func (f *flooded) shut(room []int, closed []bool) bool {
	low := f.voids[room[0]]
	for _, k := range room {
		if v := f.voids[k]; v.floor < low.floor {
			low = v
		}
	}
	return low.on == low.under && closed[low.on]
}

func (f *flooded) pocket(room []int, pieces []Piece) Pocket {
	p := Pocket{LevelMM: f.voids[room[0]].level}
	under := map[int]int{}
	for _, k := range room {
		v := f.voids[k]
		deep := min(v.level, v.ceiling) - v.floor
		p.VolumeL += deep * f.pitch * f.pitch / 1e6
		p.AreaM2 += f.pitch * f.pitch / 1e6
		p.OpenToSky = p.OpenToSky || v.under < 0
		under[v.on]++
		if deep > p.DepthMM {
			x, y := f.at(v.column%f.nx, v.column/f.nx)
			p.DepthMM, p.LowestMM = deep, [3]float64{x, y, v.floor}
		}
	}
	p.IDs = named(under, pieces)
	p.Advice = fmt.Sprintf("drain of %.0f mm or more through %s at x %.0f, y %.0f, z %.0f mm", drainMM, p.IDs[0], p.LowestMM[0], p.LowestMM[1], p.LowestMM[2])
	if len(p.IDs) > 1 {
		p.Advice += "; or fill the trough with weld so that it sheds"
	}
	if !p.OpenToSky {
		p.Advice += "; no rain falls in, only what runs or blows"
	}
	return p
}

// cavity is left to the piece's own bore where a closed hollow piece bounds it.
func (f *flooded) cavity(room []int, pieces []Piece) (Cavity, bool) {
	var c Cavity
	about := map[int]int{}
	for _, k := range room {
		v := f.voids[k]
		if math.IsInf(v.ceiling, 1) {
			return c, false
		}
		x, y := f.at(v.column%f.nx, v.column/f.nx)
		high := v.ceiling - v.floor
		c.VolumeL += high * f.pitch * f.pitch / 1e6
		for i, q := range [3]float64{x, y, (v.floor + v.ceiling) / 2} {
			c.AtMM[i] += q / float64(len(room))
		}
		about[v.on]++
		about[v.under]++
	}
	for i := range about {
		if _, bored := pieces[i].hollow(); bored {
			return c, false
		}
	}
	c.IDs = named(about, pieces)
	return c, c.VolumeL >= pocketLeastL
}

// named lists pieces by how often they were met.
func named(count map[int]int, pieces []Piece) []string {
	var at []int
	for i := range count {
		at = append(at, i)
	}
	slices.SortFunc(at, func(a, b int) int { return cmp.Or(cmp.Compare(count[b], count[a]), cmp.Compare(a, b)) })
	var ids []string
	for _, i := range at {
		ids = append(ids, pieces[i].Part.ID)
	}
	return ids
}
