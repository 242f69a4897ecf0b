package job

import (
	"regexp"
	"strings"

	"github.com/goccy/go-yaml/ast"
)

func (r *reader) limits(l *Limits) read {
	return func(n ast.Node, path string) {
		r.fields(n, path,
			field{"form", r.share(&l.Form, upTo1())},
			field{"surface", r.length(&l.SurfaceMM, over0())},
			field{"work", r.work(&l.Work)},
			field{"stock_change", func(n ast.Node, path string) {
				r.fields(n, path,
					field{"share", r.share(&l.StockChange.Share, from0To1())},
					field{"size", r.length(&l.StockChange.SizeMM, atLeast0())},
				)
			}},
		)
	}
}

// work reads a tolerance class of ISO 13920: a linear class A to D and a class of
// form E to H, written as in the standard's own designation.
func (r *reader) work(to *string) read {
	return func(n ast.Node, path string) {
		text, ok := r.scalar(n, path, "a tolerance class", "write it like ISO 13920-BF")
		if !ok {
			return
		}
		m := regexp.MustCompile(`^(?:EN )?ISO 13920 ?- ?([A-D])([E-H])$`).FindStringSubmatch(strings.ToUpper(text))
		if m == nil {
			r.fail(n, path+" is "+quoted(text), "write ISO 13920- and a linear class A to D and a form class E to H, like ISO 13920-BF")
			return
		}
		*to = "ISO 13920-" + m[1] + m[2]
	}
}

func (r *reader) metal(m *Metal) read {
	return func(n ast.Node, path string) {
		r.fields(n, path,
			field{"system", r.choice(&m.System, "us", "metric", "both")},
			field{"grade", r.text(&m.Grade, "ASTM A36")},
			field{"finish", r.text(&m.Finish, "bare")},
			field{"wall_min", r.length(&m.WallMinMM, atLeast0())},
			field{"tables", func(n ast.Node, path string) {
				m.Tables = []string{}
				r.items(n, path, func(n ast.Node, path string) {
					var name string
					r.text(&name, "own.csv")(n, path)
					m.Tables = append(m.Tables, name)
				})
			}},
			field{"ban", func(n ast.Node, path string) {
				m.Ban = []string{}
				r.items(n, path, func(n ast.Node, path string) {
					var form string
					r.choice(&form, StockForms()...)(n, path)
					m.Ban = append(m.Ban, form)
				})
			}},
		)
	}
}

func (r *reader) shop(s *Shop) read {
	return func(n ast.Node, path string) {
		r.fields(n, path,
			field{"bar_lengths", r.lengths(&s.BarLengthsMM)},
			field{"sheets", r.sheets(&s.Sheets)},
			field{"kerf", r.kerf(s.KerfMM)},
			field{"hoists", r.hoists(&s.Hoists)},
			field{"rates", optional(r, &s.Rates, "none", r.rates)},
			field{"pace", r.pace(&s.Pace)},
		)
	}
}

// lengths reads a list of at least one length.
func (r *reader) lengths(to *[]float64) read {
	return func(n ast.Node, path string) {
		*to = []float64{}
		r.items(n, path, func(n ast.Node, path string) {
			var x float64
			r.length(&x, over0())(n, path)
			*to = append(*to, x)
		})
		if len(*to) == 0 {
			r.fail(n, path+" is an empty list", "give a length, or take the line out for the default")
		}
	}
}

func (r *reader) sheets(to *[]Sheet) read {
	return func(n ast.Node, path string) {
		*to = []Sheet{}
		r.items(n, path, func(n ast.Node, path string) {
			var s Sheet
			seen := r.fields(n, path,
				field{"length", r.length(&s.LengthMM, over0())},
				field{"width", r.length(&s.WidthMM, over0())},
			)
			r.need(n, path, seen, "length", "write {length: 96 in, width: 48 in}")
			r.need(n, path, seen, "width", "write {length: 96 in, width: 48 in}")
			*to = append(*to, s)
		})
		if len(*to) == 0 {
			r.fail(n, path+" is an empty list", "give a sheet, or take the line out for the default")
		}
	}
}

// kerf reads the width of cut of each process over the defaults.
func (r *reader) kerf(to map[string]float64) read {
	return func(n ast.Node, path string) {
		fields := []field{}
		for _, p := range processes() {
			fields = append(fields, field{p, func(n ast.Node, path string) {
				var x float64
				r.length(&x, atLeast0())(n, path)
				to[p] = x
			}})
		}
		r.fields(n, path, fields...)
	}
}

func (r *reader) hoists(to *[]Hoist) read {
	return func(n ast.Node, path string) {
		*to = []Hoist{}
		r.items(n, path, func(n ast.Node, path string) {
			var h Hoist
			seen := r.fields(n, path,
				field{"name", r.text(&h.Name, "north")},
				field{"capacity", r.mass(&h.CapacityKG, over0())},
			)
			r.need(n, path, seen, "name", "write {name: north, capacity: 4 t}")
			r.need(n, path, seen, "capacity", "write {name: north, capacity: 4 t}")
			*to = append(*to, h)
		})
	}
}

func (r *reader) rates(p *Rates) read {
	return func(n ast.Node, path string) {
		seen := r.fields(n, path,
			field{"currency", func(n ast.Node, path string) {
				r.text(&p.Currency, "EUR")(n, path)
				if r.err == nil && !regexp.MustCompile(`^[A-Z]{3}$`).MatchString(p.Currency) {
					r.fail(n, path+" is "+quoted(p.Currency), "write the three letters of the currency: EUR, USD")
				}
			}},
			field{"hour", optional(r, &p.Hour, "none", func(x *float64) read { return r.number(x, atLeast0()) })},
			field{"steel_kg", optional(r, &p.SteelKG, "none", func(x *float64) read { return r.number(x, atLeast0()) })},
			field{"weld_kg", optional(r, &p.WeldKG, "none", func(x *float64) read { return r.number(x, atLeast0()) })},
		)
		r.need(n, path, seen, "currency", "write the three letters of the currency: EUR, USD")
	}
}

func (r *reader) pace(p *Pace) read {
	return func(n ast.Node, path string) {
		r.fields(n, path,
			field{"cut_m_h", r.number(&p.CutMH, over0())},
			field{"pierce_s", r.number(&p.PierceS, atLeast0())},
			field{"saw_s", r.number(&p.SawS, atLeast0())},
			field{"bend_h", r.number(&p.BendH, atLeast0())},
			field{"deposition_kg_h", r.number(&p.DepositionKGH, over0())},
			field{"arc_share", r.share(&p.ArcShare, upTo1())},
			field{"lift_h", r.number(&p.LiftH, atLeast0())},
			field{"setup_h", r.number(&p.SetupH, atLeast0())},
		)
	}
}

func (r *reader) gates(g *Gates) read {
	return func(n ast.Node, path string) {
		r.fields(n, path,
			field{"surface_p95", optional(r, &g.SurfaceP95MM, "none", func(x *float64) read { return r.length(x, over0()) })},
			field{"missing_stock", optional(r, &g.MissingStock, "none", r.few)},
			field{"open_loop", optional(r, &g.OpenLoopMM, "none", func(x *float64) read { return r.length(x, atLeast0()) })},
			field{"utilisation", optional(r, &g.Utilisation, "none", r.use)},
			field{"weld_use", optional(r, &g.WeldUse, "none", r.use)},
			field{"lift_use", optional(r, &g.LiftUse, "none", r.use)},
			field{"unlifted", optional(r, &g.Unlifted, "none", r.few)},
			field{"props", optional(r, &g.Props, "none", r.few)},
			field{"overhead_weld", optional(r, &g.OverheadWeldMM, "none", func(x *float64) read { return r.length(x, atLeast0()) })},
			field{"sections", optional(r, &g.Sections, "none", r.few)},
			field{"field_weld", optional(r, &g.FieldWeldMM, "none", func(x *float64) read { return r.length(x, atLeast0()) })},
			field{"blocked", optional(r, &g.Blocked, "none", r.few)},
			field{"access", optional(r, &g.Access, "none", r.few)},
			field{"made_change", optional(r, &g.MadeChangeMM, "none", func(x *float64) read { return r.length(x, atLeast0()) })},
		)
	}
}

// use reads a share of what something carries.
func (r *reader) use(x *float64) read {
	return r.number(x, bound{0, 10, true, "over 0 and at most 10, 1 being fully used"})
}

// few reads a count.
func (r *reader) few(x *int) read { return r.whole(x, 0, 100000) }

func (r *reader) show(s *Show) read {
	return func(n ast.Node, path string) {
		r.fields(n, path, field{"units", r.choice(&s.Units, "mm", "ft-in", "both")})
	}
}
