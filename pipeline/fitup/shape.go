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

// face is one surface of a shape. The side of an outline bounds the metal as a
// whole; what bears on another part is one of its steps, each a face that bounds
// nothing.
type face struct {
	name  string
	dist  func(q r3.Vec) float64 // signed distance, outward positive; its gradient has length 1
	flat  bool
	cut   int                    // the end that it is, -1
	bears bool                   // may touch another part
	on    func(q r3.Vec) float64 // how far q is from this step of an outline; nil: a face that bounds the metal
	loop  string                 // the outline that it is a step of
	mid   r3.Vec                 // and its middle, at height 0
	way   func(q r3.Vec) r3.Vec  // the gradient; nil: it is taken by differences
}

func (s *shape) add(name string, flat bool, dist func(q r3.Vec) float64) {
	s.faces = append(s.faces, face{name: name, dist: dist, flat: flat, cut: -1, bears: true})
}

// plane adds a flat face at a distance from the origin along its normal.
func (s *shape) plane(name string, n r3.Vec, at float64) {
	s.add(name, true, func(q r3.Vec) float64 { return r3.Dot(n, q) - at })
	s.faces[len(s.faces)-1].way = func(r3.Vec) r3.Vec { return n }
}

// about adds a cylinder about the axis: sign 1 has the metal inside.
func (s *shape) about(name string, radius, sign float64) {
	s.add(name, false, func(q r3.Vec) float64 { return sign * (radial(q) - radius) })
	s.faces[len(s.faces)-1].way = func(q r3.Vec) r3.Vec { return unit(r3.Vec{X: sign * q.X, Y: sign * q.Y}) }
}

// wall adds the side along an outline, and its steps.
func (s *shape) wall(name string, o outline, sign float64) {
	s.faces = append(s.faces, face{name: name, cut: -1, dist: func(q r3.Vec) float64 { return sign * o.distance(q.X, q.Y) }})
	for i, x := range o.steps {
		mid := x.along(0.5)
		s.faces = append(s.faces, face{name: fmt.Sprintf("%s %d", name, i), flat: x.r == 0, cut: -1, bears: true,
			loop: name, mid: r3.Vec{X: mid[0], Y: mid[1]},
			dist: func(q r3.Vec) float64 { return sign * x.beyond(q.X, q.Y) },
			on:   func(q r3.Vec) float64 { d, _, _ := x.distance(q.X, q.Y); return d },
			way:  func(q r3.Vec) r3.Vec { return r3.Scale(sign, x.outwards(q.X, q.Y)) }})
	}
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
		if s.faces[i].on != nil {
			continue
		}
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
	if s.faces[i].way != nil {
		return s.faces[i].way(q)
	}
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
		return plates(p)
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
	s.plane("top", r3.Vec{Z: 1}, t/2)
	s.plane("bottom", r3.Vec{Z: -1}, t/2)
	s.thinMM = t
}

// flat is a plate of any outline with its holes.
func flat(p stock.Part, t float64, o outline) *shape {
	s := &shape{}
	if !(t > 0) || len(o.steps) < 2 {
		return s
	}
	s.slabFaces(t)
	s.wall("wall", o, 1)
	s.holes(p.Holes)
	s.rims(o, t)
	return s
}

// plates are a plate by its outline, by its rectangle, and, for a flat bar that was
// read along its run, by the outline of its end.
func plates(p stock.Part) []*shape {
	z := sizes{p}
	l, w, t := z.mm("length_mm")/2, z.mm("width_mm")/2, z.mm("thickness_mm")
	var out []*shape
	if len(p.Outline) > 1 {
		out = append(out, flat(p, t, newOutline(p.Outline)))
	}
	if l > 0 && w > 0 {
		out = append(out, flat(p, t, polygon([2]float64{l, -w}, [2]float64{l, w}, [2]float64{-l, w}, [2]float64{-l, -w})))
	}
	if len(p.Outline) > 1 {
		for _, along := range []float64{2 * w, 2 * l} {
			out = append(out, flat(p, along, newOutline(p.Outline)))
			out[len(out)-1].thinMM = t
		}
	}
	if len(out) == 0 {
		return one(&shape{})
	}
	return out
}

func (s *shape) holes(list []stock.Hole) {
	for i, h := range list {
		if o := holeOutline(h); len(o.steps) > 0 {
			s.wall(fmt.Sprintf("hole %d", i+1), o, -1)
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
	s.about("rim", outside/2, 1)
	if inside > 0 {
		s.about("bore", inside/2, -1)
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
		s.plane("large end", r3.Vec{Z: -up}, height/2)
		if small > 0 {
			s.plane("small end", r3.Vec{Z: up}, height/2)
		}
		for _, q := range roundOutline(0, 0, 1).chain {
			s.edges = append(s.edges, r3.Vec{X: q[0] * large / 2, Y: q[1] * large / 2, Z: -up * height / 2},
				r3.Vec{X: q[0] * small / 2, Y: q[1] * small / 2, Z: up * height / 2})
		}
		out = append(out, s)
	}
	return out
}
