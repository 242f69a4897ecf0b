package fitup

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/stock"
)

// shape is the ideal surface of a part in its own frame. Metal is where the
// distance from every face is at most 0.
type shape struct {
	faces  []face
	cuts   [2]*cut  // of a long part: low and high end; nil where none is known
	run    line     // of a long part
	thinMM float64  // its least thickness
	edges  []r3.Vec // places of its surface, among them those of its edges
}

// face is one surface of a shape.
type face struct {
	name string
	dist func(q r3.Vec) float64 // signed distance, outward positive; its gradient has length 1
	flat bool
	cut  int // the end that it is, -1
}

func (s *shape) add(name string, flat bool, dist func(q r3.Vec) float64) {
	s.faces = append(s.faces, face{name, dist, flat, -1})
}

// face gives the number of a face by its name, -1 where there is none.
func (s *shape) face(name string) int {
	for i := range s.faces {
		if s.faces[i].name == name {
			return i
		}
	}
	return -1
}

// distance is the signed distance of q from the shape: exact inside and before
// faces, and before edges where faces meet at right angles.
func (s *shape) distance(q r3.Vec) float64 {
	most, sum := math.Inf(-1), 0.0
	for i := range s.faces {
		d := s.faces[i].dist(q)
		if most = max(most, d); d > 0 {
			sum += d * d
		}
	}
	if sum > 0 {
		return math.Sqrt(sum)
	}
	return most
}

// normal is the gradient of a face's distance.
func (s *shape) normal(i int, q r3.Vec) r3.Vec {
	const h = 1e-3 // mm; central, so exact to 1e-6/R² for a radius of R mm
	f := s.faces[i].dist
	return unit(r3.Vec{
		X: f(r3.Vec{X: q.X + h, Y: q.Y, Z: q.Z}) - f(r3.Vec{X: q.X - h, Y: q.Y, Z: q.Z}),
		Y: f(r3.Vec{X: q.X, Y: q.Y + h, Z: q.Z}) - f(r3.Vec{X: q.X, Y: q.Y - h, Z: q.Z}),
		Z: f(r3.Vec{X: q.X, Y: q.Y, Z: q.Z + h}) - f(r3.Vec{X: q.X, Y: q.Y, Z: q.Z - h}),
	})
}

// shapesOf are the shapes that a part may have: one, or several where its numbers
// leave open which way round it lies. A freeform, or a part of which sizes are
// missing, has no faces: its seams ride with it.
func shapesOf(p stock.Part) []*shape {
	z := sizes{p}
	switch p.Kind {
	case "tube", "bar":
		return one(rod(p, straight{}, z.mm("outside_diameter_mm"), z.mm("inside_diameter_mm")))
	case "profile":
		return one(profile(p))
	case "plate":
		return one(flat(p, z.mm("thickness_mm"), plateOutline(p)))
	case "disc":
		return one(round(p, z.mm("thickness_mm"), z.mm("outside_diameter_mm"), 0))
	case "ring":
		if p.Section == "round" {
			return one(hoop(z.mm("centreline_diameter_mm"), z.mm("section_diameter_mm"), z.mm("section_bore_mm")))
		}
		return one(round(p, z.mm("thickness_mm"), z.mm("outside_diameter_mm"), z.mm("inside_diameter_mm")))
	case "toothed_wheel":
		return one(round(p, z.mm("thickness_mm"), z.mm("tip_diameter_mm"), z.mm("bore_diameter_mm")))
	case "sphere":
		return one(ball(z.mm("diameter_mm"), z.mm("wall_mm")))
	case "cone":
		return cones(z.mm("large_diameter_mm"), z.mm("small_diameter_mm"), z.mm("height_mm"), z.mm("wall_mm"))
	case "arc":
		return arcs(p)
	case "coil":
		return one(coil(p))
	case "rolled_plate":
		return rolled(p)
	}
	return one(&shape{})
}

func one(s *shape) []*shape { return []*shape{s} }

// sizes reads dimensions, 0 where they are not given.
type sizes struct{ p stock.Part }

func (z sizes) mm(key string) float64  { x, _ := z.p.Size(key); return x }
func (z sizes) rad(key string) float64 { return z.mm(key) * math.Pi / 180 }

// radial is the distance of q from the axis.
func radial(q r3.Vec) float64 { return math.Hypot(q.X, q.Y) }

// slabFaces are the two faces at half a thickness from height 0.
func (s *shape) slabFaces(t float64) {
	s.add("top", true, func(q r3.Vec) float64 { return q.Z - t/2 })
	s.add("bottom", true, func(q r3.Vec) float64 { return -q.Z - t/2 })
	s.thinMM = t
}

// flat is a plate of any outline with its holes.
func flat(p stock.Part, t float64, o outline) *shape {
	s := &shape{}
	if !(t > 0) || len(o.steps) < 2 {
		return s
	}
	s.slabFaces(t)
	s.add("wall", false, func(q r3.Vec) float64 { return o.distance(q.X, q.Y) })
	s.holes(p.Holes)
	s.rims(o, t)
	return s
}

// plateOutline is the outline of a plate, or its rectangle where none is given.
func plateOutline(p stock.Part) outline {
	z := sizes{p}
	l, w := z.mm("length_mm")/2, z.mm("width_mm")/2
	if len(p.Outline) > 1 {
		lo, hi := [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
		o := newOutline(p.Outline)
		for _, q := range o.chain {
			lo, hi = [2]float64{min(lo[0], q[0]), min(lo[1], q[1])}, [2]float64{max(hi[0], q[0]), max(hi[1], q[1])}
		}
		// A flat bar that stands on end has the outline of its end: then its
		// rectangle tells.
		if l == 0 || (hi[0]-lo[0] > 1.8*l || hi[1]-lo[1] > 1.8*l) {
			return o
		}
	}
	if !(l > 0) || !(w > 0) {
		return outline{}
	}
	return polygon([2]float64{-l, -w}, [2]float64{l, -w}, [2]float64{l, w}, [2]float64{-l, w})
}

func (s *shape) holes(list []stock.Hole) {
	for i, h := range list {
		if o := holeOutline(h); len(o.steps) > 0 {
			s.add(fmt.Sprintf("hole %d", i+1), false, func(q r3.Vec) float64 { return -o.distance(q.X, q.Y) })
		}
	}
}

// rims adds the places of an outline at both faces.
func (s *shape) rims(o outline, t float64) {
	for _, q := range o.chain {
		s.edges = append(s.edges, r3.Vec{X: q[0], Y: q[1], Z: t / 2}, r3.Vec{X: q[0], Y: q[1], Z: -t / 2})
	}
}

// round is a disc, a flat ring or a wheel with its tip circle.
func round(p stock.Part, t, outside, inside float64) *shape {
	s := &shape{}
	if !(t > 0) || !(outside > 0) {
		return s
	}
	s.slabFaces(t)
	s.add("rim", false, func(q r3.Vec) float64 { return radial(q) - outside/2 })
	if inside > 0 {
		s.add("bore", false, func(q r3.Vec) float64 { return inside/2 - radial(q) })
		s.thinMM = min(t, (outside-inside)/2)
	}
	s.holes(p.Holes)
	s.rims(roundOutline(0, 0, outside/2), t)
	return s
}

func ball(d, wall float64) *shape {
	s := &shape{thinMM: d}
	if !(d > 0) {
		return s
	}
	s.add("side", false, func(q r3.Vec) float64 { return r3.Norm(q) - d/2 })
	if wall > 0 {
		s.add("bore", false, func(q r3.Vec) float64 { return d/2 - wall - r3.Norm(q) })
		s.thinMM = wall
	}
	for i := 0; i <= arcParts/2; i++ {
		sin, cos := math.Sincos(float64(i) * 2 * math.Pi / arcParts)
		for k := range arcParts {
			y, x := math.Sincos(float64(k) * 2 * math.Pi / arcParts)
			s.edges = append(s.edges, r3.Vec{X: d / 2 * sin * x, Y: d / 2 * sin * y, Z: d / 2 * cos})
		}
	}
	return s
}

// cones are a frustum with its large end down and one with it up.
func cones(large, small, height, wall float64) []*shape {
	var out []*shape
	for _, up := range []float64{1, -1} {
		s := &shape{thinMM: large}
		if !(height > 0) || !(large > small) {
			return one(s)
		}
		slope := (large - small) / 2 / height
		gain := 1 / math.Hypot(1, slope)
		side := func(q r3.Vec) float64 { return (radial(q) - (large+small)/4 + up*slope*q.Z) * gain }
		s.add("side", false, side)
		if wall > 0 {
			s.add("bore", false, func(q r3.Vec) float64 { return -side(q) - wall })
			s.thinMM = wall
		}
		s.add("large end", true, func(q r3.Vec) float64 { return -up*q.Z - height/2 })
		if small > 0 {
			s.add("small end", true, func(q r3.Vec) float64 { return up*q.Z - height/2 })
		}
		for _, q := range roundOutline(0, 0, 1).chain {
			s.edges = append(s.edges, r3.Vec{X: q[0] * large / 2, Y: q[1] * large / 2, Z: -up * height / 2},
				r3.Vec{X: q[0] * small / 2, Y: q[1] * small / 2, Z: up * height / 2})
		}
		out = append(out, s)
	}
	return out
}
