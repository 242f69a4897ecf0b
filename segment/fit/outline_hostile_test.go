package fit

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What is no outline is refused by name.
func TestOutlineRefusals(t *testing.T) {
	square := [][2]float64{{0, 0}, {10, 0}, {10, 10}, {0, 10}}
	opt := DefaultOutlineOptions()
	bad := opt
	bad.NoiseMM = math.NaN()
	for _, c := range []struct {
		name   string
		loop   [][2]float64
		weight []float64
		opt    OutlineOptions
		want   error
	}{
		{"nothing", nil, nil, opt, ErrTooFew},
		{"one", square[:1], nil, opt, ErrTooFew},
		{"two", square[:2], nil, opt, ErrTooFew},
		{"one place", [][2]float64{{1, 1}, {1, 1}, {1, 1}, {1, 1}}, nil, opt, ErrTooFew},
		{"straight", [][2]float64{{0, 0}, {1, 1}, {2, 2}, {3, 3}}, nil, opt, ErrOutlineFlat},
		{"not a number", [][2]float64{{0, 0}, {math.NaN(), 0}, {1, 1}}, nil, opt, ErrOutlinePoint},
		{"endless", [][2]float64{{0, 0}, {math.Inf(1), 0}, {1, 1}}, nil, opt, ErrOutlinePoint},
		{"weights short", square, []float64{1}, opt, ErrOutlineOption},
		{"weight out of range", square, []float64{1, 2, 1, 1}, opt, ErrOutlinePoint},
		{"noise no number", square, nil, bad, ErrOutlineOption},
	} {
		_, err := FitOutline(c.loop, c.weight, nil, c.opt)
		assert.ErrorIs(t, err, c.want, c.name)
	}
}

// A figure of eight with lobes of different size encloses area and crosses itself.
func TestOutlineCrossing(t *testing.T) {
	var eight [][2]float64
	add := func(a, b [2]float64) {
		for i := range 20 {
			s := float64(i) / 20
			eight = append(eight, [2]float64{a[0] + s*(b[0]-a[0]), a[1] + s*(b[1]-a[1])})
		}
	}
	c := [][2]float64{{0, 0}, {40, 20}, {40, 0}, {0, 30}}
	for i := range c {
		add(c[i], c[(i+1)%4])
	}
	_, err := FitOutline(eight, nil, nil, DefaultOutlineOptions())
	assert.ErrorIs(t, err, ErrOutlineCrossing)
}

// No loop makes it panic, hang or answer with what is not finite: tangles,
// stars, spirals, walks, extreme sizes, no weights.
func TestOutlineHostile(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	loops := map[string][][2]float64{}
	add := func(name string, n int, f func(i int) [2]float64) {
		var p [][2]float64
		for i := range n {
			p = append(p, f(i))
		}
		loops[name] = p
	}
	polar := func(r, a float64) [2]float64 { return [2]float64{r * math.Cos(a), r * math.Sin(a)} }
	turn := func(i, n int) float64 { return 2 * math.Pi * float64(i) / float64(n) }
	add("scatter", 300, func(int) [2]float64 { return [2]float64{rng.Float64() * 50, rng.Float64() * 50} })
	add("star", 600, func(i int) [2]float64 { return polar(20+10*float64(i%2), turn(i, 600)) })
	add("gear", 600, func(i int) [2]float64 { return polar(30+3*float64(i/10%2), turn(i, 600)) })
	add("blob", 800, func(i int) [2]float64 { a := turn(i, 800); return polar(30+5*math.Sin(3*a)+3*math.Cos(7*a), a) })
	add("noise ring", 400, func(i int) [2]float64 { return polar(30+rng.NormFloat64(), turn(i, 400)) })
	add("spiral", 500, func(i int) [2]float64 { return polar(float64(i)*0.1, float64(i)*0.2) })
	x, y := 0.0, 0.0
	add("walk", 300, func(int) [2]float64 { x += rng.NormFloat64(); y += rng.NormFloat64(); return [2]float64{x, y} })
	add("huge", 100, func(i int) [2]float64 { return polar(1e11, turn(i, 100)) })
	add("minute", 100, func(i int) [2]float64 { return polar(1e-11, turn(i, 100)) })
	add("far", 100, func(i int) [2]float64 { p := polar(1e-3, turn(i, 100)); return [2]float64{p[0] + 1e9, p[1]} })
	add("needle", 200, func(i int) [2]float64 { return [2]float64{50 * math.Cos(turn(i, 200)), 1e-4 * math.Sin(turn(i, 200))} })
	add("there and back", 400, func(i int) [2]float64 {
		if i < 200 {
			return [2]float64{float64(i) * 0.2, 0.02 * rng.NormFloat64()}
		}
		return [2]float64{float64(399-i) * 0.2, 0.3 + 0.02*rng.NormFloat64()}
	})
	for name, p := range loops {
		for _, noise := range []float64{0, 0.05, 1} {
			opt := DefaultOutlineOptions()
			opt.NoiseMM = noise
			begin := time.Now()
			o, err := FitOutline(p, nil, nil, opt)
			took := time.Since(begin)
			assert.Less(t, took, 8*time.Second, name) // no hang; machines differ
			t.Logf("%s %v: %v, %d steps, %v", name, noise, took.Round(time.Millisecond), len(o.Steps), err)
			if err == nil {
				r := SmallestRectangle(o)
				ClassifyHole(o)
				require.False(t, math.IsNaN(r.LengthMM+r.WidthSDMM+r.LengthSDMM+o.Area()+o.RMSMM+o.MaxFormMM+o.SigmaMM), name)
			}
		}
		_, err := FitOutline(p, make([]float64, len(p)), nil, DefaultOutlineOptions())
		_ = err // without weights anything may be said, in words
	}
}
