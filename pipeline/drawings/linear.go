package drawings

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/draw"
)

// side is where of a view a dimension stands.
type side int

const (
	below side = iota
	above
	left
	right
)

// along is the axis of paper that the side's dimensions measure along, and out the
// way outwards across it.
func (s side) along() int { return int(s) / 2 }
func (s side) out() float64 {
	if s == below || s == left {
		return -1
	}
	return 1
}

// linear measures between two points of a view, level or upright as its side says.
type linear struct {
	view int
	a, b r3.Vec
	side side
	text string
}

// span is a linear dimension on paper.
type span struct {
	from, to     [2]float64 // its points, from lower along the side's axis
	text         string
	width        float64 // of the text
	before       bool    // where it stands beside its line, rather before it than after
	middle       float64 // of the text, along the axis
	arrowsInside bool
	level        int
}

// covers is the stretch along the axis that the dimension takes on its level.
func (s span) covers(axis int) (lo, hi float64) {
	lo, hi = s.from[axis], s.to[axis]
	if !s.arrowsInside {
		lo, hi = lo-2*arrowMM, hi+2*arrowMM
	}
	return min(lo, s.middle-s.width/2), max(hi, s.middle+s.width/2)
}

// spaceMM is kept between the texts of one level.
const spaceMM = 2

// levels gives each dimension of one side its level, the shortest next to the view,
// so that on a level none meets another and no extension line crosses a text.
func levels(list []span, axis int) []span {
	list = slices.Clone(list)
	for i := range list {
		s := &list[i]
		l := s.to[axis] - s.from[axis]
		s.arrowsInside = l >= 3*arrowMM
		s.middle = (s.from[axis] + s.to[axis]) / 2
		if s.width+1 <= l {
			continue
		}
		// Beside it: past the end where fewer extension lines of others stand.
		tail := 1.0 + s.width/2
		if !s.arrowsInside {
			tail += 2 * arrowMM
		}
		best := math.Inf(1)
		places := [2]float64{s.to[axis] + tail, s.from[axis] - tail}
		if s.before {
			places[0], places[1] = places[1], places[0]
		}
		for _, m := range places {
			in := 0.0
			for k, o := range list {
				for _, x := range [2]float64{o.from[axis], o.to[axis]} {
					if k != i && math.Abs(x-m) < s.width/2+0.5 {
						in++
					}
				}
			}
			if in < best {
				best, s.middle = in, m
			}
		}
	}
	slices.SortStableFunc(list, func(a, b span) int {
		return cmp.Compare(math.Round(a.to[axis]-a.from[axis]), math.Round(b.to[axis]-b.from[axis]))
	})
	for i := range list {
		for clash := true; clash; {
			clash = false
			for _, o := range list[:i] {
				if list[i].meets(o, axis) {
					clash = true
				}
			}
			if clash {
				list[i].level++
			}
		}
	}
	return list
}

// meets tells whether s cannot stand on its level beside o, which has one: on the
// same level, or further in under o's text or lines that it would cross.
func (s span) meets(o span, axis int) bool {
	lo, hi := s.covers(axis)
	lo2, hi2 := o.covers(axis)
	if s.level == o.level {
		return lo < hi2+spaceMM && lo2 < hi+spaceMM
	}
	if s.level > o.level {
		return false
	}
	for _, x := range [2]float64{o.from[axis], o.to[axis]} { // o's lines pass through this level
		if x > lo-0.5 && x < hi+0.5 {
			return true
		}
	}
	return false
}

// spread is how far the first level stands off the view, and each from the one
// before, in heights of text.
const (
	firstTimes = 3.4
	nextTimes  = 2.6
)

// beside draws one side's dimensions of a view whose outline is the box, further
// out where a text would meet one of another side.
func (c *canvas) beside(list []span, s side, outline box, textMM float64) {
	for _, b := range []box{outline, c.box} {
		o := newCanvas()
		o.dimension(list, s, b, textMM)
		if b != c.box && slices.ContainsFunc(o.texts, func(t box) bool {
			return slices.ContainsFunc(c.texts, func(u box) bool { return t.meets(u, 1) }) || slices.ContainsFunc(c.lines, func(l [2][2]float64) bool { return crosses(l, t) })
		}) {
			continue
		}
		c.add(o, [2]float64{})
		return
	}
}

// dimension draws one side's dimensions of a view whose outline is the box.
func (c *canvas) dimension(list []span, s side, outline box, textMM float64) {
	axis, out := s.along(), s.out()
	edge := outline.lo[1-axis]
	if out > 0 {
		edge = outline.hi[1-axis]
	}
	at := func(along, across float64) [2]float64 {
		if axis == 0 {
			return [2]float64{along, across}
		}
		return [2]float64{across, along}
	}
	turn := float64(axis) * math.Pi / 2
	for _, d := range levels(list, axis) {
		y := edge + out*(firstTimes+float64(d.level)*nextTimes)*textMM
		for _, p := range [2][2]float64{d.from, d.to} {
			c.line(draw.Thin, at(p[axis], p[1-axis]+out), at(p[axis], y+out*1.5))
		}
		a, b := d.from[axis], d.to[axis]
		c.measured = append(c.measured, measured{b - a, d.text})
		lo, hi := a, b
		if d.arrowsInside {
			c.arrow(at(a, y), turn+math.Pi)
			c.arrow(at(b, y), turn)
		} else {
			c.arrow(at(a, y), turn)
			c.arrow(at(b, y), turn+math.Pi)
			lo, hi = a-2*arrowMM, b+2*arrowMM
		}
		c.line(draw.Thin, at(min(lo, d.middle-d.width/2), y), at(max(hi, d.middle+d.width/2), y))
		if axis == 0 {
			c.text(d.text, d.middle, y+0.4*textMM, textMM, true, false)
		} else {
			c.text(d.text, y-0.4*textMM, d.middle, textMM, true, true)
		}
	}
}
