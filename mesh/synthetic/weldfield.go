package synthetic

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// depth is a signed distance in a shape's own frame, mm, negative inside. Near
// the surface it is exact but beside edges, where it may be less.
type depth func(p r3.Vec) float64

// depthOf returns the signed distance of a shape whose outer edges are rounded
// to edgeMM where two faces meet across a thickness.
func depthOf(s Shape, edgeMM float64) (depth, error) {
	switch s := s.(type) {
	case Tube:
		return pipeDepth(s.OutsideDiameterMM/2, s.InsideDiameterMM/2, s.LengthMM, s.Ends, edgeMM), nil
	case Bar:
		return pipeDepth(s.OutsideDiameterMM/2, 0, s.LengthMM, s.Ends, edgeMM), nil
	case Disc:
		return flatDepth(s.OutsideDiameterMM, 0, s.ThicknessMM, s.Holes, edgeMM)
	case Ring:
		return flatDepth(s.OutsideDiameterMM, s.InsideDiameterMM, s.ThicknessMM, s.Holes, edgeMM)
	case RoundRing:
		return arcDepth(Arc{s.CentrelineDiameterMM, s.SectionDiameterMM, s.SectionBoreMM, 360}, edgeMM), nil
	case Arc:
		return arcDepth(s, edgeMM), nil
	case FlatArc:
		return flatArcDepth(s, edgeMM), nil
	case Coil:
		return coilDepth(s, edgeMM), nil
	case Bent:
		return bentDepth(s, edgeMM), nil
	case Sphere:
		if s.HeightMM+s.WallMM+s.BoreMM != 0 {
			return nil, errors.New("weld: only whole balls can be welded; leave height, wall and bore out")
		}
		return func(p r3.Vec) float64 { return r3.Norm(p) - s.DiameterMM/2 }, nil
	case Cone:
		return coneDepth(s, edgeMM), nil
	case Plate:
		outer, err := loopOf("plate", s.Outline)
		if err != nil {
			return nil, err
		}
		loops, err := region("plate", outer, s.Holes)
		if err != nil {
			return nil, err
		}
		return slabDepth(loops, s.ThicknessMM, [2]End{}, edgeMM), nil
	case Profile:
		loops, _, err := s.loops()
		if err != nil {
			return nil, err
		}
		return slabDepth(loops, s.LengthMM, s.Ends, edgeMM), nil
	case ToothedWheel:
		return wheelDepth(s, edgeMM)
	case RolledPlate:
		return rolledDepth(s, edgeMM)
	}
	return nil, fmt.Errorf("weld: a %T cannot be welded; take another shape", s)
}

// rounder is the larger of two distances, the edge between them rounded.
func rounder(a, b, edgeMM float64) float64 {
	if a < -edgeMM || b < -edgeMM {
		return max(a, b)
	}
	return math.Hypot(a+edgeMM, b+edgeMM) - edgeMM
}

// ends is the signed distance beyond the end planes of a piece along z.
func ends(lengthMM float64, cut [2]End) depth {
	var plane [2]r3.Vec
	for i, e := range cut {
		k := math.Tan(rad(e.MitreDeg))
		plane[i] = r3.Unit(r3.Vec{X: -k * cosine(rad(e.AzimuthDeg)), Y: -k * sine(rad(e.AzimuthDeg)), Z: 1})
	}
	return func(p r3.Vec) float64 {
		low := -r3.Dot(plane[0], r3.Vec{X: p.X, Y: p.Y, Z: p.Z + lengthMM/2})
		high := r3.Dot(plane[1], r3.Vec{X: p.X, Y: p.Y, Z: p.Z - lengthMM/2})
		return max(low, high)
	}
}

func pipeDepth(outer, inner, lengthMM float64, cut [2]End, edgeMM float64) depth {
	end := ends(lengthMM, cut)
	return func(p r3.Vec) float64 {
		r := math.Hypot(p.X, p.Y)
		a := r - outer
		if inner > 0 {
			a = max(a, inner-r)
		}
		return rounder(a, end(p), edgeMM)
	}
}

func slabDepth(loops []loop, heightMM float64, cut [2]End, edgeMM float64) depth {
	in, end := newArea(loops), ends(heightMM, cut)
	return func(p r3.Vec) float64 { return rounder(in.distance(p.X, p.Y), end(p), edgeMM) }
}

func flatDepth(outerMM, boreMM, thickMM float64, holes []Hole, edgeMM float64) (depth, error) {
	if len(holes) == 0 {
		return pipeDepth(outerMM/2, boreMM/2, thickMM, [2]End{}, edgeMM), nil
	}
	loops, err := pipe("disc", "outside diameter", outerMM, "inside diameter", boreMM)
	if err != nil {
		return nil, err
	}
	more, err := region("disc", loops[0], holes)
	if err != nil {
		return nil, err
	}
	return slabDepth(append(loops, more[1:]...), thickMM, [2]End{}, edgeMM), nil
}

func wheelDepth(w ToothedWheel, edgeMM float64) (depth, error) {
	rim, err := w.rim()
	if err != nil {
		return nil, err
	}
	loops, err := region("wheel", rim, w.Holes)
	if err != nil {
		return nil, err
	}
	if w.BoreDiameterMM != 0 {
		loops = append(loops, circle(0, 0, w.BoreDiameterMM/2).wound(true))
	}
	return slabDepth(loops, w.ThicknessMM, [2]End{}, edgeMM), nil
}

// wedge is how far a point lies beyond the nearer end plane of a sweep about z
// from x.
func wedge(p r3.Vec, sweepRad float64) float64 {
	if sweepRad >= 2*math.Pi-1e-9 {
		return math.Inf(-1)
	}
	turn := math.Atan2(p.Y, p.X) - sweepRad/2
	turn = math.Abs(turn-2*math.Pi*math.Round(turn/(2*math.Pi))) - sweepRad/2
	r := math.Hypot(p.X, p.Y)
	switch {
	case turn > math.Pi/2:
		return r
	case turn < -math.Pi/2:
		return -r
	}
	return r * math.Sin(turn)
}

func arcDepth(a Arc, edgeMM float64) depth {
	sweep := rad(a.SweepDeg)
	return func(p r3.Vec) float64 {
		q := math.Hypot(math.Hypot(p.X, p.Y)-a.CentrelineDiameterMM/2, p.Z)
		d := q - a.SectionDiameterMM/2
		if a.SectionBoreMM > 0 {
			d = max(d, a.SectionBoreMM/2-q)
		}
		return rounder(d, wedge(p, sweep), edgeMM)
	}
}

func flatArcDepth(a FlatArc, edgeMM float64) depth {
	sweep := rad(a.SweepDeg)
	return func(p r3.Vec) float64 {
		r := math.Hypot(p.X, p.Y)
		rim := max(r-a.OutsideDiameterMM/2, a.InsideDiameterMM/2-r, wedge(p, sweep))
		return rounder(rim, math.Abs(p.Z)-a.ThicknessMM/2, edgeMM)
	}
}

func coneDepth(c Cone, edgeMM float64) depth {
	slope := (c.LargeDiameterMM - c.SmallDiameterMM) / 2 / c.HeightMM
	lean := 1 / math.Hypot(1, slope)
	return func(p r3.Vec) float64 {
		a := (math.Hypot(p.X, p.Y) - c.LargeDiameterMM/2 + slope*(p.Z+c.HeightMM/2)) * lean
		if c.WallMM > 0 {
			a = max(a, -a-c.WallMM)
		}
		return rounder(a, math.Abs(p.Z)-c.HeightMM/2, edgeMM)
	}
}

func rolledDepth(s RolledPlate, edgeMM float64) (depth, error) {
	l, w := s.developed(), s.WidthMM/2
	outer, err := loopOf("rolled plate", Polygon([2]float64{0, -w}, [2]float64{l, -w}, [2]float64{l, w}, [2]float64{0, w}))
	if err != nil {
		return nil, err
	}
	loops, err := region("rolled plate", outer, s.Holes)
	if err != nil {
		return nil, err
	}
	in, mid := newArea(loops), (s.InsideDiameterMM+s.ThicknessMM)/2
	return func(p r3.Vec) float64 {
		turn := math.Atan2(p.Y, p.X) - rad(s.SweepDeg)/2
		turn -= 2 * math.Pi * math.Round(turn/(2*math.Pi))
		side := in.distance((turn+rad(s.SweepDeg)/2)*mid, p.Z)
		r := math.Hypot(p.X, p.Y)
		if r < mid { // arcs nearer the axis are shorter
			side *= max(r/mid, 0.2)
		}
		return rounder(side, math.Abs(r-mid)-s.ThicknessMM/2, edgeMM)
	}, nil
}
