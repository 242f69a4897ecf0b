package synthetic

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Sphere is a ball about the origin.
type Sphere struct{ DiameterMM float64 }

// Cone is a frustum about z, large end at -HeightMM/2; WallMM, square to the
// surface, is 0 for a solid one.
type Cone struct {
	LargeDiameterMM, SmallDiameterMM, HeightMM, WallMM float64
}

func (s Sphere) plan(edgeMM float64) (plan, error) {
	if err := positive("sphere", "diameter", s.DiameterMM); err != nil {
		return plan{}, err
	}
	// A face of the cube covers a quarter turn.
	n := steps(s.DiameterMM*math.Pi/4, edgeMM, 4)
	if n > 2000 {
		return plan{}, tooFine(edgeMM)
	}
	return plan{12 * n * n, func() Shell { return cubeSphere(s.DiameterMM/2, n) }}, nil
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
		if err := positive("cone", d.Key, d.Value); err != nil {
			return plan{}, err
		}
	}
	if err := under("cone", "small diameter", c.SmallDiameterMM, "large diameter", c.LargeDiameterMM); err != nil {
		return plan{}, err
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

func (s Sphere) truth() Truth { return straight("sphere", Dim{"diameter_mm", s.DiameterMM}) }

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
