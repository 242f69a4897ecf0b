package synthetic

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// solid is a plane region carried through space: every shape but the sphere.
//
// Layers 0 to layers of the region are placed by place; the first and last are
// closed by caps, or joined to each other where closed is set. Patches: 0 the
// first cap, 1 the last, then one an edge of the region; from 0 where closed.
type solid struct {
	loops  []loop
	layers int
	closed bool
	place  func(p [2]float64, layer int) r3.Vec
}

// plan meshes the region and counts facets; what is built has its vertices at
// layer 0, all of the region's points, then the rim at each layer between, then
// all points at the last.
func (s solid) plan(edgeMM float64) (plan, error) {
	sec, err := rimOf(s.loops, edgeMM)
	if err != nil {
		return plan{}, err
	}
	if !(float64(len(sec.pts))*float64(s.layers) < facetsMax/2) {
		return plan{}, tooFine(edgeMM)
	}
	if !s.closed {
		if err := sec.fill(edgeMM); err != nil {
			return plan{}, err
		}
	}
	n := 2*len(sec.tris) + 2*len(sec.next)*s.layers
	return plan{n, func() Shell { return s.build(sec, n) }}, nil
}

func (s solid) build(sec section, facets int) Shell {
	out := Shell{Faces: make([][3]uint32, 0, facets), Patch: make([]int32, 0, facets)}
	first := s.points(sec, &out)
	var patch int32
	if !s.closed {
		patch = 2
		for _, t := range sec.tris {
			out.add(0, uint32(t[0]), uint32(t[2]), uint32(t[1]))
		}
		last := first[s.layers]
		for _, t := range sec.tris {
			out.add(1, last+uint32(t[0]), last+uint32(t[1]), last+uint32(t[2]))
		}
	}
	for j := range s.layers {
		lo, hi := first[j], first[j+1]
		for i, k := range sec.next {
			out.quad(patch+sec.side[i], lo+uint32(i), lo+uint32(k), hi+uint32(k), hi+uint32(i), (i+j)%2 == 0)
		}
	}
	return out.outward()
}

// points places every vertex and returns the first of each layer.
func (s solid) points(sec section, out *Shell) []uint32 {
	first := make([]uint32, s.layers+1)
	for j := range s.layers + 1 {
		if s.closed && j == s.layers {
			break // first[j] stays 0: the last layer is the first
		}
		first[j] = uint32(len(out.Points))
		pts := sec.pts[:len(sec.next)]
		if j == 0 || j == s.layers {
			pts = sec.pts
		}
		for _, p := range pts {
			out.Points = append(out.Points, s.place(p, j))
		}
	}
	return first
}

func (s *Shell) add(patch int32, a, b, c uint32) {
	s.Faces = append(s.Faces, [3]uint32{a, b, c})
	s.Patch = append(s.Patch, patch)
}

// quad adds a, b, c, d as two facets along the shorter diagonal; equal ones,
// to the rounding that differs between processors, go by even.
func (s *Shell) quad(patch int32, a, b, c, d uint32, even bool) {
	ac := r3.Norm2(r3.Sub(s.Points[a], s.Points[c]))
	bd := r3.Norm2(r3.Sub(s.Points[b], s.Points[d]))
	if even {
		ac *= 1 - 1e-6
	} else {
		bd *= 1 - 1e-6
	}
	if ac < bd {
		s.add(patch, a, b, c)
		s.add(patch, a, c, d)
		return
	}
	s.add(patch, a, b, d)
	s.add(patch, b, c, d)
}

// station is where a section's origin and its two directions come to lie. The
// directions need not be square to each other: a mitred end tilts them.
type station struct{ o, x, y r3.Vec }

// along places a section at stations, one a layer.
func along(st []station) func([2]float64, int) r3.Vec {
	return func(p [2]float64, layer int) r3.Vec {
		s := st[layer]
		return r3.Add(s.o, r3.Add(r3.Scale(p[0], s.x), r3.Scale(p[1], s.y)))
	}
}

// extruded carries a region along z, from -h/2 to h/2.
func extruded(loops []loop, heightMM, edgeMM float64) solid {
	n := steps(heightMM, edgeMM, 1)
	return solid{loops: loops, layers: n, place: func(p [2]float64, j int) r3.Vec {
		return r3.Vec{X: p[0], Y: p[1], Z: heightMM * (float64(j)/float64(n) - 0.5)}
	}}
}

// turned carries a section about z on a circle: x of the section along z, y
// outward from the axis. A full turn closes on itself.
func turned(loops []loop, radiusMM, sweepRad, outerMM, edgeMM float64) solid {
	full := sweepRad >= 2*math.Pi-1e-12
	n := steps(outerMM*sweepRad, edgeMM, max(1, int(math.Ceil(sweepRad/arcStepMax-1e-9))))
	st := make([]station, n+1)
	for j := range st {
		s, c := math.Sincos(sweepRad * float64(j) / float64(n))
		out := r3.Vec{X: c, Y: s}
		st[j] = station{r3.Scale(radiusMM, out), r3.Vec{Z: 1}, out}
	}
	return solid{loops: loops, layers: n, closed: full, place: along(st)}
}
