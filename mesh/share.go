package mesh

import (
	"runtime"

	"golang.org/x/sync/errgroup"
)

// What is done in shares gives the same for any number of them, or is parted
// into a number that does not depend on the machine.

const (
	sharesMost = 4       // each holds lists of its own, so that more would cost memory
	shareLeast = 1 << 14 // items that are worth a goroutine
)

// shares parts [0,n) into runs, one a processor: share k is [b[k], b[k+1]).
func shares(n int) []int {
	return parts(n, min(runtime.GOMAXPROCS(0), sharesMost, n/shareLeast))
}

// parts parts [0,n) into count runs of equal length, at least one.
func parts(n, count int) []int {
	b := make([]int, max(count, 1)+1)
	for k := range b {
		b[k] = n * k / (len(b) - 1)
	}
	return b
}

// each calls do for every run between bounds, in parallel.
func each(bounds []int, do func(k, lo, hi int) error) error {
	if len(bounds) == 2 {
		return do(0, bounds[0], bounds[1])
	}
	var g errgroup.Group
	g.SetLimit(runtime.GOMAXPROCS(0))
	for k := range len(bounds) - 1 {
		g.Go(Guarded(func() error { return do(k, bounds[k], bounds[k+1]) }))
	}
	return g.Wait()
}

// eachFree is each for work that cannot fail: a fault of our own is brought to
// where it can be told.
func eachFree(bounds []int, do func(k, lo, hi int)) {
	err := each(bounds, func(k, lo, hi int) error {
		do(k, lo, hi)
		return nil
	})
	if err != nil {
		panic(err)
	}
}

// InShares calls do for runs [lo, hi) that part [0, n), in parallel: run k is
// the k-th of at most [SharesMost]. What comes of it must not depend on how [0, n) is parted.
func InShares(n int, do func(k, lo, hi int)) {
	eachFree(shares(n), do)
}

// SharesMost bounds the number of runs of [InShares].
const SharesMost = sharesMost

// band is a run of vertices [from, to) and the facets [lo, hi) that have their
// lowest vertex in it. The bands of a mesh part both.
type band struct {
	lo, hi   int
	from, to uint32
}

// bands parts a mesh whose facets are in canonical order, one band a processor.
func (m *Mesh) bands() []band {
	cut := bucketCuts(m.Faces)
	out := make([]band, len(cut)-1)
	for k := range out {
		out[k] = band{lo: cut[k], hi: cut[k+1], to: uint32(len(m.Points))}
		if k > 0 {
			out[k].from = m.Faces[cut[k]][0]
			out[k-1].to = out[k].from
		}
	}
	return out
}

// bucketCuts is shares of facets that stand in order of their first vertex, such
// that no bucket is cut.
func bucketCuts(faces [][3]uint32) []int {
	cut := shares(len(faces))
	out := cut[:1]
	for _, at := range cut[1:] {
		for at < len(faces) && at > 0 && faces[at][0] == faces[at-1][0] {
			at++
		}
		if at > out[len(out)-1] {
			out = append(out, at)
		}
	}
	return out
}

// eachBand calls do for every band, in parallel.
func eachBand(bands []band, do func(k int, b band)) {
	eachFree(parts(len(bands), len(bands)), func(k, _, _ int) { do(k, bands[k]) })
}

// placesOf turns numbers of things, one a share and bucket, into the place of
// the first of each: bucket by bucket, share by share. It returns their sum.
func placesOf(count [][]uint32) int {
	sum := uint32(0)
	for v := range count[0] {
		for k := range count {
			n := count[k][v]
			count[k][v] = sum
			sum += n
		}
	}
	return int(sum)
}
