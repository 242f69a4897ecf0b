package synthetic

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Sphere is a ball about the origin. HeightMM over 0 cuts it flat at that height
// over its lowest point; then WallMM over 0 makes it a bowl. BoreMM over 0 is a
// hole through it along z, of a solid one.
type Sphere struct{ DiameterMM, HeightMM, WallMM, BoreMM float64 }

// Cone is a frustum about z, large end at -HeightMM/2, pointed where
// SmallDiameterMM is 0; WallMM, square to the surface, is 0 for a solid one.
type Cone struct {
	LargeDiameterMM, SmallDiameterMM, HeightMM, WallMM float64
}

func (s Sphere) plan(edgeMM float64) (plan, error) {
	if err := positive("sphere", "diameter", s.DiameterMM); err != nil {
		return plan{}, err
	}
	if s.HeightMM != 0 || s.WallMM != 0 || s.BoreMM != 0 {
		return s.cut(edgeMM)
	}
	// A face of the cube covers a quarter turn.
	n := steps(s.DiameterMM*math.Pi/4, edgeMM, 4)
	if n > 2000 {
		return plan{}, tooFine(edgeMM)
	}
	return plan{12 * n * n, func() Shell { return cubeSphere(s.DiameterMM/2, n) }}, nil
}

// cut is the ball turned from its profile: round it, across the flat, and down
// the bore or round the inside.
func (s Sphere) cut(edgeMM float64) (plan, error) {
	r, top := s.DiameterMM/2, s.DiameterMM/2
	if s.HeightMM != 0 {
		if !(s.HeightMM >= 0.01*s.DiameterMM && s.HeightMM <= 0.99*s.DiameterMM) {
			return plan{}, fmt.Errorf("sphere: cut at a height of %g mm; give 1 to 99 %% of its diameter, or 0 for a whole one", s.HeightMM)
		}
		top = s.HeightMM - r
	}
	rim := [2]float64{math.Sqrt(r*r - top*top), top}
	low := [2]float64{0, -r}
	l := lathe{edgeMM: edgeMM}
	add := func(run [][2]float64) { l.runs = append(l.runs, run) }
	switch in := r - s.WallMM; {
	case s.BoreMM != 0:
		b := s.BoreMM / 2
		if !(b >= 1e-3 && b < 0.95*r && s.WallMM == 0) || s.HeightMM != 0 && !(b < 0.95*rim[0]) {
			return plan{}, fmt.Errorf("sphere: a bore of %g mm leaves no wall, or goes with a bowl; change one of them", s.BoreMM)
		}
		low = [2]float64{b, -math.Sqrt(r*r - b*b)}
		head := [2]float64{b, math.Sqrt(r*r - b*b)}
		if s.HeightMM == 0 {
			add(arcRun(low, head, edgeMM))
		} else {
			head[1] = top
			add(arcRun(low, rim, edgeMM))
			add(straightRun(rim, head, edgeMM))
		}
		add(straightRun(head, low, edgeMM))
	case s.WallMM != 0:
		if !(s.WallMM >= 1e-3 && in > math.Abs(top)) {
			return plan{}, fmt.Errorf("sphere: a wall of %g mm leaves no bowl to see into; make it thinner, or cut it nearer the middle", s.WallMM)
		}
		lip := [2]float64{math.Sqrt(in*in - top*top), top}
		add(arcRun(low, rim, edgeMM))
		add(straightRun(rim, lip, edgeMM))
		add(arcRun(lip, [2]float64{0, -in}, edgeMM))
	default:
		add(arcRun(low, rim, edgeMM))
		add(straightRun(rim, [2]float64{0, top}, edgeMM))
	}
	return l.plan()
}

// cubeSphere is a cube of n × n squares a side blown up to a ball. Points of
// the cube's lattice are spaced by equal angles.
func cubeSphere(radius float64, n int) Shell {
	var out Shell
	seen := make(map[[3]int]uint32, 6*n*n+2)
	point := func(p [3]int) uint32 {
		if i, ok := seen[p]; ok {
			return i
		}
		var v [3]float64
		for k := range 3 {
			v[k] = math.Tan((2*float64(p[k])/float64(n) - 1) * math.Pi / 4)
		}
		i := uint32(len(out.Points))
		out.Points = append(out.Points, r3.Scale(radius, r3.Unit(vec(v))))
		seen[p] = i
		return i
	}
	for axis := range 3 {
		for _, level := range []int{0, n} {
			for i := range n {
				for j := range n {
					at := func(di, dj int) uint32 {
						var p [3]int
						p[axis], p[(axis+1)%3], p[(axis+2)%3] = level, i+di, j+dj
						return point(p)
					}
					a, b, c, d := at(0, 0), at(1, 0), at(1, 1), at(0, 1)
					if level == 0 {
						b, d = d, b
					}
					out.quad(0, a, b, c, d, (i+j)%2 == 0)
				}
			}
		}
	}
	return out.outward()
}

func (c Cone) plan(edgeMM float64) (plan, error) {
	for _, d := range []Dim{{"large diameter", c.LargeDiameterMM}, {"small diameter", c.SmallDiameterMM}, {"height", c.HeightMM}} {
		if d.Key == "small diameter" && d.Value == 0 {
			continue
		}
		if err := positive("cone", d.Key, d.Value); err != nil {
			return plan{}, err
		}
	}
	if err := under("cone", "small diameter", c.SmallDiameterMM, "large diameter", c.LargeDiameterMM); err != nil {
		return plan{}, err
	}
	if c.SmallDiameterMM == 0 {
		return c.pointed(edgeMM)
	}
	r, fall := c.LargeDiameterMM/2, (c.LargeDiameterMM-c.SmallDiameterMM)/2
	slant := math.Hypot(c.HeightMM, fall)
	loops := []loop{circle(0, 0, r)}
	if c.WallMM != 0 {
		gap := c.WallMM * slant / c.HeightMM // the wall measured along a radius
		if !(c.WallMM >= 1e-3 && gap < c.SmallDiameterMM/2) {
			return plan{}, fmt.Errorf("cone: a wall of %g mm leaves no bore at the small end; make it thinner, or 0 for solid", c.WallMM)
		}
		loops = append(loops, circle(0, 0, r-gap).wound(true))
	}
	n := steps(slant, edgeMM, 1)
	s := solid{loops: loops, layers: n, place: func(p [2]float64, j int) r3.Vec {
		t := float64(j) / float64(n)
		k := 1 - t*fall/r
		if c.WallMM != 0 { // both walls move in alike
			k = 1 - t*fall/math.Hypot(p[0], p[1])
		}
		return r3.Vec{X: k * p[0], Y: k * p[1], Z: c.HeightMM * (t - 0.5)}
	}}
	return s.plan(edgeMM)
}

// pointed is a cone turned from its profile.
func (c Cone) pointed(edgeMM float64) (plan, error) {
	r, h := c.LargeDiameterMM/2, c.HeightMM/2
	foot, tip, in := [2]float64{r, -h}, [2]float64{0, h}, [2]float64{0, -h}
	l := lathe{edgeMM: edgeMM}
	if c.WallMM != 0 {
		gap := c.WallMM * math.Hypot(c.HeightMM, r) / c.HeightMM // the wall measured along a radius
		if !(c.WallMM >= 1e-3 && gap < r) {
			return plan{}, fmt.Errorf("cone: a wall of %g mm leaves no inside; make it thinner, or 0 for solid", c.WallMM)
		}
		in[0] = r - gap
		l.runs = append(l.runs, straightRun([2]float64{0, h - gap*c.HeightMM/r}, in, edgeMM))
	}
	l.runs = append(l.runs, straightRun(in, foot, edgeMM), straightRun(foot, tip, edgeMM))
	return l.plan()
}

func (s Sphere) truth() Truth {
	t := straight("sphere", Dim{"diameter_mm", s.DiameterMM})
	if s.WallMM > 0 {
		t.Dimensions = append(t.Dimensions, Dim{"wall_mm", s.WallMM})
	}
	return t
}

func (c Cone) truth() Truth {
	t := straight("cone",
		Dim{"large_diameter_mm", c.LargeDiameterMM},
		Dim{"small_diameter_mm", c.SmallDiameterMM},
		Dim{"height_mm", c.HeightMM})
	if c.WallMM > 0 {
		t.Dimensions = append(t.Dimensions, Dim{"wall_mm", c.WallMM})
	}
	return t
}

func vec(p [3]float64) r3.Vec { return r3.Vec{X: p[0], Y: p[1], Z: p[2]} }
