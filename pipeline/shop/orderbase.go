package shop

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// rest is how a set of parts rests on the floor in a pose.
type rest struct {
	low, massKG float64
	centre      r3.Vec     // of gravity
	at          [2]float64 // the same in the floor's u, v
	margin      float64
	edges       []lean // of the shrunk base
}

// lean is how far the centre of gravity lies beyond an edge of the shrunk base;
// negative inside.
type lean struct {
	way    [2]float64 // out, level
	beyond float64
}

// rest gathers what the parts of a set rest on. Parts whose mass is not known
// weigh nothing; where no mass is known all weigh the same.
func (b *builder) rest(s set, group []int, pose int) rest {
	p := &b.poses[pose]
	r := rest{low: math.Inf(1)}
	var plain r3.Vec
	n := 0.0
	for _, i := range group {
		if s.has(i) {
			r.low = min(r.low, p.low[i])
			r.massKG += b.bodies[i].MassKG
			r.centre = r3.Add(r.centre, r3.Scale(b.bodies[i].MassKG, b.bodies[i].CentreMM))
			plain, n = r3.Add(plain, b.bodies[i].CentreMM), n+1
		}
	}
	if r.massKG > 0 {
		r.centre = r3.Scale(1/r.massKG, r.centre)
	} else {
		r.centre = r3.Scale(1/n, plain)
	}
	r.at = p.level(r.centre)
	var feet [][2]float64
	for _, i := range group {
		if !s.has(i) || p.low[i] > r.low+b.opt.FloorMM {
			continue
		}
		for _, q := range p.foot[i] {
			if r3.Dot(q, p.up) <= r.low+b.opt.FloorMM {
				feet = append(feet, p.level(q))
			}
		}
	}
	r.lean(feet, b.opt.Inside)
	return r
}

func (p *pose) level(q r3.Vec) [2]float64 { return [2]float64{r3.Dot(q, p.u), r3.Dot(q, p.v)} }

// lean measures the centre of gravity against the base shrunk about its centroid.
// A base that is a line leans to both sides, one that is a point to three.
func (r *rest) lean(feet [][2]float64, inside float64) {
	base := hullOf(feet)
	area, c := centroid(base)
	if area < 1 { // mm²: a line or a point
		r.edges = thinBase(feet, r.at)
	} else {
		for i, p := range base {
			q := base[(i+1)%len(base)]
			e := [2]float64{q[0] - p[0], q[1] - p[1]}
			l := math.Hypot(e[0], e[1])
			out := [2]float64{e[1] / l, -e[0] / l}
			reach := (1 - inside) * ((p[0]-c[0])*out[0] + (p[1]-c[1])*out[1])
			r.edges = append(r.edges, lean{out, (r.at[0]-c[0])*out[0] + (r.at[1]-c[1])*out[1] - reach})
		}
	}
	r.margin = math.Inf(1)
	for _, e := range r.edges {
		r.margin = min(r.margin, -e.beyond)
	}
}

// thinLeanMM is how far the weight is taken to wander off a base without width:
// common practice, no source.
const thinLeanMM = 25

// thinBase leans off a line to both sides and past its ends, off a point three ways.
func thinBase(feet [][2]float64, at [2]float64) []lean {
	a, b := feet[0], feet[0]
	for i, p := range feet {
		for _, q := range feet[:i] {
			if math.Hypot(q[0]-p[0], q[1]-p[1]) > math.Hypot(b[0]-a[0], b[1]-a[1]) {
				a, b = p, q
			}
		}
	}
	along := math.Atan2(b[1]-a[1], b[0]-a[0])
	off := func(turn float64, from [2]float64, wander float64) lean {
		s, c := math.Sincos(along + turn)
		return lean{[2]float64{c, s}, (at[0]-from[0])*c + (at[1]-from[1])*s + wander}
	}
	if math.Hypot(b[0]-a[0], b[1]-a[1]) < 1 {
		return []lean{off(0, a, thinLeanMM), off(2*math.Pi/3, a, thinLeanMM), off(-2*math.Pi/3, a, thinLeanMM)}
	}
	return []lean{off(math.Pi/2, a, thinLeanMM), off(-math.Pi/2, a, thinLeanMM), off(0, b, 0), off(math.Pi, a, 0)}
}

// centroid is a counter-clockwise polygon's area and centroid.
func centroid(poly [][2]float64) (area float64, c [2]float64) {
	for i, p := range poly {
		q := poly[(i+1)%len(poly)]
		o := poly[0]
		w := ((p[0]-o[0])*(q[1]-o[1]) - (q[0]-o[0])*(p[1]-o[1])) / 2
		area += w
		c[0] += w * (o[0] + p[0] + q[0]) / 3
		c[1] += w * (o[1] + p[1] + q[1]) / 3
	}
	if area > 0 {
		c[0], c[1] = c[0]/area, c[1]/area
	}
	return area, c
}

// propsFor holds a set that is not safe: a prop on the side of the worst lean, and
// on others that look over 60° away from it. Each bears on the highest point, of
// equals the one farthest to its side.
func (b *builder) propsFor(s set, group []int, pose int) []Prop {
	r, p := b.rest(s, group, pose), &b.poses[pose]
	if r.margin >= 0 {
		return nil
	}
	var ways [][2]float64
	var out []Prop
	for {
		worst := -1
		for i, e := range r.edges {
			if e.beyond > 0 && looksAway(e.way, ways) && (worst < 0 || e.beyond > r.edges[worst].beyond) {
				worst = i
			}
		}
		if worst < 0 {
			return out
		}
		e := r.edges[worst]
		ways = append(ways, e.way)
		prop := b.bearing(s, group, p, e.way, r.low)
		prop.ForceN = r.massKG * gravity * e.beyond / max(prop.HighMM, 1)
		out = append(out, prop)
	}
}

func looksAway(way [2]float64, from [][2]float64) bool {
	for _, f := range from {
		if way[0]*f[0]+way[1]*f[1] > 0.5 {
			return false
		}
	}
	return true
}

// bearing is where a prop on that side bears.
func (b *builder) bearing(s set, group []int, p *pose, way [2]float64, low float64) Prop {
	out := Prop{Part: -1, Way: r3.Add(r3.Scale(way[0], p.u), r3.Scale(way[1], p.v))}
	for _, i := range group {
		if !s.has(i) {
			continue
		}
		for _, q := range b.bodies[i].points() {
			h := r3.Dot(q, p.up) - low
			if d := h - out.HighMM; out.Part < 0 || d > 1 || d > -1 && r3.Dot(r3.Sub(q, out.AtMM), out.Way) > 1 {
				out.Part, out.AtMM, out.HighMM = i, q, h
			}
		}
	}
	return out
}

// points are those of the body; its centre where it has none.
func (b Body) points() []r3.Vec {
	if len(b.PointsMM) == 0 {
		return []r3.Vec{b.CentreMM}
	}
	return b.PointsMM
}
