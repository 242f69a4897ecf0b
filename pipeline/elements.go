package pipeline

import (
	"context"
	"math"
	"runtime"
	"slices"

	"golang.org/x/sync/errgroup"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh"
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
}

// recognise fits every shell, as many at a time as there are processors; each
// writes to its own place.
func (w *work) recognise(ctx context.Context, tell mesh.Tell) ([]element, error) {
	shells := make([][]element, len(w.parts.Shells))
	g, ctx := errgroup.WithContext(ctx)
	g.SetLimit(runtime.GOMAXPROCS(0))
	step := counter(tell, "fit", len(shells))
	for i := range w.parts.Shells {
		g.Go(func() error {
			if err := ctx.Err(); err != nil {
				return err
			}
			var err error
			shells[i], err = w.fitShell(ctx, i)
			step()
			return err
		})
	}
	if err := g.Wait(); err != nil {
		return nil, err
	}
	var out []element
	for _, e := range shells {
		out = append(out, e...)
	}
	return out, nil
}

// fusedFacets is the least size of a shell that may be several pieces welded
// together.
const fusedFacets = 2000

// fitShell fits the shell as one piece; what is no primitive may be several
// pieces and is taken apart.
func (w *work) fitShell(ctx context.Context, i int) ([]element, error) {
	s := w.parts.Shells[i]
	p := primitive.NewPatch(w.scaled.Mesh, s.Faces, w.report.NoiseMM)
	opt := primitive.DefaultOptions()
	opt.FormShare = w.job.Limits.Form
	e := element{Element: primitive.Recognise(p, opt), shell: i, faces: s.Faces, areaMM2: s.AreaMM2,
		centroidMM: s.CentroidMM, lowestMM: s.LowestMM, vertex: p.Vertex, vertexMM2: p.AreaMM2}
	e.deviation = newDeviation(&e, w.scaled.Ratio, w.job.Limits.SurfaceMM)
	if e.Kind != "freeform" || len(s.Faces) < fusedFacets {
		return []element{e}, nil
	}
	pieces, err := assembly.Pieces(ctx, w.scaled.Mesh, p, opt)
	if err != nil {
		return nil, err
	}
	if len(pieces) < 2 {
		e.Notes = append(e.Notes, "no seams were found that would part it into known pieces")
		return []element{e}, nil
	}
	var out []element
	for _, x := range pieces {
		out = append(out, w.pieceElement(x, i))
	}
	return out, nil
}

// pieceElement is a piece of a fused shell with its place.
func (w *work) pieceElement(x assembly.Piece, shell int) element {
	m := w.scaled.Measure(x.Faces)
	e := element{Element: x.Element, shell: shell, faces: x.Faces, weld: x.Weld, areaMM2: m.AreaMM2, centroidMM: m.CentroidMM,
		vertex: x.Patch.Vertex, vertexMM2: x.Patch.AreaMM2, lowestMM: math.Inf(1)}
	for _, v := range e.vertex {
		e.lowestMM = min(e.lowestMM, w.scaled.SiteMM(w.scaled.At(v)).Z/w.scaled.Ratio)
	}
	e.deviation = newDeviation(&e, w.scaled.Ratio, w.job.Limits.SurfaceMM)
	return e
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
