package shop

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/quantity"
	"pointup/pipeline/solid"
	"pointup/pipeline/stock"
)

// TestClasses: rows of ISO 13920 tables 1 and 2; the first linear row is 1 mm in all
// classes, 14 mm over 16 m in B.
func TestClasses(t *testing.T) {
	for _, c := range []struct {
		class        string
		length, want float64
	}{{"A", 30, 1}, {"D", 25, 1}, {"B", 31, 2}, {"B", 400, 2}, {"B", 1000, 3}, {"B", 3999, 6}, {"C", 4001, 14}, {"B", 16001, 14}, {"B", 30000, 16}, {"D", 20001, 40}, {"A", 12001, 7}} {
		got, err := LinearMM(c.class, c.length)
		require.NoError(t, err)
		assert.Equal(t, c.want, got, "%s %g", c.class, c.length)
	}
	for i, want := range []float64{13, 9, 6} {
		got, err := AngularMMPerM("B", []float64{400, 1000, 1001}[i])
		require.NoError(t, err)
		assert.Equal(t, want, got)
	}
	_, err := LinearMM("E", 100)
	assert.ErrorContains(t, err, "A, B, C and D")
	assert.Equal(t, "B", ClassOf("ISO 13920-BF"))
	assert.Equal(t, "", ClassOf("rough"))
}

// packOf is the pack of a random work.
func packOf(t *testing.T, seed uint64, n int) ([]Body, Plan, []FitUp) {
	parts, bodies, joints := randomWork(seed, n)
	opt := DefaultOrderOptions()
	opt.Steps = 100
	orders, _, err := BuildOrder(context.Background(), parts, bodies, joints, opt)
	require.NoError(t, err)
	pack, err := FitUpPack(context.Background(), parts, bodies, orders[0].Best, DefaultFitUpOptions())
	require.NoError(t, err)
	return bodies, orders[0].Best, pack
}

// TestPack: every step after the first has its tapes, from marks that stand to marks
// of the new piece, no two alike, each as long as it says.
func TestPack(t *testing.T) {
	for seed := range uint64(12) {
		bodies, plan, pack := packOf(t, seed, 5)
		require.Len(t, pack, 5)
		stands := map[int]bool{}
		for k, f := range pack {
			assert.Equal(t, plan.Steps[k].Part, f.Part)
			assert.GreaterOrEqual(t, len(f.Levels), 2)
			seen := map[[2]r3.Vec]bool{}
			if k > 0 {
				assert.GreaterOrEqual(t, len(f.Tapes), 4)
				assert.Equal(t, 6, f.Fixed, "seed %d step %d", seed, k)
			}
			for _, tape := range f.Tapes {
				assert.True(t, stands[tape.From.Part])
				assert.Equal(t, f.Part, tape.To.Part)
				assert.InDelta(t, r3.Norm(r3.Sub(tape.From.AtMM, tape.To.AtMM)), tape.LengthMM, 1e-9)
				assert.Contains(t, bodies[f.Part].PointsMM, tape.To.AtMM)
				want, _ := LinearMM("B", tape.LengthMM)
				assert.Equal(t, want, tape.PlusMinusMM)
				assert.Equal(t, quantity.FeetInches(tape.LengthMM), tape.FeetInches)
				key := [2]r3.Vec{tape.From.AtMM, tape.To.AtMM}
				assert.False(t, seen[key])
				seen[key] = true
			}
			stands[f.Part] = true
		}
	}
}

// TestTapesFixThePiece: the new piece is laid wrong by up to 40 mm and 2°; taped to
// its true distances it comes back (Newton's method on the chosen tapes alone).
func TestTapesFixThePiece(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for seed := range uint64(8) {
		_, _, pack := packOf(t, seed, 4)
		for _, f := range pack[1:] {
			axis := r3.Unit(r3.Vec{X: r.NormFloat64(), Y: r.NormFloat64(), Z: r.NormFloat64()})
			turn := r3.NewRotation(2*math.Pi/180, axis)
			shift := r3.Scale(40*r.Float64(), axis)
			var at []r3.Vec
			for _, tape := range f.Tapes {
				at = append(at, r3.Add(shift, turn.Rotate(tape.To.AtMM)))
			}
			// Start from where a fitter would: within 40 mm of the mark, whatever the turn did far off.
			back := r3.Sub(f.Tapes[0].To.AtMM, at[0])
			for i := range at {
				at[i] = r3.Add(at[i], r3.Add(back, shift))
			}
			for range 30 {
				correct(f.Tapes, at)
			}
			for i, tape := range f.Tapes {
				assert.InDelta(t, 0, r3.Norm(r3.Sub(at[i], tape.To.AtMM)), 1e-3, "seed %d part %d", seed, f.Part)
			}
		}
	}
}

// correct moves the marks as one body so that their distances come right.
func correct(tapes []Tape, at []r3.Vec) {
	j, w := mat.NewDense(len(tapes), 6, nil), mat.NewVecDense(len(tapes), nil)
	for i, tape := range tapes {
		d := r3.Sub(at[i], tape.From.AtMM)
		u := r3.Unit(d)
		c := r3.Cross(r3.Sub(at[i], at[0]), u)
		j.SetRow(i, []float64{u.X, u.Y, u.Z, c.X, c.Y, c.Z})
		w.SetVec(i, tape.LengthMM-r3.Norm(d))
	}
	var x mat.VecDense
	if x.SolveVec(j, w) != nil {
		return
	}
	turn := r3.Vec{X: x.AtVec(3), Y: x.AtVec(4), Z: x.AtVec(5)}
	about := at[0]
	for i, p := range at {
		q := r3.Sub(p, about)
		if a := r3.Norm(turn); a > 0 {
			q = r3.NewRotation(a, turn).Rotate(q)
		}
		at[i] = r3.Add(r3.Add(about, q), r3.Vec{X: x.AtVec(0), Y: x.AtVec(1), Z: x.AtVec(2)})
	}
}

// TestChoiceOfTapes: against every choice of 6 of 16 distances the least singular
// value comes to nine tenths, and is that of the singular value decomposition.
func TestChoiceOfTapes(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 7))
	for range 8 {
		all := make([]taped, 16)
		for i := range all {
			u := r3.Unit(r3.Vec{X: r.NormFloat64(), Y: r.NormFloat64(), Z: r.NormFloat64()})
			w := r3.Cross(r3.Vec{X: r.Float64() - 0.5, Y: r.Float64() - 0.5, Z: r.Float64() - 0.5}, u)
			all[i].row = row{u.X, u.Y, u.Z, w.X, w.Y, w.Z}
		}
		got := exchanged(all, greedy(all, 6))
		most := 0.0
		for set := range 1 << 16 {
			var rows []row
			for i := range all {
				if set>>i&1 == 1 && len(rows) < 7 {
					rows = append(rows, all[i].row)
				}
			}
			if len(rows) == 6 {
				most = max(most, leastOf(rows))
			}
		}
		j := mat.NewDense(6, 6, nil)
		var rows []row
		for k, i := range got {
			rows = append(rows, all[i].row)
			j.SetRow(k, all[i].row[:])
		}
		var svd mat.SVD
		require.True(t, svd.Factorize(j, mat.SVDNone))
		assert.InDelta(t, svd.Values(nil)[5], leastOf(rows), 1e-7)
		assert.GreaterOrEqual(t, leastOf(rows), 0.9*most)
	}
}

// TestPlumb: a mast that leans 10° towards +y, its clock mark a quarter turn from
// the upper side; a plumb one counts from +x.
func TestPlumb(t *testing.T) {
	s, c := math.Sincos(10 * math.Pi / 180)
	mitred := []stock.End{{Kind: "mitre"}}
	axis := r3.Vec{Y: s, Z: c}
	p := stock.Part{Kind: "tube", Ends: mitred, Frame: stock.Frame{Axis: axis, Ref: r3.Vec{X: 1}}}
	got := plumbOf(p, nil, r3.Vec{Z: 1}, DefaultFitUpOptions())
	assert.InDelta(t, 10, got.LeanDeg, 1e-9)
	assert.InDelta(t, 90, got.TowardDeg, 1e-9)
	assert.InDelta(t, 90, got.ClockDeg, 1e-9, "from −y up to +x, seen from above")
	assert.True(t, got.Clocked)

	p.Frame = stock.Frame{Axis: r3.Vec{Z: -1}, Ref: r3.Vec{Y: 1}}
	got = plumbOf(p, nil, r3.Vec{Z: 1}, DefaultFitUpOptions())
	assert.InDelta(t, 0, got.LeanDeg, 1e-9)
	assert.InDelta(t, 90, got.ClockDeg, 1e-9)

	p.Ends = nil
	assert.False(t, plumbOf(p, nil, r3.Vec{Z: 1}, DefaultFitUpOptions()).Clocked, "a square tube is the same all round")
	assert.Nil(t, plumbOf(stock.Part{Kind: "sphere", Frame: p.Frame}, nil, r3.Vec{Z: 1}, DefaultFitUpOptions()))
}

// TestPunchPoints: on the surface, and what it rests on among them.
func TestPunchPoints(t *testing.T) {
	lying := solid.NewFrame(r3.Vec{Z: 50}, r3.Unit(r3.Vec{X: 3, Y: 4}), r3.Unit(r3.Vec{X: 1, Y: -1, Z: 2}))
	for _, c := range []struct {
		what  string
		frame solid.Frame
		shape solid.Shape
		lowMM float64
	}{
		{"a tube that lies", lying, solid.Tube(100, 90, solid.Cut{Z: -300}, solid.Cut{Z: 300}), 0},
		{"a ball", solid.NewFrame(r3.Vec{Z: 40}, r3.Vec{X: 1}, r3.Vec{Y: 1}), solid.Ball{DiameterMM: 80}, 0},
		{"a round ring that lies", solid.NewFrame(r3.Vec{Z: 10}, r3.Vec{Z: 1}, r3.Vec{X: 1}), solid.RoundRing{CentrelineMM: 200, SectionMM: 20}, 0},
		{"a round ring that stands", solid.NewFrame(r3.Vec{Z: 110}, r3.Vec{X: 1}, r3.Vec{Y: 1}), solid.RoundRing{CentrelineMM: 200, SectionMM: 20}, 0},
	} {
		points, err := PunchPoints(c.frame, c.shape)
		require.NoError(t, err, c.what)
		low := math.Inf(1)
		for _, p := range points {
			low = min(low, p.Z)
		}
		assert.InDelta(t, c.lowMM, low, 1e-6, c.what)
		assert.LessOrEqual(t, len(points), pointsMost)
		if tube, ok := c.shape.(solid.Prism); ok {
			for _, p := range points {
				l := c.frame.Local(p)
				assert.InDelta(t, 50, math.Hypot(l.X, l.Y), 1e-6, "none in the bore, %v", tube.Low)
			}
		}
	}
	_, err := PunchPoints(lying, solid.Ball{})
	assert.Error(t, err)
}

func TestFitUpRefusals(t *testing.T) {
	parts, bodies, _ := randomWork(1, 3)
	for what, change := range map[string]func(*FitUpOptions){
		"A, B, C and D": func(o *FitUpOptions) { o.Class = "F" },
		"tapes from":    func(o *FitUpOptions) { o.TapeMaxMM = math.NaN() },
		"4 to 12":       func(o *FitUpOptions) { o.Tapes = 3 },
		"marks":         func(o *FitUpOptions) { o.Marks = 0 },
	} {
		opt := DefaultFitUpOptions()
		change(&opt)
		_, err := FitUpPack(context.Background(), parts, bodies, Plan{}, opt)
		assert.ErrorContains(t, err, what)
	}
	_, err := FitUpPack(context.Background(), parts, bodies, Plan{Steps: []Step{{Part: 5}}}, DefaultFitUpOptions())
	assert.ErrorContains(t, err, "step 1")

	// Parts without points, and two that coincide: less is said, nothing breaks.
	bodies[0].PointsMM, bodies[1].PointsMM = nil, bodies[2].PointsMM
	pack, err := FitUpPack(context.Background(), parts, bodies, Plan{Steps: []Step{{Part: 0, Up: r3.Vec{Z: 1}}, {Part: 1, Up: r3.Vec{Z: 1}}, {Part: 2, Up: r3.Vec{Z: 1}}}}, DefaultFitUpOptions())
	require.NoError(t, err)
	assert.Empty(t, pack[1].Tapes)
	assert.Contains(t, pack[1].Note, "only 0 distances")
}
