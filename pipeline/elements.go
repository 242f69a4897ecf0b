package pipeline

import (
	"context"
	"fmt"
	"runtime"

	"golang.org/x/sync/errgroup"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh"
	"pointup/pipeline/job"
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
