package job

import (
	"errors"
	"fmt"
	"strings"

	"github.com/goccy/go-yaml/ast"

	"pointup/pipeline/quantity"
)

// cutOnce cuts s at a separator that stands in it once.
func cutOnce(s, sep string) (left, right string, ok bool) {
	if strings.Count(s, sep) != 1 {
		return "", "", false
	}
	return strings.Cut(s, sep)
}

// lengthOf reads a length over 0 that is part of a text.
func (r *reader) lengthOf(n ast.Node, path, text string, to *float64) {
	x, err := quantity.Length(text)
	var q *quantity.Error
	switch {
	case errors.As(err, &q):
		r.fail(n, path+": "+q.What, q.Advice)
	case !inMM(over0()).holds(x):
		r.fail(n, path+": "+quoted(text)+" is out of range", "give a length "+inMM(over0()).words)
	default:
		*to = x
	}
}

// byHand reads the hand measurements. That each names a piece is looked at last,
// when the pieces are known.
func (r *reader) byHand(to *[]Measured, later *[]func(), j *Job) read {
	return func(n ast.Node, path string) {
		*to = []Measured{}
		r.items(n, path, func(n ast.Node, path string) {
			var m Measured
			var value, u95 ast.Node
			seen := r.fields(n, path,
				field{"piece", r.text(&m.Piece, "mast")},
				field{"dimension", r.dimension(&m.Dimension)},
				field{"value", func(n ast.Node, _ string) { value = n }},
				field{"u95", func(n ast.Node, _ string) { u95 = n }},
			)
			r.need(n, path, seen, "piece", "name the piece as in pieces.rows, or its id")
			r.need(n, path, seen, "dimension", "write one of "+listed(byHandNames()))
			r.need(n, path, seen, "value", "write the measured value with its unit")
			if value != nil && r.err == nil {
				r.measured(&m.Value, m.Dimension, over0())(value, under(path, "value"))
			}
			if u95 != nil && r.err == nil {
				optional(r, &m.U95, "unknown", func(x *float64) read { return r.measured(x, m.Dimension, over0()) })(u95, under(path, "u95"))
			}
			*later = append(*later, func() { r.piece(n, under(path, "piece"), m.Piece, j.Pieces.Rows) })
			*to = append(*to, m)
		})
	}
}

// dimension reads the name of a dimension, with or without its unit.
func (r *reader) dimension(to *string) read {
	return func(n ast.Node, path string) {
		text, ok := r.scalar(n, path, "the name of a dimension", "write it like outside_diameter")
		if !ok {
			return
		}
		key, ok := dimensionKey(text)
		if !ok {
			r.fail(n, path+" is "+quoted(text), suggestion(text, byHandNames()))
		}
		*to = key
	}
}

// measured reads a value in the unit of its dimension.
func (r *reader) measured(to *float64, key string, b bound) read {
	switch {
	case strings.HasSuffix(key, "_mm"):
		return r.length(to, b)
	case strings.HasSuffix(key, "_deg"):
		return r.in(to, quantity.Angle, "an angle", "90 deg", bound{0, 1e6, true, "over 0 deg"})
	}
	return r.number(to, b)
}

func (r *reader) pieces(p *Pieces) read {
	return func(n ast.Node, path string) {
		var join ast.Node
		r.fields(n, path,
			field{"expected", optional(r, &p.Expected, "unknown", func(x *int) read { return r.whole(x, 1, 100000) })},
			field{"rows", r.rows(&p.Rows)},
			field{"join", func(n ast.Node, _ string) { join = n }},
			field{"part", r.part(&p.Part)},
		)
		if join != nil && r.err == nil {
			r.join(p)(join, under(path, "join"))
		}
	}
}

// rows reads what is said of single pieces; no id and no name stands twice.
func (r *reader) rows(to *[]Row) read {
	return func(n ast.Node, path string) {
		*to = []Row{}
		taken := map[string]string{}
		r.items(n, path, func(n ast.Node, path string) {
			var w Row
			seen := r.fields(n, path,
				field{"id", r.id(&w.ID)},
				field{"name", r.text(&w.Name, "mast")},
				field{"at", optional(r, &w.At, "unknown", r.point)},
				field{"kind", r.choice(&w.Kind, Kinds()...)},
				field{"stock", r.text(&w.Stock, "NPS 8 Sch 40")},
				field{"made", r.truth(&w.Made)},
			)
			if !seen["id"] && !seen["at"] {
				r.fail(n, path+" has neither id nor at", "add at: [x, y, z], a point on the piece in scan units")
			}
			if _, is := Number(w.Name); is && w.Name != w.ID {
				r.fail(n, path+".name is "+quoted(w.Name)+", which reads as an id", "give another name")
			}
			for _, word := range []string{w.ID, w.Name} {
				if first, twice := taken[word]; twice && word != "" && first != path {
					r.fail(n, path+" says "+quoted(word)+", as does "+first, "give each piece its own")
				}
				taken[word] = path
			}
			*to = append(*to, w)
		})
	}
}

func (r *reader) id(to *string) read {
	return func(n ast.Node, path string) {
		text, ok := r.scalar(n, path, "an id", "write it like E01")
		if !ok {
			return
		}
		if _, ok := Number(text); !ok {
			r.fail(n, path+" is "+quoted(text)+", not an id", "write it as the result does: E01, E02 …")
		}
		*to = text
	}
}

// point reads three numbers in scan units.
func (r *reader) point(to *[3]float64) read {
	return func(n ast.Node, path string) {
		i := 0
		r.items(n, path, func(n ast.Node, path string) {
			var x float64
			r.number(&x, bound{-1e12, 1e12, false, "from -1e12 to 1e12"})(n, path)
			if i < 3 {
				to[i] = x
			}
			i++
		})
		if r.err == nil && i != 3 {
			r.fail(n, fmt.Sprintf("%s has %d numbers", path, i), "write a point as [x, y, z] in scan units")
		}
	}
}

// join reads lists of what is one piece: names, ids or points.
func (r *reader) join(p *Pieces) read {
	return func(n ast.Node, path string) {
		p.Join = [][]Ref{}
		r.items(n, path, func(n ast.Node, path string) {
			refs := []Ref{}
			r.items(n, path, func(n ast.Node, path string) {
				var f Ref
				if _, list := n.(*ast.SequenceNode); list {
					f.At = new([3]float64)
					r.point(f.At)(n, path)
				} else {
					r.text(&f.Name, "mast, E01 or [12, 3.5, 20]")(n, path)
					r.piece(n, path, f.Name, p.Rows)
				}
				refs = append(refs, f)
			})
			if r.err == nil && len(refs) < 2 {
				r.fail(n, path+" joins fewer than two", "name two pieces, or points on them, between [ and ]")
			}
			p.Join = append(p.Join, refs)
		})
	}
}

// part reads lists of points that lie on different pieces.
func (r *reader) part(to *[][][3]float64) read {
	return func(n ast.Node, path string) {
		*to = [][][3]float64{}
		r.items(n, path, func(n ast.Node, path string) {
			points := [][3]float64{}
			r.items(n, path, func(n ast.Node, path string) {
				var p [3]float64
				r.point(&p)(n, path)
				points = append(points, p)
			})
			if r.err == nil && len(points) < 2 {
				r.fail(n, path+" parts fewer than two points", "write [[x, y, z], [x, y, z]]: a point on each piece")
			}
			*to = append(*to, points)
		})
	}
}

// piece checks that a name is that of a row, or an id.
func (r *reader) piece(n ast.Node, path, name string, rows []Row) {
	if r.err != nil {
		return
	}
	names := []string{}
	for _, w := range rows {
		if name == w.Name || name == w.ID {
			return
		}
		if w.Name != "" {
			names = append(names, w.Name)
		}
	}
	if _, ok := Number(name); ok {
		return
	}
	advice := "add it to pieces.rows with its place: at, or give an id like E01"
	if m := meant(name, names); m != "" {
		advice = "did you mean " + quoted(m) + "? else " + advice
	}
	r.fail(n, path+" is "+quoted(name)+", which pieces.rows does not name", advice)
}

// decided reads the decisions that were taken; none stands twice.
func (r *reader) decided(to *[]Decided) read {
	return func(n ast.Node, path string) {
		*to = []Decided{}
		taken := map[string]string{}
		r.items(n, path, func(n ast.Node, path string) {
			var d Decided
			seen := r.fields(n, path,
				field{"on", r.text(&d.On, "finding dust")},
				field{"note", r.text(&d.Note, "as it is")},
			)
			r.need(n, path, seen, "on", "copy it from the report's page: it stands beside the decision")
			if first, twice := taken[d.On]; twice && r.err == nil {
				r.fail(n, path+" decides "+quoted(d.On)+", as does "+first, "keep one of them")
			}
			taken[d.On] = path
			*to = append(*to, d)
		})
	}
}
