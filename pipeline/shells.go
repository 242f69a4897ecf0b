package pipeline

import (
	"cmp"
	"context"
	"runtime"

	"golang.org/x/sync/errgroup"
	"golang.org/x/sync/semaphore"

	"pointup/mesh"
	"pointup/segment/assembly"
	"pointup/segment/primitive"
)

// fitted is what a shell is: one piece, or the pieces that it is welded from.
// settled is that of a shell which is looked at by itself only.
type fitted struct {
	whole   assembly.Piece
	pieces  []assembly.Piece
	settled bool
	piece   piece
}

// verticesAtOnce are those of the shells that are fitted at once, for each processor:
// small ones many at a time, so that a slow one does not come last by itself, and of
// large ones, which take memory, one for each: as many as a plain piece is fitted to.
const verticesAtOnce = 16000

// fitShells fits every shell; each writes to its own place. Islands go to the pieces
// that they are part of.
func (w *work) fitShells(ctx context.Context, tell mesh.Tell) ([]piece, error) {
	shells := make([]fitted, len(w.parts.Shells))
	g, fitting := errgroup.WithContext(ctx)
	room := semaphore.NewWeighted(int64(verticesAtOnce * runtime.GOMAXPROCS(0)))
	step := counter(tell, "fit", len(shells))
	for i := range shells {
		takes := int64(min(len(w.parts.Shells[i].Points), verticesAtOnce))
		if room.Acquire(fitting, takes) != nil {
			break // interrupted, or a shell has failed
		}
		g.Go(mesh.Guarded(func() error {
			defer room.Release(takes)
			if err := fitting.Err(); err != nil {
				return err
			}
			var err error
			shells[i], err = w.fitShell(fitting, i)
			step()
			return err
		}))
	}
	if err := cmp.Or(g.Wait(), ctx.Err()); err != nil {
		return nil, err
	}
	gone := w.islands(shells)
	var out []piece
	for i := range shells {
		if !gone[i] {
			out = append(out, w.settle(&shells[i], i)...)
		}
	}
	return out, nil
}

// fitShell fits one shell.
func (w *work) fitShell(ctx context.Context, i int) (fitted, error) {
	s := w.parts.Shells[i]
	whole, pieces, err := assembly.Shell(ctx, w.scaled.Mesh, s.Faces, s.Points, w.report.NoiseMM, w.fitOptions())
	f := fitted{whole: whole, pieces: pieces}
	if err == nil && len(pieces) == 0 && !assembly.MayBeIsland(whole) { // its patch need not be kept
		f = fitted{settled: true, piece: w.settle(&f, i)[0]}
	}
	return f, err
}

// islands gives small shells to the pieces of welded ones that they are part of,
// and tells which are gone.
func (w *work) islands(shells []fitted) []bool {
	gone := make([]bool, len(shells))
	var pieces, small []assembly.Piece
	var of []int
	for i := range shells {
		if f := &shells[i]; len(f.pieces) > 0 {
			pieces = append(pieces, f.pieces...)
		} else if !f.settled {
			small, of = append(small, f.whole), append(of, i)
		}
	}
	if len(pieces) == 0 || len(small) == 0 {
		return gone
	}
	for k, taken := range assembly.Islands(w.scaled.Mesh, pieces, small, w.report.NoiseMM, w.fitOptions()) {
		gone[of[k]] = taken
	}
	for i := range shells {
		n := copy(shells[i].pieces, pieces)
		pieces = pieces[n:]
	}
	return gone
}

// settle measures what is freeform more closely, and keeps of each piece what is
// needed from here on.
func (w *work) settle(f *fitted, shell int) []piece {
	opt := w.fitOptions()
	switch {
	case f.settled:
		return []piece{f.piece}
	case len(f.pieces) == 0:
		f.whole.Element.Survey(f.whole.Patch, opt)
		return []piece{w.wholeShell(f.whole.Element, shell)}
	}
	var out []piece
	for _, x := range f.pieces {
		out = append(out, surveyed(x, shell, opt))
	}
	return out
}

// surveyed is a settled piece; a freeform is measured more closely.
func surveyed(x assembly.Piece, shell int, opt primitive.Options) piece {
	x.Element.Survey(x.Patch, opt)
	return pieceOf(x, shell)
}
