package drawings

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/solid"
)

var metric = Options{Units: "both", TextMM: 2.5}

// TestScales are those of ISO 5455:1979 table 1: enlargements 2, 5, 10, 20, 50 : 1,
// full size, reductions 1 : 2 to 1 : 10000.
func TestScales(t *testing.T) {
	var names []string
	for _, s := range scales() {
		names = append(names, scaleText(s))
	}
	assert.Equal(t, strings.Fields("50:1 20:1 10:1 5:1 2:1 1:1 1:2 1:5 1:10 1:20 1:50 1:100 1:200 1:500 1:1000 1:2000 1:5000 1:10000"), names)
}

// TestSketches: of each kind, in rooms of three sizes, in both projections, the
// sketch keeps within its room, texts neither meet nor are crossed by leaders, and
// the same piece gives the same drawing.
func TestSketches(t *testing.T) {
	for _, p := range samples() {
		for room, opt := range map[[2]float64]Options{{180, 120}: {"both", true, false, 2.5}, {120, 160}: {"both", true, true, 2.5}, {370, 190}: {"ft-in", true, true, 3.5}} {
			s, err := SketchOf(p, opt, room[0], room[1])
			name := fmt.Sprint(p.Part.ID, room, opt)
			require.NoError(t, err, name)
			assert.False(t, s.Crowded, name)
			assert.LessOrEqual(t, s.WideMM, room[0]+1e-9, name)
			assert.LessOrEqual(t, s.HighMM, room[1]+1e-9, name)
			whole := box{[2]float64{-1e-6, -1e-6}, [2]float64{s.WideMM + 1e-6, s.HighMM + 1e-6}}
			for i, a := range s.canvas.texts {
				assert.True(t, a.lo[0] >= whole.lo[0] && a.lo[1] >= whole.lo[1] && a.hi[0] <= whole.hi[0] && a.hi[1] <= whole.hi[1], "%s: text %d leaves the sketch", name, i)
				for k, b := range s.canvas.texts[:i] {
					assert.False(t, a.meets(b, 0), "%s: texts %d and %d meet", name, i, k)
				}
			}
			assert.NoError(t, s.Drawing.Check(), name)
			assert.Contains(t, scales(), s.FullMM, name)
		}
	}
	a, err := SketchOf(samples()[0], metric, 180, 120)
	require.NoError(t, err)
	b, err := SketchOf(samples()[0], metric, 180, 120)
	require.NoError(t, err)
	assert.Equal(t, a.Drawing, b.Drawing)
}

// TestDimensionsAreTrue: the length of a dimension line times the scale of its view
// is the number that stands on it (ISO 129-1: dimension lines are drawn to scale),
// and ends of the line lie at the piece's own edges: the outline of its view is as
// wide as its widest dimension or wider.
func TestDimensionsAreTrue(t *testing.T) {
	n := 0
	for _, p := range samples() {
		f := figureOf(p, writer{units: "mm"}, false)
		b, err := bodyOf(p.Shape, p.local(), 0.05)
		require.NoError(t, err)
		for i, a := range f.views {
			outline := boxOf([]body{b}, a.view)
			pane := f.pane(i, outline, 5, 5, metric)
			for _, m := range pane.canvas.measured {
				word := strings.Trim(strings.Fields(strings.TrimPrefix(strings.Trim(m.text, "()"), "Ø "))[0], "()")
				mm, err := strconv.ParseFloat(word, 64)
				require.NoError(t, err, m.text)
				assert.InDelta(t, mm, 5*m.paperMM, 0.06+0.002*mm, "%s: %s", p.Part.ID, m.text)
				assert.LessOrEqual(t, 5*m.paperMM, max(outline.wide(), outline.high())*1.001+0.1, p.Part.ID)
				n++
			}
		}
	}
	assert.Greater(t, n, 50)
}

// TestHiddenLines: a disc of 100 mm lies behind a plate of 200 × 200 mm and shows on
// one side: of its circle the part within the plate is hidden. With the disc's
// centre on the plate's edge that is half the circle, π · 50 mm.
func TestHiddenLines(t *testing.T) {
	at := func(x, z float64) place { return func(p r3.Vec) r3.Vec { return r3.Add(p, r3.Vec{X: x, Z: z}) } }
	plate, err := bodyOf(solid.Slab(10, solid.Polygon([2]float64{-100, -100}, [2]float64{100, -100}, [2]float64{100, 100}, [2]float64{-100, 100})), at(0, 0), 0.05)
	require.NoError(t, err)
	disc, err := bodyOf(solid.Slab(10, solid.Round(0, 0, 50)), at(100, -30), 0.05)
	require.NoError(t, err)
	sums := func(p projection) (seen, hidden float64) {
		for _, x := range p.paths {
			if x.hidden {
				hidden += x.lengthMM()
			} else {
				seen += x.lengthMM()
			}
		}
		return seen, hidden
	}
	above := view{r3.Vec{X: 1}, r3.Vec{Y: 1}}
	seen, hidden := sums(project([]body{plate, disc}, above, 0.25, true))
	assert.InDelta(t, 4*200+50*math.Pi, seen, 3)
	assert.InDelta(t, 50*math.Pi, hidden, 3)
	seen, hidden = sums(project([]body{plate, disc}, above, 0.25, false))
	assert.InDelta(t, 4*200+50*math.Pi, seen, 3)
	assert.Zero(t, hidden)
	// From below the disc lies before the plate, whose edge it covers for 100 mm.
	seen, hidden = sums(project([]body{plate, disc}, view{r3.Vec{X: 1}, r3.Vec{Y: -1}}, 0.25, true))
	assert.InDelta(t, 100*math.Pi+4*200-100, seen, 3)
	assert.InDelta(t, 100, hidden, 3)
}

// TestOutlines: a ball shows one circle, a lying bar its rectangle, a tube its bore
// as hidden lines; nothing twice.
func TestOutlines(t *testing.T) {
	for name, c := range map[string]struct {
		shape        solid.Shape
		v            view
		seen, hidden float64
	}{
		"ball":           {solid.Ball{DiameterMM: 100}, view{r3.Vec{X: 1}, r3.Unit(r3.Vec{Y: 1, Z: 0.4})}, 100 * math.Pi, 0},
		"bar":            {solid.Tube(40, 0, solid.Cut{Z: -100}, solid.Cut{Z: 100}), view{r3.Vec{Z: 1}, r3.Vec{X: 1}}, 2*200 + 2*40, 0},
		"tube":           {solid.Tube(40, 30, solid.Cut{Z: -100}, solid.Cut{Z: 100}), view{r3.Vec{Z: 1}, r3.Vec{X: 1}}, 2*200 + 2*40, 2 * 200},
		"tube's end":     {solid.Tube(40, 30, solid.Cut{Z: -100}, solid.Cut{Z: 100}), view{r3.Vec{X: 1}, r3.Vec{Y: 1}}, 70 * math.Pi, 0},
		"hoop":           {solid.RoundRing{CentrelineMM: 300, SectionMM: 40}, view{r3.Vec{X: 1}, r3.Vec{Y: 1}}, (340 + 260) * math.Pi, 0},
		"slot, no joins": {solid.Slab(10, solid.Outline{{To: [2]float64{-50, -20}}, {To: [2]float64{50, -20}}, {To: [2]float64{50, 20}, Via: [2]float64{70, 0}, Arc: true}, {To: [2]float64{-50, 20}}, {To: [2]float64{-50, -20}, Via: [2]float64{-70, 0}, Arc: true}}), view{r3.Vec{X: 1}, r3.Vec{Z: 1}}, 2*140 + 2*10, 0},
	} {
		b, err := bodyOf(c.shape, func(p r3.Vec) r3.Vec { return p }, 0.03)
		require.NoError(t, err)
		seen, hidden := 0.0, 0.0
		for _, x := range project([]body{b}, c.v, 0.1, true).paths {
			if x.hidden {
				hidden += x.lengthMM()
			} else {
				seen += x.lengthMM()
			}
		}
		assert.InDelta(t, c.seen, seen, 0.006*c.seen, name)
		assert.InDelta(t, c.hidden, hidden, 0.006*c.seen, name)
	}
}

// TestLevels: of random dimensions on one side none meets another, no extension
// line crosses the text of one further in, and the shortest stands next to the
// view.
func TestLevels(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for range 300 {
		var list []span
		for range 1 + rng.IntN(6) {
			a, b := 100*rng.Float64(), 100*rng.Float64()
			list = append(list, span{from: [2]float64{min(a, b)}, to: [2]float64{max(a, b) + 0.5}, width: 4 + 20*rng.Float64()})
		}
		out := levels(list, 0)
		require.Len(t, out, len(list))
		for i, s := range out {
			for _, o := range out[:i] {
				assert.False(t, s.meets(o, 0))
			}
		}
		assert.Zero(t, out[0].level)
	}
}

func TestSketchRefuses(t *testing.T) {
	p := samples()[0]
	for _, room := range [][2]float64{{0, 100}, {100, 1e9}, {math.NaN(), 100}} {
		_, err := SketchOf(p, metric, room[0], room[1])
		assert.Error(t, err)
	}
	_, err := SketchOf(Piece{Part: p.Part}, metric, 180, 120)
	assert.ErrorContains(t, err, "no solid model")
	p.Shape = solid.Ball{}
	_, err = SketchOf(p, metric, 180, 120)
	assert.Error(t, err)
}
