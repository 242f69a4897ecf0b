package solid

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"unicode/utf8"

	"gonum.org/v1/gonum/spatial/r3"
)

// STEP files are ISO 10303-21 of AP214 (automotive_design), which drafting
// programs have read for longest; mm; the clock is left out of their header.

// stepWriter writes entities as they come: a body is never held as text.
type stepWriter struct {
	w     *bufio.Writer
	n     int
	place Frame // of the body being written

	mm, degree, context       int
	productContext, defaultIn int
	application               int
	styled                    []int
}

// add writes one entity and returns its number.
func (s *stepWriter) add(format string, args ...any) int {
	s.n++
	fmt.Fprintf(s.w, "#%d=", s.n)
	fmt.Fprintf(s.w, format, args...)
	s.w.WriteString(";\n")
	return s.n
}

// ids prints references.
type ids []int

func (l ids) String() string {
	var b strings.Builder
	b.WriteByte('(')
	for i, n := range l {
		if i > 0 {
			b.WriteByte(',')
		}
		b.WriteByte('#')
		b.WriteString(strconv.Itoa(n))
	}
	b.WriteByte(')')
	return b.String()
}

// real prints a number as part 21 has it, with a point. Lengths are rounded to
// the picometre, so that the last bit of a sum does not show.
type real float64

func (x real) String() string { return decimal(float64(x), 9) }

// fine prints directions, angles and parameters.
type fine float64

func (x fine) String() string { return decimal(float64(x), 14) }

func decimal(x float64, digits int) string {
	t := strconv.FormatFloat(x, 'f', digits, 64)
	t = strings.TrimRight(t, "0")
	if t == "-0." {
		return "0."
	}
	return t
}

func list[T fmt.Stringer](l []T) string {
	var t []string
	for _, x := range l {
		t = append(t, x.String())
	}
	return "(" + strings.Join(t, ",") + ")"
}

func fines(l []float64) string {
	out := make([]fine, len(l))
	for i, x := range l {
		out[i] = fine(x)
	}
	return list(out)
}

func ints(l []int) string {
	return "(" + strings.Trim(strings.ReplaceAll(fmt.Sprint(l), " ", ","), "[]") + ")"
}

// text is a string of part 21: quotes doubled, what is not ASCII in hexadecimal.
type text string

func (t text) String() string {
	var b strings.Builder
	b.WriteByte('\'')
	for _, r := range string(t) {
		switch {
		case r == '\'' || r == '\\':
			b.WriteRune(r)
			b.WriteRune(r)
		case r >= ' ' && r < 127:
			b.WriteRune(r)
		case r == utf8.RuneError || r < ' ' || r == 127:
			b.WriteByte('?')
		case r < 0x10000:
			fmt.Fprintf(&b, `\X2\%04X\X0\`, r)
		default:
			fmt.Fprintf(&b, `\X4\%08X\X0\`, r)
		}
	}
	b.WriteByte('\'')
	return b.String()
}

func (s *stepWriter) point(p r3.Vec) int {
	p = s.place.at(p)
	return s.add("CARTESIAN_POINT('',(%v,%v,%v))", real(p.X), real(p.Y), real(p.Z))
}

func (s *stepWriter) direction(d r3.Vec) int {
	d = s.place.dir(d)
	return s.add("DIRECTION('',(%v,%v,%v))", fine(d.X), fine(d.Y), fine(d.Z))
}

func (s *stepWriter) axes(name string, f Frame) int {
	p, z, x := s.point(f.Origin), s.direction(f.Z), s.direction(f.X)
	return s.add("AXIS2_PLACEMENT_3D(%v,#%d,#%d,#%d)", text(name), p, z, x)
}

// begin writes the header and what all products share.
func (s *stepWriter) begin(file, what string) {
	fmt.Fprintf(s.w, "ISO-10303-21;\nHEADER;\nFILE_DESCRIPTION((%v),'2;1');\n", text(what))
	fmt.Fprintf(s.w, "FILE_NAME(%v,'1970-01-01T00:00:00',(''),(''),'pointup','pointup','');\n", text(file))
	s.w.WriteString("FILE_SCHEMA(('AUTOMOTIVE_DESIGN { 1 0 10303 214 1 1 1 1 }'));\nENDSEC;\nDATA;\n")
	s.place = World()
	s.application = s.add("APPLICATION_CONTEXT('core data for automotive mechanical design processes')")
	s.add("APPLICATION_PROTOCOL_DEFINITION('international standard','automotive_design',2000,#%d)", s.application)
	s.productContext = s.add("PRODUCT_CONTEXT('',#%d,'mechanical')", s.application)
	s.defaultIn = s.add("PRODUCT_DEFINITION_CONTEXT('part definition',#%d,'design')", s.application)
	s.mm = s.add("(LENGTH_UNIT() NAMED_UNIT(*) SI_UNIT(.MILLI.,.METRE.))")
	rad := s.add("(NAMED_UNIT(*) PLANE_ANGLE_UNIT() SI_UNIT($,.RADIAN.))")
	solid := s.add("(NAMED_UNIT(*) SI_UNIT($,.STERADIAN.) SOLID_ANGLE_UNIT())")
	none := s.add("DIMENSIONAL_EXPONENTS(0.,0.,0.,0.,0.,0.,0.)")
	one := s.add("PLANE_ANGLE_MEASURE_WITH_UNIT(PLANE_ANGLE_MEASURE(%v),#%d)", fine(math.Pi/180), rad)
	s.degree = s.add("(CONVERSION_BASED_UNIT('DEGREE',#%d) NAMED_UNIT(#%d) PLANE_ANGLE_UNIT())", one, none)
	near := s.add("UNCERTAINTY_MEASURE_WITH_UNIT(LENGTH_MEASURE(1.E-05),#%d,'distance_accuracy_value','points closer than this are one')", s.mm)
	s.context = s.add("(GEOMETRIC_REPRESENTATION_CONTEXT(3) GLOBAL_UNCERTAINTY_ASSIGNED_CONTEXT((#%d)) GLOBAL_UNIT_ASSIGNED_CONTEXT((#%d,#%d,#%d)) REPRESENTATION_CONTEXT('','3D'))",
		near, s.mm, rad, solid)
}

func (s *stepWriter) end() error {
	if len(s.styled) > 0 {
		s.add("MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION('',%v,#%d)", ids(s.styled), s.context)
	}
	s.w.WriteString("ENDSEC;\nEND-ISO-10303-21;\n")
	return s.w.Flush()
}

// WritePart writes one piece as a part file, in SITE.
func WritePart(w io.Writer, file string, p Piece) error {
	s := &stepWriter{w: bufio.NewWriterSize(w, 1<<16)}
	s.begin(file, p.Title()+", full size in mm, in its place in SITE (z up, ground at z = 0)")
	if _, _, err := s.product(p, p.Frame); err != nil {
		return err
	}
	return s.end()
}

// WriteAssembly writes all pieces as products of one assembly, each in a frame
// of its own that is placed in SITE.
func WriteAssembly(w io.Writer, file, name string, pieces []Piece) error {
	s := &stepWriter{w: bufio.NewWriterSize(w, 1<<16)}
	s.begin(file, name+", full size in mm, in SITE (z up, ground at z = 0)")
	site := s.axes("SITE", World())
	places := []int{site}
	for _, p := range pieces {
		places = append(places, s.axes(p.Title(), p.Frame))
	}
	root := s.add("SHAPE_REPRESENTATION(%v,%v,#%d)", text(name), ids(places), s.context)
	whole, shape := s.define(name, name, "assembly at full size")
	s.add("SHAPE_DEFINITION_REPRESENTATION(#%d,#%d)", shape, root)
	for i, p := range pieces {
		part, rep, err := s.product(p, World())
		if err != nil {
			return err
		}
		s.place = World()
		use := s.add("NEXT_ASSEMBLY_USAGE_OCCURRENCE(%v,%v,'',#%d,#%d,%v)", text(strconv.Itoa(i+1)), text(p.Title()), whole, part, text(p.Mark))
		placed := s.add("PRODUCT_DEFINITION_SHAPE('Placement','',#%d)", use)
		move := s.add("ITEM_DEFINED_TRANSFORMATION('','',#%d,#%d)", s.axes("", World()), places[i+1])
		relation := s.add("(REPRESENTATION_RELATIONSHIP('','',#%d,#%d) REPRESENTATION_RELATIONSHIP_WITH_TRANSFORMATION(#%d) SHAPE_REPRESENTATION_RELATIONSHIP())",
			rep, root, move)
		s.add("CONTEXT_DEPENDENT_SHAPE_REPRESENTATION(#%d,#%d)", relation, placed)
	}
	return s.end()
}
