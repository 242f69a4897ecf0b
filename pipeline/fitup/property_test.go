package fitup

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh/synthetic"
	"pointup/pipeline/stock"
)

// carried is a part as another place or a mirror shows it. to takes places, turn
// directions; mirrored says that to changes hands. Then the axis is turned round,
// so that u and v, and all that is drawn in them, stay.
func carried(p stock.Part, to, turn func(r3.Vec) r3.Vec, mirrored bool) stock.Part {
	p.Frame = stock.Frame{OriginMM: to(p.Frame.OriginMM), Axis: turn(p.Frame.Axis), Ref: turn(p.Frame.Ref)}
	p.Ends = slices.Clone(p.Ends)
	for i := range p.Ends {
		p.Ends[i].AtMM, p.Ends[i].Out = to(p.Ends[i].AtMM), turn(p.Ends[i].Out)
	}
	a, b := to(p.BoxMM[0]), to(p.BoxMM[1])
	p.BoxMM = [2]r3.Vec{{X: min(a.X, b.X), Y: min(a.Y, b.Y), Z: min(a.Z, b.Z)}, {X: max(a.X, b.X), Y: max(a.Y, b.Y), Z: max(a.Z, b.Z)}}
	if !mirrored {
		return p
	}
	p.Frame.Axis = r3.Scale(-1, p.Frame.Axis)
	if p.Kind == "coil" {
		p.Hand = map[string]string{"right": "left", "left": "right"}[p.Hand]
	}
	p.Segments = slices.Clone(p.Segments)
	for i := range p.Segments {
		d := slices.Clone(p.Segments[i].Dims)
		for k := range d {
			if d[k].Key == "turn_deg" {
				d[k].Value = -d[k].Value
			}
		}
		p.Segments[i].Dims = d
	}
	return p
}

func carriedAll(parts []stock.Part, to, turn func(r3.Vec) r3.Vec, mirrored bool) []stock.Part {
	var out []stock.Part
	for _, p := range parts {
		out = append(out, carried(p, to, turn, mirrored))
	}
	return out
}

func carriedSeams(list []stock.Contact, to, turn func(r3.Vec) r3.Vec) []stock.Contact {
	out := slices.Clone(list)
	for i := range out {
		out[i].Seam = slices.Clone(out[i].Seam)
		for k, s := range out[i].Seam {
			out[i].Seam[k] = stock.SeamAt{Run: s.Run, PointMM: to(s.PointMM), A: turn(s.A), B: turn(s.B)}
		}
	}
	return out
}

// alikeMM is how far answers may differ by rounding: parts that touch round sides
// have motions that close nothing, and how many rounds are taken decides on these.
// Shifts are up to 10 mm here.
const alikeMM = 0.5

// What is turned and shifted on the ground, mirrored, or listed in another order
// moves alike. Random scenes without a conflict.
func TestMotionMirrorOrder(t *testing.T) {
	turned := 0
	for seed := uint64(0); seed < 9; seed++ {
		s, err := synthetic.RandomWeld(seed, 2+int(seed))
		require.NoError(t, err)
		x := madeScene(t, s, 2)
		sized := stocked(x.parts, 0.03, rand.New(rand.NewPCG(seed, 9)))
		want := solved(t, x.parts, sized, x.contacts)
		for _, p := range want.Parts {
			require.True(t, finite(p), "%s", p.ID)
		}
		if len(want.Conflicts) > 0 {
			continue
		}
		turned++
		sin, cos := math.Sincos(0.7)
		spin := func(v r3.Vec) r3.Vec { return r3.Vec{X: cos*v.X - sin*v.Y, Y: sin*v.X + cos*v.Y, Z: v.Z} }
		shift := func(v r3.Vec) r3.Vec { return r3.Add(spin(v), r3.Vec{X: 1234, Y: -567}) }
		flip := func(v r3.Vec) r3.Vec { return r3.Vec{X: -v.X, Y: v.Y, Z: v.Z} }
		for _, c := range []struct {
			name     string
			to, turn func(r3.Vec) r3.Vec
			mirrored bool
		}{{"turned", shift, spin, false}, {"mirrored", flip, flip, true}} {
			got := solved(t, carriedAll(x.parts, c.to, c.turn, c.mirrored), carriedAll(sized, c.to, c.turn, c.mirrored), carriedSeams(x.contacts, c.to, c.turn))
			for i := range want.Parts {
				near(t, c.turn(want.Moves[i].ShiftMM), got.Moves[i].ShiftMM, alikeMM, c.name+" "+want.Parts[i].ID+" "+want.Parts[i].Kind)
				a, _ := want.Parts[i].Size("length_mm")
				b, _ := got.Parts[i].Size("length_mm")
				assert.InDelta(t, a, b, alikeMM, "seed %d %s %s", seed, c.name, want.Parts[i].ID)
			}
		}
		n := len(x.parts)
		back := func(list []stock.Part) []stock.Part { l := slices.Clone(list); slices.Reverse(l); return l }
		contacts := slices.Clone(x.contacts)
		slices.Reverse(contacts)
		for i, c := range contacts {
			contacts[i].A, contacts[i].B = n-1-c.B, n-1-c.A
			contacts[i].Seam = slices.Clone(c.Seam)
			for k, s := range c.Seam {
				contacts[i].Seam[k].A, contacts[i].Seam[k].B = s.B, s.A
			}
		}
		got := solved(t, back(x.parts), back(sized), contacts)
		for i := range want.Parts {
			near(t, want.Moves[i].ShiftMM, got.Moves[n-1-i].ShiftMM, alikeMM, "order "+want.Parts[i].ID+" "+want.Parts[i].Kind)
		}
	}
	assert.GreaterOrEqual(t, turned, 6)
}
