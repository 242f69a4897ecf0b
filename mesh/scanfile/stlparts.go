package scanfile

import (
	"context"
	"io"
	"runtime"

	"golang.org/x/sync/errgroup"

	"pointup/mesh"
)

// A large binary STL is welded in parts, one a processor: the first from the
// stream, which hashes the file, the others from their own places in it. Their
// points are then looked up one part after the other, so that every point has the
// number that it has when the file is read from start to end.
const (
	partsMost = 4       // each holds points and a table of its own
	partLeast = 100_000 // facets that are worth one
)

// stlParts are the parts but the first, at work.
type stlParts struct {
	facets int // of all of them
	list   []stlPart
	work   *errgroup.Group
	halt   context.CancelFunc
}

// stlPart holds facets whose corners are points of its own welder.
type stlPart struct {
	corners [][3]uint32
	w       *welder
	err     error // what is wrong with one of them
}

// startParts sets the parts of corners but the first to work, where there are any.
func startParts(s *stream, corners [][3]uint32) *stlParts {
	n := min(runtime.GOMAXPROCS(0), partsMost, len(corners)/partLeast)
	p := &stlParts{list: make([]stlPart, max(n, 1)-1), work: new(errgroup.Group)}
	if s.at == nil {
		p.list = nil
	}
	ctx, halt := context.WithCancel(s.ctx)
	p.halt = halt
	for k := range p.list {
		first, end := len(corners)*(k+1)/n, len(corners)*(k+2)/n
		p.facets += end - first
		p.list[k].corners = corners[first:end]
		p.work.Go(mesh.Guarded(func() error {
			p.list[k].err = p.list[k].read(ctx, s.at, first)
			return nil
		}))
	}
	return p
}

// read decodes and welds the facets of a part, the first of which is number first
// of the file.
func (p *stlPart) read(ctx context.Context, r io.ReaderAt, first int) error {
	p.w = newWelder(len(p.corners))
	block := make([]byte, chunkBytes/stlRecord*stlRecord)
	for done := 0; done < len(p.corners); {
		if err := ctx.Err(); err != nil {
			return err
		}
		n := min(len(block)/stlRecord, len(p.corners)-done)
		at := stlHead + int64(first+done)*stlRecord
		if _, err := r.ReadAt(block[:n*stlRecord], at); err != nil {
			return unread(err)
		}
		if bad := weldRecords(p.w, block[:n*stlRecord], p.corners[done:done+n]); bad >= 0 {
			return badRecord(block[bad*stlRecord:], at+int64(bad)*stlRecord, first+done+bad)
		}
		done += n
	}
	return nil
}

// stop ends the parts and returns err.
func (p *stlParts) stop(err error) error {
	p.halt()
	_ = p.work.Wait() // err came before
	return err
}

// join reads the stream to its end, for its hash, and gives the points of all
// parts numbers in w, those of one part after those of the part before.
func (p *stlParts) join(s *stream, w *welder) error {
	defer p.halt()
	for len(p.list) > 0 {
		s.data = nil
		if err := s.more(); err == io.EOF {
			break
		} else if err != nil {
			return p.stop(err)
		}
	}
	if err := p.work.Wait(); err != nil {
		return err
	}
	for k := range p.list {
		q := &p.list[k]
		if q.err != nil {
			return q.err
		}
		number := mesh.Large[uint32](len(q.w.points))
		for i := 0; i < len(number); i += batch {
			end := min(i+batch, len(number))
			w.addAll(q.w.points[i:end], number[i:end])
		}
		q.w = nil
		if err := renumber(q.corners, number); err != nil {
			return err
		}
	}
	return nil
}

// renumber gives corners the numbers that their points have now.
func renumber(corners [][3]uint32, number []uint32) error {
	var work errgroup.Group
	n := runtime.GOMAXPROCS(0)
	for k := range n {
		work.Go(mesh.Guarded(func() error {
			for i := len(corners) * k / n; i < len(corners)*(k+1)/n; i++ {
				c := corners[i]
				corners[i] = [3]uint32{number[c[0]], number[c[1]], number[c[2]]}
			}
			return nil
		}))
	}
	return work.Wait()
}
