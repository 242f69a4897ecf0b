package synthetic

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// lathe turns a profile about z: points are (radius, height), each run one
// smooth surface with a patch of its own, the next starting where it ends. The
// profile goes from axis to axis, or is closed. Rings have as many points as
// their size asks for.
type lathe struct {
	runs   [][][2]float64
	edgeMM float64
}

// ring is a circle of vertices: the first, and how many; one on the axis.
type ring struct{ first, n int }

func (l lathe) plan() (plan, error) {
	facets, last := 0, 0
	for _, run := range l.runs {
		last = l.around(run[0])
		for _, q := range run[1:] {
			n := l.around(q)
			if facets += n + last; n == 1 || last == 1 {
				facets-- // a fan about a point on the axis
			}
			if last = n; facets > facetsMax/2 {
				return plan{}, tooFine(l.edgeMM)
			}
		}
	}
	return plan{facets, l.build}, nil
}

// around is the number of vertices of a ring.
func (l lathe) around(q [2]float64) int {
	if q[0] < 1e-9 {
		return 1
	}
	return steps(2*math.Pi*q[0], l.edgeMM, 6)
}

func (l lathe) build() Shell {
	var out Shell
	place := func(q [2]float64) ring {
		r := ring{len(out.Points), l.around(q)}
		for i := range r.n {
			s, c := math.Sincos(2 * math.Pi * float64(i) / float64(r.n))
			out.Points = append(out.Points, r3.Vec{X: q[0] * c, Y: q[0] * s, Z: q[1]})
		}
		return r
	}
	end := l.runs[len(l.runs)-1]
	closed := end[len(end)-1] == l.runs[0][0]
	first := place(l.runs[0][0])
	last := first
	for k, run := range l.runs {
		for j, q := range run[1:] {
			r := first
			if !closed || k < len(l.runs)-1 || j < len(run)-2 {
				r = place(q)
			}
			out.strip(int32(k), last, r)
			last = r
		}
	}
	return out.outward()
}

// strip joins two rings: the one whose next point comes first goes on.
func (s *Shell) strip(patch int32, a, b ring) {
	for i, j := 0, 0; ; {
		at := func(r ring, k int) uint32 { return uint32(r.first + k%r.n) }
		next := func(r ring, k int) float64 { return (float64(k) + 0.5) / float64(r.n) }
		switch {
		case a.n > 1 && i < a.n && (j >= b.n || b.n == 1 || next(a, i) <= next(b, j)):
			s.add(patch, at(a, i), at(a, i+1), at(b, j))
			i++
		case b.n > 1 && j < b.n:
			s.add(patch, at(a, i), at(b, j+1), at(b, j))
			j++
		default:
			return
		}
	}
}

// straightRun and arcRun are runs of a profile in steps of about edgeMM.
func straightRun(a, b [2]float64, edgeMM float64) [][2]float64 {
	n := steps(math.Hypot(b[0]-a[0], b[1]-a[1]), edgeMM, 1)
	out := make([][2]float64, n+1)
	for i := range out {
		t := float64(i) / float64(n)
		out[i] = [2]float64{a[0] + t*(b[0]-a[0]), a[1] + t*(b[1]-a[1])}
	}
	out[n] = b
	return out
}

// arcRun goes from a to b on the circle about the origin that both lie on, by
// the side of positive radius.
func arcRun(a, b [2]float64, edgeMM float64) [][2]float64 {
	r := math.Hypot(a[0], a[1])
	from, to := math.Atan2(a[1], a[0]), math.Atan2(b[1], b[0])
	n := steps(r*math.Abs(to-from), edgeMM, 4)
	out := make([][2]float64, n+1)
	for i := range out {
		s, c := math.Sincos(from + (to-from)*float64(i)/float64(n))
		out[i] = [2]float64{r * c, r * s}
	}
	out[0], out[n] = a, b
	return out
}
