package stock

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// piece is a part with dimensions in pairs of key and value; u95 is 0.2 mm.
func piece(id, kind string, dims ...any) Part {
	p := Part{ID: id, Kind: kind, Frame: Frame{Axis: r3.Vec{Z: 1}, Ref: r3.Vec{X: 1}}}
	for i := 0; i < len(dims); i += 2 {
		var v float64
		switch x := dims[i+1].(type) {
		case int:
			v = float64(x)
		case float64:
			v = x
		}
		d := Dim{Key: dims[i].(string), Value: v, U95: 0.2}
		if strings.HasSuffix(d.Key, "_count") {
			d.U95, d.Count = 0, true
		}
		p.Dims = append(p.Dims, d)
	}
	return p
}

func bar(id string, od, length float64) Part {
	return piece(id, "bar", "outside_diameter_mm", od, "length_mm", length)
}

func tube(id string, od, wall, length float64, ends ...string) Part {
	p := piece(id, "tube", "outside_diameter_mm", od, "inside_diameter_mm", od-2*wall, "wall_mm", wall, "length_mm", length)
	for _, e := range ends {
		p.Ends = append(p.Ends, End{Kind: e})
	}
	return p
}

func plate(id string, t, l, w float64) Part {
	p := piece(id, "plate", "thickness_mm", t, "length_mm", l, "width_mm", w, "hole_count", 0)
	for _, q := range [][2]float64{{-l / 2, -w / 2}, {l / 2, -w / 2}, {l / 2, w / 2}, {-l / 2, w / 2}} {
		p.Outline = append(p.Outline, Step{To: q})
	}
	return p
}

func outlined(id string, length float64, points ...[2]float64) Part {
	p := piece(id, "profile", "length_mm", length)
	c := centroid(points)
	for _, q := range points {
		p.Outline = append(p.Outline, Step{To: [2]float64{q[0] - c[0], q[1] - c[1]}})
	}
	return p
}

func chosen(t *testing.T, system string, change func(*Options), parts ...Part) Choice {
	t.Helper()
	cat, err := Standard(system)
	require.NoError(t, err)
	opt := DefaultOptions()
	if change != nil {
		change(&opt)
	}
	c, err := Choose(parts, nil, cat, opt)
	require.NoError(t, err)
	return c
}

// What a buyer expects of single pieces; diameters and walls of ASME B36.10M, AISC
// v16, EN 10219.
func TestChooseOne(t *testing.T) {
	noMin := func(o *Options) { o.WallMinMM = 0 }
	for _, r := range []struct {
		name, system string
		part         Part
		change       func(*Options)
		mark         string
		end          string
		changeMM     float64
	}{
		{"visible diameter leads", "us", tube("E01", 217, 8.3, 3000, "square"), nil, "NPS 8 Sch 40", "plain", 2.075},
		{"metric", "metric", tube("E01", 217, 6.3, 3000, "square"), nil, "CHS 219.1 x 6.3", "scaled wall", 2.1},
		{"thin wall, strength leads", "metric", tube("E01", 219, 5.0, 3000, "hidden", "hidden"), noMin, "CHS 219.1 x 5", "scaled wall", 0.1},
		{"wall under the least: bevelled", "metric", tube("E01", 219, 2.0, 3000, "square"), nil, "CHS 219.1 x 5", "lip ring", 0.1},
		{"a large bar becomes a tube", "us", bar("E01", 72, 3000), nil, "NPS 2-1/2 Sch 40", "", 1.025},
		{"a small bar stays solid where its ends are seen", "us", seen(bar("E01", 12.9, 300)), nil, "RD 1/2 in", "", -0.2},
		{"plate by its edge", "us", plate("E01", 12.5, 800, 700), nil, "PL 1/2 in", "", 0.2},
		{"flat bar", "metric", plate("E01", 6.1, 900, 50.5), nil, "FB 50x6", "", -0.1},
		{"a strip of no bar's width is cut from plate", "metric", plate("E01", 6.1, 900, 93), nil, "PL 6", "", -0.1},
		{"square bar", "metric", plate("E01", 20.1, 600, 20.2), nil, "SQ 20", "", -0.2},
		{"box", "us", outlined("E01", 900, [2]float64{0, 0}, [2]float64{101, 0}, [2]float64{101, 102}, [2]float64{0, 102}), nil, "HSS4X4X1/4", "", 0.6},
		{"angle", "metric", outlined("E01", 900, [2]float64{0, 0}, [2]float64{50, 0}, [2]float64{50, 5.1}, [2]float64{5.1, 5.1}, [2]float64{5.1, 50.2}, [2]float64{0, 50.2}), nil, "L50x50x5", "", -0.1},
		{"disc", "metric", piece("E01", "disc", "outside_diameter_mm", 400, "thickness_mm", 20.2), nil, "PL 20", "", -0.2},
		{"hoop by its section", "metric", piece("E01", "ring", "centreline_diameter_mm", 2000, "section_diameter_mm", 61), nil, "CHS 60.3 x 5", "", -0.7},
		{"rolled plate", "metric", piece("E01", "rolled_plate", "inside_diameter_mm", 900, "thickness_mm", 9.8, "width_mm", 300, "sweep_deg", 200), nil, "PL 10", "", 0.2},
		{"hidden thickness: thinnest that is strong enough", "metric", piece("E01", "plate", "length_mm", 900, "width_mm", 800), nil, "PL 5", "", 0},
	} {
		t.Run(r.name, func(t *testing.T) {
			c := chosen(t, r.system, r.change, r.part)
			require.Len(t, c.Families, 1)
			p := c.Families[0]
			assert.Equal(t, r.mark, p.Size.Mark, "%+v", p.Each)
			assert.Equal(t, r.end, p.End)
			assert.InDelta(t, r.changeMM, p.ChangeMM, 1e-6)
			assert.True(t, p.Within)
			assert.Nil(t, p.Route)
			assert.Equal(t, "A", p.Letter)
			assert.Equal(t, []string{"A1"}, p.Marks)
			assert.True(t, c.Exact)
			assert.InDelta(t, c.Cost, c.Terms.Change+c.Terms.Metal+c.Terms.Sizes+c.Terms.Work, 1e-9)
			if len(p.Lead) > 0 {
				require.NotNil(t, p.Nearest)
			}
		})
	}
}

// seen gives a part two ends that nothing covers.
func seen(p Part) Part {
	p.Ends = []End{{Kind: "square"}, {Kind: "square"}}
	return p
}

// Neighbours of 8-5/8 in pipe: 6-5/8 (168.3), 10-3/4 (273.05), ASME B36.10M; HSS7.5
// and HSS9.625 of AISC v16 lie nearer.
func TestNeighbours(t *testing.T) {
	p := chosen(t, "us", func(o *Options) { o.Ban = []string{"tube"} }, tube("E01", 217, 8.3, 3000)).Families[0]
	assert.Equal(t, "NPS 8 Sch 40", p.Nearest.Mark)
	assert.InDelta(t, 168.275, p.Below.ODMM, 1e-9)
	assert.InDelta(t, 273.05, p.Above.ODMM, 1e-9)
	assert.Contains(t, p.WhyWall, "8.18 mm: the thinnest common wall not under 5 mm (wall_min)")
	assert.InDelta(t, 2.075/217, p.ChangeShare, 1e-9)
	assert.InDelta(t, 0.2, p.ChangeU95MM, 1e-9)
}

// The limit is 3 % and at most 6 mm: 16 in pipe is 406.4 mm, 4 mm off 410.4 passes,
// 7 mm off 413.4 is odd.
func TestLimit(t *testing.T) {
	only := func(o *Options) { o.Ban = []string{"tube"} }
	near := chosen(t, "us", only, tube("E01", 410.4, 9.5, 3000)).Families[0]
	assert.Nil(t, near.Route)
	far := chosen(t, "us", only, tube("E01", 413.4, 9.5, 3000))
	p := far.Families[0]
	require.NotNil(t, p.Route)
	assert.Equal(t, "rolled", p.Route.Kind)
	assert.Equal(t, "PL 1/4 in", p.Route.From[0].Mark)
	assert.InDelta(t, math.Pi*(413.4-6.35), p.Route.DevelopedMM, 1e-9)
	assert.InDelta(t, 0, p.ChangeMM, 1e-9)
	assert.InDelta(t, math.Pi*(413.4-6.35)*6.35*7850e-6/1e3*3000, p.MassKG-p.EndMassKG, 0.5)
	require.NotEmpty(t, far.Decisions)
	d := far.Decisions[len(far.Decisions)-1]
	assert.Contains(t, d.What, "odd")
	assert.Equal(t, "nearest stock", d.Ways[len(d.Ways)-1].Name)
	assert.Equal(t, "NPS 16 STD", d.Ways[len(d.Ways)-1].Mark)
	assert.InDelta(t, -7, d.Ways[len(d.Ways)-1].ChangeMM, 1e-9)
}

func TestOddRoutes(t *testing.T) {
	hexagon := func(across float64) (q [][2]float64) {
		for k := range 6 {
			sin, cos := math.Sincos(float64(k) * math.Pi / 3)
			q = append(q, [2]float64{across / math.Sqrt(3) * cos, across / math.Sqrt(3) * sin})
		}
		return q
	}
	for _, r := range []struct {
		name   string
		part   Part
		change func(*Options)
		kind   string
		text   string
	}{
		{"bend of a great section", piece("E01", "arc", "centreline_diameter_mm", 4000, "section_diameter_mm", 390, "sweep_deg", 90), nil, "mitred", "to a whole turn"},
		{"hollow plate", plate("E01", 54, 1200, 1100), nil, "built up", `two skins of PL 1/4 in and a strip 41.3 mm (1 5/8") wide`},
		{"between pipes", bar("E01", 148, 900), func(o *Options) { o.Ban = []string{"tube", "round"} }, "turned", "turn NPS 6"},
		{"thick plate", plate("E01", 60, 1200, 1100), func(o *Options) { o.Ban = []string{"built up", "machined"} }, "laminated", "2 layers"},
		{"thick plate, hollow", plate("E01", 60, 1200, 1100), func(o *Options) { o.Ban = []string{"laminated"} }, "built up", `two skins of PL 1/4 in and a strip 47.3 mm (1 7/8") wide`},
		{"rolled plate", piece("E01", "rolled_plate", "inside_diameter_mm", 900, "thickness_mm", 30, "width_mm", 100, "sweep_deg", 90), nil, "machined", "machine 1.75 mm off PL 1-1/4 in before it is rolled"},
		{"rolled plate in layers", piece("E01", "rolled_plate", "inside_diameter_mm", 900, "thickness_mm", 30, "width_mm", 100, "sweep_deg", 90), func(o *Options) { o.Ban = []string{"machined"} }, "laminated", "each is rolled"},
		{"small bend", piece("E01", "arc", "centreline_diameter_mm", 900, "section_diameter_mm", 92.4, "sweep_deg", 90), nil, "turned", "before it is bent"},
		{"thin plate", plate("E01", 21, 1200, 1100), func(o *Options) { o.Ban = []string{"laminated"} }, "machined", "machine 1.22 mm off PL 7/8 in"},
		{"box", outlined("E01", 900, [2]float64{0, 0}, [2]float64{231, 0}, [2]float64{231, 117}, [2]float64{0, 117}), nil, "built up", "strips of PL 1/4 in"},
		{"hexagon", outlined("E01", 900, hexagon(120)...), nil, "built up", "round the section"},
		{"small hexagon", outlined("E01", 90, hexagon(10)...), nil, "machined", "SQ 1/2 in"},
		{"ball", piece("E01", "sphere", "diameter_mm", 500), nil, "formed", "two halves"},
		{"small ball", piece("E01", "sphere", "diameter_mm", 38), nil, "turned", "from RD 1-1/2 in"},
		{"small cone", piece("E01", "cone", "large_diameter_mm", 38, "small_diameter_mm", 20, "height_mm", 40), nil, "turned", "from RD 1-1/2 in"},
		{"cone", piece("E01", "cone", "large_diameter_mm", 500, "small_diameter_mm", 300, "height_mm", 400), nil, "formed", "roll PL 1/4 in to a cone"},
	} {
		t.Run(r.name, func(t *testing.T) {
			c := chosen(t, "us", r.change, r.part)
			p := c.Families[0]
			require.NotNil(t, p.Route, "%+v", p.Size)
			assert.Equal(t, r.kind, p.Route.Kind)
			assert.Contains(t, p.Route.Text, r.text)
			assert.True(t, p.Within, "a route makes what the scan shows")
			assert.Positive(t, p.MassKG)
			assert.NotEmpty(t, c.Decisions)
			assert.Empty(t, p.Each[0].MassWhyNot)
			assert.Equal(t, p.Class == "formed" || p.Class == "shape", p.Nearest == nil)
		})
	}
}

// Nothing for a freeform, and a coil of 92.4 mm has no route but the lathe; both are counted.
func TestMissing(t *testing.T) {
	c := chosen(t, "us", func(o *Options) { o.Ban = []string{"turned"} }, piece("E01", "freeform", "length_mm", 100),
		piece("E02", "coil", "centreline_diameter_mm", 300, "section_diameter_mm", 92.4, "pitch_mm", 40, "turns", 3))
	assert.Equal(t, 2, c.Missing)
	for _, p := range c.Families {
		assert.True(t, p.Missing)
		assert.False(t, p.Within)
		assert.Equal(t, "no stock was found for it", p.Each[0].MassWhyNot)
		assert.Zero(t, p.MassKG)
	}
}

// An open end: the scan's wall of 20 mm at full size is made by HSS of 0.750 in
// (AISC v16: 5 % off, beyond the limit), so a ring lines it; one of 19 mm is met.
func TestOpenEnd(t *testing.T) {
	heavy := func(o *Options) { o.MetalWeight, o.EndWeight = 0, 0.3 }
	c := chosen(t, "us", heavy, tube("E01", 406, 19, 2000, "square", "hidden"))
	p := c.Families[0]
	assert.Equal(t, "scaled wall", p.End)
	assert.InDelta(t, 19.05, p.Size.WallMM, 0.05)
	c = chosen(t, "us", nil, tube("E01", 406, 20, 2000, "square", "hidden"))
	p = c.Families[0]
	assert.Equal(t, "lip ring", p.End)
	ring := math.Pi / 4 * (sq(p.Size.ODMM-2*p.Size.WallMM) - sq(p.Size.ODMM-40)) * 20 * 7850e-9
	assert.InDelta(t, ring, p.EndMassKG, 1e-9)
	assert.InDelta(t, p.Each[0].MassKG+ring, p.MassKG, 1e-9)
	require.Len(t, c.Decisions, 1)
	d := c.Decisions[0]
	var names []string
	for _, w := range d.Ways {
		names = append(names, w.Name)
		if w.Name == d.Taken {
			assert.InDelta(t, 0, w.MassKG, 1e-9, "masses are against the way taken")
		}
	}
	assert.Equal(t, []string{"plain", "scaled wall", "lip ring", "end plate"}, names)
	assert.InDelta(t, -ring, d.Ways[0].MassKG, 1e-9)
}

// Of a pipe and a solid bar of one diameter, 3-1/2 in, the pipe is named first.
func TestNearestOrder(t *testing.T) {
	c := chosen(t, "us", nil, piece("E01", "ring", "centreline_diameter_mm", 1500, "section_diameter_mm", 92.4)) // 4.7 m: too long for a lathe
	assert.True(t, c.Families[0].Missing)
	assert.Equal(t, "NPS 3 Sch 40", c.Families[0].Nearest.Mark)
}

func TestPins(t *testing.T) {
	cat := both(t)
	pinned := func(p Part, mark string) Part { p.Pin = mark; return p }
	c, err := Choose([]Part{pinned(bar("E01", 219, 900), "chs 219.1x10"), bar("E02", 219, 900), pinned(bar("E03", 250, 900), "NPS 8 sch 40")}, nil, cat, DefaultOptions())
	require.NoError(t, err)
	assert.Equal(t, "CHS 219.1 x 10", c.Families[0].Size.Mark)
	assert.True(t, c.Families[0].Pinned)
	assert.Equal(t, []int{1}, c.Families[1].Members)
	assert.Equal(t, "NPS 8 Sch 40", c.Families[2].Size.Mark)
	assert.False(t, c.Families[2].Within)
	assert.Contains(t, fmt.Sprint(c.Decisions), "more than the limit")
	// The free one takes the pinned size, since it is bought anyway.
	assert.Equal(t, "CHS 219.1 x 10", chosen(t, "metric", func(o *Options) { o.MetalWeight = 0 }, pinned(bar("E01", 219, 900), "CHS 219.1 x 10"), bar("E02", 219, 900)).Families[0].Size.Mark)
	for _, r := range []struct {
		part Part
		ban  []string
		want string
	}{
		{pinned(bar("E01", 219, 900), "NPS 8 Sch 45"), nil, `E01: no stock has the mark "NPS 8 Sch 45"; the nearest are NPS 8 Sch 40`},
		{pinned(bar("E01", 219, 900), "L4X4X1/4"), nil, "E01 is a bar and cannot be made of L4X4X1/4 (angle); name one of the forms pipe, tube, round"},
		{pinned(bar("E01", 219, 900), "NPS 8 Sch 40"), []string{"pipe"}, "E01 is to be made of NPS 8 Sch 40, which is banned"},
		{pinned(piece("E01", "freeform"), "NPS 8 Sch 40"), nil, "there is no stock; give it another kind or no stock"},
		{bar("E01", 219, 900), []string{"pipes"}, `the ban "pipes" names no form, route, standard or mark`},
	} {
		opt := DefaultOptions()
		opt.Ban = r.ban
		_, err := Choose([]Part{r.part}, nil, cat, opt)
		require.Error(t, err)
		assert.Contains(t, err.Error(), r.want)
	}
}

func TestBan(t *testing.T) {
	for ban, form := range map[string]string{"tube": "pipe", "pipe": "tube", "ASME B36.10M": "tube", "HSS8.625X0.322": "pipe"} {
		p := chosen(t, "us", func(o *Options) { o.Ban = []string{ban} }, tube("E01", 219, 8.3, 3000)).Families[0]
		assert.Equal(t, form, p.Size.Form, ban)
		assert.NotEqual(t, ban, p.Size.Mark)
	}
}

// An existing piece keeps its sizes to the last bit and has the mass of them.
func TestMade(t *testing.T) {
	p := tube("E01", 101, 7, 1000, "square")
	p.Made = true
	p.Pin = "NPS 8 Sch 40"
	c := chosen(t, "us", nil, p, tube("E02", 101, 7, 1000))
	assert.Equal(t, "as made", c.Families[0].Size.Form)
	assert.Zero(t, c.Families[0].ChangeMM)
	assert.InDelta(t, math.Pi*94*7*7850e-9*1000, c.Families[0].MassKG, 1e-9)
	assert.Equal(t, p, AsStock([]Part{p, tube("E02", 101, 7, 1000)}, c)[0])
	assert.Equal(t, []int{1}, c.Families[1].Members)
}

func TestOptionsRefused(t *testing.T) {
	for want, change := range map[string]func(*Options){
		"stock_change share":        func(o *Options) { o.ChangeShare = math.NaN() },
		"stock_change size in mm":   func(o *Options) { o.ChangeMM = -1 },
		"wall_min in mm":            func(o *Options) { o.WallMinMM = math.Inf(1) },
		"weight of sizes":           func(o *Options) { o.SizeWeight = -1 },
		`the grade "unobtainium"`:   func(o *Options) { o.Grade = "unobtainium" },
		`the grade ""`:              func(o *Options) { o.Grade = "" },
		`the ban "nps 8 sch forty"`: func(o *Options) { o.Ban = []string{"nps 8 sch forty"} },
	} {
		opt := DefaultOptions()
		change(&opt)
		_, err := Choose([]Part{bar("E01", 60, 500)}, nil, both(t), opt)
		require.Error(t, err, want)
		assert.Contains(t, err.Error(), want)
	}
}

// A limit of nothing takes only exact sizes.
func TestNoChangeAllowed(t *testing.T) {
	none := func(o *Options) { o.ChangeMM = 0 }
	assert.Nil(t, chosen(t, "metric", none, bar("E01", 60.3, 500)).Families[0].Route)
	assert.NotNil(t, chosen(t, "metric", none, bar("E01", 60.4, 500)).Families[0].Route)
}

// Two sizes that lie near one another: one family's loss is the other's size saved.
func TestSizesShared(t *testing.T) {
	parts := []Part{bar("E01", 60.3, 500), bar("E02", 61.9, 500)}
	apart := chosen(t, "both", func(o *Options) { o.SizeWeight = 0 }, parts...)
	shared := chosen(t, "both", func(o *Options) { o.SizeWeight = 20 }, parts...)
	assert.Equal(t, 1, shared.Sizes)
	assert.LessOrEqual(t, apart.Terms.Change, shared.Terms.Change)
}

// The search against trying everything, on random tasks; the bound is under the
// optimum, also when the search is cut short.
func TestSearchAgainstAll(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 300 {
		a := assignment{item: float64(r.IntN(4))}
		for range 1 + r.IntN(6) {
			var cost []float64
			var buys [][]int
			for range 1 + r.IntN(4) {
				items := []int{r.IntN(6)}
				if r.IntN(4) == 0 {
					items = append(items, items[0]+1)
				}
				cost, buys = append(cost, math.Floor(r.Float64()*30)/10), append(buys, items)
			}
			a.cost, a.buys = append(a.cost, cost), append(a.buys, buys)
		}
		want := cheapest(a, 0, map[int]int{})
		got := a.solve(100_000)
		require.True(t, got.exact)
		require.InDelta(t, want, got.cost, 1e-6)
		require.InDelta(t, want, got.bound, 1e-6)
		require.InDelta(t, want, costOf(a, got.pick), 1e-6)
		short := a.solve(1 + r.IntN(5))
		require.LessOrEqual(t, short.bound, want+1e-6)
		require.GreaterOrEqual(t, short.cost, want-1e-6)
		require.InDelta(t, short.cost, costOf(a, short.pick), 1e-6)
	}
}

func cheapest(a assignment, f int, open map[int]int) float64 {
	if f == len(a.cost) {
		return a.item * float64(len(open))
	}
	best := math.Inf(1)
	for c := range a.cost[f] {
		for _, x := range a.buys[f][c] {
			open[x]++
		}
		best = min(best, a.cost[f][c]+cheapest(a, f+1, open))
		for _, x := range a.buys[f][c] {
			if open[x]--; open[x] == 0 {
				delete(open, x)
			}
		}
	}
	return best
}

func costOf(a assignment, pick []int) float64 {
	open, sum := map[int]bool{}, 0.0
	for f, c := range pick {
		sum += a.cost[f][c]
		for _, x := range a.buys[f][c] {
			open[x] = true
		}
	}
	return sum + a.item*float64(len(open))
}

// Sixty families in one catalogue: the search ends, or says how far it is off.
func TestSearchLarge(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	var parts []Part
	for i := range 60 {
		parts = append(parts, bar(fmt.Sprintf("E%02d", i+1), 15+r.Float64()*300, 500+100*float64(i)))
	}
	c := chosen(t, "both", nil, parts...)
	assert.LessOrEqual(t, c.LowerBound, c.Cost)
	assert.Less(t, c.GapShare, 0.1)
	assert.Equal(t, c, chosen(t, "both", nil, parts...))
	t.Logf("%d families, cost %.3f, bound %.3f, gap %.4f, exact %v", len(c.Families), c.Cost, c.LowerBound, c.GapShare, c.Exact)
}
