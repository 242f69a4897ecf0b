package site

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// pressed is the squeeze of one axial load on all beams of a model.
func pressed(f *Frame, n float64) squeeze {
	s := squeeze{PressN: make([]float64, len(f.model.Beams)), TipNMM: make([]float64, len(f.groups.ref))}
	for i := range s.PressN {
		s.PressN[i] = n
	}
	return s
}

// Euler's four columns: π²EI/(KL)², K = 2, 1, 0.699, 0.5 (Timoshenko and Gere, Theory of
// Elastic Stability, 2nd ed., 2.1), about the soft axis; slanted as well as upright.
func TestColumnsBuckle(t *testing.T) {
	s := solid()
	s.IyMM4 /= 3
	const l, n = 3000.0, 16
	for name, way := range map[string]r3.Vec{"upright": {Z: 1}, "slanted": r3.Unit(r3.Vec{X: 1, Y: 2, Z: 2})} {
		var points []r3.Vec
		for i := range n + 1 {
			points = append(points, r3.Scale(l*float64(i)/n, way))
		}
		for _, row := range []struct {
			what     string
			supports []Support
			k        float64
		}{
			{"fixed and free", []Support{Fixed(0)}, 2},
			{"fixed and fixed, free to shorten", []Support{Fixed(0), {Node: n, Fixed: [6]bool{true, true, true, true, true, true}}}, 0.5},
		} {
			m := chain(s, points...)
			m.Supports = row.supports
			f, err := NewFrame(m)
			require.NoError(t, err)
			got, err := f.criticalFactor(pressed(f, 1000))
			require.NoError(t, err)
			near(t, math.Pi*math.Pi*s.ElasticMPa*s.IyMM4/(row.k*row.k*l*l)/1000, got, 1e-4, name+", "+row.what)
		}
	}
	up := chain(s, upright(l, n)...)
	free := [6]bool{true, true, false, false, false, false}
	for k, at := range map[float64]Support{
		1:      {Node: 0, Fixed: [6]bool{true, true, true, false, false, true}},
		0.6992: {Node: 0, Fixed: [6]bool{true, true, true, true, true, true}},
	} {
		up.Supports = []Support{at, {Node: n, Fixed: free}}
		f, err := NewFrame(up)
		require.NoError(t, err)
		got, err := f.criticalFactor(pressed(f, 1000))
		require.NoError(t, err)
		near(t, math.Pi*math.Pi*s.ElasticMPa*s.IyMM4/(k*k*l*l)/1000, got, 2e-4, "held above")
		got, err = f.criticalFactor(pressed(f, 1e-12))
		require.NoError(t, err)
		require.True(t, math.IsInf(got, 1), "pressed by the rounding of a solution")
	}
}

func upright(l float64, n int) (out []r3.Vec) {
	for i := range n + 1 {
		out = append(out, r3.Vec{Z: l * float64(i) / float64(n)})
	}
	return out
}

// A load on a rigid post of height a over a cantilever: tan kL = 1/ka, k² = P/EI (from y =
// δ(1 − cos kx) with δ = y(L) + a y'(L), derived here). Hung below the top by a it does no
// more than at the top.
func TestLoadOnARigidPost(t *testing.T) {
	s := solid()
	const l, a, p = 3000.0, 1200.0, 1000.0
	for up, want := range map[float64]float64{a: 0, -a: math.Pi / 2 / l} {
		m := chain(s, upright(l, 12)...)
		m.Nodes = append(m.Nodes, Node{AtMM: r3.Vec{Z: l + up}, Of: "E02"})
		m.Links = []Link{{A: 12, B: 13, AtMM: r3.Vec{Z: l}}}
		f, err := NewFrame(m)
		require.NoError(t, err)
		x, err := f.Solve(Case{Nodes: []NodeLoad{{Node: 13, Wrench: Wrench{ForceN: r3.Vec{Z: -p}}}}})
		require.NoError(t, err)
		st := &Structure{Model: m, Frame: f}
		q := pressed(f, p)
		st.tipping(x, q.TipNMM)
		got, err := f.criticalFactor(q)
		require.NoError(t, err)
		if want == 0 {
			low, high := 0.0, math.Pi/2/l
			for range 60 {
				want = (low + high) / 2
				if math.Tan(want*l) < 1/(want*a) {
					low = want
				} else {
					high = want
				}
			}
		}
		near(t, want*want*s.ElasticMPa*s.IyMM4/p, got, 1e-4, "rigid post")
	}
}
