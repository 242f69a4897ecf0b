package pipeline

import (
	"context"
	"fmt"
	"image"
	"runtime"
	"strings"
	"sync"

	"golang.org/x/sync/errgroup"

	"pointup/mesh"
	"pointup/mesh/render"
)

// drawing is a picture to be drawn, and what it shows beside the scan: with the
// same in it, a kept one will do.
type drawing struct {
	name  string
	shows []any
	draw  func() (*image.RGBA, error)
}

// pictures draws the overview, the deviation and each element, or takes them as
// they were kept.
func (w *work) pictures(ctx context.Context, sc scene, tell mesh.Tell) (map[string][]byte, error) {
	list := w.drawings(ctx, sc)
	out := make([][]byte, len(list))
	g := new(errgroup.Group)
	g.SetLimit(runtime.GOMAXPROCS(0))
	step := counter(tell, "pictures", len(list))
	for i, d := range list {
		g.Go(mesh.Guarded(func() error {
			var err error
			if out[i], err = w.picture(ctx, d); err != nil {
				return fmt.Errorf("picture %s: %w", d.name, err)
			}
			step()
			return nil
		}))
	}
	if err := g.Wait(); err != nil {
		return nil, err
	}
	pictures := map[string][]byte{}
	for i, d := range list {
		pictures[d.name] = out[i]
	}
	return pictures, nil
}

// picture is a drawing as a PNG.
func (w *work) picture(ctx context.Context, d drawing) ([]byte, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	name := w.keep.name("picture", append([]any{w.report.SHA256, w.report.Unit, w.job.Scan.Up, w.flat(), d.name}, d.shows...)...)
	var data []byte
	if w.keep.load(name, &data) {
		return data, nil
	}
	img, err := d.draw()
	if err != nil {
		return nil, err
	}
	if data, err = render.PNG(img); err != nil {
		return nil, err
	}
	w.keep.save(name, data)
	return data, nil
}

// drawings lists the pictures of a run.
func (w *work) drawings(ctx context.Context, sc scene) []drawing {
	piece, vertex := render.Piece{}, sc.deviationMM
	if len(w.scaled.Faces) > drawnFacets {
		piece, vertex, _ = w.thinPiece(sc)
	}
	if len(piece.Faces) == 0 {
		piece, vertex = w.whole(sc), sc.deviationMM
	}
	sheet := render.DefaultSheet()
	sheet.Title = w.job.Piece
	sheet.Subtitle = fmt.Sprintf("scale %s : 1, height %.0f mm", trimmed(w.scaled.Ratio), w.scaled.HeightFullMM)
	whole, off := sheet, sheet
	whole.Note = "the scan at full size"
	off.Note = "deviation of the scan from the fitted elements, full size"
	list := []drawing{
		{"overview.png", []any{words(whole), piece.Element}, func() (*image.RGBA, error) {
			return render.Overview(ctx, piece, render.DefaultView(), whole)
		}},
		{"deviation.png", []any{words(off), vertex}, func() (*image.RGBA, error) {
			return render.Deviation(ctx, piece, vertex, render.NiceRangeMM(vertex), render.DefaultView(), off)
		}},
	}
	if len(w.elements) > 1 {
		list = append(list, w.apart(ctx, piece, sheet))
	}
	if w.worstPlate != nil {
		seen := sheet
		seen.Note = "as fitted and of stock, as a visitor sees both"
		seen.Subtitle = fmt.Sprintf("from %.0f°, eyes at %.1f m", float64(w.fidelity.WorstDeg), float64(w.fidelity.EyeMM)/1000)
		list = append(list, drawing{"seen.png", []any{words(seen), fmt.Sprintf("%+v %+v", w.metal.scan, w.metal.assembly.Parts)}, func() (*image.RGBA, error) {
			return w.worstPicture(seen)
		}})
	}
	list = append(list, w.standing(ctx, sheet)...)
	small := sheet
	small.WidthPx, small.HeightPx = 1000, 750
	locator := sync.OnceValue(func() *render.Locator {
		loc, err := render.NewLocator(ctx, piece, render.DefaultView(), small)
		if err != nil {
			return nil
		}
		return loc
	})
	for i := range w.elements {
		e := &w.elements[i]
		s := small
		s.Title = strings.TrimSpace(e.id + " " + e.name)
		s.Note = strings.ReplaceAll(e.Kind, "_", " ")
		frame := render.Frame{Axis: [3]float64{e.Frame.Axis.X, e.Frame.Axis.Y, e.Frame.Axis.Z}, Ref: [3]float64{e.Frame.Ref.X, e.Frame.Ref.Y, e.Frame.Ref.Z}}
		list = append(list, drawing{e.id + ".png", []any{words(s), frame, e.number, e.faces, e.weld}, func() (*image.RGBA, error) {
			return render.Element(ctx, w.elementPiece(e), uint32(e.number), frame, locator(), s)
		}})
	}
	return list
}

// words are what a sheet says, and its size.
func words(s render.Sheet) []any {
	return []any{s.Title, s.Subtitle, s.Note, s.WidthPx, s.HeightPx}
}

// scene is the element and the deviation of all that is in the scan.
type scene struct {
	source      []uint32  // by facet of the mesh: that of the file
	element     []uint32  // by facet of the file: the number of its element, 0 for none
	deviationMM []float32 // by vertex of the mesh, at full size
}

// elementOf is the number of the element that a facet of the mesh is of.
func (s scene) elementOf(f uint32) uint32 { return s.element[s.source[f]] }

// whole is the scan with the number of each facet's element.
func (w *work) whole(sc scene) render.Piece {
	m := w.scaled.Mesh
	piece := render.Piece{Points: m.Points, Faces: m.Faces, Element: make([]uint32, len(m.Faces)), Site: w.site12()}
	for f := range m.Faces {
		piece.Element[f] = sc.elementOf(uint32(f))
	}
	return piece
}

// site12 takes points of the mesh to SITE, as pictures do.
func (w *work) site12() [12]float64 { return render.SiteFromFile(w.scaled.UnitMM, w.flat()) }

func (w *work) flat() [12]float64 {
	var m [12]float64
	for i, row := range w.scaled.SiteFromScan {
		copy(m[4*i:], row[:])
	}
	return m
}

// trimmed prints a ratio without trailing zeros.
func trimmed(x float64) string {
	return strings.TrimRight(strings.TrimRight(fmt.Sprintf("%.3f", x), "0"), ".")
}
