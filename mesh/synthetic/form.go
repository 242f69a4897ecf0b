package synthetic

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Form is how a piece of real metal departs from its ideal, in the shape's own
// frame. The zero Form departs in nothing.
type Form struct {
	OvalityMM float64 // largest less smallest diameter about z, widest along x; the mean radius stays
	BowMM     float64 // a piece along z: its middle this far towards x, its end centres in place
	WarpMM    float64 // a plate: its middle this far along z, its ends along x in place
	Dents     []Dent
}

// Dent is a blow at AtMM in the direction Inward: DepthMM deep, fading as a
// Gaussian of standard deviation SpreadMM with distance in space.
type Dent struct {
	AtMM, Inward      r3.Vec
	DepthMM, SpreadMM float64
}

func (f Form) check() error {
	for _, v := range []Dim{{"ovality", f.OvalityMM}, {"bow", f.BowMM}, {"warp", f.WarpMM}} {
		if !(math.Abs(v.Value) <= 1e4) {
			return fmt.Errorf("form: %s is %g mm; give at most 10000 mm", v.Key, v.Value)
		}
	}
	for _, d := range f.Dents {
		if !finite(d.AtMM) || !(finite(d.Inward) && r3.Norm(d.Inward) > 0 && math.Abs(d.DepthMM) <= 1e4) {
			return fmt.Errorf("form: a dent at %v towards %v, %g mm deep; give finite places, a direction and at most 10000 mm", d.AtMM, d.Inward, d.DepthMM)
		}
		if err := positive("form", "dent spread", d.SpreadMM); err != nil {
			return err
		}
	}
	return nil
}

// apply moves points by ovality, then bow and warp, then dents.
func (f Form) apply(pts []r3.Vec) {
	if f.OvalityMM != 0 {
		oval(pts, f.OvalityMM)
	}
	if f.BowMM != 0 {
		mid, half := span(pts, func(p r3.Vec) float64 { return p.Z })
		for i, p := range pts {
			pts[i].X += f.BowMM * parabola(p.Z-mid, half)
		}
	}
	if f.WarpMM != 0 {
		mid, half := span(pts, func(p r3.Vec) float64 { return p.X })
		for i, p := range pts {
			pts[i].Z += f.WarpMM * parabola(p.X-mid, half)
		}
	}
	for _, d := range f.Dents {
		in := r3.Scale(d.DepthMM/r3.Norm(d.Inward), d.Inward)
		for i, p := range pts {
			near := math.Exp(-r3.Norm2(r3.Sub(p, d.AtMM)) / (2 * d.SpreadMM * d.SpreadMM))
			pts[i] = r3.Add(p, r3.Scale(near, in))
		}
	}
}

// oval adds a cos 2θ to each radius, a a quarter of the ovality on the outer
// surface and less in proportion inside it.
func oval(pts []r3.Vec, ovalityMM float64) {
	var outer float64
	for _, p := range pts {
		outer = max(outer, math.Hypot(p.X, p.Y))
	}
	for i, p := range pts {
		if r2 := p.X*p.X + p.Y*p.Y; r2 > 0 {
			k := 1 + ovalityMM/(4*outer)*(p.X*p.X-p.Y*p.Y)/r2
			pts[i].X, pts[i].Y = k*p.X, k*p.Y
		}
	}
}

func parabola(x, half float64) float64 {
	if half == 0 {
		return 0
	}
	return 1 - (x/half)*(x/half)
}

// span returns the middle and half the extent of points in one coordinate.
func span(pts []r3.Vec, of func(r3.Vec) float64) (mid, half float64) {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, p := range pts {
		lo, hi = min(lo, of(p)), max(hi, of(p))
	}
	return (lo + hi) / 2, (hi - lo) / 2
}
