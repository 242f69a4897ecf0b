package drawings

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/draw"
)

// note is text with a leader to a point of a view, or to a circle about it; way,
// unless zero, is where the leader had best go, for a radius straight away from its
// centre.
type note struct {
	view     int
	at       r3.Vec
	radiusMM float64
	way      r3.Vec
	text     string
}

// Leaders that are tried: lengths in heights of text, and turns off the way.
var (
	leaderTimes = [...]float64{2.5, 4, 6, 8.5, 12, 16, 21}
	leaderTurns = [...]float64{0, 20, -20, 40, -40, 60, -60, 80, -80, 110, -110, 140, -140, 170}
)

// leader places a note where its text meets no other, best where it covers no
// line and keeps off other views; within the room where it can. It tells whether it
// found such a place.
func (c *canvas) leader(at [2]float64, radius float64, way [2]float64, text string, textMM float64, room box, others []box) bool {
	if way == ([2]float64{}) {
		way = [2]float64{1, 1}
	}
	heading := math.Atan2(way[1], way[0])
	w := draw.TextWidthMM(text, textMM)
	best, least := struct {
		rim, knee, foot [2]float64
		ok              bool
	}{}, math.Inf(1)
	for _, k := range leaderTimes {
		for n, t := range leaderTurns {
			sin, cos := math.Sincos(heading + t*math.Pi/180)
			rim := [2]float64{at[0] + radius*cos, at[1] + radius*sin}
			knee := [2]float64{rim[0] + k*textMM*cos, rim[1] + k*textMM*sin}
			foot := [2]float64{knee[0] + textMM/2, knee[1] + 0.4*textMM}
			if cos < 0 {
				foot[0] = knee[0] - textMM/2 - w
			}
			b := textBox(text, foot[0], foot[1], textMM, false, false)
			cost, free := c.cost(b, [2][2]float64{rim, knee}, room)
			cost += 0.15*k + 0.07*float64(n)
			if math.Abs(cos) < 0.2 {
				cost++
			}
			for _, o := range others {
				if o.meets(b, 0) || crosses([2][2]float64{rim, knee}, o) {
					cost += 6
				}
			}
			if !free {
				cost += 1000
			}
			if cost < least {
				least, best.rim, best.knee, best.foot, best.ok = cost, rim, knee, foot, free
			}
		}
	}
	c.line(draw.Thin, best.rim, best.knee)
	end := [2]float64{best.foot[0] + w, best.knee[1]}
	if best.foot[0] < best.knee[0] {
		end[0] = best.foot[0]
	}
	c.line(draw.Thin, best.knee, end)
	c.arrow(best.rim, math.Atan2(best.rim[1]-best.knee[1], best.rim[0]-best.knee[0]))
	c.text(text, best.foot[0], best.foot[1], textMM, false, false)
	return best.ok
}

// cost counts the lines that a text would cover; free is false where it meets
// another text, its leader crosses one, or it leaves the room.
func (c *canvas) cost(b box, leader [2][2]float64, room box) (cost float64, free bool) {
	free = b.lo[0] >= room.lo[0] && b.lo[1] >= room.lo[1] && b.hi[0] <= room.hi[0] && b.hi[1] <= room.hi[1]
	for _, t := range c.texts {
		if t.meets(b, 0.6) || crosses(leader, t) {
			free = false
		}
	}
	wide := box{[2]float64{b.lo[0] - 0.5, b.lo[1] - 0.5}, [2]float64{b.hi[0] + 0.5, b.hi[1] + 0.5}}
	for _, l := range c.lines {
		if crosses(l, wide) {
			cost += 4
		}
		if cut(l, leader) {
			cost += 0.7
		}
	}
	return min(cost, 160), free
}

// cut tells whether two lines cross between their ends.
func cut(l, m [2][2]float64) bool {
	left := func(a, b, p [2]float64) float64 { return (b[0]-a[0])*(p[1]-a[1]) - (b[1]-a[1])*(p[0]-a[0]) }
	return left(l[0], l[1], m[0])*left(l[0], l[1], m[1]) < 0 && left(m[0], m[1], l[0])*left(m[0], m[1], l[1]) < 0
}

// angular is the sweep of an arc, drawn outside it.
type angular struct {
	view               int
	centre, from, axis r3.Vec // from: unit, where the arc starts; axis: counter-clockwise about it
	radiusMM, sweepRad float64
	text               string
}

// angle draws a sweep about centre (paper), from the angle fromRad on, offMM
// outside the radius.
func (c *canvas) angle(centre [2]float64, radius, fromRad, sweepRad, textMM float64, text string) {
	r := radius + firstTimes*textMM
	at := func(r, phi float64) [2]float64 {
		sin, cos := math.Sincos(phi)
		return [2]float64{centre[0] + r*cos, centre[1] + r*sin}
	}
	for _, phi := range [2]float64{fromRad, fromRad + sweepRad} {
		c.line(draw.Thin, at(radius+1, phi), at(r+1.5, phi))
	}
	c.items = append(c.items, draw.Item{Layer: draw.Thin, Shape: draw.FlatArc(centre[0], centre[1], r, fromRad, sweepRad)})
	n := max(8, int(sweepRad*16))
	for k := range n {
		c.keepOff(at(r, fromRad+sweepRad*float64(k)/float64(n)), at(r, fromRad+sweepRad*float64(k+1)/float64(n)))
	}
	lean := arrowMM / 2 / r // a head's chord
	c.arrow(at(r, fromRad), fromRad-math.Pi/2+lean)
	c.arrow(at(r, fromRad+sweepRad), fromRad+sweepRad+math.Pi/2-lean)
	sin, cos := math.Sincos(fromRad + sweepRad/2)
	w := draw.TextWidthMM(text, textMM)
	off := 0.6*textMM + math.Abs(cos)*w/2 + math.Abs(sin)*textMM/2
	p := at(r+off, fromRad+sweepRad/2)
	c.text(text, p[0], p[1]-textMM/2, textMM, true, false)
}
