package rig

import (
	"context"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

func envelope(l, w, h, kg float64) SectionOptions {
	opt := DefaultSectionOptions()
	opt.Envelope = Envelope{l, w, h, kg}
	return opt
}

// row is a chain of blocks a metre long along x, joined by welds of 100, 200 … mm.
func row(n int) ([]Body, []Joint) {
	var bodies []Body
	var joints []Joint
	for i := range n {
		bodies = append(bodies, block(fmt.Sprintf("E%02d", i+1), r3.Vec{X: 1000 * float64(i)}, 1000, 300, 300, 100))
		if i > 0 {
			joints = append(joints, Joint{A: i - 1, B: i, WeldMM: 100 * float64(i)})
		}
	}
	return bodies, joints
}

// TestDivideRow: seven metres on a bed of three need three sections; of the ways
// to cut at two of six joints the shortest welds that leave no more than three
// metres together are 1 and 4: 100 + 400 mm.
func TestDivideRow(t *testing.T) {
	bodies, joints := row(7)
	s, err := Divide(context.Background(), bodies, joints, envelope(3000, 500, 500, 1000))
	require.NoError(t, err)
	assert.True(t, s.Exact)
	require.Len(t, s.Sections, 3)
	assert.InDelta(t, 500, s.FieldWeldMM, 1e-9)
	for _, x := range s.Sections {
		assert.True(t, x.Fits)
		assert.LessOrEqual(t, x.Rest.LengthMM, 3000+1e-6)
	}
	assert.Equal(t, []string{"E02", "E03", "E04"}, s.Sections[0].Bodies)
}

// TestDivideByMass: 100 kg each, 250 kg allowed: two by two.
func TestDivideByMass(t *testing.T) {
	bodies, joints := row(5)
	s, err := Divide(context.Background(), bodies, joints, envelope(9000, 500, 500, 250))
	require.NoError(t, err)
	require.Len(t, s.Sections, 3)
	assert.InDelta(t, 400, s.FieldWeldMM, 1e-9) // joints 1 and 3
}

// TestDivideFixed: a joint that may not be left for the site is not cut.
func TestDivideFixed(t *testing.T) {
	bodies, joints := row(4)
	joints[1].Fixed = true
	s, err := Divide(context.Background(), bodies, joints, envelope(2000, 500, 500, 1000))
	require.NoError(t, err)
	require.Len(t, s.Sections, 3)
	for _, c := range s.Cuts {
		assert.False(t, c.Fixed)
	}
}

// TestDivideTurnsOver: an upright column of 4 m travels lying.
func TestDivideTurnsOver(t *testing.T) {
	foot := block("E01", r3.Vec{X: -200, Y: -200}, 700, 700, 20, 80)
	column := block("E02", r3.Vec{Z: 20}, 300, 300, 4000, 400)
	s, err := Divide(context.Background(), []Body{foot, column}, []Joint{{A: 0, B: 1, WeldMM: 1200}}, envelope(4200, 900, 900, 1000))
	require.NoError(t, err)
	require.Len(t, s.Sections, 1)
	assert.LessOrEqual(t, s.Sections[0].Rest.HeightMM, 900.0)
	assert.Less(t, r3.Dot(s.Sections[0].Rest.DownDir, up), 0.2)
}

// TestDivideTooLarge: a piece that fits nowhere travels alone and is named.
func TestDivideTooLarge(t *testing.T) {
	bodies, joints := row(3)
	bodies[1] = block("E02", r3.Vec{X: 1000}, 1000, 4000, 300, 100)
	s, err := Divide(context.Background(), bodies, joints, envelope(2000, 500, 500, 1000))
	require.NoError(t, err)
	require.Len(t, s.Sections, 3)
	said := false
	for _, x := range s.Sections {
		assert.Equal(t, x.Bodies[0] != "E02", x.Fits)
		said = said || x.Why != ""
	}
	assert.True(t, said)
}

// scattered is a random connected assembly of bars and blocks.
func scattered(draw *rand.Rand, n int) ([]Body, []Joint) {
	var bodies []Body
	var joints []Joint
	for i := range n {
		at := r3.Vec{X: 3000 * draw.Float64(), Y: 2000 * draw.Float64(), Z: 2000 * draw.Float64()}
		b := block(fmt.Sprintf("E%02d", i+1), at, 200+1500*draw.Float64(), 100+300*draw.Float64(), 50+200*draw.Float64(), 20+100*draw.Float64())
		bodies = append(bodies, moved(b, r3.Vec{X: 1, Y: draw.Float64(), Z: draw.Float64()}, draw.Float64(), r3.Vec{}))
		if i > 0 {
			joints = append(joints, Joint{A: draw.IntN(i), B: i, WeldMM: float64(50 + draw.IntN(900))})
		}
		if i > 1 && draw.IntN(2) == 0 {
			joints = append(joints, Joint{A: i - 1, B: i, WeldMM: float64(50 + draw.IntN(900))})
		}
	}
	return bodies, joints
}

// TestDivideAgainstExhaustive: all partitions of up to seven bodies, each part
// joined and laid by itself, have no better one.
func TestDivideAgainstExhaustive(t *testing.T) {
	draw := rand.New(rand.NewPCG(9, 9))
	several := 0
	for range 12 {
		bodies, joints := scattered(draw, 4+draw.IntN(4))
		opt := envelope(2200+1500*draw.Float64(), 1600, 1500, 150+400*draw.Float64())
		got, err := Divide(context.Background(), bodies, joints, opt)
		require.NoError(t, err)
		d := newDivider(context.Background(), bodies, joints, opt)
		best := cost{parts: len(bodies) + 1}
		var split func(parts [][]int, i int)
		split = func(parts [][]int, i int) {
			if i == len(bodies) {
				for _, p := range parts {
					if !d.hangs(p) || !d.fits(p) {
						return
					}
				}
				if c := d.costOf(parts); c.less(best) {
					best = c
				}
				return
			}
			for k := range parts {
				next := slices.Clone(parts)
				next[k] = append(slices.Clone(parts[k]), i)
				split(next, i+1)
			}
			split(append(slices.Clone(parts), []int{i}), i+1)
		}
		split(nil, 0)
		assert.Len(t, got.Sections, best.parts)
		assert.InDelta(t, best.weld, got.FieldWeldMM, 1e-6)
		if best.parts > 1 && best.parts < len(bodies) {
			several++
		}
	}
	assert.Greater(t, several, 5, "cases that say something")
}

// TestDivideMany: more bodies than the exact search takes are all there once, each
// section hangs together and fits, twice alike; a chain is cut as few times as can
// be.
func TestDivideMany(t *testing.T) {
	bodies, joints := row(20)
	s, err := Divide(context.Background(), bodies, joints, envelope(4000, 500, 500, 1000))
	require.NoError(t, err)
	assert.False(t, s.Exact)
	assert.Len(t, s.Sections, 5)
	bodies, joints = scattered(rand.New(rand.NewPCG(2, 5)), 18)
	opt := envelope(2500, 1800, 1800, 600)
	opt.Tries = 3
	s, err = Divide(context.Background(), bodies, joints, opt)
	require.NoError(t, err)
	again, err := Divide(context.Background(), bodies, joints, opt)
	require.NoError(t, err)
	assert.Equal(t, s, again)
	var all []string
	for _, x := range s.Sections {
		all = append(all, x.Bodies...)
		assert.True(t, x.Fits || len(x.Bodies) == 1)
	}
	slices.Sort(all)
	require.Len(t, slices.Compact(all), 18)
}

// TestSearchNearExact: on ten bodies, where the best way is known, the search for
// more bodies is never better and mostly as good.
func TestSearchNearExact(t *testing.T) {
	draw := rand.New(rand.NewPCG(4, 4))
	same := 0
	for range 6 {
		bodies, joints := scattered(draw, 10)
		d := newDivider(context.Background(), bodies, joints, envelope(2400, 1500, 1500, 250))
		var lumps, single [][]int
		for i := range bodies {
			lumps = append(lumps, []int{i})
		}
		single = slices.Clone(lumps)
		want := d.costOf(d.exact(lumps))
		got := d.costOf(d.regroup(d.improve(single)))
		assert.False(t, got.less(want))
		assert.LessOrEqual(t, got.parts, want.parts+1)
		if got.parts == want.parts {
			same++
		}
	}
	t.Logf("%d of 6 with as few sections", same)
	assert.GreaterOrEqual(t, same, 4)
}

func TestDivideRefusals(t *testing.T) {
	bodies, joints := row(3)
	_, err := Divide(context.Background(), bodies, joints, DefaultSectionOptions())
	assert.ErrorContains(t, err, "length of the haul envelope")
	_, err = Divide(context.Background(), bodies, []Joint{{A: 0, B: 7}}, envelope(1, 1, 1, 1))
	assert.ErrorContains(t, err, "name two of the 3")
	_, err = Divide(context.Background(), nil, nil, envelope(1, 1, 1, 1))
	assert.ErrorIs(t, err, errNoBodies)
	opt := envelope(1, 1, 1, 1)
	opt.Tries = 0
	_, err = Divide(context.Background(), bodies, joints, opt)
	assert.ErrorContains(t, err, "1 to 1000")
	ctx, stop := context.WithCancel(context.Background())
	stop()
	_, err = Divide(ctx, bodies, joints, envelope(3000, 500, 500, 1000))
	assert.ErrorIs(t, err, context.Canceled)
}
