package pipeline

import (
	"context"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh"
	"pointup/pipeline/result"
	"pointup/segment/assembly"
)

// meet finds where the elements meet, in the order of their numbers.
func (w *work) meet(ctx context.Context, tell mesh.Tell) error {
	if tell != nil {
		tell("contacts", 0, 0)
	}
	var left int
	var err error
	w.contacts, left, err = assembly.Contacts(ctx, w.scaled.Mesh, w.bodies(), w.grain())
	if left > 0 {
		w.find([]mesh.Finding{{Code: "contacts-left-out", Severity: "warning",
			What:   fmt.Sprintf("so many elements lie close together that %d pairs of them were not looked at for contacts", left),
			Advice: "cut the scan into several, or check that it does not hold one surface many times over"}})
	}
	if err == nil {
		w.relations = assembly.Relations(w.scaled.Mesh, w.bodies(), w.contacts, w.grain())
	}
	return err
}

func (w *work) bodies() []assembly.Body {
	out := make([]assembly.Body, len(w.elements))
	for i := range w.elements {
		e := &w.elements[i]
		out[i] = assembly.Body{Element: &e.Element, Faces: e.faces, Weld: e.weld}
	}
	return out
}

func (w *work) grain() assembly.Grain {
	return assembly.Grain{NoiseMM: w.report.NoiseMM, EdgeMM: w.report.EdgeMedianMM}
}

// contactList writes the contacts as the contract has them. A closed run of a
// seam ends with its first point again.
func (w *work) contactList() result.List[result.Contact] {
	out := result.List[result.Contact]{}
	for _, c := range w.contacts {
		gap := result.MM(c.GapMM)
		x := result.Contact{A: w.elements[c.A].id, B: w.elements[c.B].id, Kind: c.Kind, LengthMM: result.MM(c.LengthMM),
			GapMM: &gap, Through: c.Through, Seam: result.List[result.SeamAt]{}}
		if !math.IsNaN(c.AngleDeg) {
			a := result.Deg(c.AngleDeg)
			x.AngleDeg = &a
		}
		for k, r := range c.Seam {
			for _, p := range r.Points {
				na, nb := outward(p.NormalA, p.NormalB), outward(p.NormalB, p.NormalA)
				x.Seam = append(x.Seam, result.SeamAt{Run: k + 1, PointMM: point(p.AtMM), NormalA: vector(na), NormalB: vector(nb)})
			}
		}
		out = append(out, x)
	}
	return out
}

// outward is n, or where a surface has none there, the way against the other.
func outward(n, other r3.Vec) r3.Vec {
	if r3.Norm(n) > 0.5 {
		return n
	}
	if r3.Norm(other) > 0.5 {
		return r3.Scale(-1, other)
	}
	return r3.Vec{Z: 1}
}
