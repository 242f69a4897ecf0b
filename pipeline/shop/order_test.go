package shop

import (
	"context"
	"math"
	"math/rand/v2"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/stock"
)

// block is a box of steel by its corners.
func block(lo, hi r3.Vec, massKG float64) (stock.Part, Body) {
	b := Body{MassKG: massKG, CentreMM: r3.Scale(0.5, r3.Add(lo, hi))}
	for k := range 8 {
		p := lo
		if k&1 == 1 {
			p.X = hi.X
		}
		if k&2 == 2 {
			p.Y = hi.Y
		}
		if k&4 == 4 {
			p.Z = hi.Z
		}
		b.PointsMM = append(b.PointsMM, p)
	}
	return stock.Part{Kind: "plate", BoxMM: [2]r3.Vec{lo, hi}}, b
}

// seamed joins two parts by a level seam along x whose face looks this way.
func seamed(a, b int, at, face r3.Vec, lengthMM float64) WeldJoint {
	return WeldJoint{A: a, B: b, Kind: "fillet", LengthMM: lengthMM, Seam: []SeamBit{{AtMM: at, Way: r3.Vec{X: 1}, Face: r3.Unit(face), LengthMM: lengthMM, OpenDeg: 90}}}
}

// TestWeldingPositions: the tee and butt joints after which the positions 1F to
// 4F and 1G to 4G are named (AWS D1.1, from memory).
func TestWeldingPositions(t *testing.T) {
	up := r3.Vec{Z: 1}
	x := r3.Vec{X: 1}
	tilt := func(deg float64) r3.Vec { s, c := math.Sincos(deg * math.Pi / 180); return r3.Vec{X: c, Z: s} }
	for _, c := range []struct {
		what      string
		way, face r3.Vec
		groove    bool
		want      int
	}{
		{"1F, trough", x, r3.Vec{Z: 1}, false, WeldFlat},
		{"2F, tee on the floor", x, r3.Vec{Y: 1, Z: 1}, false, WeldHorizontal},
		{"3F, standing corner", r3.Vec{Z: 1}, r3.Vec{X: 1, Y: 1}, false, WeldVertical},
		{"4F, tee under a plate", x, r3.Vec{Y: 1, Z: -1}, false, WeldOverhead},
		{"1G, flat butt", x, r3.Vec{Z: 1}, true, WeldFlat},
		{"2G, level seam of a wall", x, r3.Vec{Y: 1}, true, WeldHorizontal},
		{"3G, standing seam of a wall", r3.Vec{Z: 1}, r3.Vec{Y: 1}, true, WeldVertical},
		{"4G, butt of a ceiling", x, r3.Vec{Z: -1}, true, WeldOverhead},
		{"a slope of 14°", tilt(14), r3.Vec{Z: 1}, false, WeldFlat},
		{"a slope of 16°", tilt(16), r3.Vec{Z: 1}, false, WeldVertical},
		{"a slope of 79°, face down", tilt(79), r3.Vec{Z: -1}, false, WeldOverhead},
		{"a slope of 81°, face down", tilt(81), r3.Vec{Z: -1}, false, WeldVertical},
		{"a fillet that looks level", x, r3.Vec{Y: 1}, false, WeldOverhead},
	} {
		assert.Equal(t, c.want, positionOf(SeamBit{Way: c.way, Face: r3.Unit(c.face), LengthMM: 1}, up, c.groove), c.what)
	}
}

// TestPropByHand: a plate of 1 m × 1 m and 100 kg, with an arm of 100 kg whose centre
// lies 1.6 m out: together 0.8 m from the middle, 0.35 m over the shrunk edge at
// 0.45 m; the prop at 1 m height carries 200 kg × g × 0.35.
func TestPropByHand(t *testing.T) {
	foot, b0 := block(r3.Vec{X: -500, Y: -500}, r3.Vec{X: 500, Y: 500, Z: 20}, 100)
	arm, b1 := block(r3.Vec{X: 200, Y: -50, Z: 20}, r3.Vec{X: 3000, Y: 50, Z: 1000}, 100)
	j := seamed(0, 1, r3.Vec{Z: 20}, r3.Vec{Y: 1, Z: 1}, 400)
	opt := DefaultOrderOptions()
	opt.TurnMostKG = 0
	got, left, err := BuildOrder(context.Background(), []stock.Part{foot, arm}, []Body{b0, b1}, []WeldJoint{j}, opt)
	require.NoError(t, err)
	require.Len(t, got, 1)
	assert.Empty(t, left)
	p := got[0].Best
	require.Len(t, p.Steps, 2)
	assert.Empty(t, p.Steps[0].Props)
	assert.InDelta(t, 450, p.Steps[0].MarginMM, 1e-9)
	s := p.Steps[1]
	assert.InDelta(t, -350, s.MarginMM, 1e-9)
	require.Len(t, s.Props, 1)
	assert.InDelta(t, 1, s.Props[0].Way.X, 1e-12)
	assert.Equal(t, 1000.0, s.Props[0].HighMM)
	assert.Equal(t, 3000.0, s.Props[0].AtMM.X)
	assert.InDelta(t, 200*9.80665*0.35, s.Props[0].ForceN, 1e-6)
	assert.Equal(t, [4]float64{WeldHorizontal: 400}, s.SeamMM)
	assert.Equal(t, []any{200.0, 1000.0, 1}, []any{s.MassKG, s.HeightMM, p.Closing})
	assert.InDelta(t, 2*opt.LiftH+opt.PropH, p.Hours, 1e-12)
}

// TestSpokesBeforeRing: a rim of 300 kg on three spokes. On one short seam it must be
// held, on three not: the spokes come first, though their numbers are higher.
func TestSpokesBeforeRing(t *testing.T) {
	mast, b0 := block(r3.Vec{X: -400, Y: -400}, r3.Vec{X: 400, Y: 400, Z: 1000}, 500)
	rim, b1 := block(r3.Vec{X: -1000, Y: -1000, Z: 500}, r3.Vec{X: 1000, Y: 1000, Z: 520}, 300)
	parts, bodies := []stock.Part{mast, rim}, []Body{b0, b1}
	var joints []WeldJoint
	weld := func(a, b int, at r3.Vec) {
		j := seamed(a, b, at, r3.Vec{Y: 1, Z: 1}, 60)
		j.ThickMM, j.Seam[0].ThroatMM = 6, 3*math.Sqrt2/2
		joints = append(joints, j)
	}
	for k := range 3 {
		s, c := math.Sincos(2 * math.Pi * float64(k) / 3)
		at := func(r float64) r3.Vec { return r3.Vec{X: r * c, Y: r * s, Z: 510} }
		spoke, b := block(r3.Sub(at(700), r3.Vec{X: 20, Y: 20, Z: 5}), r3.Add(at(700), r3.Vec{X: 20, Y: 20, Z: 5}), 2)
		b.CentreMM = at(410)
		parts, bodies = append(parts, spoke), append(bodies, b)
		weld(0, 2+k, at(400))
		weld(1, 2+k, at(950))
	}
	got, _, err := BuildOrder(context.Background(), parts, bodies, joints, DefaultOrderOptions())
	require.NoError(t, err)
	best, plain := got[0].Best, got[0].Plain
	assert.Zero(t, best.Holds)
	assert.Equal(t, 1, best.Steps[4].Part, "the rim last")
	assert.Equal(t, 1, best.Closing)
	assert.Less(t, best.Steps[4].Use, 0.25)
	assert.Equal(t, 1, plain.Holds)
	assert.InDelta(t, best.Hours+DefaultOrderOptions().PropH, plain.Hours, 1e-9)
	assert.True(t, plain.Steps[2].Hold && plain.Steps[2].Part == 1, "on one spoke")
}

// TestTurnedOver: long overhead seams under a shelf pay for a turn, short ones not.
func TestTurnedOver(t *testing.T) {
	foot, b0 := block(r3.Vec{X: -500, Y: -500}, r3.Vec{X: 500, Y: 500, Z: 20}, 100)
	post, b1 := block(r3.Vec{X: -50, Y: -50, Z: 20}, r3.Vec{X: 50, Y: 50, Z: 500}, 30)
	shelf, b2 := block(r3.Vec{X: -300, Y: -300, Z: 500}, r3.Vec{X: 300, Y: 300, Z: 520}, 30)
	parts, bodies := []stock.Part{foot, post, shelf}, []Body{b0, b1, b2}
	for _, c := range []struct {
		lengthMM, overheadM float64
		turns               int
	}{{500, 0.5, 0}, {5000, 0.1, 1}} { // built upside down the foot's seam is the overhead one
		joints := []WeldJoint{seamed(0, 1, r3.Vec{Z: 20}, r3.Vec{Z: 1}, 100), seamed(1, 2, r3.Vec{Z: 500}, r3.Vec{Y: 1, Z: -1}, c.lengthMM)}
		got, _, err := BuildOrder(context.Background(), parts, bodies, joints, DefaultOrderOptions())
		require.NoError(t, err)
		best, plain := got[0].Best, got[0].Plain
		assert.True(t, got[0].Exact)
		assert.InDelta(t, c.lengthMM/1000, plain.OverheadM, 1e-12)
		assert.InDelta(t, c.overheadM, best.OverheadM, 1e-12)
		assert.Equal(t, c.turns, best.Turns)
		assert.LessOrEqual(t, best.Hours, plain.Hours)
	}
}

// randomWork is a heap of blocks that grows upward, joined as a tree with some
// loops, seams in all directions.
func randomWork(seed uint64, n int) (parts []stock.Part, bodies []Body, joints []WeldJoint) {
	r := rand.New(rand.NewPCG(seed, 9))
	way := func() r3.Vec { return r3.Unit(r3.Vec{X: r.NormFloat64(), Y: r.NormFloat64(), Z: r.NormFloat64()}) }
	join := func(a, b int) {
		w := way()
		face := r3.Unit(r3.Cross(w, way()))
		joints = append(joints, WeldJoint{A: a, B: b, Kind: "fillet", Seam: []SeamBit{{Way: w, Face: face, LengthMM: 3000 * r.Float64(), OpenDeg: 90}}})
	}
	for i := range n {
		lo := r3.Vec{X: 2000 * (r.Float64() - 0.5), Y: 2000 * (r.Float64() - 0.5)}
		if i > 0 && r.Float64() < 0.9 {
			lo.Z = 3000 * r.Float64()
		}
		hi := r3.Add(lo, r3.Vec{X: 50 + 1500*r.Float64(), Y: 50 + 1500*r.Float64(), Z: 20 + 800*r.Float64()})
		p, b := block(lo, hi, 200*r.Float64())
		parts, bodies = append(parts, p), append(bodies, b)
		if i > 0 {
			join(r.IntN(i), i)
		}
		if i > 2 && r.Float64() < 0.3 {
			join(r.IntN(i), i)
		}
	}
	return parts, bodies, joints
}

// wellInside judges by the support of the shrunk base square to every pair of its points.
func wellInside(bodies []Body, standing []int, up r3.Vec, opt OrderOptions) bool {
	u := r3.Unit(r3.Cross(up, r3.Vec{X: 0.3, Y: 0.5, Z: 0.8}))
	v := r3.Cross(up, u)
	low, mass := math.Inf(1), 0.0
	var cg r3.Vec
	for _, i := range standing {
		mass += bodies[i].MassKG
		cg = r3.Add(cg, r3.Scale(bodies[i].MassKG, bodies[i].CentreMM))
		for _, q := range bodies[i].PointsMM {
			low = min(low, r3.Dot(q, up))
		}
	}
	cg = r3.Scale(1/mass, cg)
	var feet [][2]float64
	for _, i := range standing {
		for _, q := range bodies[i].PointsMM {
			if r3.Dot(q, up) <= low+opt.FloorMM {
				feet = append(feet, [2]float64{r3.Dot(q, u), r3.Dot(q, v)})
			}
		}
	}
	_, c := centroid(hullOf(feet))
	for _, p := range feet {
		for _, q := range feet {
			w, s := q[1]-p[1], p[0]-q[0]
			reach := math.Inf(-1)
			for _, f := range feet {
				reach = max(reach, (f[0]-c[0])*w+(f[1]-c[1])*s)
			}
			if (r3.Dot(cg, u)-c[0])*w+(r3.Dot(cg, v)-c[1])*s > (1-opt.Inside)*reach+1e-6*math.Hypot(w, s) {
				return false
			}
		}
	}
	return true
}

// TestRandomAssemblies: of 200 works no piece floats, every piece is set once, every
// unstable step has its prop and no stable one has, and nothing costs more than the
// plain order.
func TestRandomAssemblies(t *testing.T) {
	opt := DefaultOrderOptions()
	opt.Steps = 600
	unstable := 0
	for seed := range uint64(200) {
		n := 2 + int(seed%11)
		parts, bodies, joints := randomWork(seed, n)
		got, left, err := BuildOrder(context.Background(), parts, bodies, joints, opt)
		require.NoError(t, err)
		require.Empty(t, left)
		require.Len(t, got, 1)
		assert.LessOrEqual(t, got[0].Best.Hours, got[0].Plain.Hours+1e-9)
		for _, p := range []Plan{got[0].Best, got[0].Plain} {
			var up []int
			placed := map[int]bool{}
			require.Len(t, p.Steps, n)
			for k, s := range p.Steps {
				require.False(t, placed[s.Part])
				if k > 0 {
					require.NotEmpty(t, s.Joints, "piece %d floats, seed %d", s.Part, seed)
				}
				for _, j := range s.Joints {
					require.True(t, placed[joints[j].A+joints[j].B-s.Part])
				}
				placed[s.Part] = true
				up = append(up, s.Part)
				safe := wellInside(bodies, up, s.Up, opt)
				held := false
				for _, x := range s.Props {
					held = held || !x.Turning
					assert.True(t, placed[x.Part], "a prop bears on what stands")
				}
				assert.NotEqual(t, safe, held, "seed %d step %d: safe %v, prop %v, margin %v", seed, k, safe, held, s.MarginMM)
				if !safe {
					unstable++
				}
			}
		}
	}
	assert.Greater(t, unstable, 200, "the test means something")
}

// TestOrderExhaustive: of works of up to 7 parts every order in every pose.
func TestOrderExhaustive(t *testing.T) {
	opt := DefaultOrderOptions()
	for seed := range uint64(15) {
		n := 3 + int(seed%5)
		parts, bodies, joints := randomWork(1000+seed, n)
		b := newBuilder(parts, bodies, joints, opt)
		got, _, err := BuildOrder(context.Background(), parts, bodies, joints, opt)
		require.NoError(t, err)
		require.True(t, got[0].Exact)
		least := math.Inf(1)
		known := map[partialKey]float64{}
		hold := func(list []int, pose int) float64 {
			key := partialKey{pose: pose}
			for _, i := range list {
				key.set = key.set.with(i)
			}
			h, seen := known[key]
			if !seen && !wellInside(bodies, list, b.poses[pose].up, opt) {
				h = opt.PropH
			}
			known[key] = h
			return h
		}
		turn := func(list []int, mass float64, from, to int) float64 {
			switch {
			case from == to || len(list) == 0:
				return 0
			case mass > opt.TurnMostKG:
				return math.Inf(1)
			}
			return opt.TurnH + hold(list, to)
		}
		var try func(s set, list []int, mass float64, pose int, hours float64)
		try = func(s set, list []int, mass float64, pose int, hours float64) {
			if hours >= least {
				return
			}
			if len(list) == n {
				least = min(least, hours+turn(list, mass, pose, 0))
				return
			}
			for i := range n {
				if s.has(i) || len(list) == 0 && !b.ground[i] || len(list) > 0 && len(b.meets(s, i)) == 0 {
					continue
				}
				for p := range b.poses {
					h := hours + turn(list, mass, pose, p)
					with := append(append([]int{}, list...), i)
					if h += b.price(s, move{p, i}); h < least {
						try(s.with(i), with, mass+bodies[i].MassKG, p, h+hold(with, p))
					}
				}
			}
		}
		try(set{}, nil, 0, 0, 0)
		assert.InDelta(t, least, got[0].Best.Hours, 1e-6, "seed %d, %d parts", seed, n)
	}
}

func TestOrderRefusals(t *testing.T) {
	parts, bodies, joints := randomWork(1, 4)
	ctx := context.Background()
	for what, change := range map[string]func(*OrderOptions){
		"hours":  func(o *OrderOptions) { o.TurnH = -1 },
		"masses": func(o *OrderOptions) { o.HandKG = math.NaN() },
		"share":  func(o *OrderOptions) { o.Inside = 1 },
		"weld":   func(o *OrderOptions) { o.UseMost = 0 },
		"steps":  func(o *OrderOptions) { o.Steps = 0 },
	} {
		opt := DefaultOrderOptions()
		change(&opt)
		_, _, err := BuildOrder(ctx, parts, bodies, joints, opt)
		assert.ErrorContains(t, err, what)
	}
	_, _, err := BuildOrder(ctx, parts, bodies[:1], joints, DefaultOrderOptions())
	assert.ErrorContains(t, err, "masses")
	_, _, err = BuildOrder(ctx, parts, bodies, []WeldJoint{{A: 9}}, DefaultOrderOptions())
	assert.ErrorContains(t, err, "joint 1")
	holed := append([]Body{}, bodies...)
	holed[2].CentreMM.X = math.NaN()
	_, _, err = BuildOrder(ctx, parts, holed, joints, DefaultOrderOptions())
	assert.ErrorContains(t, err, "finite")
	stopped, stop := context.WithCancel(ctx)
	stop()
	_, _, err = BuildOrder(stopped, parts, bodies, joints, DefaultOrderOptions())
	assert.ErrorIs(t, err, context.Canceled)

	lone, body := block(r3.Vec{Z: 900}, r3.Vec{X: 10, Y: 10, Z: 910}, 1)
	_, left, err := BuildOrder(ctx, append(parts, lone), append(bodies, body), joints, DefaultOrderOptions())
	require.NoError(t, err)
	assert.Equal(t, []int{4}, left, "nothing joins it to the ground")
}

// BenchmarkOrder: parts a second of works of two sizes.
func BenchmarkOrder(b *testing.B) {
	for _, n := range []int{20, 60} {
		b.Run(strconv.Itoa(n), func(b *testing.B) {
			parts, bodies, joints := randomWork(5, n)
			for range b.N {
				got, _, err := BuildOrder(context.Background(), parts, bodies, joints, DefaultOrderOptions())
				require.NoError(b, err)
				b.ReportMetric(got[0].Best.Hours, "hours")
				b.ReportMetric(got[0].Plain.Hours, "plain-hours")
			}
			b.ReportMetric(float64(n*b.N)/b.Elapsed().Seconds(), "parts/s")
		})
	}
}
