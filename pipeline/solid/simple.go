package solid

import (
	"errors"
	"slices"
)

var (
	errCrosses = errors.New("an outline crosses or touches itself or another")
	errOutside = errors.New("a hole lies outside the outline")
)

// simple refuses loops that cross or touch, and holes that are not inside the
// first loop and outside each other. Arcs are taken in chords.
func simple(loops [][]segment) error {
	var lines [][][2]float64
	for _, l := range loops {
		lines = append(lines, polyline(l, 1e-3*l[0].scale()))
	}
	if crossing(lines) {
		return errCrosses
	}
	for i, h := range lines[1:] {
		if !inside(lines[0], h[0]) {
			return errOutside
		}
		for k, o := range lines[1:] {
			if k != i && inside(o, h[0]) {
				return errCrosses
			}
		}
	}
	return nil
}

func (s segment) scale() float64 { return max(s.radius, s.lengthMM()) }

// chord is one side of a polygon.
type chord struct {
	a, b       [2]float64
	lo, hi     float64 // along u
	loop, i, n int
}

func crossing(lines [][][2]float64) bool {
	var all []chord
	for k, l := range lines {
		for i, a := range l {
			b := l[(i+1)%len(l)]
			all = append(all, chord{a, b, min(a[0], b[0]), max(a[0], b[0]), k, i, len(l)})
		}
	}
	slices.SortFunc(all, func(x, y chord) int {
		switch {
		case x.lo < y.lo:
			return -1
		case x.lo > y.lo:
			return 1
		case x.loop != y.loop:
			return x.loop - y.loop
		}
		return x.i - y.i
	})
	for i, x := range all {
		for _, y := range all[i+1:] {
			if y.lo > x.hi {
				break
			}
			next := x.loop == y.loop && ((x.i+1)%x.n == y.i || (y.i+1)%y.n == x.i)
			if !next && meet(x, y) {
				return true
			}
		}
	}
	return false
}

// meet tells whether two chords have a point in common.
func meet(x, y chord) bool {
	if max(x.a[1], x.b[1]) < min(y.a[1], y.b[1]) || max(y.a[1], y.b[1]) < min(x.a[1], x.b[1]) {
		return false
	}
	p, q := side(x.a, x.b, y.a), side(x.a, x.b, y.b)
	r, s := side(y.a, y.b, x.a), side(y.a, y.b, x.b)
	if p == 0 && q == 0 { // on one line: their boxes tell
		return x.lo <= y.hi && y.lo <= x.hi
	}
	return p*q <= 0 && r*s <= 0
}

// side is positive where p lies left of a → b.
func side(a, b, p [2]float64) float64 {
	return (b[0]-a[0])*(p[1]-a[1]) - (b[1]-a[1])*(p[0]-a[0])
}

// inside counts crossings of the ray from p along u.
func inside(line [][2]float64, p [2]float64) bool {
	in := false
	for i, a := range line {
		b := line[(i+1)%len(line)]
		if (a[1] > p[1]) != (b[1] > p[1]) && p[0] < a[0]+(p[1]-a[1])/(b[1]-a[1])*(b[0]-a[0]) {
			in = !in
		}
	}
	return in
}
