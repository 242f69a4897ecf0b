package primitive

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh/synthetic"
)

// TestSquareEnds: of the end of a bar, and of a flat arc, three fifths are hidden, and the
// foot of the weld that hides them raises what shows beside it: the plane through all
// leans, most of it is square. An end that was cut at 4 degrees still leans.
func TestSquareEnds(t *testing.T) {
	const foot = 0.7 // mm, wide
	for name, c := range map[string]struct {
		shape    synthetic.Shape
		at, out  r3.Vec  // the middle of the end, its outward normal
		side     r3.Vec  // to which it shows
		from     float64 // mm, from the middle to that side, where it begins to show
		key      string
		want     float64
		within   float64
		leansDeg float64
	}{
		"bar":      {synthetic.Bar{OutsideDiameterMM: 8.4, LengthMM: 40}, r3.Vec{Z: 20}, r3.Vec{Z: 1}, r3.Vec{X: 1}, 0.5, "length_mm", 40, 0.05, 0},
		"mitre":    {synthetic.Bar{OutsideDiameterMM: 8.4, LengthMM: 40, Ends: [2]synthetic.End{{}, {MitreDeg: 4}}}, r3.Vec{Z: 20}, r3.Vec{Z: 1}, r3.Vec{X: 1}, -9, "length_mm", 40, 0.05, 4},
		"flat arc": {synthetic.FlatArc{OutsideDiameterMM: 70, InsideDiameterMM: 54, ThicknessMM: 4, SweepDeg: 120}, r3.Vec{X: 31}, r3.Vec{Y: -1}, r3.Vec{X: 1}, -0.5, "sweep_deg", 120, 0.15, 0},
	} {
		shown := func(q r3.Vec) float64 { return r3.Dot(r3.Sub(q, c.at), c.side) - c.from }
		end := func(q r3.Vec) bool {
			return math.Abs(r3.Dot(r3.Sub(q, c.at), c.out)) < 0.6 && r3.Norm(r3.Sub(q, c.at)) < 9
		}
		p := cutPatch(t, upright(c.shape), 0.5, func(q r3.Vec) bool { return end(q) && shown(q) < 0 })
		for i, q := range p.P {
			if at := r3.Add(q, p.OriginMM); c.leansDeg == 0 && end(at) && r3.Dot(p.N[i], c.out) > 0.8 && shown(at) < foot {
				p.P[i] = r3.Add(q, r3.Scale(0.3*(1-shown(at)/foot), c.out))
			}
		}
		e := Recognise(p, DefaultOptions())
		d := e.dimension(c.key)
		require.NotNil(t, d, "%s: %s", name, e.Kind)
		assert.InDelta(t, c.want, d.Value, c.within, name)
		leans := 0.0
		for _, x := range e.Ends {
			leans = max(leans, x.AngleDeg)
		}
		assert.InDelta(t, c.leansDeg, leans, 0.3, name)
	}
}
