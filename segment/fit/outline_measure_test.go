package fit

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Area and length of figures with closed forms.
func TestOutlineAreaAndPerimeter(t *testing.T) {
	s := truthSlot(22, 9) // a 13 × 9 rectangle and a circle of radius 4.5
	assert.InDelta(t, 13*9+math.Pi*4.5*4.5, s.Area(), 1e-12)
	assert.InDelta(t, 26+9*math.Pi, s.Perimeter(), 1e-12)
	r := truthOutline([][2]float64{{0, 0}, {30, 0}, {30, 20}, {0, 20}}, []float64{4, 0, 4, 0})
	assert.InDelta(t, 600-2*(1-math.Pi/4)*16, r.Area(), 1e-11)
	notch := Outline{Steps: []Step{{To: [2]float64{10, 0}}, {To: [2]float64{10, 10}, Via: [2]float64{5, 5}, Arc: true}, {To: [2]float64{0, 10}}, {To: [2]float64{0, 0}}}}
	assert.InDelta(t, 100-math.Pi*25/2, notch.Area(), 1e-12, "an arc that runs clockwise takes off")
	flat := Outline{Steps: []Step{{To: [2]float64{10, 0}}, {To: [2]float64{10, 10}, Via: [2]float64{10, 5}, Arc: true}, {To: [2]float64{0, 10}}, {To: [2]float64{0, 0}}}}
	assert.InDelta(t, 100, flat.Area(), 1e-12, "three points on a line are a line")
	assert.Zero(t, Outline{}.Area())
}

// Inside, outside and distance agree with a polygon of 20000 chords.
func TestOutlineDistance(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for _, sh := range truthShapes() {
		o := turnedOutline(sh.Draw(rng), 0.7, [2]float64{5, -3})
		fine := Outline{}
		for _, e := range o.edges() {
			n := 1
			if e.Arc {
				n = 2000
			}
			for k := 1; k <= n; k++ {
				fine.Steps = append(fine.Steps, Step{To: e.at(float64(k) / float64(n))})
			}
		}
		edges := fine.edges()
		for range 60 {
			p := [2]float64{between(rng, -60, 90), between(rng, -60, 90)}
			d, k := o.Distance(p)
			want, _ := outlineDistance(edges, p)
			assert.InDelta(t, want, d, 1e-4, sh.Name)
			assert.GreaterOrEqual(t, k, 0)
			assert.Equal(t, d < 0, o.Contains(p), sh.Name)
		}
	}
	d, k := Outline{}.Distance([2]float64{1, 2})
	assert.True(t, math.IsInf(d, 1))
	assert.Equal(t, -1, k)
}

// No angle of 20000 gives a smaller rectangle, and the rectangle holds all.
func TestSmallestRectangle(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	for _, sh := range truthShapes() {
		for range 3 {
			o := turnedOutline(sh.Draw(rng), between(rng, 0, 6), [2]float64{40, 9})
			r := SmallestRectangle(o)
			edges := o.edges()
			least := math.Inf(1)
			for i := range 20000 {
				least = math.Min(least, outlineBoxAt(edges, float64(i)/20000*math.Pi/2).area())
			}
			assert.LessOrEqual(t, r.LengthMM*r.WidthMM, least*(1+1e-12), sh.Name)
			assert.GreaterOrEqual(t, r.LengthMM*r.WidthMM, least*(1-4e-4), sh.Name) // 8e-5 rad from the least of a grid
			assert.GreaterOrEqual(t, r.LengthMM, r.WidthMM)
			s, c := math.Sincos(r.AngleRad)
			for _, p := range o.samples() {
				x, y := p[0]-r.CentreMM[0], p[1]-r.CentreMM[1]
				assert.LessOrEqual(t, math.Abs(x*c+y*s), r.LengthMM/2+1e-9, sh.Name)
				assert.LessOrEqual(t, math.Abs(y*c-x*s), r.WidthMM/2+1e-9, sh.Name)
			}
		}
	}
	assert.Zero(t, SmallestRectangle(Outline{}).LengthMM)
}

// Every derivative that the joint fit uses, against differences.
func TestOutlineModelDerivatives(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 8))
	truth := truthOutline([][2]float64{{0, 0}, {40, 3}, {38, 30}, {20, 12}, {1, 25}}, []float64{4, 0, 5, 6, 0})
	opt := DefaultOutlineOptions()
	o, err := FitOutline(scanOutline(truth, 0.5, 0.02, 0, rng), nil, nil, opt)
	assert.NoError(t, err)
	m := o.model
	x := make([]float64, m.N)
	for i := range x {
		x[i] = 1e-3 * rng.NormFloat64()
	}
	fillets := 0
	for k, s := range m.Segs {
		if s.Fillet {
			fillets++
		}
		p := [2]float64{s.C.Q[0] + 0.3, s.C.Q[1] - 0.2}
		at := func() (float64, []float64) {
			c := m.curves(x)
			g := make([]float64, m.N)
			d := m.residual(k, c, c[k].u(), p, func(i int) *float64 { return &g[i] })
			return d, g
		}
		_, g := at()
		for i := range x {
			h, was := 1e-6, x[i]
			x[i] = was + h
			hi, _ := at()
			x[i] = was - h
			lo, _ := at()
			x[i] = was
			assert.InDelta(t, (hi-lo)/(2*h), g[i], 1e-5*(1+math.Abs(g[i])), "step %d parameter %d", k, i)
		}
	}
	assert.Equal(t, 3, fillets)
}

// Chords lie on their circle and are never longer than the arc; an arc whose
// middle lies on the line through its ends, even beyond them, has none, and
// does not pass for one that turns.
func TestChords(t *testing.T) {
	line := Chords([2]float64{10, 0}, [2]float64{0, 10}, [2]float64{0, -10}, math.Pi/60)
	assert.Len(t, line, 89)
	for _, p := range line {
		assert.InDelta(t, 10, math.Hypot(p[0], p[1]), 1e-12)
	}
	a, b, beyond := [2]float64{0, 0}, [2]float64{0.003, -0.003}, [2]float64{0.009, -0.009 * (1 + 1e-15)}
	assert.Empty(t, Chords(a, beyond, b, math.Pi/60))
	assert.False(t, Step{To: b, Via: beyond, Arc: true}.sweeps(a, 0.003))
	assert.True(t, Step{To: b, Via: [2]float64{0.0015, -0.00149}, Arc: true}.sweeps(a, 0.01))
}
