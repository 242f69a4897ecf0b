package surface

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/kdtree"
	"gonum.org/v1/gonum/spatial/r3"
)

// Neighbours of a bare point: enough for a normal where there is no noise; with
// noise, as many as make the normal steady, up to the larger number.
const (
	nearFew  = 12
	nearMany = 60
)

// FromCloud makes a field of bare points: the graph of the nearest neighbours,
// normals by least-squares planes, noise by the points' distance from those
// planes. With noise more neighbours make a normal; where two surfaces meet the
// neighbours of the less bent side count (a robust plane, reweighted).
func FromCloud(points []r3.Vec) *Field {
	f := &Field{P: points, SizeMM: diagonal(points)}
	near, dist := neighbours(points, nearMany)
	f.SpacingMM = spacing(dist)
	f.link(near, nearFew)
	f.NoiseMM = quadricNoise(points, near)
	k := nearFew
	if f.SpacingMM > 0 {
		// A plane over k points errs by about 2 noise/(spacing k); 0.1 rad is wanted.
		k = int(20 * f.NoiseMM / f.SpacingMM)
	}
	k = min(max(k, nearFew), nearMany)
	f.N = make([]r3.Vec, len(points))
	for i := range points {
		f.N[i] = robustNormal(points, int32(i), near[i], k, f.NoiseMM)
	}
	return f
}

func diagonal(p []r3.Vec) float64 {
	if len(p) == 0 {
		return 0
	}
	lo, hi := p[0], p[0]
	for _, q := range p {
		lo = r3.Vec{X: min(lo.X, q.X), Y: min(lo.Y, q.Y), Z: min(lo.Z, q.Z)}
		hi = r3.Vec{X: max(hi.X, q.X), Y: max(hi.Y, q.Y), Z: max(hi.Z, q.Z)}
	}
	return r3.Norm(r3.Sub(hi, lo))
}

// place is a point of the tree with its number.
type place struct {
	r3.Vec
	i int32
}

func (p place) Compare(c kdtree.Comparable, d kdtree.Dim) float64 {
	q := c.(place)
	switch d {
	case 0:
		return p.X - q.X
	case 1:
		return p.Y - q.Y
	}
	return p.Z - q.Z
}

func (p place) Dims() int { return 3 }

func (p place) Distance(c kdtree.Comparable) float64 {
	return r3.Norm2(r3.Sub(p.Vec, c.(place).Vec))
}

type places []place

func (p places) Index(i int) kdtree.Comparable         { return p[i] }
func (p places) Len() int                              { return len(p) }
func (p places) Pivot(d kdtree.Dim) int                { return plane{d, p}.pivot() }
func (p places) Slice(start, end int) kdtree.Interface { return p[start:end] }

type plane struct {
	d kdtree.Dim
	places
}

func (p plane) Less(i, j int) bool { return p.places[i].Compare(p.places[j], p.d) < 0 }
func (p plane) Swap(i, j int)      { p.places[i], p.places[j] = p.places[j], p.places[i] }
func (p plane) Slice(start, end int) kdtree.SortSlicer {
	p.places = p.places[start:end]
	return p
}
func (p plane) pivot() int { return kdtree.Partition(p, kdtree.MedianOfMedians(p)) }

// neighbours returns each point's k nearest others, nearest first, and the
// distances to them.
func neighbours(p []r3.Vec, k int) ([][]int32, [][]float64) {
	all := make(places, len(p))
	for i, q := range p {
		all[i] = place{q, int32(i)}
	}
	tree := kdtree.New(all, false)
	near, dist := make([][]int32, len(p)), make([][]float64, len(p))
	for i, q := range p {
		keep := kdtree.NewNKeeper(min(k+1, len(p)))
		tree.NearestSet(keep, place{q, int32(i)})
		slices.SortFunc(keep.Heap, func(a, b kdtree.ComparableDist) int {
			if a.Dist != b.Dist {
				if a.Dist < b.Dist {
					return -1
				}
				return 1
			}
			return int(number(a) - number(b))
		})
		for _, c := range keep.Heap {
			if j := number(c); j >= 0 && j != int32(i) {
				near[i] = append(near[i], j)
				dist[i] = append(dist[i], math.Sqrt(c.Dist))
			}
		}
	}
	return near, dist
}

func number(c kdtree.ComparableDist) int32 {
	if c.Comparable == nil {
		return -1
	}
	return c.Comparable.(place).i
}

// spacing is the median distance to the third neighbour.
func spacing(dist [][]float64) float64 {
	var d []float64
	for _, x := range dist {
		if len(x) > 2 {
			d = append(d, x[2])
		}
	}
	return median(d)
}

func median(d []float64) float64 {
	if len(d) == 0 {
		return 0
	}
	slices.Sort(d)
	return d[len(d)/2]
}

// link makes the graph symmetric from each point's k nearest.
func (f *Field) link(near [][]int32, k int) {
	sets := make([][]int32, len(near))
	for i, n := range near {
		for _, j := range n[:min(k, len(n))] {
			sets[i] = append(sets[i], j)
			sets[j] = append(sets[j], int32(i))
		}
	}
	f.From = make([]int32, len(near)+1)
	for i, n := range sets {
		slices.Sort(n)
		n = slices.Compact(n)
		f.To = append(f.To, n...)
		f.From[i+1] = int32(len(f.To))
	}
}

// planeOf is the least-squares normal at point i over ids and the standard
// deviation from that plane.
func planeOf(p []r3.Vec, i int32, ids []int32, w []float64) (n r3.Vec, sd float64) {
	c, sum := p[i], 1.0
	for k, j := range ids {
		x := 1.0
		if w != nil {
			x = w[k]
		}
		c = r3.Add(c, r3.Scale(x, p[j]))
		sum += x
	}
	c = r3.Scale(1/sum, c)
	var m [6]float64
	addOuter(&m, r3.Sub(p[i], c))
	for k, j := range ids {
		x := 1.0
		if w != nil {
			x = w[k]
		}
		addOuter(&m, r3.Scale(math.Sqrt(x), r3.Sub(p[j], c)))
	}
	n = eigen(m)[0]
	ss := 0.0
	for _, j := range append(slices.Clone(ids), i) {
		d := r3.Dot(r3.Sub(p[j], c), n)
		ss += d * d
	}
	return n, math.Sqrt(ss / max(float64(len(ids))+1-3, 1))
}

// robustNormal fits a plane to the nearest k and reweights by distance from it,
// so that beyond an edge the other side stops counting.
func robustNormal(p []r3.Vec, i int32, near []int32, k int, noise float64) r3.Vec {
	ids := near[:min(k, len(near))]
	if len(ids) < 3 {
		return r3.Vec{Z: 1}
	}
	var w []float64
	var n r3.Vec
	for round := 0; round < 4; round++ {
		n, _ = planeOf(p, i, ids, w)
		d := make([]float64, len(ids))
		for a, j := range ids {
			d[a] = math.Abs(r3.Dot(r3.Sub(p[j], p[i]), n))
		}
		scale := max(2*noise, median(slices.Clone(d)), 1e-12)
		w = make([]float64, len(ids))
		for a := range d {
			t := d[a] / scale
			w[a] = 1 / (1 + t*t*t*t)
		}
	}
	return n
}
