package pipeline

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/segment/assembly"
)

func TestContactsReachTheDocument(t *testing.T) {
	z, x := r3.Vec{Z: 1}, r3.Vec{X: 1}
	at := func(v float64) assembly.SeamPoint {
		return assembly.SeamPoint{AtMM: r3.Vec{X: v}, NormalA: z, NormalB: x}
	}
	w := &work{elements: []element{{id: "E01"}, {id: "E02"}, {id: "E04"}}}
	w.contacts = []assembly.Contact{
		{A: 0, B: 1, Kind: "tube on plate", LengthMM: 3, AngleDeg: 90, GapMM: -0.01,
			Seam: []assembly.Run{{Closed: true, Points: []assembly.SeamPoint{at(0), at(1), at(0)}}, {Points: []assembly.SeamPoint{at(5), at(6)}}}},
		{A: 1, B: 2, Kind: "point", AngleDeg: math.NaN(), Seam: []assembly.Run{{Points: []assembly.SeamPoint{{NormalA: z}}}}},
	}
	got := w.contactList()
	require.Len(t, got, 2)
	assert.Equal(t, "E01", got[0].A)
	assert.Equal(t, "E02", got[0].B)
	require.Len(t, got[0].Seam, 5)
	assert.Equal(t, 1, got[0].Seam[2].Run)
	assert.Equal(t, 2, got[0].Seam[3].Run)
	assert.InDelta(t, 90, float64(*got[0].AngleDeg), 0)
	assert.Equal(t, "E04", got[1].B)
	assert.Nil(t, got[1].AngleDeg, "a ball has no angle")
	assert.InDelta(t, -1, float64(got[1].Seam[0].NormalB[2]), 0, "where a surface has no normal, against the other")
}
