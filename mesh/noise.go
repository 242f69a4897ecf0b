package mesh

import (
	"math"
	"runtime"
	"slices"

	"golang.org/x/sync/errgroup"
	"gonum.org/v1/gonum/spatial/r3"
)

// Noise is the scatter of the vertices along the surface's normal.
type Noise struct {
	SigmaMM float64 // from patches of two rings: white noise
	LongMM  float64 // from patches of four rings: more of what is correlated
	Patches int     // patches that SigmaMM rests on; 0: nothing could be measured
}

// Patches are taken at up to noiseSamples vertices; their median is then good
// to 1 %. The long ones cost ten times as much and are a second opinion.
const (
	noiseSamples = 8000
	longSamples  = 1000
	shortRings   = 2
	longRings    = 4
	freedomFew   = 3   // degrees of freedom that chi² is good for
	patchMost    = 160 // vertices of a patch; more is a fan, not a surface
)

// EstimateNoise fits a cubic height, or a quadric where the vertices are few, to
// the neighbourhood of a sample of vertices, by least squares along the mean
// normal, and takes the residual sum of squares over its degrees of freedom,
// vertices less terms, which is free of bias for white noise. Of these the median counts, over its own expectation (chi²),
// after patches that lie across an edge of the piece are left out: see
// [settle].
//
// What the height cannot follow stays in: on a cylinder of radius R with edges L
// some 0.15 L⁴/R³, 1 % of a noise of 0.01 mm at R = 5 mm and L = 1 mm. The cubic
// terms are needed where curvature changes: over the top of a ring of section
// radius 6 mm they come to 0.01 mm at 1 mm edges.
// Multiplying the mesh by k multiplies both numbers by k. Held within 15 % of
// known white noise by TestNoise.
func (m *Mesh) EstimateNoise() Noise {
	sigma, used := settle(m.patches(noiseSamples, shortRings), bendShort)
	if used < patchesFew {
		return Noise{}
	}
	n := Noise{SigmaMM: sigma, LongMM: sigma, Patches: used}
	if long, used := settle(m.patches(longSamples, longRings), bendLong); used >= patchesFew {
		n.LongMM = math.Max(sigma, long)
	}
	return n
}

// A patch is left out where its curvature alone may come to more than this part
// of the noise. The estimate of that is high by up to four on a square grid,
// whose corners reach out, so eight tenths add 2 % there and 30 % where it is
// exact; a third adds 5 % at worst.
const (
	bendShort = 0.8
	bendLong  = 0.33
)

// patchesFew is the number of patches from which a median is worth giving.
const patchesFew = 20

// patch is one fit.
type patch struct {
	varianceMM2 float64
	freedom     float64
	tiltRad     float64 // the most that a vertex normal leans from the patch's
	edgeMM      float64
	bendMM      float64 // what the height cannot follow, estimated
	ok          bool
}

// patches fits at most count vertices spread by a fixed hash, on all cores; each
// writes to its own index.
func (m *Mesh) patches(count, rings int) []patch {
	at := m.sample(count)
	out := make([]patch, len(at))
	workers := min(runtime.GOMAXPROCS(0), 8)
	var g errgroup.Group
	for w := range workers {
		g.Go(Guarded(func() error {
			var s scratch
			for i := w; i < len(at); i += workers {
				out[i] = m.fitPatch(at[i], rings, &s)
			}
			return nil
		}))
	}
	if err := g.Wait(); err != nil {
		panic(err) // a fault, brought to where it can be told
	}
	return slices.DeleteFunc(out, func(p patch) bool { return !p.ok })
}

// sample returns all vertices, or about count of them.
func (m *Mesh) sample(count int) []uint32 {
	share := uint64(math.MaxUint32)
	if len(m.Points) > count {
		share = uint64(float64(count) / float64(len(m.Points)) * math.MaxUint32)
	}
	var at []uint32
	for v := range uint32(len(m.Points)) {
		if f := m.FacesAt(v); uint64(v*0x9e3779b1) <= share && len(f) > 0 && !m.Dust(f[0]) {
			at = append(at, v)
		}
	}
	return at
}

// quantileSquare returns the q-quantile of chi² with k degrees of freedom over
// k; z is that of the normal distribution (Wilson and Hilferty, PNAS 17, 1931:
// within 1 % from k = 3 on).
func quantileSquare(z, k float64) float64 {
	a := 2 / (9 * k)
	return math.Pow(1-a+z*math.Sqrt(a), 3)
}

const (
	zQuarter = -0.67449
	zHigh    = 2.5758 // 99.5 %
)

// Facet normals lean by noise: the normal of a ring of six by 0.82 sigma/edge.
// A patch is taken for one across an edge of the piece when a vertex normal
// leans more than tiltFree (a cylinder of two edges' radius) and three times
// that; never less strict than tiltMost, half a square corner.
const (
	tiltFree  = 30 * math.Pi / 180
	tiltMost  = 45 * math.Pi / 180
	tiltNoise = 3 * 0.82
)

// settle returns the noise of the patches and how many it rests on. It starts
// at the lower quarter, which stands while three quarters of the patches lie
// across an edge, and repeats: leave out what this noise does not explain and
// what bends too much for it, take the median.
func settle(patches []patch, bend float64) (sigmaMM float64, used int) {
	if len(patches) == 0 {
		return 0, 0
	}
	values := make([]float64, 0, len(patches))
	for _, p := range patches {
		values = append(values, p.varianceMM2/quantileSquare(zQuarter, p.freedom))
	}
	slices.Sort(values)
	variance := values[len(values)/4]
	for range 30 {
		values = values[:0]
		sigma := math.Sqrt(variance)
		for _, p := range patches {
			lean := math.Min(tiltMost, tiltFree+tiltNoise*sigma/p.edgeMM)
			if p.tiltRad <= lean && p.bendMM <= bend*sigma && p.varianceMM2 <= variance*quantileSquare(zHigh, p.freedom) {
				values = append(values, p.varianceMM2/quantileSquare(0, p.freedom))
			}
		}
		if len(values) == 0 {
			return 0, 0
		}
		slices.Sort(values)
		next := values[len(values)/2]
		if next == variance {
			break
		}
		variance = next
	}
	return math.Sqrt(variance), len(values)
}

// scratch is what one worker fits with.
type scratch struct {
	ring  []uint32
	taken few
	local []r3.Vec
	fit   heightFit
}

// few is a set of a few hundred numbers at most, emptied by a new age.
type few struct {
	number, age [1024]uint32
	now         uint32
}

// add puts x into the set and tells whether it is new.
func (s *few) add(x uint32) bool {
	at := x * 0x9e3779b1 >> 22
	for ; s.age[at] == s.now; at = (at + 1) % uint32(len(s.age)) {
		if s.number[at] == x {
			return false
		}
	}
	s.number[at], s.age[at] = x, s.now
	return true
}

// fitPatch fits the rings round vertex v.
func (m *Mesh) fitPatch(v uint32, rings int, s *scratch) patch {
	inner := m.gather(v, rings, s)
	if len(s.ring) < quadricTerms+freedomFew || len(s.ring) > patchMost {
		return patch{}
	}
	normal, tilt := m.lean(s.ring[:inner])
	x, y, ok := across(normal)
	if !ok {
		return patch{}
	}
	centre := m.At(v)
	s.local = s.local[:0]
	reach := 0.0
	for _, w := range s.ring {
		d := r3.Sub(m.At(w), centre)
		p := r3.Vec{X: r3.Dot(d, x), Y: r3.Dot(d, y), Z: r3.Dot(d, normal)}
		reach = math.Max(reach, math.Hypot(p.X, p.Y))
		s.local = append(s.local, p)
	}
	terms := cubicTerms
	if len(s.local) < cubicTerms+freedomFew {
		terms = quadricTerms
	}
	left, curved, ok := s.fit.solve(s.local, terms, reach)
	if !ok {
		return patch{}
	}
	k := float64(len(s.local) - terms)
	return patch{varianceMM2: left / k, freedom: k, tiltRad: tilt, edgeMM: reach / float64(rings),
		bendMM: 0.0762 / 8 * math.Pow(reach, 4) * math.Pow(curved, 3), ok: true}
}

// gather lists the vertices within rings of v, nearest ring first, and returns
// how many are within rings-1: the facets round those are all the facets of the
// patch.
func (m *Mesh) gather(v uint32, rings int, s *scratch) (inner int) {
	s.ring = append(s.ring[:0], v)
	s.taken.now++
	s.taken.add(v)
	from := 0
	for range rings {
		inner = len(s.ring)
		for _, w := range s.ring[from:inner] {
			for _, f := range m.FacesAt(w) {
				for _, u := range m.Faces[f] {
					if s.taken.add(u) {
						s.ring = append(s.ring, u)
					}
				}
				if len(s.ring) > patchMost {
					return inner
				}
			}
		}
		from = inner
	}
	return inner
}

// lean returns the mean normal at the vertices and the greatest angle between
// it and the normal at one of them.
func (m *Mesh) lean(vertices []uint32) (normal r3.Vec, tiltRad float64) {
	var at [patchMost + 1]r3.Vec
	for i, v := range vertices {
		for _, f := range m.FacesAt(v) {
			at[i] = r3.Add(at[i], m.AreaVector(f))
		}
		normal = r3.Add(normal, at[i])
	}
	least := 1.0
	long := r3.Norm(normal)
	for i := range vertices {
		if d := r3.Norm(at[i]) * long; d > 0 {
			least = math.Min(least, r3.Dot(at[i], normal)/d)
		} else {
			least = -1
		}
	}
	return r3.Scale(1/math.Max(long, math.SmallestNonzeroFloat64), normal), math.Acos(math.Max(-1, least))
}

// across returns two directions that with normal make a right-handed frame.
func across(normal r3.Vec) (x, y r3.Vec, ok bool) {
	if n := r3.Norm(normal); !(n > 0.5) {
		return x, y, false
	}
	e := r3.Vec{X: 1}
	if math.Abs(normal.X) > 0.7 {
		e = r3.Vec{Y: 1}
	}
	x = r3.Unit(r3.Cross(e, normal))
	return x, r3.Cross(normal, x), true
}
