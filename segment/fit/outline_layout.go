package fit

import "math"

// outlineJointKind says how the corner after a step follows from the curves.
type outlineJointKind int

const (
	jointCross  outlineJointKind = iota // the crossing nearest to the break
	jointNear                           // half way between the nearest points
	jointTouch                          // the foot of a fillet's centre on a line
	jointBridge                         // two corners with a short line between
)

// outlineLayout turns curves into steps in the same way whatever small change
// the curves undergo.
type outlineLayout struct {
	Kind   []outlineJointKind // after each step
	Ref    [][2]float64       // where the break was
	Circle bool
	Steps  []int // the fitted step that each Step comes from, -1 for a bridge
}

// newLayout decides the kind of every corner.
func (f *outlineFitter) newLayout() *outlineLayout {
	n := len(f.Segs)
	l := &outlineLayout{Kind: make([]outlineJointKind, n), Ref: make([][2]float64, n)}
	if n == 1 {
		l.Circle = true
		l.Steps = []int{0, 0}
		return l
	}
	for k, s := range f.Segs {
		b := f.Segs[f.next(k)]
		m := f.meeting(s.C, b.C, f.L.at(s.Hi))
		l.Ref[k] = f.L.at(s.Hi)
		l.Steps = append(l.Steps, k)
		x, ok := outlineIntersect(s.C, b.C, l.Ref[k])
		switch {
		case s.Fillet || b.Fillet:
			l.Kind[k] = jointTouch
		case m.Crosses && ok && x == m.X:
			l.Kind[k] = jointCross
		case m.Crosses:
			l.Kind[k] = jointNear
		default:
			l.Kind[k] = jointBridge
			l.Steps = append(l.Steps, -1)
		}
	}
	return l
}

// steps builds the outline from curves.
func (l *outlineLayout) steps(c []outlineCurve) []Step {
	if l.Circle {
		o, r := c[0].Centre(), 1/c[0].K
		return []Step{
			{To: [2]float64{o[0] - r, o[1]}, Via: [2]float64{o[0], o[1] + r}, Arc: true},
			{To: [2]float64{o[0] + r, o[1]}, Via: [2]float64{o[0], o[1] - r}, Arc: true},
		}
	}
	n := len(c)
	end, begin := make([][2]float64, n), make([][2]float64, n)
	for k := range c {
		b := (k + 1) % n
		end[k] = l.corner(c[k], c[b], k)
		begin[b] = end[k]
		if l.Kind[k] == jointBridge {
			end[k], begin[b] = c[k].Foot(l.Ref[k]), c[b].Foot(l.Ref[k])
		}
	}
	var out []Step
	for k := range c {
		s := Step{To: end[k]}
		if c[k].K != 0 {
			s.Arc = true
			s.Via = outlineVia(c[k], begin[k], end[k])
		}
		out = append(out, s)
		if l.Kind[k] == jointBridge {
			out = append(out, Step{To: begin[(k+1)%n]})
		}
	}
	return out
}

func (l *outlineLayout) corner(a, b outlineCurve, k int) [2]float64 {
	switch l.Kind[k] {
	case jointTouch:
		if a.K == 0 {
			return a.Foot(b.Centre())
		}
		return b.Foot(a.Centre())
	case jointCross:
		if x, ok := outlineIntersect(a, b, l.Ref[k]); ok {
			return x
		}
	}
	return outlineHalfWay(a, b, l.Ref[k])
}

// outlineHalfWay is the middle between the points where a and b come nearest.
func outlineHalfWay(a, b outlineCurve, p [2]float64) [2]float64 {
	q, r := outlineNearest(a, b, p)
	return [2]float64{(q[0] + r[0]) / 2, (q[1] + r[1]) / 2}
}

// outlineVia is the middle of the arc on c from p to q in the sense of c.
func outlineVia(c outlineCurve, p, q [2]float64) [2]float64 {
	half := outlineSweep(c, p, q) / 2
	// Turn p about the centre by half, written so that a flat arc loses nothing:
	// the chord of angle h on a circle of curvature k is 2 sin(h/2)/k.
	t := c.Tangent(p)
	s, k := math.Sincos(half / 2)
	d := 2 * s / c.K
	f := c.Foot(p)
	return [2]float64{f[0] + d*(t[0]*k-t[1]*s), f[1] + d*(t[1]*k+t[0]*s)}
}

// outlineSweep is the angle from p to q along the run of c, of the sign of c.K
// and within a full turn.
func outlineSweep(c outlineCurve, p, q [2]float64) float64 {
	u, v := c.Tangent(p), c.Tangent(q)
	a := math.Atan2(u[0]*v[1]-u[1]*v[0], u[0]*v[0]+u[1]*v[1])
	if a*c.K < 0 {
		a += math.Copysign(2*math.Pi, c.K)
	}
	return a
}
