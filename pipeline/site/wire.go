package site

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Wire is the frame as it is drawn, with what a few cases do to it.
//
// Shapes: Beams and Links name Nodes; a case has a shift a node and a pair a beam.
type Wire struct {
	NodesMM [][3]float64 `json:"nodes_mm"`
	Beams   []WireBeam   `json:"beams"`
	Links   [][2]int     `json:"links"`
	Cases   []WireCase   `json:"cases"`
}

// WireBeam is a stretch of a piece.
type WireBeam struct {
	A  int    `json:"a"`
	B  int    `json:"b"`
	ID string `json:"id"`
}

// WireCase is a load case or a sum of them.
type WireCase struct {
	Name       string       `json:"name"`
	TowardsDeg *float64     `json:"towards_deg,omitempty"`
	ShiftMM    [][3]float64 `json:"shift_mm"`
	BendingNMM [][2]float64 `json:"bending_nmm"` // at both ends of a beam, of both ways together
	Use        [][2]float64 `json:"use"`         // stress over what is allowed, at both ends
	Base       BaseForces   `json:"base"`
}

// wire draws weight, climbing load, the wind with the greatest base moment and the sum with
// the greatest utilisation.
func (s *Structure) wire(r *Report, l *loads, allow float64) Wire {
	out := Wire{Beams: []WireBeam{}, Links: [][2]int{}}
	for _, n := range s.Model.Nodes {
		out.NodesMM = append(out.NodesMM, xyz(n.AtMM))
	}
	for _, b := range s.Model.Beams {
		out.Beams = append(out.Beams, WireBeam{b.A, b.B, s.Pieces[b.Part].Part.ID})
	}
	for _, x := range s.Model.Links {
		out.Links = append(out.Links, [2]int{x.A, x.B})
	}
	add := func(name string, towards *float64, x Solution) {
		out.Cases = append(out.Cases, s.wireCase(name, towards, x, allow))
	}
	add("own weight", nil, l.dead)
	add("climbing load", nil, l.live)
	if k := r.Wind.worst(); k >= 0 && len(l.wind) > k {
		deg := r.Wind.Towards[k].TowardsDeg
		add("wind", &deg, l.wind[k])
	}
	name, deg := r.governing()
	drawn := false
	l.each(r.Combinations, func(c Combination, towards *float64, x Solution) {
		if !drawn && c.Name == name && (deg == nil) == (towards == nil) && (deg == nil || *deg == *towards) {
			add(name, towards, x)
			drawn = true
		}
	})
	return out
}

func (s *Structure) wireCase(name string, towards *float64, x Solution, allow float64) WireCase {
	w := WireCase{Name: name, TowardsDeg: towards, Base: s.baseForces(Combination{Name: name}, towards, x)}
	for _, v := range x.ShiftMM {
		w.ShiftMM = append(w.ShiftMM, xyz(v))
	}
	for i, b := range x.Beams {
		section := s.Model.Beams[i].Section
		w.BendingNMM = append(w.BendingNMM, [2]float64{math.Hypot(b.A.MomentNMM.Y, b.A.MomentNMM.Z), math.Hypot(b.B.MomentNMM.Y, b.B.MomentNMM.Z)})
		w.Use = append(w.Use, [2]float64{section.stress(b.A) / allow, section.stress(b.B) / allow})
	}
	return w
}

// worst is the direction of greatest base moment, -1 where there is none.
func (w Wind) worst() int {
	best, most := -1, 0.0
	for k, d := range w.Towards {
		if d.BaseMomentNMM > most {
			best, most = k, d.BaseMomentNMM
		}
	}
	return best
}

// governing is the combination of the greatest utilisation, and its direction.
func (r *Report) governing() (name string, towards *float64) {
	most := 0.0
	put := func(use float64, n string, deg *float64) {
		if use > most {
			most, name, towards = use, n, deg
		}
	}
	for _, m := range r.Members {
		put(m.Utilisation, m.Combination, m.TowardsDeg)
		put(m.Buckling.Utilisation, m.Buckling.Combination, m.Buckling.TowardsDeg)
	}
	for _, w := range r.Welds {
		put(w.Utilisation, w.Combination, w.TowardsDeg)
	}
	return name, towards
}

func xyz(v r3.Vec) [3]float64 { return [3]float64{v.X, v.Y, v.Z} }
