package pipeline

import (
	"bytes"
	"maps"
	"runtime"
	"slices"

	"golang.org/x/sync/errgroup"

	"pointup/mesh"
	"pointup/pipeline/draw"
	"pointup/pipeline/drawings"
	"pointup/pipeline/result"
)

// Room of the sketch of a piece, mm of paper: the width of A4 between margins, and
// less than half its height.
const (
	sketchWideMM = 180
	sketchHighMM = 110
)

// drawnPieces are the as-stock pieces that have a solid, in their order.
func (w *work) drawnPieces() []drawings.Piece {
	var out []drawings.Piece
	if w.metal == nil {
		return nil
	}
	for _, p := range w.metal.assembly.Parts {
		best, _, err := w.solidFor(p, false)
		if err == nil && best.shape != nil {
			out = append(out, drawings.Piece{Part: p, Frame: best.frame, Shape: best.shape})
		}
	}
	return out
}

// drawingOptions: what is bought in the US is drawn in third angle.
func (w *work) drawingOptions(textMM float64) drawings.Options {
	us := w.job.Metal.System == "us"
	return drawings.Options{Units: w.job.Show.Units, FeetFirst: us, Third: us, TextMM: textMM}
}

// textMM is the height of text on sketches: the smallest of ISO 3098 that is read
// well on paper.
const textMM = 2.5

// sketches are the dimensioned sketches of all as-stock pieces as SVG, by the name
// of their file, E01.svg; a piece that cannot be drawn has none.
func (w *work) sketches() (map[string][]byte, error) {
	pieces := w.drawnPieces()
	list := make([][]byte, len(pieces))
	opt := w.drawingOptions(textMM)
	var g errgroup.Group
	g.SetLimit(runtime.GOMAXPROCS(0))
	for i, p := range pieces {
		g.Go(mesh.Guarded(func() error {
			s, err := drawings.SketchOf(p, opt, sketchWideMM, sketchHighMM)
			if err != nil {
				return nil // too long for any scale, or no metal left: its picture is there
			}
			var b bytes.Buffer
			err = draw.WriteSVG(&b, s.Signed(textMM))
			list[i] = b.Bytes()
			return err
		}))
	}
	if err := g.Wait(); err != nil {
		return nil, err
	}
	out := map[string][]byte{}
	for i, p := range pieces {
		if list[i] != nil {
			out[p.Part.ID+".svg"] = list[i]
		}
	}
	return out, nil
}

// writeSketches writes them to the folder drawings.
func writeSketches(folder *result.Folder, sketches map[string][]byte) error {
	for _, name := range slices.Sorted(maps.Keys(sketches)) {
		if err := folder.Write("drawings/"+name, sketches[name]); err != nil {
			return err
		}
	}
	return nil
}
