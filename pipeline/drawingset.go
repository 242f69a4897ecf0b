package pipeline

import (
	"bytes"

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

// sketch is the dimensioned sketch of an element.
type sketch struct {
	id      string
	drawing draw.Drawing
}

// sketches are those of all as-stock pieces, in their order; a piece that cannot be
// drawn has none.
func (w *work) sketches() []sketch {
	var list []sketch
	opt := w.drawingOptions(textMM)
	for _, p := range w.drawnPieces() {
		// Too long for any scale, or no metal left: its picture is there.
		if s, err := drawings.SketchOf(p, opt, sketchWideMM, sketchHighMM); err == nil {
			list = append(list, sketch{p.Part.ID, s.Signed(textMM)})
		}
	}
	return list
}

// writeSketches writes them to the folder drawings.
func writeSketches(folder *result.Folder, list []sketch) error {
	for _, s := range list {
		var b bytes.Buffer
		if err := draw.WriteSVG(&b, s.drawing); err != nil {
			return err
		}
		if err := folder.Write("drawings/"+s.id+".svg", b.Bytes()); err != nil {
			return err
		}
	}
	return nil
}

// inlineSketches are they as the page takes them, by id.
func inlineSketches(list []sketch) (map[string]string, error) {
	out := map[string]string{}
	for _, s := range list {
		var b bytes.Buffer
		if err := draw.WriteInlineSVG(&b, s.drawing); err != nil {
			return nil, err
		}
		out[s.id] = b.String()
	}
	return out, nil
}
