package pipeline

import (
	"context"
	"fmt"
	"math"
	"runtime"
	"slices"

	"golang.org/x/sync/errgroup"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh"
	"pointup/pipeline/job"
	"pointup/segment/assembly"
	"pointup/segment/primitive"
)

// element is one piece with its place in the scan.
type element struct {
	primitive.Element
	id, name   string
	number     int
	shell      int
	faces      []uint32 // of the mesh, rising
	weld       []uint32 // facets of weld nearest to it
	vertex     []uint32 // the mesh's vertices that Element.DeviationMM is of
	vertexMM2  []float64
	areaMM2    float64
	centroidMM r3.Vec
	lowestMM   float64 // over the ground, at the scan's size
	deviation  *deviation

	was    []int     // its number before corrections; several where joined
	joined []job.Row // the number and place of each piece that was joined to it
	row    int       // the job's row that names it, -1 for none
	also   []string  // names and ids of further rows on it
}

// scanKey is what reaches the fits of a scan: its bytes, how they are read, and
// the limits.
func (w *work) scanKey() string {
	return fmt.Sprint(w.report.SHA256, " ", w.report.Unit, " ", w.job.Scan.Up, " ", w.job.Limits.Form)
}

func (w *work) fitOptions() primitive.Options {
	opt := primitive.DefaultOptions()
	opt.FormShare = w.job.Limits.Form
	return opt
}

// recognise finds the pieces of every shell, or takes them as they were kept.
func (w *work) recognise(ctx context.Context, tell mesh.Tell) ([]element, error) {
	name := w.keep.name("pieces", w.scanKey())
	list, kept := w.load(name)
	if !kept {
		var err error
		if list, err = w.fitShells(ctx, tell); err != nil {
			return nil, err
		}
		w.save(name, list)
	}
	out := make([]element, 0, len(list))
	for _, p := range list {
		out = append(out, w.elementOf(p))
	}
	return out, nil
}

// fitShells fits every shell, as many at a time as there are processors; each
// writes to its own place.
func (w *work) fitShells(ctx context.Context, tell mesh.Tell) ([]piece, error) {
	shells := make([][]piece, len(w.parts.Shells))
	g, ctx := errgroup.WithContext(ctx)
	g.SetLimit(runtime.GOMAXPROCS(0))
	step := counter(tell, "fit", len(shells))
	for i := range w.parts.Shells {
		g.Go(mesh.Guarded(func() error {
			if err := ctx.Err(); err != nil {
				return err
			}
			var err error
			shells[i], err = w.fitShell(ctx, i)
			step()
			return err
		}))
	}
	if err := g.Wait(); err != nil {
		return nil, err
	}
	return slices.Concat(shells...), nil
}

// fusedFacets is the least size of a shell that may be several pieces welded
// together.
const fusedFacets = 2000

// fitShell fits the shell as one piece; what is no primitive may be several
// pieces and is taken apart.
func (w *work) fitShell(ctx context.Context, i int) ([]piece, error) {
	s := w.parts.Shells[i]
	opt := w.fitOptions()
	e, p := primitive.RecogniseShell(w.scaled.Mesh, s.Faces, s.Points, w.report.NoiseMM, opt)
	whole := assembly.Piece{Element: e, Faces: s.Faces, Patch: p}
	if whole.Element.Kind != "freeform" || len(s.Faces) < fusedFacets {
		q := surveyed(whole, i, opt)
		if len(q.Vertex) < len(s.Points) {
			q.Vertex, q.VertexMM2 = s.Points, w.scaled.VertexAreas(s.Faces, s.Points)
		}
		return []piece{q}, nil
	}
	pieces, err := assembly.Pieces(ctx, w.scaled.Mesh, p, opt)
	if err != nil {
		return nil, err
	}
	if len(pieces) < 2 {
		whole.Element.Notes = append(whole.Element.Notes, "no seams were found that would part it into known pieces")
		return []piece{surveyed(whole, i, opt)}, nil
	}
	var out []piece
	for _, x := range pieces {
		out = append(out, surveyed(x, i, opt))
	}
	return out, nil
}

// surveyed is a settled piece; a freeform is measured more closely.
func surveyed(x assembly.Piece, shell int, opt primitive.Options) piece {
	x.Element.Survey(x.Patch, opt)
	return pieceOf(x, shell)
}

// counter tells progress of parts that end in any order.
func counter(tell mesh.Tell, stage string, total int) func() {
	if tell == nil {
		return func() {}
	}
	done := make(chan int64, 1)
	done <- 0
	return func() {
		n := <-done + 1
		tell(stage, n, int64(total))
		done <- n
	}
}

// deviation is that of the scan from the element at full size, weighted by the
// area round each vertex so that mesh density does not count. Spikes are left
// out of the largest one and counted.
type deviation struct {
	rmsMM, meanMM, p95MM, maxMM, within float64
	points, spikes                      int
}

func newDeviation(e *element, ratio, limitMM float64) *deviation {
	if e.DeviationMM == nil {
		return nil
	}
	type row struct{ d, w float64 }
	rows := make([]row, 0, len(e.DeviationMM))
	for i, d := range e.DeviationMM {
		if !math.IsNaN(d) && e.vertexMM2[i] > 0 {
			rows = append(rows, row{d * ratio, e.vertexMM2[i]})
		}
	}
	if len(rows) == 0 {
		return nil
	}
	slices.SortFunc(rows, func(a, b row) int {
		x, y := math.Abs(a.d), math.Abs(b.d)
		switch {
		case x < y:
			return -1
		case x > y:
			return 1
		case a.w < b.w:
			return -1
		case a.w > b.w:
			return 1
		}
		return 0
	})
	v := &deviation{points: len(rows)}
	total, sum := 0.0, 0.0
	for _, r := range rows {
		total += r.w
		v.meanMM += r.w * r.d
		v.rmsMM += r.w * r.d * r.d
		if math.Abs(r.d) <= limitMM {
			v.within += r.w
		}
	}
	v.meanMM, v.rmsMM, v.within = v.meanMM/total, math.Sqrt(v.rmsMM/total), v.within/total
	for _, r := range rows {
		if sum += r.w; sum >= 0.95*total {
			v.p95MM = math.Abs(r.d)
			break
		}
	}
	// A spike stands alone far beyond the rest: over eight times the root mean
	// square and over three times the value below which 99.9 % lie.
	edge := math.Abs(rows[min(int(0.999*float64(len(rows))), len(rows)-1)].d)
	for i := len(rows) - 1; i >= 0; i-- {
		if d := math.Abs(rows[i].d); d <= max(8*v.rmsMM, 3*edge) || v.spikes*1000 >= len(rows) {
			v.maxMM = d
			break
		}
		v.spikes++
	}
	return v
}
