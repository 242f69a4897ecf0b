package fitup

import (
	"context"
	"fmt"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/stock"
)

// closedAll holds all joints to be closed.
func closedAll(t testing.TB, got Assembly) {
	t.Helper()
	for k, j := range got.Joints {
		assert.InDelta(t, 0, j.GapMM, 0.05, "contact %d %+v", k, j)
	}
	assert.Empty(t, got.Conflicts)
	assert.Empty(t, got.Broken)
}

// A frame of two posts on a base and two rails between them. Posts of 100 mm become
// 104: each rail, cut to fit between, is 4 mm shorter, and no post moves.
func TestClosedFrame(t *testing.T) {
	base := platePart("E01", 2400, 400, 30, r3.Vec{Z: 15})
	left := tubePart("E02", 100, 6, r3.Vec{X: -1000, Z: 30}, r3.Vec{X: -1000, Z: 2030})
	right := tubePart("E03", 100, 6, r3.Vec{X: 1000, Z: 30}, r3.Vec{X: 1000, Z: 2030})
	var parts = []stock.Part{base, left, right}
	contacts := []stock.Contact{
		{A: 0, B: 1, Kind: "tube on plate", Seam: ringSeam(r3.Vec{X: -1000, Z: 30}, r3.Vec{Z: 1}, 50, up)},
		{A: 0, B: 2, Kind: "tube on plate", Seam: ringSeam(r3.Vec{X: 1000, Z: 30}, r3.Vec{Z: 1}, 50, up)},
	}
	for i, z := range []float64{700, 1500} { // square ends that touch the posts' sides at two places each
		n := len(parts)
		parts = append(parts, tubePart(fmt.Sprintf("E%02d", 4+i), 60, 5, r3.Vec{X: -950, Z: z}, r3.Vec{X: 950, Z: z}))
		for k, x := range []float64{-950, 950} {
			var seam []stock.SeamAt
			for _, dz := range []float64{-30, 30} {
				seam = append(seam, stock.SeamAt{Run: 1, PointMM: r3.Vec{X: x, Z: z + dz}, A: r3.Vec{X: math.Copysign(1, -x)}, B: r3.Vec{X: math.Copysign(1, x)}})
			}
			contacts = append(contacts, stock.Contact{A: 1 + k, B: n, Kind: "tube on tube", Seam: seam})
		}
	}
	sized := append([]stock.Part(nil), parts...)
	for _, i := range []int{1, 2} {
		sized[i] = sizedTo(parts[i], "outside_diameter_mm", 104.0, "inside_diameter_mm", 92.0)
	}
	got := solved(t, parts, sized, contacts)
	closedAll(t, got)
	for _, i := range []int{3, 4} {
		l, _ := got.Parts[i].Size("length_mm")
		assert.InDelta(t, 1896, l, 0.01)
		near(t, parts[i].Frame.OriginMM, got.Parts[i].Frame.OriginMM, 0.01, "rail")
	}
	near(t, r3.Vec{}, got.Moves[1].ShiftMM, 0.01, "post")
}

// A tube through a plate: its opening is cut to fit, so nothing moves, and the tube
// follows where its plate goes.
func TestTubeThroughPlate(t *testing.T) {
	plate := platePart("E01", 600, 600, 20, r3.Vec{Z: 10})
	disc := platePart("E02", 300, 300, 16, r3.Vec{Z: 28})
	tube := tubePart("E03", 80, 5, r3.Vec{X: 40, Z: -200}, r3.Vec{X: 40, Z: 600})
	seam := append(ringSeam(r3.Vec{X: 40, Z: 20}, r3.Vec{Z: 1}, 40, up), ringSeam(r3.Vec{X: 40, Z: 36}, r3.Vec{Z: 1}, 40, up)...)
	flat := make([]stock.SeamAt, 0, 4)
	for _, q := range [][2]float64{{-150, -150}, {150, -150}, {150, 150}, {-150, 150}} {
		flat = append(flat, stock.SeamAt{Run: 1, PointMM: r3.Vec{X: q[0], Y: q[1], Z: 20}, A: r3.Vec{Z: 1}, B: r3.Vec{Z: -1}})
	}
	contacts := []stock.Contact{{A: 0, B: 1, Kind: "face on face", Seam: flat}, {A: 1, B: 2, Kind: "tube through plate", GapMM: -5, Through: true, Seam: seam}}
	sized := []stock.Part{plate, sizedTo(disc, "thickness_mm", 20.0), sizedTo(tube, "outside_diameter_mm", 88.9)}
	got := solved(t, []stock.Part{plate, disc, tube}, sized, contacts)
	closedAll(t, got)
	assert.Equal(t, "through", got.Joints[1].Way)
	near(t, r3.Vec{Z: 2}, got.Moves[1].ShiftMM, 0.01, "the plate on top goes up by half of what it is thicker")
	near(t, r3.Vec{}, got.Moves[2].ShiftMM, 0.02, "the tube slides in its opening")
	assert.InDelta(t, 0, got.Joints[1].OffMM, 0.02)
}

// A hoop lies on three posts; its section grows from 60 to 66 mm, the posts may be
// cut: they are 3 mm shorter and the hoop stays.
func TestHoopOnPosts(t *testing.T) {
	hoop := boxed(stock.Part{ID: "E01", Kind: "ring", Section: "round", Dims: dims("centreline_diameter_mm", 1000.0, "section_diameter_mm", 60.0),
		Frame: stock.Frame{OriginMM: r3.Vec{Z: 1030}, Axis: r3.Vec{Z: 1}, Ref: r3.Vec{X: 1}}, AreaMM2: math.Pi * math.Pi * 1000 * 60})
	parts, contacts := []stock.Part{hoop}, []stock.Contact{}
	for k := range 3 {
		y, x := math.Sincos(float64(k) * 2 * math.Pi / 3)
		at := r3.Vec{X: 500 * x, Y: 500 * y}
		parts = append(parts, tubePart(fmt.Sprintf("E%02d", k+2), 40, 20, at, r3.Add(at, r3.Vec{Z: 1000})))
		contacts = append(contacts, stock.Contact{A: 0, B: k + 1, Kind: "point", Seam: []stock.SeamAt{{Run: 1, PointMM: r3.Add(at, r3.Vec{Z: 1000}), A: r3.Vec{Z: -1}, B: r3.Vec{Z: 1}}}})
	}
	sized := append([]stock.Part(nil), parts...)
	sized[0] = sizedTo(hoop, "section_diameter_mm", 66.0)
	got := solved(t, parts, sized, contacts)
	closedAll(t, got)
	near(t, r3.Vec{}, got.Moves[0].ShiftMM, 0.01, "hoop")
	for k := range 3 {
		assert.InDelta(t, 997, got.Parts[k+1].BoxMM[1].Z, 0.01)
	}
	// Posts that exist already are not cut: the hoop is lifted.
	for k := range 3 {
		parts[k+1].Made, sized[k+1].Made = true, true
	}
	got = solved(t, parts, sized, contacts)
	closedAll(t, got)
	near(t, r3.Vec{Z: 3}, got.Moves[0].ShiftMM, 0.01, "hoop")
	assert.Equal(t, parts[1:], got.Parts[1:], "what is made does not change")
}

// A wheel stands against a bar: both grow, the distance of their axes by half of
// both.
func TestWheelAgainstBar(t *testing.T) {
	bar := tubePart("E01", 60, 30, r3.Vec{}, r3.Vec{Z: 800})
	bar.Made = true
	wheel := boxed(stock.Part{ID: "E02", Kind: "toothed_wheel", Dims: append(dims("tip_diameter_mm", 400.0, "root_diameter_mm", 360.0, "thickness_mm", 30.0), stock.Dim{Key: "tooth_count", Value: 40, Count: true}),
		Frame: stock.Frame{OriginMM: r3.Vec{X: 230, Z: 400}, Axis: r3.Vec{Z: 1}, Ref: r3.Vec{X: 1}}, AreaMM2: 2e5})
	seam := []stock.SeamAt{{PointMM: r3.Vec{X: 30, Z: 385}, A: r3.Vec{X: 1}, B: r3.Vec{X: -1}}, {PointMM: r3.Vec{X: 30, Z: 415}, A: r3.Vec{X: 1}, B: r3.Vec{X: -1}}}
	got := solved(t, []stock.Part{bar, wheel}, []stock.Part{bar, sizedTo(wheel, "tip_diameter_mm", 412.0)}, []stock.Contact{{A: 0, B: 1, Kind: "line", Seam: seam}})
	closedAll(t, got)
	near(t, r3.Vec{X: 6}, got.Moves[1].ShiftMM, 0.01, "wheel")
	near(t, r3.Vec{}, got.Moves[1].TurnDeg, 0.001, "wheel")
}

// Twenty plates on each other, each a millimetre thicker: the lowest stands where it
// stood, the middle of the twentieth goes up by 19.5.
func TestChainOfTwenty(t *testing.T) {
	var parts, sized []stock.Part
	var contacts []stock.Contact
	for k := range 20 {
		z := 20 * float64(k)
		p := platePart(fmt.Sprintf("E%02d", k), 300-float64(k), 200-float64(k), 20, r3.Vec{Z: z + 10})
		parts, sized = append(parts, p), append(sized, sizedTo(p, "thickness_mm", 21.0))
		var seam []stock.SeamAt
		for _, q := range [][2]float64{{-100, -50}, {100, -50}, {100, 50}, {-100, 50}} {
			seam = append(seam, stock.SeamAt{PointMM: r3.Vec{X: q[0], Y: q[1], Z: z}, A: r3.Vec{Z: 1}, B: r3.Vec{Z: -1}})
		}
		if k > 0 {
			contacts = append(contacts, stock.Contact{A: k - 1, B: k, Kind: "face on face", Seam: seam})
		}
	}
	got := solved(t, parts, sized, contacts)
	closedAll(t, got)
	for k := range 20 {
		near(t, r3.Vec{Z: float64(k) + 0.5}, got.Moves[k].ShiftMM, 0.02, "plate")
	}
}

// A ball between two walls that exist already: it grows by 4 mm and cannot fit. It
// takes 2 mm of each, both contacts are named, and each of them is needed.
func TestBallThatCannotFit(t *testing.T) {
	lo, hi := platePart("E01", 400, 400, 20, r3.Vec{Z: 10}), platePart("E02", 400, 400, 20, r3.Vec{Z: 130})
	lo.Made, hi.Made = true, true
	ball := boxed(stock.Part{ID: "E03", Kind: "sphere", Dims: dims("diameter_mm", 100.0), AreaMM2: 1e4 * math.Pi, Frame: stock.Frame{OriginMM: r3.Vec{Z: 70}, Axis: r3.Vec{Z: 1}, Ref: r3.Vec{X: 1}}})
	contacts := []stock.Contact{
		{A: 0, B: 2, Kind: "point", Seam: []stock.SeamAt{{PointMM: r3.Vec{Z: 20}, A: r3.Vec{Z: 1}, B: r3.Vec{Z: -1}}}},
		{A: 1, B: 2, Kind: "point", Seam: []stock.SeamAt{{PointMM: r3.Vec{Z: 120}, A: r3.Vec{Z: -1}, B: r3.Vec{Z: 1}}}},
	}
	got := solved(t, []stock.Part{lo, hi, ball}, []stock.Part{lo, hi, sizedTo(ball, "diameter_mm", 104.0)}, contacts)
	require.Len(t, got.Conflicts, 1)
	c := got.Conflicts[0]
	assert.Equal(t, []int{0, 1}, c.Contacts)
	assert.Equal(t, []int{0, 1, 2}, c.Parts)
	assert.True(t, c.Minimal)
	assert.InDelta(t, 2, c.WorstMM, 0.01)
}

// Two balls whose middles are held level, on a floor each: one grows, and cannot
// stay level. The relation is kept and named with the contacts.
func TestRelationAgainstContacts(t *testing.T) {
	floor := platePart("E01", 800, 400, 20, r3.Vec{Z: 10})
	rod := func(id string, y float64) stock.Part {
		return tubePart(id, 60, 30, r3.Vec{X: -200, Y: y, Z: 50}, r3.Vec{X: 200, Y: y, Z: 50})
	}
	line := func(y float64) []stock.SeamAt {
		var out []stock.SeamAt
		for _, x := range []float64{-200, -100, 0, 100, 200} {
			out = append(out, stock.SeamAt{PointMM: r3.Vec{X: x, Y: y, Z: 20}, A: r3.Vec{Z: 1}, B: r3.Vec{Z: -1}})
		}
		return out
	}
	parts := []stock.Part{floor, rod("E02", -80), rod("E03", 0), rod("E04", 80)}
	contacts := []stock.Contact{{A: 0, B: 1, Kind: "line", Seam: line(-80)}, {A: 0, B: 2, Kind: "line", Seam: line(0)}, {A: 0, B: 3, Kind: "line", Seam: line(80)}}
	sized := append([]stock.Part(nil), parts...)
	sized[2] = sizedTo(parts[2], "outside_diameter_mm", 66.0)
	row := stock.Relation{Kind: "equally_spaced", Of: "line", Parts: []int{1, 2, 3}}
	got := solved(t, parts, sized, contacts, row, stock.Relation{Kind: "parallel", Of: "axis", Parts: []int{1, 2, 3}})
	assert.Empty(t, got.Broken)
	require.Len(t, got.Conflicts, 1)
	assert.Equal(t, []int{0, 1, 2}, got.Conflicts[0].Contacts)
	assert.Equal(t, []int{0}, got.Conflicts[0].Relations)
	a, b, c := got.Parts[1].Frame.OriginMM, got.Parts[2].Frame.OriginMM, got.Parts[3].Frame.OriginMM
	near(t, r3.Scale(0.5, r3.Add(a, c)), b, 1e-6, "the row")
	assert.Empty(t, solved(t, parts, sized, contacts).Conflicts)
}

// Relations hold to a hundred-millionth where the scan has them only roughly.
func TestRelationsAreExact(t *testing.T) {
	base := platePart("E01", 2000, 2000, 30, r3.Vec{Z: 15})
	parts, contacts := []stock.Part{base}, []stock.Contact{}
	for k := range 4 {
		y, x := math.Sincos(float64(k)*math.Pi/2 + 0.002*float64(k%2))
		at := r3.Vec{X: 600*x + float64(k%3)*0.4, Y: 600 * y, Z: 30}
		parts = append(parts, tubePart(fmt.Sprintf("E%02d", k+2), 90, 6, at, r3.Add(at, r3.Vec{X: 3 * float64(k-1), Y: 2, Z: 1500 + float64(k)})))
		contacts = append(contacts, stock.Contact{A: 0, B: k + 1, Kind: "tube on plate", Seam: ringSeam(at, r3.Vec{Z: 1}, 45, up)})
	}
	legs := []int{1, 2, 3, 4}
	got := solved(t, parts, parts, contacts,
		stock.Relation{Kind: "parallel", Of: "axis", Parts: []int{0, 1, 2, 3, 4}},
		stock.Relation{Kind: "equal", Of: "piece", Parts: legs},
		stock.Relation{Kind: "equally_spaced", Of: "circle", Parts: legs},
		stock.Relation{Kind: "mirrored", Of: "plane", Parts: legs})
	closedAll(t, got)
	var mean r3.Vec
	first, _ := got.Parts[1].Size("length_mm")
	for _, i := range legs {
		f := got.Parts[i].Frame
		mean = r3.Add(mean, r3.Scale(0.25, f.OriginMM))
		near(t, r3.Vec{Z: 1}, f.Axis, 1e-8, "parallel")
		l, _ := got.Parts[i].Size("length_mm")
		assert.InDelta(t, first, l, 1e-6)
	}
	for k, i := range legs {
		a, b := r3.Sub(got.Parts[i].Frame.OriginMM, mean), r3.Sub(got.Parts[legs[(k+1)%4]].Frame.OriginMM, mean)
		assert.InDelta(t, 0, r3.Dot(a, b)/r3.Norm(a), 1e-6)
		assert.InDelta(t, r3.Norm(a), r3.Norm(b), 1e-6)
	}
}

// A branch of 80 mm on a main of 200 that becomes 219.1 (NPS 8, ASME B36.10M), its
// end cut to fit. At the angle t round the branch the main's surface lies
// sqrt(R² - (40 sin t)²) from its axis; the mean of that, over 36 places, is what the
// end moves by. The far end stays.
func TestBranchOnMain(t *testing.T) {
	main := tubePart("E01", 200, 8, r3.Vec{X: -1000, Z: 600}, r3.Vec{X: 1000, Z: 600})
	main.Made = true
	branch := tubePart("E02", 80, 5, r3.Vec{Z: 690}, r3.Vec{Z: 1400})
	branch.Ends[0].Kind = "irregular"
	var seam []stock.SeamAt
	want := 0.0
	for i := range 36 {
		y, x := math.Sincos(float64(i) * math.Pi / 18)
		h := math.Sqrt(1e4 - 1600*y*y)
		want += (math.Sqrt(109.55*109.55-1600*y*y) - h) / 36
		seam = append(seam, stock.SeamAt{Run: 1, PointMM: r3.Vec{X: 40 * x, Y: 40 * y, Z: 600 + h}, A: unit(r3.Vec{Y: 40 * y, Z: h}), B: r3.Vec{X: x, Y: y}})
	}
	c := stock.Contact{A: 0, B: 1, Kind: "tube on tube", GapMM: -8, Seam: seam}
	parts := []stock.Part{main, branch}
	got := solved(t, parts, []stock.Part{sizedTo(main, "outside_diameter_mm", 219.1), branch}, []stock.Contact{c})
	assert.Equal(t, "crossing", got.Joints[0].Way)
	closedAll(t, got)
	require.Len(t, got.Trims, 1)
	assert.InDelta(t, -want, got.Trims[0].ByMM, 0.001)
	l, _ := got.Parts[1].Size("length_mm")
	assert.InDelta(t, 710-want, l, 0.001)
	assert.Equal(t, "saddle", got.Parts[1].Ends[0].Kind)
	near(t, r3.Vec{Z: 1400}, got.Parts[1].Ends[1].AtMM, 0.01, "far end")
}

func TestBadInput(t *testing.T) {
	p := platePart("E01", 800, 600, 20, r3.Vec{Z: 10})
	bad := p
	bad.Frame.OriginMM.X = math.NaN()
	for _, c := range []struct {
		name        string
		scan, sized []stock.Part
		contacts    []stock.Contact
		relations   []stock.Relation
		opt         Options
		want        string
	}{
		{"fewer sized", []stock.Part{p}, nil, nil, nil, DefaultOptions(), "1 parts scanned, 0 sized"},
		{"another order", []stock.Part{p}, []stock.Part{{ID: "E07"}}, nil, nil, DefaultOptions(), "part 0 is E01 as scanned and E07 as sized"},
		{"NaN", []stock.Part{p}, []stock.Part{bad}, nil, nil, DefaultOptions(), "part E01 has a size or place"},
		{"a contact of no part", []stock.Part{p}, []stock.Part{p}, []stock.Contact{{A: 0, B: 3}}, nil, DefaultOptions(), "contact 0 joins parts 0 and 3 of 1"},
		{"a relation of no part", []stock.Part{p}, []stock.Part{p}, nil, []stock.Relation{{Kind: "parallel", Parts: []int{0, 4}}}, DefaultOptions(), "relation 0 (parallel) names part 4"},
		{"no touch", []stock.Part{p}, []stock.Part{p}, nil, nil, Options{CloseMM: 1, Steps: 3}, "touch 0 mm"},
		{"no datum", []stock.Part{p}, []stock.Part{p}, nil, nil, Options{TouchMM: 3, CloseMM: 0.05, Steps: 3, Datum: "E99"}, "datum E99 is none of the parts"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := Solve(context.Background(), c.scan, c.sized, c.contacts, c.relations, c.opt)
			require.ErrorContains(t, err, c.want)
		})
	}
	ctx, cancel := context.WithTimeout(context.Background(), time.Hour)
	cancel()
	q := tubePart("E02", 80, 5, r3.Vec{Z: 20}, r3.Vec{Z: 600})
	_, err := Solve(ctx, []stock.Part{p, q}, []stock.Part{p, q}, []stock.Contact{{A: 0, B: 1, Seam: ringSeam(r3.Vec{Z: 20}, r3.Vec{Z: 1}, 40, up)}}, nil, DefaultOptions())
	require.ErrorIs(t, err, context.Canceled)
	got, err := Solve(context.Background(), nil, nil, nil, nil, DefaultOptions())
	require.NoError(t, err)
	assert.Empty(t, got.Parts)
}
