package pipeline

import (
	"context"
	"fmt"
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
	faces      []uint32  // of the mesh, rising
	weld       []uint32  // facets of weld nearest to it
	vertex     []uint32  // the mesh's vertices that Element.DeviationMM is of
	vertexMM2  []float64 // until deviation is known
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
	out := make([]element, len(list))
	g := new(errgroup.Group)
	g.SetLimit(runtime.GOMAXPROCS(0))
	for i, p := range list {
		g.Go(mesh.Guarded(func() error {
			out[i] = w.elementOf(p)
			return nil
		}))
	}
	return out, g.Wait()
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
	if e.Kind != "freeform" || e.Whole || len(s.Faces) < fusedFacets {
		e.Survey(p, opt)
		return []piece{w.wholeShell(e, i)}, nil
	}
	pieces, err := assembly.Pieces(ctx, w.scaled.Mesh, p, opt)
	if err != nil {
		return nil, err
	}
	if len(pieces) < 2 {
		e.Notes = append(e.Notes, "no seams were found that would part it into known pieces")
		e.Survey(p, opt)
		return []piece{w.wholeShell(e, i)}, nil
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
