package mesh

import (
	"cmp"
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
		n.LongMM = max(sigma, long)
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

	median float64 // the variance of which such a patch is the median
	most   float64 // what such a patch has at most, in parts of the variance
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
		if uint64(v*0x9e3779b1) > share {
			continue
		}
		if f := m.FacesAt(v); len(f) > 0 && !m.Dust(f[0]) {
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
// what bends too much for it, take the median. The patches are put in order of
// what they say the variance is, once for all medians.
func settle(patches []patch, bend float64) (sigmaMM float64, used int) {
	if len(patches) == 0 {
		return 0, 0
	}
	values := make([]float64, len(patches))
	for i := range patches {
		p := &patches[i]
		values[i] = p.varianceMM2 / quantileSquare(zQuarter, p.freedom)
		p.median, p.most = p.varianceMM2/quantileSquare(0, p.freedom), quantileSquare(zHigh, p.freedom)
	}
	slices.Sort(values)
	variance := values[len(values)/4]
	slices.SortFunc(patches, func(a, b patch) int { return cmp.Compare(a.median, b.median) })
	for range 30 {
		values = values[:0]
		sigma := math.Sqrt(variance)
		for i := range patches {
			p := &patches[i]
			lean := min(tiltMost, tiltFree+tiltNoise*sigma/p.edgeMM)
			if p.tiltRad <= lean && p.bendMM <= bend*sigma && p.varianceMM2 <= variance*p.most {
				values = append(values, p.median)
			}
		}
		if len(values) == 0 {
			return 0, 0
		}
		next := values[len(values)/2]
		if next == variance {
			break
		}
		variance = next
	}
	return math.Sqrt(variance), len(values)
}

// scratch is what one worker fits with: a patch's vertices, nearest first, where
// they are, the normals at the inner ones, as long as their facets' area, and a
// set of the places of the vertices.
type scratch struct {
	count  int
	vertex [patchMost + 3]uint32
	at     [patchMost + 3]r3.Vec
	normal []r3.Vec
	slots  [1024]struct{ vertex, place, age uint32 }
	age    uint32 // of what counts in slots
	local  []r3.Vec
	fit    heightFit
}

// fitPatch fits the rings round vertex v.
func (m *Mesh) fitPatch(v uint32, rings int, s *scratch) patch {
	m.gather(v, rings, s)
	if s.count < quadricTerms+freedomFew || s.count > patchMost {
		return patch{}
	}
	normal, tilt := lean(s.normal)
	x, y, ok := across(normal)
	if !ok {
		return patch{}
	}
	reach := s.turn(x, y, normal)
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

// turn puts the patch into a frame about its first vertex and returns how far it
// reaches from there.
func (s *scratch) turn(x, y, normal r3.Vec) (reach float64) {
	s.local = s.local[:0]
	far2 := 0.0
	for _, p := range s.at[:s.count] {
		d := r3.Sub(p, s.at[0])
		q := r3.Vec{X: r3.Dot(d, x), Y: r3.Dot(d, y), Z: r3.Dot(d, normal)}
		if d2 := q.X*q.X + q.Y*q.Y; d2 > far2*(1-1e-12) { // the root is taken of few
			far2 = max(far2, d2)
			reach = max(reach, math.Hypot(q.X, q.Y))
		}
		s.local = append(s.local, q)
	}
	return reach
}

// gather lists the vertices within rings of v, nearest ring first, and the normals
// at those within rings-1: the facets round these are all the facets of the patch.
// It stops at more than patchMost.
func (m *Mesh) gather(v uint32, rings int, s *scratch) {
	s.count, s.normal = 0, s.normal[:0]
	s.age++
	m.place(v, s)
	from := 0
	for range rings {
		inner := s.count
		for _, w := range s.vertex[from:inner] {
			s.normal = append(s.normal, m.gatherAt(w, s))
			if s.count > patchMost {
				return
			}
		}
		from = inner
	}
}

// gatherAt lists the vertices of the facets at w and returns their normal.
func (m *Mesh) gatherAt(w uint32, s *scratch) (normal r3.Vec) {
	for _, f := range m.FacesAt(w) {
		t := &m.Faces[f]
		a, b, c := m.place(t[0], s), m.place(t[1], s), m.place(t[2], s)
		normal = r3.Add(normal, r3.Scale(0.5, r3.Cross(r3.Sub(*b, *a), r3.Sub(*c, *a))))
		if s.count > patchMost {
			break
		}
	}
	return normal
}

// place lists v, unless it is, and returns where it is in mm.
func (m *Mesh) place(v uint32, s *scratch) *r3.Vec {
	for i := v * 0x9e3779b1 >> 22; ; i = (i + 1) % uint32(len(s.slots)) {
		slot := &s.slots[i]
		if slot.age != s.age {
			slot.vertex, slot.place, slot.age = v, uint32(s.count), s.age
			s.vertex[s.count], s.at[s.count] = v, m.At(v)
			s.count++
			return &s.at[s.count-1]
		}
		if slot.vertex == v {
			return &s.at[slot.place]
		}
	}
}

// lean returns the mean of normals and the greatest angle between it and one of
// them.
func lean(normals []r3.Vec) (mean r3.Vec, tiltRad float64) {
	for _, n := range normals {
		mean = r3.Add(mean, n)
	}
	least := 1.0
	long := r3.Norm(mean)
	for _, n := range normals {
		if d := r3.Norm(n) * long; d > 0 {
			least = min(least, r3.Dot(n, mean)/d)
		} else {
			least = -1
		}
	}
	return r3.Scale(1/max(long, math.SmallestNonzeroFloat64), mean), math.Acos(max(-1, least))
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
