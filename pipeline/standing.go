package pipeline

import (
	"context"
	"fmt"
	"image"
	"math"
	"slices"
	"sync"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh/render"
	"pointup/pipeline/solid"
	"pointup/pipeline/stock"
)

// side is one of the four sides from which the work is drawn for who ordered it.
type side struct {
	name       string
	azimuthDeg float64
}

func sides() []side {
	return []side{{"front", -90}, {"right", 0}, {"back", 90}, {"left", 180}}
}

// standingElevationDeg is how far from above the sides are seen: enough for the
// ground to be one.
const standingElevationDeg = 6

// standing draws the work of stock from its four sides; as fitted where nothing
// was chosen.
func (w *work) standing(ctx context.Context, sheet render.Sheet) []drawing {
	parts := w.scannedParts()
	sheet.Note = "as fitted"
	if w.metal != nil {
		parts, sheet.Note = w.metal.assembly.Parts, "as planned, of stock"
	}
	sheet.WidthPx, sheet.HeightPx = 1000, 1250
	piece := sync.OnceValues(func() (render.Piece, error) { return w.pieceOfSolids(parts, w.metal == nil) })
	var list []drawing
	for _, x := range sides() {
		s := sheet
		s.Subtitle = fmt.Sprintf("from the %s, height %.0f mm", x.name, w.scaled.HeightFullMM)
		list = append(list, drawing{x.name + ".png", []any{words(s), fmt.Sprintf("%+v", parts)}, func() (*image.RGBA, error) {
			p, err := piece()
			if err != nil {
				return nil, err
			}
			return render.Standing(ctx, p, render.View{AzimuthDeg: x.azimuthDeg, ElevationDeg: standingElevationDeg}, s)
		}})
	}
	return list
}

// pieceOfSolids is the solids of parts as triangles in SITE; a part without one is
// left out, and the scan is drawn where none has.
func (w *work) pieceOfSolids(parts []stock.Part, scanned bool) (render.Piece, error) {
	p := render.Piece{Site: [12]float64{0: 1, 5: 1, 10: 1}}
	for i, part := range parts {
		best, _, err := w.solidFor(part, scanned)
		if err != nil || best.shape == nil {
			continue
		}
		m, err := meshOf(best, modelChord*w.scaled.Ratio)
		if err != nil {
			return p, fmt.Errorf("%s: %w", part.ID, err)
		}
		p = withCreases(p, m, uint32(i+1))
	}
	if len(p.Faces) == 0 {
		m := w.scaled.Mesh
		return render.Piece{Points: m.Points, Faces: m.Faces, Site: w.site12()}, nil
	}
	return p, nil
}

// creaseCos is the cosine of the turn between facets from which an edge is drawn
// sharp: 32 degrees, between the steps of a curve's facets and a square corner (ours).
const creaseCos = 0.85

// withCreases adds a mesh to p as element number. A point on a sharp edge is added
// once for each face that it lies on, so that shading stops there.
func withCreases(p render.Piece, m solid.Mesh, number uint32) render.Piece {
	type face struct {
		normal r3.Vec
		point  uint32
	}
	of := make([][]face, len(m.Points))
	for _, t := range m.Triangles {
		n := r3.Cross(r3.Sub(m.Points[t[1]], m.Points[t[0]]), r3.Sub(m.Points[t[2]], m.Points[t[0]]))
		if n = r3.Unit(n); math.IsNaN(n.X) {
			continue // no area: nothing to be seen
		}
		var f [3]uint32
		for k, v := range t {
			i := slices.IndexFunc(of[v], func(x face) bool { return r3.Dot(x.normal, n) > creaseCos })
			if i < 0 {
				i = len(of[v])
				of[v] = append(of[v], face{n, uint32(len(p.Points))})
				q := m.Points[v]
				p.Points = append(p.Points, [3]float32{float32(q.X), float32(q.Y), float32(q.Z)})
			}
			f[k] = of[v][i].point
		}
		p.Faces = append(p.Faces, f)
		p.Element = append(p.Element, number)
	}
	return p
}
