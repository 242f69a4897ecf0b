package fidelity

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

const arcmin = math.Pi / 180 / 60

// Standpoint is where a visitor's eyes are and what they look at.
type Standpoint struct {
	AzimuthDeg  float64 // of the eyes from the middle of the footprint, from +x to +y
	DistanceMM  float64 // level
	EyeMM, AtMM r3.Vec
	step        float64 // of the picture in the middle, radians
	pixels      int
}

// Standpoints are evenly round the work: the distance is that of the options, or
// what keeps the eyes clear of the circle round the footprint.
func Standpoints(model []Part, opt Options) ([]Standpoint, error) {
	if err := opt.check(); err != nil {
		return nil, err
	}
	box, err := bounds(model)
	if err != nil {
		return nil, err
	}
	height := box[1].Z - min(box[0].Z, 0)
	mid := r3.Vec{X: (box[0].X + box[1].X) / 2, Y: (box[0].Y + box[1].Y) / 2, Z: box[1].Z - height/2}
	round := math.Hypot(box[1].X-box[0].X, box[1].Y-box[0].Y) / 2
	d := max(opt.DistanceOf*height, round+opt.NearestMM)
	out := make([]Standpoint, opt.Directions)
	for i := range out {
		az := 2 * math.Pi * float64(i) / float64(opt.Directions)
		sin, cos := math.Sincos(az)
		out[i] = Standpoint{AzimuthDeg: az * 180 / math.Pi, DistanceMM: d, AtMM: mid, step: opt.StepArcmin * arcmin, pixels: opt.PixelsAtMax,
			EyeMM: r3.Vec{X: mid.X + d*cos, Y: mid.Y + d*sin, Z: opt.EyeMM}}
	}
	return out, nil
}

// bounds is the box round a model.
func bounds(model []Part) (box [2]r3.Vec, err error) {
	inf := math.Inf(1)
	box = [2]r3.Vec{{X: inf, Y: inf, Z: inf}, {X: -inf, Y: -inf, Z: -inf}}
	for _, p := range model {
		for _, q := range p.Points {
			if s := q.X + q.Y + q.Z; math.IsNaN(s) || math.IsInf(s, 0) {
				return box, fmt.Errorf("fidelity: part %d: a point is not finite", p.Number)
			}
			box[0] = r3.Vec{X: min(box[0].X, q.X), Y: min(box[0].Y, q.Y), Z: min(box[0].Z, q.Z)}
			box[1] = r3.Vec{X: max(box[1].X, q.X), Y: max(box[1].Y, q.Y), Z: max(box[1].Z, q.Z)}
		}
		for _, t := range p.Triangles {
			if n := uint32(len(p.Points)); t[0] >= n || t[1] >= n || t[2] >= n {
				return box, fmt.Errorf("fidelity: part %d: a triangle names a point that is not there", p.Number)
			}
		}
	}
	if box[0].X > box[1].X {
		return box, fmt.Errorf("fidelity: the model has no points")
	}
	return box, nil
}

// lens maps SITE to pixels: a picture plane square to the line of sight, so that
// straight edges stay straight.
type lens struct {
	eye                r3.Vec
	right, up, forward r3.Vec
	step               float64 // of the plane at distance 1, a pixel
	x0, y0             float64 // plane coordinates of the corner pixel's middle
	wide, high         int
}

// nearPlane is how near to the eyes a point may be, mm.
const nearPlane = 1

// look is the lens of a standpoint before it has a corner and a step.
func (s Standpoint) look() lens {
	l := lens{eye: s.EyeMM, step: s.step}
	l.forward = r3.Unit(r3.Sub(s.AtMM, s.EyeMM))
	l.right = r3.Unit(r3.Cross(l.forward, r3.Vec{Z: 1}))
	l.up = r3.Cross(l.right, l.forward)
	return l
}

// project takes all points of a model to the plane at distance 1; Z is the depth.
// They lie in memory that is used again.
func (s Standpoint) project(model []body, memory *[]r3.Vec) [][]r3.Vec {
	l := s.look()
	out := make([][]r3.Vec, len(model))
	n := 0
	for k := range model {
		n += len(model[k].Points)
	}
	all := slices.Grow((*memory)[:0], n)
	for k := range model {
		first := len(all)
		for _, q := range model[k].Points {
			all = append(all, l.plane(q))
		}
		out[k] = all[first:]
	}
	*memory = all
	return out
}

// lens shows all that was projected.
func (s Standpoint) lens(flat ...[][]r3.Vec) lens {
	l := s.look()
	low, high := [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
	for _, model := range flat {
		for _, points := range model {
			for _, q := range points {
				if q.Z <= nearPlane {
					continue
				}
				for k, x := range [2]float64{q.X, q.Y} {
					if x < low[k] {
						low[k] = x
					}
					if x > high[k] {
						high[k] = x
					}
				}
			}
		}
	}
	w, h := high[0]-low[0], high[1]-low[1]
	const margin = 3
	for {
		l.wide, l.high = int(w/l.step)+2*margin+1, int(h/l.step)+2*margin+1
		if l.wide*l.high <= s.pixels {
			break
		}
		l.step *= 1.25
	}
	l.x0, l.y0 = low[0]-margin*l.step, low[1]-margin*l.step
	return l
}

// plane projects to the picture plane at distance 1; Z is the depth.
func (l *lens) plane(p r3.Vec) r3.Vec {
	d := r3.Sub(p, l.eye)
	z := r3.Dot(d, l.forward)
	return r3.Vec{X: r3.Dot(d, l.right) / z, Y: r3.Dot(d, l.up) / z, Z: z}
}

// angle between the rays of two pixels, arc-minutes.
func (l lens) angle(x, y, u, v int) float64 {
	a := r3.Vec{X: l.x0 + float64(x)*l.step, Y: l.y0 + float64(y)*l.step, Z: 1}
	b := r3.Vec{X: l.x0 + float64(u)*l.step, Y: l.y0 + float64(v)*l.step, Z: 1}
	return math.Atan2(r3.Norm(r3.Cross(a, b)), r3.Dot(a, b)) / arcmin
}

func (l lens) stepArcmin() float64 { return l.step / arcmin }

// atDeg is the direction of a pixel from the line of sight, right and up.
func (l lens) atDeg(x, y int) [2]float64 {
	deg := func(t float64) float64 { return math.Atan(t) * 180 / math.Pi }
	return [2]float64{deg(l.x0 + float64(x)*l.step), deg(l.y0 + float64(y)*l.step)}
}
