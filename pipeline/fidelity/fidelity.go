// Package fidelity compares two models of one work as visitors see them: how far
// outlines move and openings widen or close, in minutes of arc.
//
// Models are lists of triangle meshes in SITE (mm, z up, ground at z = 0).
package fidelity

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"gonum.org/v1/gonum/spatial/r3"
)

// NormalVisionArcmin is what an eye of normal acuity (20/20, 6/6) resolves: a
// detail of one minute of arc (ISO 8596 sets its test figures by it).
const NormalVisionArcmin = 1

// Part is one piece of a model. Number tells pieces apart: the same in both models.
// Triangles run counter-clockwise seen from outside: where they enclose the part,
// those on its far side need not be drawn.
type Part struct {
	Number    int
	Points    []r3.Vec
	Triangles [][3]uint32
}

// Options say where visitors stand and how finely is looked.
type Options struct {
	Directions  int     // evenly round the work, the first at +x, counter-clockwise
	EyeMM       float64 // height of eyes over the ground
	DistanceOf  float64 // from the middle of the footprint, in heights of the work
	StepArcmin  float64 // a pixel: outlines are told to about half of it
	NearestMM   float64 // between eyes and the circle round the work at least
	PixelsAtMax int     // of one picture; the step grows where it would have more
}

// DefaultOptions are eight directions, eyes at 1.6 m, twice the height away.
func DefaultOptions() Options {
	return Options{Directions: 8, EyeMM: 1600, DistanceOf: 2, StepArcmin: 0.5, NearestMM: 1500, PixelsAtMax: 3_000_000}
}

func (o Options) check() error {
	switch {
	case o.Directions < 1 || o.Directions > 360:
		return fmt.Errorf("fidelity: %d directions; give 1 to 360", o.Directions)
	case !(o.EyeMM > 0 && o.EyeMM < 1e5), !(o.DistanceOf > 0 && o.DistanceOf < 1000), !(o.StepArcmin > 0.01 && o.StepArcmin < 60), !(o.NearestMM >= 0):
		return fmt.Errorf("fidelity: eyes at %g mm, %g heights away, steps of %g arc-minutes, %g mm clear; give lengths over 0", o.EyeMM, o.DistanceOf, o.StepArcmin, o.NearestMM)
	case o.PixelsAtMax < 10000:
		return fmt.Errorf("fidelity: pictures of %d pixels; give 10000 at least", o.PixelsAtMax)
	}
	return nil
}

// View is what changes as seen from one standpoint.
//
// OutlineArcmin is the largest distance between the outlines of both models (the
// Hausdorff distance of what they cover), at the part PartNumber. MovedShare is
// the share of the outline that moves by more than normal vision tells.
type View struct {
	AzimuthDeg    float64
	DistanceMM    float64 // from the middle of the footprint
	StepArcmin    float64
	OutlineArcmin float64
	OutlineMM     float64 // the same at the distance of the middle
	PartNumber    int     // -1 where nothing moves
	MovedShare    float64
	Parts         []PartMove // parts whose outline moves, by number
	Openings      []Opening  // that both or one of the models show, largest change first
	AtDeg         [2]float64 // where the outline moves most: right, up from the middle of the picture
}

// PartMove is the largest move of a part's visible outline.
type PartMove struct {
	Number        int
	OutlineArcmin float64
}

// Opening is a place within the work where one sees through it: the diameter of
// the largest circle in it, 0 where the model does not show it.
type Opening struct {
	BeforeArcmin, AfterArcmin float64
	AtDeg                     [2]float64
}

// ChangeArcmin is how far it opens, negative where it closes.
func (o Opening) ChangeArcmin() float64 { return o.AfterArcmin - o.BeforeArcmin }

// Compare looks at both models from every standpoint. The standpoints are those of
// the first. An empty model is an error, as are numbers that are not finite.
func Compare(ctx context.Context, before, after []Part, opt Options) ([]View, error) {
	stands, err := Standpoints(before, opt)
	if err != nil {
		return nil, err
	}
	if _, err := bounds(after); err != nil {
		return nil, err
	}
	first, second := bodiesOf(before), bodiesOf(after)
	views := make([]View, len(stands))
	var next atomic.Int32
	var all sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(stands)) {
		all.Go(func() {
			var p pad
			for i := next.Add(1) - 1; int(i) < len(stands) && ctx.Err() == nil; i = next.Add(1) - 1 {
				views[i], _ = stands[i].compare(first, second, &p)
			}
		})
	}
	all.Wait()
	return views, ctx.Err()
}

// Worst is the view whose outline or opening changes most; -1 where there is none.
func Worst(views []View) int {
	best, most := -1, -1.0
	for i, v := range views {
		x := v.OutlineArcmin
		for _, o := range v.Openings {
			x = max(x, math.Abs(o.ChangeArcmin()))
		}
		if x > most {
			best, most = i, x
		}
	}
	return best
}

// Plate is one view as a picture: rows from below, a class a pixel.
type Plate struct {
	Wide, High int
	Class      []uint8 // 0 neither model, 1 both, 2 only the first, 3 only the second
	At         [2]int  // where the outline moves most
	View       View
}

// Picture draws the view of one standpoint, by its place among the options'
// directions.
func Picture(before, after []Part, opt Options, direction int) (Plate, error) {
	stands, err := Standpoints(before, opt)
	if err != nil {
		return Plate{}, err
	}
	if direction < 0 || direction >= len(stands) {
		return Plate{}, fmt.Errorf("fidelity: direction %d of %d", direction, len(stands))
	}
	if _, err := bounds(after); err != nil {
		return Plate{}, err
	}
	v, pair := stands[direction].compare(bodiesOf(before), bodiesOf(after), &pad{})
	l := pair[0].lens
	p := Plate{Wide: l.wide, High: l.high, Class: make([]uint8, l.wide*l.high), View: v}
	class := [4]uint8{0, 2, 3, 1}
	for y := range l.high {
		for x := range l.wide {
			p.Class[y*l.wide+x] = class[pair[0].bit(x, y)|pair[1].bit(x, y)<<1]
		}
	}
	for k, deg := range p.View.AtDeg {
		p.At[k] = int(math.Round((math.Tan(deg*math.Pi/180) - [2]float64{l.x0, l.y0}[k]) / l.step))
	}
	return p, nil
}

// pad is memory that views are drawn on, one after the other.
type pad struct {
	points [2][]r3.Vec
	contours
	columns
	bare []run
}

// compare is one view, with the pictures of both models, whose points hold until the
// next is drawn on the pad.
func (s Standpoint) compare(before, after []body, on *pad) (View, [2]picture) {
	a, b := s.project(before, &on.points[0]), s.project(after, &on.points[1])
	l := s.lens(a, b)
	p := [2]picture{draw(l, before, a, &on.contours), draw(l, after, b, &on.contours)}
	v := View{AzimuthDeg: s.AzimuthDeg, DistanceMM: s.DistanceMM, StepArcmin: l.stepArcmin(), PartNumber: -1}
	v.outline(p)
	v.OutlineMM = s.DistanceMM * math.Tan(v.OutlineArcmin*arcmin)
	v.Openings = openings(p[0], p[1], on)
	return v, p
}

// outline measures how far what one picture covers lies outside the other.
func (v *View) outline(p [2]picture) {
	most := map[int]float64{}
	moved, rim := 0, 0
	reach := NormalVisionArcmin / p[0].lens.stepArcmin()
	rims := [2]mask{p[0].rim(), p[1].rim()}
	for i := range p {
		of, other := p[i], p[1-i]
		rim += rims[i].count()
		moved += rims[i].beyond(rims[1-i], reach)
		for _, s := range of.fronts(other.mask) {
			d, n := other.off(s.x, s.y), of.of[s.part].Number
			most[n] = max(most[n], d)
			if d > v.OutlineArcmin {
				v.OutlineArcmin, v.PartNumber, v.AtDeg = d, n, of.lens.atDeg(s.x, s.y)
			}
		}
	}
	if rim > 0 {
		v.MovedShare = float64(moved) / float64(rim)
	}
	for n, d := range most {
		v.Parts = append(v.Parts, PartMove{n, d})
	}
	slices.SortFunc(v.Parts, func(p, q PartMove) int { return cmp.Compare(p.Number, q.Number) })
}
