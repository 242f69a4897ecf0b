package pipeline

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh"
	"pointup/pipeline/job"
	"pointup/segment/assembly"
	"pointup/segment/primitive"
)

// joinPieces makes one piece of each list of the job's pieces.join.
func (w *work) joinPieces(ctx context.Context) error {
	for _, refs := range w.job.Pieces.Join {
		if err := ctx.Err(); err != nil {
			return err
		}
		var of []int
		missing := false
		for _, r := range refs {
			i := w.elementOfRef(r)
			if i < 0 {
				missing = true
				w.warn("join-not-found", r.At, fmt.Sprintf("there is no piece at %s, which the job joins to others", refLabel(r)),
					fmt.Sprintf("give a point on it, in scan units, within %d mm of its surface", atReachMM))
			} else if !slices.Contains(of, i) {
				of = append(of, i)
			}
		}
		if missing || len(of) < 2 {
			continue // those that are one piece already need no joining
		}
		if err := w.joinElements(of, refs); err != nil {
			return err
		}
	}
	return nil
}

// joinElements replaces elements by one of all their facets.
func (w *work) joinElements(of []int, refs []job.Ref) error {
	slices.Sort(of)
	var faces, weld []uint32
	var was []int
	var joined []job.Row
	shell, known := w.elements[of[0]].shell, true
	for _, i := range of {
		e := &w.elements[i]
		faces, weld, was = append(faces, e.faces...), append(weld, e.weld...), append(was, e.was...)
		shell, known = min(shell, e.shell), known && e.Kind != "freeform"
		joined = append(joined, e.joined...)
		for _, n := range e.was {
			at := w.placeOf(e)
			joined = append(joined, job.Row{ID: job.ID(n), At: &at})
		}
	}
	slices.Sort(faces)
	slices.Sort(weld)
	list, err := w.fitOnce([]any{"join", faces, weld}, func() ([]piece, error) {
		x := assembly.Join(w.scaled.Mesh, faces, weld, w.report.NoiseMM, w.fitOptions())
		return []piece{pieceOf(x, shell)}, nil
	})
	if err != nil {
		return err
	}
	e := w.elementOf(list[0])
	slices.Sort(was)
	e.was, e.joined = was, joined
	if known && e.Kind == "freeform" {
		w.warn("join-unknown", refs[0].At, fmt.Sprintf("%s, joined as the job asks, are no known kind together", refLabels(refs)),
			"look at its picture; take the join out if they are two pieces")
	}
	for k := len(of) - 1; k >= 0; k-- {
		w.elements = slices.Delete(w.elements, of[k], of[k]+1)
	}
	w.elements, w.shared = append(w.elements, e), nil
	return nil
}

// partPieces separates pieces by the job's pieces.part.
func (w *work) partPieces(ctx context.Context) error {
	for _, points := range w.job.Pieces.Part {
		on := map[int][][3]float64{}
		var order []int
		for _, at := range points {
			i := w.elementAt(at)
			if i < 0 {
				w.warn("part-not-found", &at, fmt.Sprintf("no piece lies within %d mm of a point by which the job parts one", atReachMM),
					"place the point on the piece, in scan units")
				continue
			}
			if on[i] == nil {
				order = append(order, i)
			}
			on[i] = append(on[i], at)
		}
		for _, i := range order {
			if len(on[i]) > 1 {
				if err := w.partElement(ctx, i, on[i]); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

// partElement replaces an element by one a point.
func (w *work) partElement(ctx context.Context, i int, points [][3]float64) error {
	old := w.elements[i]
	faces := append(slices.Clone(old.faces), old.weld...)
	slices.Sort(faces)
	var at []r3.Vec
	for _, p := range points {
		at = append(at, w.scanMM(p))
	}
	list, err := w.fitOnce([]any{"part", faces, at}, func() ([]piece, error) {
		pieces, err := assembly.Part(ctx, w.scaled.Mesh, faces, w.report.NoiseMM, at, w.fitOptions())
		var out []piece
		for _, x := range pieces {
			out = append(out, pieceOf(x, old.shell))
		}
		return out, err
	})
	if err != nil {
		return err
	}
	if len(list) == 0 {
		w.warn("part-not-possible", &points[0], "the job parts a piece by points that leave one of its parts hardly any facets",
			"place each point well inside its own piece, away from the seam")
		return nil
	}
	parts := make([]element, len(list))
	for k, p := range list {
		parts[k] = w.elementOf(p)
		parts[k].was = old.was
	}
	parts[0].joined = old.joined
	w.elements, w.shared = slices.Replace(w.elements, i, i+1, parts...), nil
	return nil
}

// asSaid refits elements whose row names another kind than the scan shows.
func (w *work) asSaid(ctx context.Context) error {
	for i := range w.elements {
		e := &w.elements[i]
		if e.row < 0 {
			continue
		}
		r := w.job.Pieces.Rows[e.row]
		if r.Kind == "" || r.Kind == e.Kind {
			continue
		}
		if err := ctx.Err(); err != nil {
			return err
		}
		list, err := w.fitOnce([]any{"kind", r.Kind, e.faces, e.weld}, func() ([]piece, error) {
			p := primitive.NewPatch(w.scaled.Mesh, e.faces, w.report.NoiseMM)
			x, ok := primitive.RecogniseAs(p, w.fitOptions(), r.Kind)
			if !ok {
				return nil, nil
			}
			return []piece{pieceOf(assembly.Piece{Element: x, Faces: e.faces, Weld: e.weld, Patch: p}, e.shell)}, nil
		})
		if err != nil {
			return err
		}
		if len(list) == 0 {
			w.warn("kind-not-possible", r.At, fmt.Sprintf("the job says that %s is a %s; the scan shows a %s, which cannot be one", label(r), r.Kind, e.Kind),
				"look at its picture and deviation; correct the row, join or part pieces, or scan again")
			continue
		}
		x := w.elementOf(list[0])
		x.Notes = append(slices.Clone(x.Notes), fmt.Sprintf("a %s because the job says so; the scan alone shows a %s", r.Kind, e.Kind))
		x.was, x.joined, x.row, x.also, x.name, x.number = e.was, e.joined, e.row, e.also, e.name, e.number
		*e = x
	}
	return nil
}

// fitOnce makes pieces, or takes them as they were kept for the same scan and
// facets; none are kept as none.
func (w *work) fitOnce(key []any, fit func() ([]piece, error)) ([]piece, error) {
	name := w.keep.name("fit", append([]any{w.scanKey()}, key...)...)
	if list, kept := w.load(name); kept {
		return list, nil
	}
	list, err := fit()
	if err != nil {
		return nil, err
	}
	w.save(name, list)
	return list, nil
}

// warn adds a finding at a point of the job, which is in scan units.
func (w *work) warn(code string, at *[3]float64, what, advice string) {
	f := mesh.Finding{Code: code, Severity: "warning", What: what, Advice: advice}
	if at != nil {
		q := w.scanMM(*at)
		f.WhereMM = &[3]float64{q.X, q.Y, q.Z}
	}
	w.find([]mesh.Finding{f})
}

func refLabel(r job.Ref) string {
	if r.At != nil {
		return fmt.Sprintf("(%g, %g, %g)", r.At[0], r.At[1], r.At[2])
	}
	return fmt.Sprintf("%q", r.Name)
}

func refLabels(refs []job.Ref) string {
	var out []string
	for _, r := range refs {
		out = append(out, refLabel(r))
	}
	return strings.Join(out, " and ")
}
