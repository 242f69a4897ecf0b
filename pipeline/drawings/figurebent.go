package drawings

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/quantity"
	"pointup/pipeline/solid"
)

// hoop is a ring of round section.
func (f *figure) hoop(size func(string) float64, w writer, third bool) {
	f.hidden = false
	f.views = aspects(r3.Vec{X: 1}, r3.Vec{Y: 1}, third, front, beside)
	d, s := size("centreline_diameter_mm"), size("section_diameter_mm")
	f.across(0, below, r3.Vec{X: 1}, d, w.diameter(d)+" centreline")
	f.crossed(0, r3.Vec{}, (d+s)/2)
	f.axes = append(f.axes, centre{0, circle(r3.Vec{}, d/2), true})
	f.linear = append(f.linear, linear{1, r3.Vec{Y: -d / 2, Z: -s / 2}, r3.Vec{Y: -d / 2, Z: s / 2}, below, w.diameter(s)})
	f.axis(1, r3.Vec{Z: -s / 2}, r3.Vec{Z: s / 2})
	if b := size("section_bore_mm"); b > 0 {
		f.remarks = append(f.remarks, "bore "+w.diameter(b))
	}
}

// circle about the axis, in chords of 2°.
func circle(at r3.Vec, radius float64) []r3.Vec {
	var out []r3.Vec
	for k := range 181 {
		sin, cos := math.Sincos(float64(k) * math.Pi / 90)
		out = append(out, r3.Add(at, r3.Vec{X: radius * cos, Y: radius * sin}))
	}
	return out
}

// arc is a bend or part of a flat ring, seen along its axis, and a compound bend.
func (f *figure) arc(p Piece, size func(string) float64, w writer, third bool) {
	if len(p.Part.Segments) > 0 {
		f.bends(p, w, third)
		return
	}
	sweep := size("sweep_deg")
	x, up := sector(sweep)
	f.views = aspects(x, up, third, front, plan)
	at := func(share, r float64) r3.Vec {
		sin, cos := math.Sincos(share * sweep * math.Pi / 180)
		return r3.Vec{X: r * cos, Y: r * sin}
	}
	if out := size("outside_diameter_mm"); out > 0 {
		in, t := size("inside_diameter_mm"), size("thickness_mm")
		f.sweep(0, out/2, sweep)
		f.notes = append(f.notes, note{at: at(0.3, out/2), way: at(0.3, 1), text: w.radius(out / 2)}, note{at: at(0.6, in/2), way: at(0.6, -1), text: w.radius(in / 2)})
		edge := r3.Scale(reachOf(sweep, out/2), x)
		f.linear = append(f.linear, linear{1, r3.Add(edge, r3.Vec{Z: -t / 2}), r3.Add(edge, r3.Vec{Z: t / 2}), right, w.length(t)})
		return
	}
	d, s := size("centreline_diameter_mm"), size("section_diameter_mm")
	f.sweep(0, (d+s)/2, sweep)
	var line []r3.Vec
	for k := range 61 {
		line = append(line, at(float64(k)/60, d/2))
	}
	f.axes = append(f.axes, centre{0, line, true})
	f.notes = append(f.notes, note{at: at(0.6, d/2), way: at(0.6, -1), text: w.radius(d/2) + " centreline"})
	edge := r3.Scale(reachOf(sweep, d/2+s/2), x)
	f.linear = append(f.linear, linear{1, r3.Add(edge, r3.Vec{Z: -s / 2}), r3.Add(edge, r3.Vec{Z: s / 2}), right, w.diameter(s)})
	if b := size("section_bore_mm"); b > 0 {
		f.remarks = append(f.remarks, "bore "+w.diameter(b))
	}
	lo, hi := p.bounds()
	f.turned(p, lo, hi, w)
}

// turned gives the width and height of a view along the axis whose right and up
// are not u and v.
func (f *figure) turned(p Piece, lo, hi r3.Vec, w writer) {
	size := r3.Norm(r3.Sub(hi, lo))
	b, err := bodyOf(p.Shape, p.local(), max(size, 1)/5000)
	if err != nil {
		return
	}
	v := f.views[0].view
	x := boxOf([]body{b}, v)
	at := func(x, y float64) r3.Vec { return r3.Add(r3.Scale(x, v.right), r3.Scale(y, v.up)) }
	f.linear = append(f.linear,
		linear{0, at(x.lo[0], x.lo[1]), at(x.hi[0], x.lo[1]), below, "(" + w.length(x.wide()) + ")"},
		linear{0, at(x.lo[0], x.lo[1]), at(x.lo[0], x.hi[1]), left, "(" + w.length(x.high()) + ")"})
}

// bends is a compound bend: three views with its box, its arcs numbered along it.
func (f *figure) bends(p Piece, w writer, third bool) {
	f.hidden = false
	lo, hi := p.bounds()
	f.views = aspects(r3.Vec{X: 1}, r3.Vec{Y: 1}, third, front)
	d, _ := p.Part.Size("section_diameter_mm")
	if hi.Z-lo.Z > 1.5*d {
		f.views = aspects(r3.Vec{X: 1}, r3.Vec{Y: 1}, third, front, beside, plan)
	}
	f.overall(lo, hi, w)
	to := p.local()
	n := 0
	for _, wire := range p.Shape.Wires() {
		line := chordsOf(wire, 0.001*max(r3.Norm(r3.Sub(hi, lo)), 1))
		for i, q := range line {
			line[i] = to(q)
		}
		for k, a := range f.views {
			if flatEnough(line, a.view) {
				f.axes = append(f.axes, centre{k, line, true})
			}
		}
		if a := wire.Arc; a != nil {
			n++
			q, c := line[len(line)/2], to(a.At.Origin)
			f.notes = append(f.notes, note{at: q, way: r3.Sub(q, c), text: fmt.Sprintf("%d: %s, %s", n, w.radius(a.RadiusMM), angleText(a.SweepRad*180/math.Pi))})
		}
	}
	f.remarks = append(f.remarks, "section "+w.diameter(d), "radii are those of the centreline; order and turns: see the bending table")
}

// flatEnough tells whether a line is more than a point in a view.
func flatEnough(line []r3.Vec, v view) bool {
	b := noBox()
	for _, p := range line {
		b.take(v.flat(p))
	}
	return b.wide()+b.high() > 1
}

// coil lies, its start up.
func (f *figure) coil(p Piece, size func(string) float64, w writer, third bool) {
	f.hidden = false
	to := p.local()
	up := r3.Vec{X: 1}
	d, s, pitch := size("centreline_diameter_mm"), size("section_diameter_mm"), size("pitch_mm")
	start := -pitch * size("turns") / 2
	if c, ok := p.Shape.(solid.Coil); ok {
		sin, cos := math.Sincos(c.StartRad)
		up = r3.Unit(r3.Sub(to(r3.Vec{X: cos, Y: sin}), to(r3.Vec{})))
	}
	f.views = aspects(r3.Vec{Z: 1}, up, third, front, beside)
	lo, hi := p.bounds()
	crest := r3.Scale((d+s)/2, up)
	f.linear = append(f.linear, linear{0, r3.Add(r3.Scale(-1, crest), r3.Vec{Z: lo.Z}), r3.Add(r3.Scale(-1, crest), r3.Vec{Z: hi.Z}), below, "(" + w.length(hi.Z-lo.Z) + ")"})
	if turns := size("turns"); turns >= 1 {
		first := r3.Add(crest, r3.Vec{Z: start + pitch*math.Floor(turns/2-0.5)})
		f.linear = append(f.linear, linear{0, first, r3.Add(first, r3.Vec{Z: pitch}), above, w.length(pitch) + " pitch"})
	}
	f.axis(0, r3.Vec{Z: lo.Z}, r3.Vec{Z: hi.Z})
	f.crossed(1, r3.Vec{}, (d+s)/2)
	f.across(1, below, f.views[1].view.right, d, w.diameter(d)+" centreline")
	f.across(1, right, up, d+s, "("+w.diameter(d+s)+")")
	f.axes = append(f.axes, centre{1, circle(r3.Vec{}, d/2), true})
	f.remarks = append(f.remarks, fmt.Sprintf("section %s, %s turns, %s-hand", w.diameter(s), quantity.Decimal(size("turns"), 2), p.Part.Hand))
}
