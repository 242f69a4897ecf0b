package surface

import (
	"runtime"
	"sync/atomic"

	"golang.org/x/sync/errgroup"

	"pointup/mesh"
)

// walk marks the points that a walk over a field has come to. Walks that go on
// side by side have one each.
type walk struct {
	mark  []int32 // one a point
	stamp int32   // of the walk under way
}

func newWalks(points int) []walk {
	out := make([]walk, runtime.GOMAXPROCS(0))
	for k := range out {
		out[k].mark = make([]int32, points)
	}
	return out
}

// begin forgets all marks.
func (w *walk) begin() { w.stamp++ }

func (w *walk) add(i int32)      { w.mark[i] = w.stamp }
func (w *walk) has(i int32) bool { return w.mark[i] == w.stamp }

// each does n tasks, as many at a time as there are processors. A task writes to
// what is its own only.
func (s *search) each(n int, do func(w *walk, i int)) {
	var next atomic.Int64
	var g errgroup.Group
	for k := range s.walks[:min(n, len(s.walks))] {
		g.Go(mesh.Guarded(func() error {
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				do(&s.walks[k], i)
			}
			return nil
		}))
	}
	if err := g.Wait(); err != nil {
		panic(err) // a fault, brought to where it can be told
	}
}
