package solid

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"
)

// define writes a product and returns its definition and shape.
func (s *stepWriter) define(id, name, what string) (definition, shape int) {
	p := s.add("PRODUCT(%v,%v,%v,(#%d))", text(id), text(name), text(what), s.productContext)
	s.add("PRODUCT_RELATED_PRODUCT_CATEGORY('part',$,(#%d))", p)
	f := s.add("PRODUCT_DEFINITION_FORMATION('','',#%d)", p)
	definition = s.add("PRODUCT_DEFINITION('design','',#%d,#%d)", f, s.defaultIn)
	return definition, s.add("PRODUCT_DEFINITION_SHAPE('','',#%d)", definition)
}

// product writes a piece placed in frame: its solid in its colour, its frame,
// centreline and properties.
func (s *stepWriter) product(p Piece, frame Frame) (definition, representation int, err error) {
	body, err := p.Shape.Body()
	if err != nil {
		return 0, 0, fmt.Errorf("%s: %w", p.Mark, err)
	}
	s.place = World()
	definition, shape := s.define(p.Mark, p.Title(), p.Kind)
	s.place = frame
	name := p.Title()
	if _, mesh := p.Shape.(Facets); mesh {
		name += " (faceted: taken from the scan)"
	}
	kind := "ADVANCED_BREP_SHAPE_REPRESENTATION"
	if body.Open {
		kind = "MANIFOLD_SURFACE_SHAPE_REPRESENTATION"
	}
	brep := s.body(name, body)
	own := s.axes("frame of "+p.Mark, World())
	s.place = World()
	origin := s.axes("", World())
	s.place = frame
	representation = s.add("%s(%v,(#%d,#%d),#%d)", kind, text(p.Title()), origin, brep, s.context)
	s.add("SHAPE_DEFINITION_REPRESENTATION(#%d,#%d)", shape, representation)
	s.colour(p.Colour, brep)
	s.centreline(p, representation)
	s.properties(p, definition, own)
	return definition, representation, nil
}

func (s *stepWriter) colour(c [3]uint8, brep int) {
	rgb := s.add("COLOUR_RGB('',%v,%v,%v)", fine(share(c[0])), fine(share(c[1])), fine(share(c[2])))
	fill := s.add("FILL_AREA_STYLE('',(#%d))", s.add("FILL_AREA_STYLE_COLOUR('',#%d)", rgb))
	side := s.add("SURFACE_SIDE_STYLE('',(#%d))", s.add("SURFACE_STYLE_FILL_AREA(#%d)", fill))
	style := s.add("PRESENTATION_STYLE_ASSIGNMENT((#%d))", s.add("SURFACE_STYLE_USAGE(.BOTH.,#%d)", side))
	s.styled = append(s.styled, s.add("STYLED_ITEM('color',(#%d),#%d)", style, brep))
}

// share is a colour's part of full, to four digits.
func share(c uint8) float64 { return math.Round(float64(c)/255*1e4) / 1e4 }

// centreline writes the wires as a second representation of the same shape.
func (s *stepWriter) centreline(p Piece, solid int) {
	var curves []int
	for _, w := range p.Shape.Wires() {
		curves = append(curves, s.wire(w))
	}
	if len(curves) == 0 {
		return
	}
	set := s.add("GEOMETRIC_CURVE_SET(%v,%v)", text("centreline of "+p.Mark), ids(curves))
	wires := s.add("GEOMETRICALLY_BOUNDED_WIREFRAME_SHAPE_REPRESENTATION('centreline',(#%d),#%d)", set, s.context)
	s.add("SHAPE_REPRESENTATION_RELATIONSHIP('centreline','',#%d,#%d)", solid, wires)
}

func (s *stepWriter) wire(w Wire) int {
	if w.Arc != nil {
		circle := s.add("CIRCLE('',#%d,%v)", s.axes("", w.Arc.At), real(w.Arc.RadiusMM))
		if w.Arc.SweepRad >= 2*math.Pi-1e-9 {
			return circle
		}
		return s.add("TRIMMED_CURVE('',#%d,(PARAMETER_VALUE(0.)),(PARAMETER_VALUE(%v)),.T.,.PARAMETER.)", circle, fine(w.Arc.SweepRad))
	}
	var points []int
	for _, p := range w.Points {
		points = append(points, s.point(p))
	}
	if w.Closed {
		points = append(points, points[0])
	}
	return s.add("POLYLINE('',%v)", ids(points))
}

// properties writes key dimensions, material, notes and the piece's frame as
// attributes of the product. A second placement beside the solid would be taken
// for that of its coordinates.
func (s *stepWriter) properties(p Piece, definition, frame int) {
	attribute := func(kind, key string, item int) {
		d := s.add("PROPERTY_DEFINITION(%v,%v,#%d)", text(kind), text(key), definition)
		r := s.add("REPRESENTATION(%v,(#%d),#%d)", text(key), item, s.context)
		s.add("PROPERTY_DEFINITION_REPRESENTATION(#%d,#%d)", d, r)
	}
	const own = "user defined attribute"
	word := func(kind, key, t string) {
		attribute(kind, key, s.add("DESCRIPTIVE_REPRESENTATION_ITEM(%v,%v)", text(key), text(t)))
	}
	attribute(own, "frame", frame)
	word(own, "piece mark", p.Mark)
	word(own, "kind", p.Kind)
	if p.Material != "" {
		word("material property", "material name", p.Material)
	}
	for _, d := range p.Props {
		switch {
		case d.Text != "":
			word(own, d.Key, d.Text)
		case d.Unit == "mm":
			attribute(own, d.Key, s.add("MEASURE_REPRESENTATION_ITEM(%v,LENGTH_MEASURE(%v),#%d)", text(d.Key), real(d.Num), s.mm))
		case d.Unit == "deg":
			attribute(own, d.Key, s.add("MEASURE_REPRESENTATION_ITEM(%v,PLANE_ANGLE_MEASURE(%v),#%d)", text(d.Key), real(d.Num), s.degree))
		default:
			word(own, d.Key, strings.TrimSpace(strconv.FormatFloat(d.Num, 'g', 10, 64)+" "+d.Unit))
		}
	}
	for _, n := range p.Notes {
		word(own, "note", n)
	}
}

// body writes a boundary representation and returns the solid.
func (s *stepWriter) body(name string, b Body) int {
	points, vertices := make([]int, len(b.Vertices)), make([]int, len(b.Vertices))
	for i, p := range b.Vertices {
		points[i] = s.point(p)
		vertices[i] = s.add("VERTEX_POINT('',#%d)", points[i])
	}
	edges := make([]int, len(b.Edges))
	for i, e := range b.Edges {
		edges[i] = s.add("EDGE_CURVE('',#%d,#%d,#%d,.T.)", vertices[e.A], vertices[e.B], s.curve(e, b.Vertices, points[e.A]))
	}
	if b.Open {
		return s.add("SHELL_BASED_SURFACE_MODEL(%v,(#%d))", text(name), s.shell("OPEN_SHELL", b.Faces, edges))
	}
	outer := s.shell("CLOSED_SHELL", b.Faces, edges)
	if len(b.Voids) == 0 {
		return s.add("MANIFOLD_SOLID_BREP(%v,#%d)", text(name), outer)
	}
	var voids []int
	for _, v := range b.Voids {
		voids = append(voids, s.add("ORIENTED_CLOSED_SHELL('',*,#%d,.T.)", s.shell("CLOSED_SHELL", v, edges)))
	}
	return s.add("BREP_WITH_VOIDS(%v,#%d,%v)", text(name), outer, ids(voids))
}

func (s *stepWriter) curve(e Edge, at []r3.Vec, from int) int {
	switch c := e.Curve.(type) {
	case Circle:
		return s.add("CIRCLE('',#%d,%v)", s.axes("", c.At), real(c.RadiusMM))
	case Ellipse:
		return s.add("ELLIPSE('',#%d,%v,%v)", s.axes("", c.At), real(c.A), real(c.B))
	case Spline:
		return s.add("B_SPLINE_CURVE_WITH_KNOTS('',%d,%v,.UNSPECIFIED.,.F.,.F.,%s,%s,.UNSPECIFIED.)", c.Degree, s.points(c.Points), ints(c.Mults), fines(c.Knots))
	}
	d := r3.Unit(r3.Sub(at[e.B], at[e.A]))
	return s.add("LINE('',#%d,#%d)", from, s.add("VECTOR('',#%d,1.)", s.direction(d)))
}

func (s *stepWriter) points(l []r3.Vec) ids {
	out := make(ids, len(l))
	for i, p := range l {
		out[i] = s.point(p)
	}
	return out
}

func (s *stepWriter) shell(kind string, faces []Face, edges []int) int {
	var out []int
	for _, f := range faces {
		var bounds []int
		for i, l := range f.Loops {
			var uses []int
			for _, u := range l {
				uses = append(uses, s.add("ORIENTED_EDGE('',*,*,#%d,%s)", edges[u.Edge], flag(!u.Back)))
			}
			bound := "FACE_BOUND"
			if i == 0 {
				bound = "FACE_OUTER_BOUND"
			}
			bounds = append(bounds, s.add("%s('',#%d,.T.)", bound, s.add("EDGE_LOOP('',%v)", ids(uses))))
		}
		out = append(out, s.add("ADVANCED_FACE('',%v,#%d,%s)", ids(bounds), s.surface(f.Surface), flag(f.Outward)))
	}
	return s.add("%s('',%v)", kind, ids(out))
}

func flag(b bool) string {
	if b {
		return ".T."
	}
	return ".F."
}

func (s *stepWriter) surface(f Surface) int {
	switch f := f.(type) {
	case Plane:
		return s.add("PLANE('',#%d)", s.axes("", f.At))
	case Cylinder:
		return s.add("CYLINDRICAL_SURFACE('',#%d,%v)", s.axes("", f.At), real(f.RadiusMM))
	case Cone:
		return s.add("CONICAL_SURFACE('',#%d,%v,%v)", s.axes("", f.At), real(f.RadiusMM), fine(math.Atan(f.Slope)))
	case Sphere:
		return s.add("SPHERICAL_SURFACE('',#%d,%v)", s.axes("", f.At), real(f.RadiusMM))
	case Torus:
		return s.add("TOROIDAL_SURFACE('',#%d,%v,%v)", s.axes("", f.At), real(f.RadiusMM), real(f.SectionMM))
	}
	return s.patch(f.(Patch))
}

func (s *stepWriter) patch(p Patch) int {
	var rows []ids
	for _, r := range p.Points {
		rows = append(rows, s.points(r))
	}
	net, knots := list(rows), ints(p.MultsU)+","+ints(p.MultsV)+","+fines(p.KnotsU)+","+fines(p.KnotsV)
	if p.Weights == nil {
		return s.add("B_SPLINE_SURFACE_WITH_KNOTS('',%d,%d,%s,.UNSPECIFIED.,.F.,.F.,.F.,%s,.UNSPECIFIED.)", p.DegreeU, p.DegreeV, net, knots)
	}
	row := fines(p.Weights)
	weights := "(" + strings.TrimSuffix(strings.Repeat(row+",", len(p.Points)), ",") + ")"
	return s.add("(BOUNDED_SURFACE() B_SPLINE_SURFACE(%d,%d,%s,.UNSPECIFIED.,.F.,.F.,.F.) B_SPLINE_SURFACE_WITH_KNOTS(%s,.UNSPECIFIED.) "+
		"GEOMETRIC_REPRESENTATION_ITEM() RATIONAL_B_SPLINE_SURFACE(%s) REPRESENTATION_ITEM('') SURFACE())", p.DegreeU, p.DegreeV, net, knots, weights)
}
