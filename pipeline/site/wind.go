package site

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// directions of the wind, and the height of a band in which pressure and area count
// as even.
const (
	directions = 36
	bandMM     = 1000.0
)

// minimumPa is the least pressure of ASCE 7-16 29.7 on the area, strength level: 16 psf.
const minimumPa = 766.0

// Wind is what the wind does to a work.
type Wind struct {
	Preliminary string      `json:"preliminary"`
	Code        string      `json:"code"`
	Basis       []string    `json:"basis"`
	NotCovered  []string    `json:"not_covered"`
	FrequencyHz float64     `json:"frequency_hz"`
	Gust        float64     `json:"gust_factor,omitempty"` // absent: not covered, and no force is given
	Bands       []Band      `json:"bands"`
	Towards     []Direction `json:"directions"`
	Vortex      []Vortex    `json:"vortex"`
}

// preliminary stands on every result.
const preliminary = "preliminary check for a licensed engineer"

// Band is a layer of air.
type Band struct {
	LowMM      float64 `json:"low_mm"`
	HighMM     float64 `json:"high_mm"`
	PressurePa float64 `json:"pressure_pa"`
}

// Direction is a wind that blows towards an angle from x, counter-clockwise from above.
type Direction struct {
	TowardsDeg    float64      `json:"towards_deg"`
	SumMM2        []float64    `json:"sum_mm2"`        // by band: every piece's own area
	SilhouetteMM2 []float64    `json:"silhouette_mm2"` // by band: fully shielded bound
	Pieces        []PieceForce `json:"pieces"`
	MembersN      float64      `json:"members_n"`           // sum over pieces
	Solidity      float64      `json:"solidity"`            // silhouette over its rectangle
	LatticeN      float64      `json:"lattice_n,omitempty"` // by solidity, where a method is published
	ForceN        float64      `json:"force_n"`             // the larger
	BaseMomentNMM float64      `json:"base_moment_nmm"`     // of it about the ground
	loads         []NodeLoad
}

// PieceForce is what one piece takes.
type PieceForce struct {
	ID          string      `json:"id"`
	AreaMM2     float64     `json:"area_mm2"`
	Coefficient Coefficient `json:"coefficient"` // at the height of its middle
	WallsApart  bool        `json:"walls_apart"` // front and back walls both count
	ForceN      float64     `json:"force_n"`
}

// WindOn takes the wind of a code to a structure from 36 sides. frequenciesHz are its
// lowest, rising. Where its gust factor is not covered, areas and pressures are given, no forces.
func WindOn(s *Structure, p Pressure, frequenciesHz []float64) (Wind, error) {
	w := Wind{Preliminary: preliminary, Code: p.Code}
	edges, err := bandEdges(s.Pieces)
	if err != nil {
		return w, err
	}
	for i := range len(edges) - 1 {
		low := max(edges[i], 0)
		w.Bands = append(w.Bands, Band{low, edges[i+1], p.PaAt((low + edges[i+1]) / 2)})
	}
	if len(frequenciesHz) > 0 {
		w.FrequencyHz = frequenciesHz[0]
	}
	w.gust(p, edges[len(edges)-1])
	w.basis(p)
	for k := range directions / 2 { // the view from behind is the same, mirrored
		w.Towards = append(w.Towards, w.from(s, p, k, edges))
	}
	for k := range directions / 2 {
		w.Towards = append(w.Towards, w.Towards[k].turnedRound())
	}
	w.Vortex = vortexOf(s.Pieces, p, frequenciesHz)
	return w, nil
}

// bandEdges are heights from the ground, a metre apart.
func bandEdges(pieces []Piece) ([]float64, error) {
	top := 0.0
	for _, p := range pieces {
		if len(p.Triangles) == 0 {
			return nil, fmt.Errorf("%s has no surface: what it shows the wind is not known", p.name())
		}
		_, hi := p.heights()
		top = max(top, hi)
	}
	if !(top > 0) || top > 300e3 {
		return nil, fmt.Errorf("the work is %g m high; the wind is known from the ground to 300 m", top/1000)
	}
	n := int(math.Ceil(top / bandMM))
	out := []float64{-1e6} // what lies under the ground line counts in the lowest band
	for i := 1; i <= n; i++ {
		out = append(out, min(bandMM*float64(i), top))
	}
	return out, nil
}

// gust sets the factor of the code where the work lies in what it covers.
func (w *Wind) gust(p Pressure, highMM float64) {
	switch {
	case p.asce() && w.FrequencyHz >= 1:
		w.Gust = 0.85
		w.Basis = append(w.Basis, "gust factor 0.85: first frequency at least 1 Hz (ASCE 7 26.11)")
	case p.asce():
		w.NotCovered = append(w.NotCovered, fmt.Sprintf("gust factor: the first frequency, %.2f Hz, is under 1 Hz: a flexible structure, its forces are not given here", w.FrequencyHz))
	case highMM < 15e3:
		w.Gust = 1
		w.Basis = append(w.Basis, "structural factor 1: under 15 m high (EN 1991-1-4 6.2 (1) a, from memory)")
	default:
		w.NotCovered = append(w.NotCovered, "structural factor: at 15 m or more it has to be worked out; forces are not given here")
	}
}

func (w *Wind) basis(p Pressure) {
	w.Basis = append(w.Basis, "area: every piece's own, nothing shields anything; perforated, rolled, ring and coil pieces with front and back walls; silhouette beside it as the fully shielded bound")
	if p.asce() {
		w.Basis = append(w.Basis, "Kzt = 1 (flat ground), Ke = 1, Kd = 0.85; at least 766 N/m² (16 psf) on the area; strength level", "force by solidity: ASCE 7 table 29.4-2, on the silhouette over its rectangle, up to 0.7; the larger force is used")
	} else {
		w.Basis = append(w.Basis, "co = 1 (flat ground), cdir = cseason = 1, recommended values: look at the national annex")
		w.Basis = append(w.Basis, "force by solidity: EN 1991-1-4 7.11, plane lattice, on the silhouette over its rectangle, no end effect; figure 7.33 by the single-frame formula of TIA-222-G, which lies on its safe side; the larger force is used")
	}
	w.NotCovered = append(w.NotCovered, "hills, gaps between buildings, galloping, flutter, fatigue by vortex shedding, wind on ice")
}

// from is one direction.
func (w *Wind) from(s *Structure, p Pressure, k int, edges []float64) Direction {
	rad := 2 * math.Pi * float64(k) / directions
	d := Direction{TowardsDeg: 360 * float64(k) / directions, SumMM2: make([]float64, len(w.Bands))}
	way := r3.Vec{X: math.Cos(rad), Y: math.Sin(rad)}
	flat := 0.0
	for i, piece := range s.Pieces {
		lo, hi := piece.heights()
		f := PieceForce{ID: piece.Part.ID, WallsApart: piece.wallsApart(), Coefficient: piece.coefficient(p, p.PaAt((lo+hi)/2))}
		for b, a := range piece.shown(rad, edges) {
			if a.AreaMM2 == 0 {
				continue
			}
			q := w.Bands[b].PressurePa
			force := w.on(p, q, piece.coefficient(p, q).Value, a.AreaMM2)
			f.AreaMM2, f.ForceN = f.AreaMM2+a.AreaMM2, f.ForceN+force
			d.SumMM2[b] += a.AreaMM2
			d.BaseMomentNMM += force * a.HeightMM
			if force > 0 {
				d.loads = append(d.loads, s.pushed(i, a, way, force)...)
			}
		}
		if !piece.rounded() {
			flat += f.AreaMM2
		}
		d.MembersN += f.ForceN
		d.Pieces = append(d.Pieces, f)
	}
	w.lattice(&d, s, p, rad, edges, flat)
	return d
}

// on is the force on an area, at least that of the least pressure of the code.
func (w *Wind) on(p Pressure, q, cf, areaMM2 float64) float64 {
	f := windForce(q, w.Gust, cf, areaMM2*1e-6)
	if p.asce() && w.Gust > 0 {
		f = max(f, minimumPa*areaMM2*1e-6)
	}
	return f
}

// windForce is F = q G Cf A, ASCE 7-16 eq. 29.4-1.
func windForce(q, gust, cf, area float64) float64 { return q * gust * cf * area }

// lattice adds the silhouette and the force by solidity, and takes the larger.
func (w *Wind) lattice(d *Direction, s *Structure, p Pressure, rad float64, edges []float64, flat float64) {
	lo, hi := s.across(rad)
	solid, force, sum := 0.0, 0.0, 0.0
	for b, a := range silhouette(s.Pieces, rad, edges) {
		d.SilhouetteMM2 = append(d.SilhouetteMM2, a.AreaMM2)
		solid += a.AreaMM2
		sum += d.SumMM2[b]
	}
	if rect := (hi - lo) * edges[len(edges)-1]; rect > 0 {
		d.Solidity = solid / rect
	}
	d.ForceN = d.MembersN
	if p.asce() && d.Solidity > 0.7 || w.Gust == 0 || sum == 0 {
		return
	}
	for b, a := range d.SilhouetteMM2 {
		q := w.Bands[b].PressurePa
		share := flat / sum // flat-sided and rounded members side by side, by their areas
		cf := share*p.lattice(d.Solidity, false).Value + (1-share)*p.lattice(d.Solidity, true).Value
		force += w.on(p, q, cf, a)
	}
	d.LatticeN = force
	if force > d.MembersN && d.MembersN > 0 {
		k := force / d.MembersN
		d.ForceN, d.BaseMomentNMM = force, k*d.BaseMomentNMM
		for i := range d.loads {
			d.loads[i].Wrench = d.loads[i].Wrench.times(k)
		}
	}
}

// across is the width of the work square to a wind.
func (s *Structure) across(rad float64) (lo, hi float64) {
	sin, cos := math.Sincos(rad)
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, p := range s.Pieces {
		for _, x := range p.PointsMM {
			v := -sin*x.X + cos*x.Y
			lo, hi = min(lo, v), max(hi, v)
		}
	}
	return lo, hi
}

// pushed puts a force at the middle of a shown area on the nearest beam of the piece,
// shared by its ends as a lever shares it, with the moment that is left; on a rigid piece at its node.
func (s *Structure) pushed(piece int, a Shown, way r3.Vec, force float64) []NodeLoad {
	at := r3.Vec{X: -way.Y * a.AcrossMM, Y: way.X * a.AcrossMM, Z: a.HeightMM}
	push := Wrench{ForceN: r3.Scale(force, way)}
	seen := func(n int) r3.Vec { // how far along the wind does not matter
		x := s.Model.Nodes[n].AtMM
		return r3.Sub(x, r3.Scale(r3.Dot(x, way), way))
	}
	if len(s.BeamsOf[piece]) == 0 {
		n := s.NodesOf[piece][0]
		return []NodeLoad{{n, push.about(at, seen(n))}}
	}
	best, from, to, share, point := math.Inf(1), 0, 0, 0.0, r3.Vec{}
	for _, i := range s.BeamsOf[piece] {
		b := s.Model.Beams[i]
		p, d := seen(b.A), r3.Sub(seen(b.B), seen(b.A))
		k := 0.5
		if l := r3.Norm2(d); l > 0 {
			k = min(max(r3.Dot(r3.Sub(at, p), d)/l, 0), 1)
		}
		q := r3.Add(p, r3.Scale(k, d))
		if x := r3.Norm(r3.Sub(q, at)); x < best*(1-1e-12) {
			best, from, to, share, point = x, b.A, b.B, k, q
		}
	}
	left := push.about(at, point).MomentNMM
	return []NodeLoad{
		{from, Wrench{r3.Scale(1-share, push.ForceN), r3.Scale(1-share, left)}},
		{to, Wrench{r3.Scale(share, push.ForceN), r3.Scale(share, left)}},
	}
}

// turnedRound is the wind from the other side.
func (d Direction) turnedRound() Direction {
	d.TowardsDeg += 180
	loads := make([]NodeLoad, len(d.loads))
	for i, l := range d.loads {
		loads[i] = NodeLoad{Node: l.Node, Wrench: l.Wrench.times(-1)}
	}
	d.loads = loads
	return d
}

// Case is the direction's load on the frame.
func (d Direction) Case() Case { return Case{Nodes: d.loads} }
