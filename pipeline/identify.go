package pipeline

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh"
	"pointup/pipeline/job"
)

// identify gives every element its id: the job's own where a row names it, else
// the next free number by lowest point at full size (to 1 mm), area and
// centroid.
func (w *work) identify() {
	slices.SortStableFunc(w.elements, func(a, b element) int {
		low := func(e element) float64 { return math.Round(e.lowestMM * w.scaled.Ratio) }
		return cmp.Or(cmp.Compare(low(a), low(b)), cmp.Compare(a.areaMM2, b.areaMM2),
			cmp.Compare(a.centroidMM.X, b.centroidMM.X), cmp.Compare(a.centroidMM.Y, b.centroidMM.Y), cmp.Compare(a.centroidMM.Z, b.centroidMM.Z))
	})
	used := map[int]bool{}
	for _, r := range w.job.Pieces.Rows {
		if n, ok := job.Number(r.ID); ok {
			used[n] = true
		}
	}
	w.readRows()
	next := 1
	for i := range w.elements {
		e := &w.elements[i]
		if e.number == 0 {
			for used[next] {
				next++
			}
			e.number = next
			used[next] = true
		}
		e.id = job.ID(e.number)
	}
	slices.SortStableFunc(w.elements, func(a, b element) int { return cmp.Compare(a.number, b.number) })
}

// atReachMM is how near to a piece the job's `at` must lie, maquette scale.
const atReachMM = 5

// readRows finds the element of each row of the job by its point.
func (w *work) readRows() {
	for _, r := range w.job.Pieces.Rows {
		if r.At == nil {
			if r.ID != "" || r.Name != "" {
				w.find([]mesh.Finding{{Code: "piece-without-place", Severity: "warning",
					What:   fmt.Sprintf("the job's piece %s has no point `at` on it", label(r)),
					Advice: "copy the row from a job.out.yaml, which has one"}})
			}
			continue
		}
		at := *r.At
		q := r3.Scale(w.scaled.UnitMM, r3.Vec{X: at[0], Y: at[1], Z: at[2]})
		e, d := w.elementNear(q)
		if e == nil || d > atReachMM {
			w.find([]mesh.Finding{{Code: "piece-not-found", Severity: "warning", WhereMM: &[3]float64{q.X, q.Y, q.Z},
				What:   fmt.Sprintf("no surface lies within %d mm of the job's piece %s (the nearest is %.1f mm off)", atReachMM, label(r), d),
				Advice: "place its point `at` on the piece, in scan units"}})
			continue
		}
		if e.number != 0 || e.name != "" {
			w.find([]mesh.Finding{{Code: "piece-named-twice", Severity: "warning", WhereMM: &[3]float64{q.X, q.Y, q.Z},
				What:   fmt.Sprintf("the job's piece %s lies on the same element as another row", label(r)),
				Advice: "move its point, or part the piece"}})
			continue
		}
		e.name = r.Name
		if n, ok := job.Number(r.ID); ok {
			e.number = n
		}
		if r.Kind != "" && r.Kind != e.Kind {
			w.find([]mesh.Finding{{Code: "kind-differs", Severity: "warning", WhereMM: &[3]float64{q.X, q.Y, q.Z},
				What:   fmt.Sprintf("the job says that %s is a %s, the scan shows a %s", label(r), r.Kind, e.Kind),
				Advice: "look at its picture and deviation; correct the row or the scan"}})
		}
	}
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

// elementNear returns the element with the vertex nearest to q.
func (w *work) elementNear(q r3.Vec) (*element, float64) {
	var best *element
	near := math.Inf(1)
	for i := range w.elements {
		e := &w.elements[i]
		for _, v := range e.vertex {
			if d := r3.Norm2(r3.Sub(w.scaled.At(v), q)); d < near {
				near, best = d, e
			}
		}
	}
	return best, math.Sqrt(near)
}

// placeOf is a vertex of the element near its middle, in scan units: the job's
// `at`.
func (w *work) placeOf(e *element) [3]float64 {
	best, near := uint32(0), math.Inf(1)
	for _, v := range e.vertex {
		if d := r3.Norm2(r3.Sub(w.scaled.At(v), e.centroidMM)); d < near {
			near, best = d, v
		}
	}
	p := w.scaled.Points[best]
	return [3]float64{float64(p[0]), float64(p[1]), float64(p[2])}
}

// jobOut is the job with every default and the id and place of each piece.
func (w *work) jobOut() job.Job {
	j := w.job.WithoutFolders()
	old := map[string]job.Row{}
	for _, r := range j.Pieces.Rows {
		if r.Name != "" {
			old[r.Name] = r
		}
		if r.ID != "" {
			old[r.ID] = r
		}
	}
	j.Pieces.Rows = nil
	for i := range w.elements {
		e := &w.elements[i]
		at := w.placeOf(e)
		row := old[e.id]
		if e.name != "" {
			row = old[e.name]
		}
		row.ID, row.Name, row.At = e.id, e.name, &at
		j.Pieces.Rows = append(j.Pieces.Rows, row)
	}
	if j.Pieces.Rows == nil {
		j.Pieces.Rows = []job.Row{}
	}
	return j
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
