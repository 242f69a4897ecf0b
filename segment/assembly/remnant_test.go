package assembly

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/segment/fit"
	"pointup/segment/surface"
)

// TestRemnantBetween: a corner of two planes, each of which another part shows, makes
// one of all three.
func TestRemnantBetween(t *testing.T) {
	found := []surface.Surface{{Ideal: fit.Plane{Axis: r3.Vec{Z: 1}}}, {Ideal: fit.Plane{Axis: r3.Vec{X: 1}}}, {Ideal: fit.Plane{Axis: r3.Vec{Y: 1}}}}
	list := []region{{surface: 0, points: 900}, {surface: 1, points: 700}, {surface: 0, points: 200}, {surface: 1, points: 300}, {surface: 2, points: 800}}
	assert.Equal(t, []int32{0, 0, 0, 0, 4}, remnants(found, list, []int32{0, 1, 2, 2, 4}, func(a, b int32) bool { return true }))
}

// TestRemnants: a part of one cylinder, or of two planes that cross, is of the larger
// part that shows them; one plane, a few points or a face of its own leave it alone.
func TestRemnants(t *testing.T) {
	found := []surface.Surface{
		{Ideal: fit.Cylinder{Axis: r3.Vec{Z: 1}, RadiusMM: 5}},
		{Ideal: fit.Plane{Axis: r3.Vec{Z: 1}}},
		{Ideal: fit.Plane{Axis: r3.Vec{X: 1}}},
		{Ideal: fit.Plane{Axis: r3.Vec{Z: -1}}},
	}
	whole := []region{{surface: 0, points: 900}, {surface: 1, points: 900}, {surface: 2, points: 900}, {surface: 3, points: 900}}
	for name, c := range map[string]struct {
		rest []region
		air  bool // between the parts
		tied bool
	}{
		"a strip of the side": {[]region{{surface: 0, points: 200}}, false, true},
		"a corner":            {[]region{{surface: 1, points: 200}, {surface: 2, points: 80}}, false, true},
		"a plate in line":     {[]region{{surface: 1, points: 200}, {surface: 2, points: 80}}, true, false},
		"a tube in line":      {[]region{{surface: 0, points: 200}}, true, true},
		"one face":            {[]region{{surface: 1, points: 200}}, false, false},
		"opposite faces":      {[]region{{surface: 1, points: 200}, {surface: 3, points: 200}}, false, false},
		"next to nothing":     {[]region{{surface: 0, points: 40}}, false, false},
		"a face of its own":   {[]region{{surface: 0, points: 200}, {surface: 4, points: 200}}, false, false},
	} {
		list := append(append([]region(nil), whole...), c.rest...)
		piece := make([]int32, len(list))
		for i := range c.rest {
			piece[len(whole)+i] = int32(len(whole))
		}
		got := remnants(append(found, surface.Surface{Ideal: fit.Plane{Axis: r3.Vec{Y: 1}}}), list, piece, func(a, b int32) bool { return !c.air })
		assert.Equal(t, c.tied, got[len(whole)] == 0, name)
	}
}
