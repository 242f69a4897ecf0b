package pipeline

import (
	"context"
	"image"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh/render"
	"pointup/segment/assembly"
)

// partsApart lists the elements as the exploded view places them: outwards from
// the largest along its contacts, each away from the one it was reached from;
// then what touches none of these.
func (w *work) partsApart() []render.Part {
	n := len(w.elements)
	place := make([]int, n) // 1 + the part's index
	var out []render.Part
	add := func(i, parent int, c *assembly.Contact) {
		e := &w.elements[i]
		x := render.Part{Number: uint32(e.number), Label: strings.TrimSpace(e.id + " " + e.name), Parent: -1, Ways: w.waysOf(i)}
		if c != nil {
			x.Parent = place[parent] - 1
			x.Ways = append(x.Ways, w.waysOf(parent)...)
			at := w.scaled.SiteMM(middle(c))
			x.JoinMM = [3]float64{at.X, at.Y, at.Z}
		}
		out = append(out, x)
		place[i] = len(out)
	}
	for len(out) < n {
		root := -1
		for i := range w.elements {
			if place[i] == 0 && (root < 0 || w.elements[i].areaMM2 > w.elements[root].areaMM2) {
				root = i
			}
		}
		add(root, -1, nil)
		for queue := []int{root}; len(queue) > 0; queue = queue[1:] {
			for k := range w.contacts {
				c := &w.contacts[k]
				a, b := c.A, c.B
				if b == queue[0] {
					a, b = b, a
				}
				if a == queue[0] && place[b] == 0 {
					add(b, a, c)
					queue = append(queue, b)
				}
			}
		}
	}
	return out
}

// waysOf are the directions of an element's frame in SITE.
func (w *work) waysOf(i int) [][3]float64 {
	f := w.elements[i].Frame
	var out [][3]float64
	for _, d := range []r3.Vec{f.Axis, f.Ref, r3.Cross(f.Axis, f.Ref)} {
		d = r3.Sub(w.scaled.SiteMM(r3.Add(f.OriginMM, d)), w.scaled.SiteMM(f.OriginMM))
		out = append(out, [3]float64{d.X, d.Y, d.Z})
	}
	return out
}

// middle is the mean of a contact's seam.
func middle(c *assembly.Contact) r3.Vec {
	var sum r3.Vec
	n := 0
	for _, r := range c.Seam {
		for _, p := range r.Points {
			sum = r3.Add(sum, p.AtMM)
			n++
		}
	}
	return r3.Scale(1/float64(max(n, 1)), sum)
}

// apart is the exploded view.
func (w *work) apart(ctx context.Context, piece render.Piece, sheet render.Sheet) drawing {
	sheet.Note = "the elements drawn apart, full size"
	parts := w.partsApart()
	return drawing{"exploded.png", []any{words(sheet), piece.Element, parts}, func() (*image.RGBA, error) {
		return render.Exploded(ctx, piece, parts, render.DefaultView(), sheet)
	}}
}
