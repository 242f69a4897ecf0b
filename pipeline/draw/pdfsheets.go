package draw

import (
	"fmt"
	"io"
)

// WriteSheets writes drawings in mm of paper, one a page of the paper lying; x, y
// count from the lower left corner of the page. Nothing is added to them. The
// same drawings give the same bytes. Errors: see Check; a drawing that leaves the
// plane; unknown paper.
func WriteSheets(w io.Writer, title, paper string, sheets []Drawing) error {
	high, wide, err := PaperMM(paper)
	if err != nil {
		return err
	}
	p := &pdfPages{f: newPDF([2]float64{wide, high}, title)}
	for i, d := range sheets {
		strokes, _, err := d.strokes()
		if err != nil {
			return fmt.Errorf("pdf: sheet %d: %w", i+1, err)
		}
		p.f.AddPage()
		place := func(q [2]float64) (x, y float64) { return q[0], high - q[1] }
		for _, l := range d.used() {
			p.pen(styles[l])
			for _, s := range strokes[l] {
				p.stroke(s, place)
			}
		}
	}
	if err := p.f.Output(w); err != nil {
		return fmt.Errorf("pdf: %w", err)
	}
	return nil
}
