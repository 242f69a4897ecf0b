package fitup

import (
	"context"
	"errors"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh/synthetic"
	"pointup/pipeline/stock"
)

// spoil damages an assembly: sizes that are missing, nothing, minute or huge, frames
// without directions, other kinds, contacts without a seam or of one place, and
// relations of any parts.
func spoil(r *rand.Rand, x made) (parts, sized []stock.Part, contacts []stock.Contact, relations []stock.Relation) {
	kinds := []string{"tube", "bar", "disc", "ring", "arc", "coil", "plate", "toothed_wheel", "rolled_plate", "profile", "sphere", "cone", "freeform", "nothing"}
	hurt := func(p stock.Part) stock.Part {
		p.Dims, p.Ends, p.Outline = slices.Clone(p.Dims), slices.Clone(p.Ends), slices.Clone(p.Outline)
		switch r.IntN(12) {
		case 0:
			p.Kind = kinds[r.IntN(len(kinds))]
		case 1:
			p.Frame = stock.Frame{}
		case 2:
			p.Frame.Ref = p.Frame.Axis
		case 3:
			p.Ends = nil
		case 4:
			p.Outline = nil
		case 5:
			p.BoxMM[1] = p.BoxMM[0]
		case 6:
			p.Made = true
		}
		for i := range p.Dims {
			if r.IntN(8) == 0 {
				p.Dims[i].Value *= []float64{0, -1, 1e-9, 1e6, 3}[r.IntN(5)]
			}
		}
		if len(p.Dims) > 0 && r.IntN(6) == 0 {
			p.Dims = slices.Delete(p.Dims, 0, 1)
		}
		if len(p.Outline) > 0 && r.IntN(6) == 0 {
			p.Outline[0].To = p.Outline[len(p.Outline)-1].To
		}
		return p
	}
	for _, p := range x.parts {
		q := hurt(p)
		parts = append(parts, q)
		if r.IntN(2) == 0 {
			q = hurt(q)
		}
		sized = append(sized, q)
	}
	for _, c := range x.contacts {
		switch r.IntN(6) {
		case 0:
			c.Seam = nil
		case 1:
			c.Seam = c.Seam[:1]
		case 2:
			c.Seam = []stock.SeamAt{{PointMM: c.Seam[0].PointMM}, {PointMM: r3.Vec{X: 1e7}}}
		case 3:
			c.Through = !c.Through
		}
		contacts = append(contacts, c)
	}
	for range r.IntN(6) {
		k := []string{"parallel", "perpendicular", "coaxial", "coplanar", "equal", "equally_spaced", "mirrored", "tangent", "other"}[r.IntN(9)]
		x := stock.Relation{Kind: k, Of: []string{"axis", "face", "piece", "line", "circle", "plane"}[r.IntN(6)]}
		for range r.IntN(5) {
			x.Parts = append(x.Parts, r.IntN(len(parts)))
			if r.IntN(3) == 0 {
				x.To = append(x.To, r.IntN(len(parts)))
			}
		}
		relations = append(relations, x)
	}
	return parts, sized, contacts, relations
}

// No input leads to a panic or to a number that is none; what has no answer is told.
func TestSpoiledInput(t *testing.T) {
	solvedOnes := 0
	for seed := uint64(0); seed < 40; seed++ {
		s, err := synthetic.RandomWeld(seed%12, 2+int(seed%12)%6)
		require.NoError(t, err)
		r := rand.New(rand.NewPCG(seed, 4))
		parts, sized, contacts, relations := spoil(r, madeScene(t, s, 3))
		got, err := Solve(context.Background(), parts, sized, contacts, relations, DefaultOptions())
		if err != nil {
			assert.True(t, errors.Is(err, errSingular), "%v", err)
			continue
		}
		solvedOnes++
		for i, p := range got.Parts {
			assert.True(t, finite(p), "seed %d: %s %s", seed, p.ID, parts[i].Kind)
			assert.True(t, finiteVec(got.Moves[i].ShiftMM) && finiteVec(got.Moves[i].TurnDeg))
		}
	}
	assert.Greater(t, solvedOnes, 25)
}
