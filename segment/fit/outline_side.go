package fit

import "math"

// outlineSideCos is the cosine of 30 degrees: how far the normal of a side point
// may lean from that of the step it is counted to.
const outlineSideCos = 0.8660254037844386

// assignSide counts each side point to the step whose stretch it stands beside,
// nearest first, where its normal agrees. Points beside corners are left out.
func (f *outlineFitter) assignSide(side []SidePoint, reach float64) {
	f.BySeg = make([][]outlinePoint, len(f.Segs))
	if len(side) == 0 {
		return
	}
	ma, mb := make([]*outlineMeeting, len(f.Segs)), make([]*outlineMeeting, len(f.Segs))
	for k := range f.Segs {
		ma[k], mb[k] = f.meetings(k)
	}
	v := f.L.Sigma * f.L.Sigma
	for _, s := range side {
		if !outlineFinite(s.P[0]) || !outlineFinite(s.P[1]) || !(math.Abs(s.N[0])+math.Abs(s.N[1]) <= 10) {
			continue
		}
		p := [2]float64{s.P[0] - f.L.Shift[0], s.P[1] - f.L.Shift[1]}
		best, at := reach, -1
		for k, seg := range f.Segs {
			t := seg.C.Tangent(p)
			if t[1]*s.N[0]-t[0]*s.N[1] < outlineSideCos*math.Hypot(s.N[0], s.N[1]) {
				continue
			}
			if d := math.Abs(seg.C.Dist(p)); d < best && f.beside(k, p, ma[k], mb[k]) {
				best, at = d, k
			}
		}
		if at >= 0 {
			f.BySeg[at] = append(f.BySeg[at], outlinePoint{P: p, W: f.L.Share, Var: v})
		}
	}
}

// beside tells whether p stands beside step k, clear of its corners.
func (f *outlineFitter) beside(k int, p [2]float64, ma, mb *outlineMeeting) bool {
	s := f.Segs[k]
	if ma == nil {
		return true
	}
	if s.Arc {
		// On an arc: by angle from its middle.
		c := s.C.Centre()
		mid := f.L.at((s.Lo + s.Hi) / 2)
		half := func(q [2]float64) float64 {
			x0, y0, x1, y1 := mid[0]-c[0], mid[1]-c[1], q[0]-c[0], q[1]-c[1]
			return math.Abs(math.Atan2(x0*y1-y0*x1, x0*x1+y0*y1))
		}
		if f.L.path(s.Lo, s.Hi)*math.Abs(s.C.K) > 1.9*math.Pi {
			return true
		}
		return half(p) <= math.Min(half(ma.X)-ma.Reach*math.Abs(s.C.K), half(mb.X)-mb.Reach*math.Abs(s.C.K))
	}
	u := s.C.u()
	t := func(q [2]float64) float64 { return (q[0]-s.C.Q[0])*u[0] + (q[1]-s.C.Q[1])*u[1] }
	return t(p) >= t(ma.X)+ma.Reach && t(p) <= t(mb.X)-mb.Reach
}

// sideOf returns the side points counted to step k.
func (f *outlineFitter) sideOf(k int) []outlinePoint {
	if k >= len(f.BySeg) {
		return nil
	}
	return f.BySeg[k]
}
