package draw

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"
)

// dxfWriter writes pairs of a group code and a value (AutoCAD DXF reference,
// release 2000). Handles are given in the order of writing.
type dxfWriter struct {
	w      *bufio.Writer
	handle int
	model  int // block record of model space
}

// WriteDXF writes the drawing as DXF of release 2000 (AC1015), in mm, each layer
// that is used with its colour and line type. Arcs are arcs, contours polylines
// with bulges, also in space. The same drawing gives the same bytes.
func WriteDXF(w io.Writer, d Drawing) error {
	if err := d.Check(); err != nil {
		return fmt.Errorf("dxf: %w", err)
	}
	x := &dxfWriter{w: bufio.NewWriterSize(w, 1<<16), handle: paperLayout}
	lo, hi := d.extents()
	x.header(lo, hi)
	x.section("CLASSES", func() {})
	x.section("TABLES", func() { x.tables(d.used()) })
	x.section("BLOCKS", x.blocks)
	x.section("ENTITIES", func() {
		for _, it := range d.Items {
			x.item(it.Layer, it.Shape)
		}
	})
	x.section("OBJECTS", x.objects)
	x.text(0, "EOF")
	return x.w.Flush()
}

func (x *dxfWriter) text(code int, s string) { fmt.Fprintf(x.w, "%3d\n%s\n", code, s) }

func (x *dxfWriter) whole(code, n int) { x.text(code, strconv.Itoa(n)) }

// real has nine decimals: a nanometre is less than the last bit of a sum.
func (x *dxfWriter) real(code int, v float64) {
	t := strings.TrimRight(strconv.FormatFloat(v, 'f', 9, 64), "0")
	if strings.HasSuffix(t, ".") {
		t += "0"
	}
	if t == "-0.0" {
		t = "0.0"
	}
	x.text(code, t)
}

// fine prints directions and angles, whose error grows with what they turn.
func (x *dxfWriter) fine(code int, v float64) { x.text(code, strconv.FormatFloat(v, 'f', 15, 64)) }

func (x *dxfWriter) point(code int, p r3.Vec) {
	x.real(code, p.X)
	x.real(code+10, p.Y)
	x.real(code+20, p.Z)
}

func (x *dxfWriter) section(name string, body func()) {
	x.text(0, "SECTION")
	x.text(2, name)
	body()
	x.text(0, "ENDSEC")
}

// own gives the next handle; owner 0 writes none.
func (x *dxfWriter) own(owner int) int {
	x.handle++
	x.text(5, fmt.Sprintf("%X", x.handle))
	if owner > 0 {
		x.text(330, fmt.Sprintf("%X", owner))
	}
	return x.handle
}

// header says where new handles start: behind any that can be in the file.
func (x *dxfWriter) header(lo, hi r3.Vec) {
	x.section("HEADER", func() {
		for _, v := range []struct {
			name string
			set  func()
		}{
			{"$ACADVER", func() { x.text(1, "AC1015") }},
			{"$DWGCODEPAGE", func() { x.text(3, "ANSI_1252") }},
			{"$INSBASE", func() { x.point(10, r3.Vec{}) }},
			{"$EXTMIN", func() { x.point(10, lo) }},
			{"$EXTMAX", func() { x.point(10, hi) }},
			{"$LUNITS", func() { x.whole(70, 2) }},
			{"$MEASUREMENT", func() { x.whole(70, 1) }},
			{"$INSUNITS", func() { x.whole(70, 4) }},
			{"$HANDSEED", func() { x.text(5, "7FFFFFFF") }},
		} {
			x.text(9, v.name)
			v.set()
		}
	})
}

// item writes a shape as its entities.
func (x *dxfWriter) item(l Layer, s Shape) {
	switch s := s.(type) {
	case Line:
		x.entity("LINE", l, "AcDbLine")
		x.point(10, s.A)
		x.point(11, s.B)
	case Arc:
		x.arc(l, s)
	case Contour:
		x.contour(l, s)
	case Wire:
		x.wire(l, s)
	case Label:
		x.label(l, s)
	case Dimension:
		for _, p := range s.parts() {
			x.item(l, p)
		}
	}
}

func (x *dxfWriter) entity(kind string, l Layer, class string) int {
	x.text(0, kind)
	h := x.own(x.model)
	x.text(100, "AcDbEntity")
	x.text(8, string(l))
	x.text(100, class)
	return h
}

// arc is given in the coordinates of its own plane, which the format derives from
// the normal alone ("arbitrary axis algorithm").
func (x *dxfWriter) arc(l Layer, a Arc) {
	u := r3.Cross(r3.Vec{Z: 1}, a.Normal)
	if math.Abs(a.Normal.X) < 1.0/64 && math.Abs(a.Normal.Y) < 1.0/64 {
		u = r3.Cross(r3.Vec{Y: 1}, a.Normal)
	}
	u = r3.Unit(u)
	v := r3.Cross(a.Normal, u)
	whole := a.SweepRad >= 2*math.Pi-1e-12
	kind := "ARC"
	if whole {
		kind = "CIRCLE"
	}
	x.entity(kind, l, "AcDbCircle")
	x.point(10, r3.Vec{X: r3.Dot(a.Centre, u), Y: r3.Dot(a.Centre, v), Z: r3.Dot(a.Centre, a.Normal)})
	x.real(40, a.RadiusMM)
	if a.Normal != (r3.Vec{Z: 1}) {
		x.fine(210, a.Normal.X)
		x.fine(220, a.Normal.Y)
		x.fine(230, a.Normal.Z)
	}
	if whole {
		return
	}
	from := math.Atan2(r3.Dot(a.X, v), r3.Dot(a.X, u))
	x.text(100, "AcDbArc")
	x.fine(50, positiveDeg(from))
	x.fine(51, positiveDeg(from+a.SweepRad))
}

func positiveDeg(rad float64) float64 {
	d := math.Mod(rad*180/math.Pi, 360)
	if d < 0 {
		d += 360
	}
	return d
}

// contour's bulges are the tangents of a quarter of each sweep.
func (x *dxfWriter) contour(l Layer, c Contour) {
	x.entity("LWPOLYLINE", l, "AcDbPolyline")
	x.whole(90, len(c.Vertices))
	x.whole(70, bit(c.Closed, 1))
	for _, v := range c.Vertices {
		x.real(10, v.At[0])
		x.real(20, v.At[1])
		if v.SweepRad != 0 {
			x.fine(42, math.Tan(v.SweepRad/4))
		}
	}
}

func bit(on bool, n int) int {
	if on {
		return n
	}
	return 0
}

func (x *dxfWriter) wire(l Layer, w Wire) {
	owner := x.entity("POLYLINE", l, "AcDb3dPolyline")
	x.whole(66, 1)
	x.point(10, r3.Vec{})
	x.whole(70, 8|bit(w.Closed, 1))
	for _, p := range w.Points {
		x.text(0, "VERTEX")
		x.own(owner)
		x.text(100, "AcDbEntity")
		x.text(8, string(l))
		x.text(100, "AcDbVertex")
		x.text(100, "AcDb3dPolylineVertex")
		x.point(10, p)
		x.whole(70, 32)
	}
	x.text(0, "SEQEND")
	x.own(owner)
	x.text(100, "AcDbEntity")
	x.text(8, string(l))
}

// label keeps % and \ from being read as codes, and writes what is not ASCII as
// \U+ and its number.
func (x *dxfWriter) label(l Layer, t Label) {
	if t.Text == "" {
		return
	}
	var b strings.Builder
	for _, r := range strings.ReplaceAll(printable(t.Text), "%%", "% %") {
		if r < 127 {
			b.WriteRune(r)
			continue
		}
		fmt.Fprintf(&b, `\U+%04X`, r)
	}
	x.entity("TEXT", l, "AcDbText")
	x.point(10, r3.Vec{X: t.At[0], Y: t.At[1], Z: t.LevelMM})
	x.real(40, t.HeightMM)
	x.text(1, b.String())
	x.fine(50, positiveDeg(t.TurnRad))
	if t.Middle {
		x.whole(72, 1)
		x.point(11, r3.Vec{X: t.At[0], Y: t.At[1], Z: t.LevelMM})
	}
	x.text(100, "AcDbText")
}

// extents are the corners of the box of everything, text included.
func (d Drawing) extents() (lo, hi r3.Vec) {
	inf := math.Inf(1)
	lo, hi = r3.Vec{X: inf, Y: inf, Z: inf}, r3.Vec{X: -inf, Y: -inf, Z: -inf}
	take := func(p r3.Vec) {
		lo = r3.Vec{X: min(lo.X, p.X), Y: min(lo.Y, p.Y), Z: min(lo.Z, p.Z)}
		hi = r3.Vec{X: max(hi.X, p.X), Y: max(hi.Y, p.Y), Z: max(hi.Z, p.Z)}
	}
	for _, it := range d.Items {
		strokes, level := it.Shape.flat()
		switch s := it.Shape.(type) {
		case Line:
			take(s.A)
			take(s.B)
		case Wire:
			for _, p := range s.Points {
				take(p)
			}
		case Label:
			take(r3.Vec{X: s.At[0], Y: s.At[1], Z: s.LevelMM})
		case Arc:
			if !level {
				r := r3.Vec{X: s.RadiusMM, Y: s.RadiusMM, Z: s.RadiusMM}
				take(r3.Sub(s.Centre, r))
				take(r3.Add(s.Centre, r))
				continue
			}
		}
		if level {
			for _, s := range strokes {
				b := s.box()
				take(r3.Vec{X: b.lo[0], Y: b.lo[1]})
				take(r3.Vec{X: b.hi[0], Y: b.hi[1]})
			}
		}
	}
	return lo, hi
}

// errSpace is for formats that are flat.
var errSpace = errors.New("leaves the plane z = 0; only DXF can hold it")
