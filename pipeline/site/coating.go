package site

import (
	"fmt"

	"gonum.org/v1/gonum/spatial/r3"
)

// Coating is the surface to blast and coat.
type Coating struct {
	OutsideM2 float64        `json:"outside_m2"`
	InsideM2  float64        `json:"inside_m2"` // of open hollow pieces
	ClosedM2  float64        `json:"closed_m2"` // inside closed ones: never reached but by zinc
	PaintL    float64        `json:"paint_l"`   // for the outside
	Pieces    []PieceSurface `json:"pieces"`
	Says      []string       `json:"says"`
}

// PieceSurface is that of one piece.
type PieceSurface struct {
	ID        string  `json:"id"`
	OutsideM2 float64 `json:"outside_m2"`
	InsideM2  float64 `json:"inside_m2"`
}

// Paint: a dry film of 240 µm (EN ISO 12944-5 for C4 of high durability, from memory),
// 60 % solids by volume, 30 % lost in spraying (common practice, no source).
const (
	filmUM     = 240.0
	solids     = 0.60
	sprayLost  = 0.30
	unseenNote = "faces that lie on other pieces are counted in, so that it is rather too much"
)

// coatingOf measures surfaces of the as-stock solids.
func coatingOf(pieces []Piece, hollows []Hollow) Coating {
	inside := map[string]Hollow{}
	for _, h := range hollows {
		inside[h.ID] = h
	}
	c := Coating{Pieces: []PieceSurface{}, Says: []string{unseenNote,
		fmt.Sprintf("paint: %g µm dry, %g %% solids by volume, %g %% lost; the system's data sheet decides", filmUM, 100*solids, 100*sprayLost)}}
	for _, p := range pieces {
		if len(p.Triangles) == 0 {
			c.Says = append(c.Says, p.name()+": has no surface, not counted")
			continue
		}
		h := inside[p.Part.ID]
		s := PieceSurface{ID: p.Part.ID, InsideM2: h.insideMM2 / 1e6}
		s.OutsideM2 = max(p.surfaceMM2()-h.insideMM2, 0) / 1e6
		c.OutsideM2 += s.OutsideM2
		if h.Closed {
			c.ClosedM2 += s.InsideM2
		} else {
			c.InsideM2 += s.InsideM2
		}
		c.Pieces = append(c.Pieces, s)
	}
	c.PaintL = paintL(c.OutsideM2)
	return c
}

// paintL is wet paint: 1 µm on 1 m² is a millilitre.
func paintL(m2 float64) float64 { return m2 * filmUM / 1000 / solids / (1 - sprayLost) }

func (p Piece) surfaceMM2() float64 {
	sum := 0.0
	for _, t := range p.Triangles {
		a, b, c := p.PointsMM[t[0]], p.PointsMM[t[1]], p.PointsMM[t[2]]
		sum += r3.Norm(r3.Cross(r3.Sub(b, a), r3.Sub(c, a))) / 2
	}
	return sum
}
