package pipeline

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"pointup/mesh"
	"pointup/pipeline/job"
)

// identify applies what the job corrects by hand and gives every element its id:
// the job's own where a row names it, else the next free number by lowest point
// at full size (to 1 mm), area and centroid.
//
// Numbers are given twice: as if nothing were corrected, so that the job may name
// pieces by the ids that it got before, and so that a correction leaves all other
// ids as they are; then for good. A join keeps the lowest number, the largest part
// of a piece keeps its number, other parts get the next free ones.
func (w *work) identify(ctx context.Context) error {
	w.order()
	w.numberFirst()
	if err := w.joinPieces(ctx); err != nil {
		return err
	}
	if err := w.partPieces(ctx); err != nil {
		return err
	}
	w.order()
	w.readRows()
	if err := w.asSaid(ctx); err != nil {
		return err
	}
	w.number()
	for i := range w.elements {
		w.elements[i].id = job.ID(w.elements[i].number)
	}
	slices.SortStableFunc(w.elements, func(a, b element) int { return cmp.Compare(a.number, b.number) })
	return nil
}

// order sorts the elements as their ids are given.
func (w *work) order() {
	slices.SortStableFunc(w.elements, func(a, b element) int {
		low := func(e element) float64 { return math.Round(e.lowestMM * w.scaled.Ratio) }
		return cmp.Or(cmp.Compare(low(a), low(b)), cmp.Compare(a.areaMM2, b.areaMM2),
			cmp.Compare(a.centroidMM.X, b.centroidMM.X), cmp.Compare(a.centroidMM.Y, b.centroidMM.Y), cmp.Compare(a.centroidMM.Z, b.centroidMM.Z))
	})
}

// numberFirst gives the numbers that the elements have without corrections.
func (w *work) numberFirst() {
	used := map[int]bool{}
	for _, r := range w.job.Pieces.Rows {
		n, ok := job.Number(r.ID)
		if !ok || r.At == nil {
			continue
		}
		used[n] = true
		if i := w.elementAt(*r.At); i >= 0 && w.elements[i].was == nil {
			w.elements[i].was = []int{n}
		}
	}
	next := 1
	for i := range w.elements {
		e := &w.elements[i]
		e.row = -1
		if e.was == nil {
			for used[next] {
				next++
			}
			e.was, used[next] = []int{next}, true
		}
	}
}

// number gives the final numbers to elements that no row gave one.
func (w *work) number() {
	taken, spent := map[int]bool{}, map[int]bool{} // given to an element; not to be given anew
	for _, r := range w.job.Pieces.Rows {
		if n, ok := job.Number(r.ID); ok {
			spent[n] = true
		}
	}
	bySize := make([]*element, len(w.elements))
	for i := range w.elements {
		e := &w.elements[i]
		bySize[i] = e
		if e.number != 0 {
			taken[e.number] = true
		}
	}
	slices.SortStableFunc(bySize, func(a, b *element) int { return cmp.Compare(len(b.faces), len(a.faces)) })
	for _, e := range bySize {
		if n := e.was[0]; e.number == 0 && !taken[n] && !spent[n] {
			e.number, taken[n] = n, true
		}
	}
	for i := range w.elements {
		for _, n := range w.elements[i].was {
			spent[n] = true
		}
	}
	next := 1
	for i := range w.elements {
		if e := &w.elements[i]; e.number == 0 {
			for spent[next] || taken[next] {
				next++
			}
			e.number, taken[next] = next, true
		}
	}
}

// readRows finds the element of each row of the job by its point, or by its id
// where it has none.
func (w *work) readRows() {
	for i := range w.elements {
		w.elements[i].row = -1
	}
	for k, r := range w.job.Pieces.Rows {
		i := w.elementOfRow(r)
		if i < 0 {
			continue
		}
		e := &w.elements[i]
		n, numbered := job.Number(r.ID)
		switch {
		case e.row < 0:
			e.row, e.name = k, r.Name
			if numbered {
				e.number = n
			}
		case len(e.was) < 2: // one piece that nobody joined
			w.warn("piece-named-twice", r.At, fmt.Sprintf("the job's piece %s lies on the same element as another row", label(r)),
				"move its point, or part the piece")
		case numbered && (e.number == 0 || n < e.number): // of joined pieces the lowest number leads
			first := w.job.Pieces.Rows[e.row]
			e.also = append(e.also, first.Name, first.ID)
			e.row, e.number, e.name = k, n, cmp.Or(r.Name, e.name)
		default:
			e.also = append(e.also, r.Name, r.ID)
			e.name = cmp.Or(e.name, r.Name)
		}
	}
}

// elementOfRow is the element that a row is of; -1, and a finding, where there is
// none.
func (w *work) elementOfRow(r job.Row) int {
	if r.At == nil {
		n, _ := job.Number(r.ID)
		i := w.elementNumbered(n)
		f := mesh.Finding{Code: "piece-without-place", Severity: "note", What: fmt.Sprintf("the job's piece %s has no point `at` on it and was found by its number alone", label(r)),
			Advice: "take its row from job.out.yaml, which has a point: another scan may count otherwise"}
		if i < 0 {
			f.Severity, f.What = "warning", fmt.Sprintf("the job's piece %s has no point `at` on it, and no piece has that number", label(r))
		}
		w.find([]mesh.Finding{f})
		return i
	}
	i, d := w.elementNear(w.scanMM(*r.At))
	if i < 0 || d > atReachMM {
		w.warn("piece-not-found", r.At, fmt.Sprintf("no surface lies within %d mm of the job's piece %s (the nearest is %.1f mm off)", atReachMM, label(r), d),
			"place its point `at` on the piece, in scan units; after another scan, lay that over the old one first")
		return -1
	}
	return i
}

func label(r job.Row) string {
	switch {
	case r.Name != "":
		return fmt.Sprintf("%q", r.Name)
	case r.ID != "":
		return r.ID
	}
	return fmt.Sprintf("at (%g, %g, %g)", r.At[0], r.At[1], r.At[2])
}

// jobOut is the job with every default and the id and place of each piece. Rows
// that named no piece, or one that was joined to another, stay as they are: what
// refers to them still does, and their numbers are not given anew.
func (w *work) jobOut() job.Job {
	j := w.job.WithoutFolders()
	old := j.Pieces.Rows
	j.Pieces.Rows = []job.Row{}
	led, listed := map[int]bool{}, map[string]bool{}
	for i := range w.elements {
		e := &w.elements[i]
		at := w.rowPoint(e)
		row := job.Row{}
		if e.row >= 0 {
			row, led[e.row] = old[e.row], true
		}
		row.ID, row.Name, row.At = e.id, e.name, &at
		listed[row.ID], listed[row.Name] = true, true
		j.Pieces.Rows = append(j.Pieces.Rows, row)
	}
	for k, r := range old {
		if r.Name != "" && listed[r.Name] { // the lowest number took its name over
			r.Name = ""
		}
		if !led[k] && !(r.ID != "" && listed[r.ID]) {
			listed[r.ID], listed[r.Name] = true, true
			j.Pieces.Rows = append(j.Pieces.Rows, r)
		}
	}
	for i := range w.elements {
		for _, r := range w.elements[i].joined {
			if !listed[r.ID] {
				listed[r.ID] = true
				j.Pieces.Rows = append(j.Pieces.Rows, r)
			}
		}
	}
	return j
}

// rowPoint is the point that the element's row is written with: its place; of
// joined pieces a point on the one that bore the number, so that the others are
// still found by theirs.
func (w *work) rowPoint(e *element) [3]float64 {
	for _, r := range e.joined {
		if r.ID == e.id {
			return *r.At
		}
	}
	return w.placeOf(e)
}

// expect compares the number of pieces with what the job expects.
func (w *work) expect() {
	n := w.job.Pieces.Expected
	if n == nil || *n == len(w.elements) {
		return
	}
	w.find([]mesh.Finding{{Code: "pieces-differ", Severity: "warning",
		What:   fmt.Sprintf("the job expects %d pieces, the scan shows %d", *n, len(w.elements)),
		Advice: "look at the overview: pieces that touch in the scan come out as one, broken captures as several"}})
}
