package primitive

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh/synthetic"
)

func plainWheel() synthetic.ToothedWheel {
	return synthetic.ToothedWheel{ToothCount: 20, TipDiameterMM: 56, RootDiameterMM: 46, BoreDiameterMM: 12, ThicknessMM: 4, Teeth: synthetic.StraightTeeth()}
}

// TestWornWheel lists what use did to three teeth, seen from either side, and
// leaves the ideal wheel whole.
func TestWornWheel(t *testing.T) {
	w := plainWheel()
	w.Faults = []synthetic.ToothFault{{Tooth: 2, WornMM: 1.2}, {Tooth: 7, LeanMM: 1}, {Tooth: 12, Missing: true}}
	for _, axis := range []r3.Vec{{X: 0.3, Y: -0.8, Z: 0.52}, {X: -0.3, Y: 0.8, Z: -0.52}} {
		pose := aslant()
		pose.Axis = axis
		p := synthetic.Piece{Name: "worn", Shape: w, Pose: pose}
		e := recognised(t, p, scanOptions(0.6))
		requireTruth(t, p, e, 0.08, 0)
		require.Len(t, e.Worn, 3)
		what := map[string]WornTooth{}
		for _, x := range e.Worn {
			what[x.What] = x
		}
		assert.InDelta(t, 1.2, what["worn"].ByMM, 0.1)
		assert.InDelta(t, 0.5, math.Abs(what["bent"].ByMM), 0.06) // half of the tip's at mid-height
		// Teeth are counted from the one that ref points to, counter-clockwise about the
		// axis: the missing one stands where the truth has it.
		a := 2 * math.Pi * float64(what["missing"].Number) / 20
		f, want := e.Frame, poseDirection(t, p, 12.0/20)
		got := r3.Add(r3.Scale(math.Cos(a), f.Ref), r3.Scale(math.Sin(a), r3.Cross(f.Axis, f.Ref)))
		assert.InDelta(t, 0, r3.Norm(r3.Sub(want, got)), 0.02)
	}
}

// poseDirection is the direction of a share of the turn from x in the piece's own
// frame.
func poseDirection(t *testing.T, p synthetic.Piece, turn float64) r3.Vec {
	d := r3.Unit(p.Pose.Axis)
	x := r3.Unit(r3.Sub(p.Pose.Ref, r3.Scale(r3.Dot(p.Pose.Ref, d), d)))
	return r3.Add(r3.Scale(math.Cos(2*math.Pi*turn), x), r3.Scale(math.Sin(2*math.Pi*turn), r3.Cross(d, x)))
}

// TestPitchErrors holds a good wheel's pitch errors within what noise makes of
// them, and those of a wheel with one tooth 0.6 mm off at the tip, 0.3 mm at
// mid-height: one step that large, and as much in all.
func TestPitchErrors(t *testing.T) {
	for seed := range uint64(3) {
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			t.Parallel()
			opt := scanOptions(0.7)
			opt.Seed = seed
			w := plainWheel()
			p := synthetic.Piece{Name: "wheel", Shape: w, Pose: aslant()}
			e := recognised(t, p, opt)
			for _, key := range []string{"pitch_error_single_mm", "pitch_error_total_mm"} {
				d := e.dimension(key)
				assert.Positive(t, d.Value)
				assert.LessOrEqual(t, d.Value, 1.3*d.U95, key)
				assert.Less(t, d.U95, 0.1, key)
			}
			w.Faults = []synthetic.ToothFault{{Tooth: 5, LeanMM: 0.6}}
			p.Shape = w
			e = recognised(t, p, opt)
			single, total := e.dimension("pitch_error_single_mm"), e.dimension("pitch_error_total_mm")
			assert.InDelta(t, 0.3, single.Value, 0.02+single.U95)
			assert.InDelta(t, 0.3, total.Value, 0.02+total.U95)
		})
	}
}

func TestToothForm(t *testing.T) {
	for _, c := range []struct {
		name  string
		teeth synthetic.Teeth
		root  float64
		want  string
		edge  float64
		round float64
	}{
		{"straight", synthetic.StraightTeeth(), 46, "straight", 0.7, 0},
		{"straight, coarse", synthetic.StraightTeeth(), 46, "straight", 1.2, 0},
		{"straight, edges filtered", synthetic.StraightTeeth(), 46, "straight", 0.5, 0.2},
		{"round", synthetic.RollerTeeth(4.5), 45, "round-seated", 0.6, 0},
		{"round, edges filtered", synthetic.RollerTeeth(4.5), 45, "round-seated", 0.5, 0.2},
		{"round, pointed teeth", synthetic.RollerTeeth(4.5), 45.01, "round-seated", 0.6, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			w := plainWheel()
			w.Teeth, w.RootDiameterMM = c.teeth, c.root
			if c.root == 45 {
				w.TipDiameterMM = 53.5 // pitch times 0.6 + cot(180°/teeth), ASME B29.1
			}
			opt := scanOptions(c.edge)
			opt.RoundingMM = c.round
			e := recognised(t, synthetic.Piece{Name: "wheel", Shape: w, Pose: aslant()}, opt)
			require.Equal(t, "toothed_wheel", e.Kind)
			assert.Equal(t, []Word{{"tooth_form", c.want}}, e.Words)
		})
	}
}

// TestBoltCircle reads the bolt holes of a wheel with windows between spokes.
func TestBoltCircle(t *testing.T) {
	w := plainWheel()
	w.TipDiameterMM, w.RootDiameterMM, w.ToothCount = 84, 74, 30
	w.Holes = append(synthetic.BoltCircle(6, 24, 4), synthetic.Spokes(5, 62, 34, 6)...)
	p := synthetic.Piece{Name: "wheel", Shape: w, Pose: aslant()}
	e := recognised(t, p, scanOptions(0.8))
	requireTruth(t, p, e, 0.08, 0)
	require.Len(t, e.Holes, 11)
	for _, h := range e.Holes {
		assert.True(t, h.Shape == "round" || len(h.Outline) > 3, "%v", h)
	}
	b, ok := BoltCircle(e.Patterns())
	require.True(t, ok)
	assert.Equal(t, 6, b.Holes)
	assert.InDelta(t, 24, b.CircleMM, 0.05)
	assert.InDelta(t, 4, b.Hole.DiameterMM, 0.05)
	assert.InDelta(t, 60, b.StepDeg, 1e-9)
	// The truth's holes are where the element's are, tooth 0 apart.
	first := e.Holes[0]
	for _, h := range e.Holes {
		if h.Shape == "round" {
			first = h
			break
		}
	}
	f := e.Frame
	at := r3.Add(r3.Scale(first.CentreMM[0], f.Ref), r3.Scale(first.CentreMM[1], r3.Cross(f.Axis, f.Ref)))
	near := math.Inf(1)
	for k := range 6 {
		near = min(near, r3.Norm(r3.Sub(at, r3.Scale(12, poseDirection(t, p, float64(k)/6)))))
	}
	assert.Less(t, near, 0.06)
}

// TestWallEndsAtFaces: what goes on past the faces of a slab in line with its side,
// as the flange of a tee past its web, does not lie on that side.
func TestWallEndsAtFaces(t *testing.T) {
	c := extrusion{slab: slab{f: newFrame(r3.Vec{}, r3.Vec{Z: 1}), z: [2]float64{0, 3}, bounds: func(u, _ float64) float64 { return u - 10 }}}
	at := func(u, h float64) float64 {
		d, _ := c.wall(r3.Add(r3.Add(r3.Scale(u, c.f.E1), r3.Vec{Z: h}), c.f.C))
		return d
	}
	assert.InDelta(t, 0.5, at(10.5, 1), 1e-9)
	assert.InDelta(t, 5, at(13, 7), 1e-9)  // 3 beyond the side, 4 above the face
	assert.InDelta(t, -5, at(7, -4), 1e-9) // 3 within, 4 under
}
