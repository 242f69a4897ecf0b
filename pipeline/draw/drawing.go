// Package draw holds drawings in mm at full size and writes them as DXF, as SVG
// and as PDF, both 1:1.
//
// A drawing is a list of lines, true arcs, contours and text, each on a layer
// named for what the shop does with it. Coordinates are x to the right, y up;
// what leaves z = 0 (a wireframe) can be written as DXF only.
package draw

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Drawing is one sheet. The title heads the title strip of a PDF, the notes stand
// under it, one a line.
type Drawing struct {
	Title string
	Notes []string
	Items []Item
}

// Item is a shape on a layer.
type Item struct {
	Layer Layer
	Shape Shape
}

// Layer says what is done along a shape.
type Layer string

// Layers, in the order in which they are listed and drawn.
const (
	Sheet  Layer = "SHEET"  // edge of the sheet that pieces are cut from
	Edge   Layer = "EDGE"   // edge of the piece, to look at
	Centre Layer = "CENTRE" // centreline, axis
	Bend   Layer = "BEND"   // bend line, start of a roll
	Size   Layer = "SIZE"   // dimensions
	Text   Layer = "TEXT"
	Mark   Layer = "MARK"  // scribed: direction of rolling, stations
	Punch  Layer = "PUNCH" // centre-punched
	Cut    Layer = "CUT"   // cut through

	// Of drawings that are read, not cut: lines of ISO 128-2.
	Frame   Layer = "FRAME"   // of the sheet, thick
	Visible Layer = "VISIBLE" // edges and outlines that are seen, thick
	Outline Layer = "OUTLINE" // those of what is drawn small, of line group 0.35
	Hidden  Layer = "HIDDEN"  // those that are not, dashed
	Axis    Layer = "AXIS"    // centre lines, chain
	Thin    Layer = "THIN"    // dimension, extension and leader lines, tables
)

// Shape is a Line, Arc, Contour, Wire, Label or Dimension.
type Shape interface {
	// check refuses coordinates that are no numbers and sizes that draw nothing.
	check() error
	// flat are its strokes in the plane; false where it leaves z = 0.
	flat() ([]stroke, bool)
}

// Line joins two points.
type Line struct{ A, B r3.Vec }

// Arc runs counter-clockwise about Normal from Centre + RadiusMM X through
// SweepRad; 2π is a circle. X and Normal are unit vectors square to each other.
type Arc struct {
	Centre, X, Normal r3.Vec
	RadiusMM          float64
	SweepRad          float64
}

// Contour is one line of straights and arcs in the plane; Filled ones are closed
// (arrow heads). DXF shows their edge only.
type Contour struct {
	Vertices []Vertex
	Closed   bool
	Filled   bool
}

// Vertex is a corner of a contour; SweepRad is the turn of the arc from it to the
// next, counter-clockwise positive, 0 for a straight.
type Vertex struct {
	At       [2]float64
	SweepRad float64
}

// Wire is a polyline in space.
type Wire struct {
	Points []r3.Vec
	Closed bool
}

// Label is one line of text; At is the left end of its foot, or the middle where
// Middle. It lies level, at LevelMM over z = 0.
type Label struct {
	At       [2]float64
	LevelMM  float64
	HeightMM float64 // of capitals
	TurnRad  float64
	Middle   bool
	Text     string
}

// Add puts shapes on a layer.
func (d *Drawing) Add(l Layer, shapes ...Shape) {
	for _, s := range shapes {
		d.Items = append(d.Items, Item{l, s})
	}
}

// Segment is the line between two points of the plane.
func Segment(ax, ay, bx, by float64) Line { return Line{r3.Vec{X: ax, Y: ay}, r3.Vec{X: bx, Y: by}} }

// Circle is a full circle in the plane.
func Circle(x, y, radiusMM float64) Arc { return FlatArc(x, y, radiusMM, 0, 2*math.Pi) }

// FlatArc runs in the plane from the angle fromRad, clockwise where sweepRad is
// negative.
func FlatArc(x, y, radiusMM, fromRad, sweepRad float64) Arc {
	if sweepRad < 0 {
		fromRad, sweepRad = fromRad+sweepRad, -sweepRad
	}
	sin, cos := math.Sincos(fromRad)
	return Arc{r3.Vec{X: x, Y: y}, r3.Vec{X: cos, Y: sin}, r3.Vec{Z: 1}, radiusMM, sweepRad}
}

// Cross is a mark of two strokes, sizeMM long, as for a centre punch.
func Cross(x, y, sizeMM float64) []Shape {
	h := sizeMM / 2
	return []Shape{Segment(x-h, y, x+h, y), Segment(x, y-h, x, y+h)}
}

// Polyline is a contour of straights.
func Polyline(closed bool, points ...[2]float64) Contour {
	c := Contour{Closed: closed}
	for _, p := range points {
		c.Vertices = append(c.Vertices, Vertex{At: p})
	}
	return c
}

// Check refuses a drawing that cannot be written as it stands.
func (d Drawing) Check() error {
	if len(d.Items) == 0 {
		return errors.New("the drawing is empty")
	}
	for i, it := range d.Items {
		if _, known := styles[it.Layer]; !known {
			return fmt.Errorf("item %d: there is no layer %q", i+1, it.Layer)
		}
		if it.Shape == nil {
			return fmt.Errorf("item %d on %s draws nothing", i+1, it.Layer)
		}
		if err := it.Shape.check(); err != nil {
			return fmt.Errorf("item %d on %s: %w", i+1, it.Layer, err)
		}
	}
	return nil
}

var (
	errNumber = errors.New("a coordinate is no number, or over 1000 km")
	errSize   = errors.New("a size is not over zero")
)

func sound(list ...float64) error {
	for _, x := range list {
		if !(math.Abs(x) <= 1e9) {
			return errNumber
		}
	}
	return nil
}

func soundPoints(list ...r3.Vec) error {
	for _, p := range list {
		if err := sound(p.X, p.Y, p.Z); err != nil {
			return err
		}
	}
	return nil
}

func (l Line) check() error { return soundPoints(l.A, l.B) }

func (a Arc) check() error {
	if err := errors.Join(soundPoints(a.Centre, a.X, a.Normal), sound(a.RadiusMM, a.SweepRad)); err != nil {
		return errNumber
	}
	if !(a.RadiusMM > 0 && a.SweepRad > 0) {
		return errSize
	}
	if math.Abs(r3.Norm(a.X)-1) > 1e-9 || math.Abs(r3.Norm(a.Normal)-1) > 1e-9 || math.Abs(r3.Dot(a.X, a.Normal)) > 1e-9 {
		return errors.New("an arc's directions are not unit vectors square to each other")
	}
	return nil
}

func (c Contour) check() error {
	if len(c.Vertices) < 2 {
		return errors.New("a contour has fewer than two corners")
	}
	for _, v := range c.Vertices {
		if err := sound(v.At[0], v.At[1], v.SweepRad); err != nil {
			return err
		}
		if math.Abs(v.SweepRad) >= 2*math.Pi {
			return errors.New("an arc of a contour is a whole turn; use a circle")
		}
	}
	return nil
}

func (w Wire) check() error {
	if len(w.Points) < 2 {
		return errors.New("a polyline has fewer than two points")
	}
	return soundPoints(w.Points...)
}

func (t Label) check() error {
	if err := sound(t.At[0], t.At[1], t.LevelMM, t.HeightMM, t.TurnRad); err != nil {
		return err
	}
	if !(t.HeightMM > 0) {
		return errSize
	}
	return nil
}
