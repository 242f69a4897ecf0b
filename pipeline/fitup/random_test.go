package fitup

import (
	"cmp"
	"context"
	"flag"
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

// gapBetween is the gap of two parts as they are laid out, negative where they lie
// in each other: their shapes are read anew from the parts' numbers, and the place
// nearest to both is sought from the vertices of the scanned meshes, which ride
// with them.
func gapBetween(x made, got Assembly, i, j int) float64 {
	bodies := [2]*body{}
	var at [2][]r3.Vec
	for k, n := range []int{i, j} {
		bodies[k] = newBody(got.Parts[n], got.Parts[n], nil)
		from, to := poseOf(x.parts[n]), moved(poseOf(x.parts[n]), got.Moves[n], x.parts[n])
		for _, p := range x.meshes[n] {
			at[k] = append(at[k], to.point(from.local(p)))
		}
	}
	type start struct {
		at r3.Vec
		d  float64
	}
	var starts []start
	for k := range at {
		for _, p := range at[k] {
			if o := bodies[1-k]; r3.Norm(r3.Sub(p, o.centre())) < o.reachMM+50 {
				starts = append(starts, start{p, o.shape.distance(o.at.local(p))})
			}
		}
	}
	slices.SortFunc(starts, func(a, b start) int { return cmp.Compare(a.d, b.d) })
	best := math.Inf(1)
	for _, s := range thinned(starts[:min(len(starts), 1200)], 60) {
		_, v := sink(bodies[0], bodies[1], s.at, 5)
		best = min(best, v)
	}
	return 2 * best
}

// moved is where a part's old frame went.
func moved(f pose, m Move, was stock.Part) pose {
	b := newBody(was, was, nil)
	return f.moved(m.ShiftMM, r3.Scale(math.Pi/180, m.TurnDeg), b.centre())
}

var scenes = flag.Int("scenes", 25, "random assemblies to lay out")

// Scenes as they are grown for the study of welded maquettes: 2 to 18 pieces of 15
// shapes, by the way meeting others, so that loops close; sizes of sections then
// changed by up to 5 %. Every contact is closed within 0.5 mm of full size, measured
// from the parts alone, or named in a conflict; with -scenes 100 too.
func TestRandomAssembliesClose(t *testing.T) {
	done, contacts, open, wide := 0, 0, 0, 0
	for seed := uint64(1); done < *scenes; seed++ {
		s, err := synthetic.RandomWeld(seed, 2+int(seed)%17)
		if err != nil {
			continue
		}
		done++
		x := madeScene(t, s, 2)
		sized := stocked(x.parts, 0.05, rand.New(rand.NewPCG(seed, 1)))
		got, err := Solve(context.Background(), x.parts, sized, x.contacts, nil, DefaultOptions())
		require.NoError(t, err)
		named := map[int]bool{}
		for _, c := range got.Conflicts {
			for _, k := range append(c.Open, c.Contacts...) {
				named[k] = true
			}
			if c.Minimal {
				needed(t, x, sized, c)
			}
		}
		for k, j := range got.Joints {
			if j.Way != "touch" {
				continue
			}
			contacts++
			if named[k] {
				open++
				if math.Abs(j.GapMM) > 0.5 {
					wide++
				}
				continue
			}
			gap := gapBetween(x, got, j.A, j.B) - max(j.WantedMM, 0)
			assert.Less(t, math.Abs(gap), 0.5, "seed %d contact %d: %s, %s; told %+v", seed, k, x.contacts[k].Kind, x.parts[j.A].ID+x.parts[j.B].ID, j)
		}
	}
	t.Logf("%d contacts, %d named as open, %d of these by over 0.5 mm", contacts, open, wide)
	assert.Greater(t, contacts, 5**scenes)
	assert.Less(t, 100*wide, contacts, "under a hundredth of them is left open by more than 0.5 mm")
}

// needed holds a conflict to its word: its contacts alone stay open, and close
// without any one of them.
func needed(t *testing.T, x made, sized []stock.Part, c Conflict) {
	t.Helper()
	for leave := -1; leave < len(c.Contacts); leave++ {
		var list []stock.Contact
		for i, k := range c.Contacts {
			if i != leave {
				list = append(list, x.contacts[k])
			}
		}
		got, err := Solve(context.Background(), x.parts, sized, list, nil, DefaultOptions())
		require.NoError(t, err)
		if leave < 0 {
			assert.NotEmpty(t, got.Conflicts)
			continue
		}
		assert.Empty(t, got.Conflicts, "without contact %d of %v", c.Contacts[leave], c.Contacts)
	}
}
