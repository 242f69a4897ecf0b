package job

import (
	"path/filepath"

	"github.com/goccy/go-yaml/ast"

	"pointup/pipeline/quantity"
)

// Parse reads a job file. name is for messages; data is YAML in UTF-8, one
// document.
//
// It is strict: an unknown key, a key twice, a second document, an empty file, a
// number that is not finite, a length without a unit are errors of type *Error
// with line and column. What is not given gets its default. Anchors, aliases and
// tags are not read.
func Parse(name string, data []byte) (Job, error) {
	r := &reader{file: filepath.Base(name)}
	n, err := root(r.file, data)
	if err != nil {
		return Job{}, err
	}
	j := Default()
	r.job(&j, n)
	if r.err != nil {
		return Job{}, r.err
	}
	return j, nil
}

// job reads the whole document into j, which holds the defaults. What is
// defaulted by another setting is read after it.
func (r *reader) job(j *Job, n ast.Node) {
	r.system(j, n)
	later := []func(){}
	seen := r.fields(n, "",
		field{"job", r.whole(&j.Version, 1, 1)},
		field{"piece", r.text(&j.Piece, "Tide Clock")},
		field{"scan", r.scan(&j.Scan, &later, j)},
		field{"enlarge", r.enlarge(&j.Enlarge)},
		field{"by_hand", r.byHand(&j.ByHand, &later, j)},
		field{"pieces", r.pieces(&j.Pieces)},
		field{"limits", r.limits(&j.Limits)},
		field{"metal", r.metal(&j.Metal)},
		field{"shop", r.shop(&j.Shop)},
		field{"haul", optional(r, &j.Haul, "none", r.haul)},
		field{"site", optional(r, &j.Site, "none", r.site)},
		field{"gates", r.gates(&j.Gates)},
		field{"show", r.show(&j.Show)},
		field{"decided", r.decided(&j.Decided)},
	)
	r.need(n, "", seen, "scan", "write scan: {file: NAME.stl, unit: mm}")
	r.need(n, "", seen, "enlarge", "write enlarge: with ratio: 10, height: 5.4 m or known: 1 in = 10 in")
	for _, check := range later {
		check()
	}
	if j.Piece == "" {
		j.Piece = title(j.Scan.File)
	}
}

// system looks ahead at metal.system: grade, bars and sheets are defaulted by it,
// wherever it stands in the file. What is wrong with it is said when its turn
// comes.
func (r *reader) system(j *Job, n ast.Node) {
	ahead := &reader{}
	for _, pair := range ahead.pairs(n, "", nil) {
		if pair.Key.GetToken() == nil || pair.Key.GetToken().Value != "metal" || pair.Value == nil {
			continue
		}
		for _, p := range ahead.pairs(pair.Value, "", nil) {
			if t := p.Key.GetToken(); t != nil && t.Value == "system" && p.Value != nil && p.Value.GetToken() != nil && p.Value.GetToken().Value == "metric" {
				j.Metal, j.Shop = metalOf("metric"), shopOf("metric")
			}
		}
	}
}

func (r *reader) scan(s *Scan, later *[]func(), j *Job) read {
	return func(n ast.Node, path string) {
		seen := r.fields(n, path,
			field{"file", r.text(&s.File, "tide-clock.stl")},
			field{"unit", r.choice(&s.Unit, "mm", "cm", "m", "in", "ft")},
			field{"up", r.choice(&s.Up, "+x", "-x", "+y", "-y", "+z", "-z")},
			field{"ground", r.choice(&s.Ground, "lowest")},
			field{"scale_u95", optional(r, &s.ScaleU95, "unknown", func(x *float64) read { return r.share(x, from0To1()) })},
			field{"coating", optional(r, &s.CoatingMM, "unknown", func(x *float64) read { return r.length(x, atLeast0()) })},
			field{"parts", r.scanParts(&s.Parts, later, j)},
		)
		r.need(n, path, seen, "file", "name the scan, relative to the job file")
		r.need(n, path, seen, "unit", "a scan file does not say it: write mm, cm, m, in or ft")
	}
}

func (r *reader) enlarge(e *Enlarge) read {
	return func(n ast.Node, path string) {
		seen := r.fields(n, path,
			field{"ratio", func(n ast.Node, path string) {
				e.Ratio = new(float64)
				r.number(e.Ratio, bound{ratioMin, ratioMax, false, "from 0.01 to 10000: full size over maquette"})(n, path)
			}},
			field{"height", func(n ast.Node, path string) {
				e.HeightMM = new(float64)
				r.length(e.HeightMM, over0())(n, path)
			}},
			field{"known", func(n ast.Node, path string) {
				e.Known = new(Known)
				r.known(e.Known)(n, path)
			}},
			field{"trust", r.choice(&e.Trust, "scan", "by_hand")},
		)
		given := 0
		for _, key := range []string{"ratio", "height", "known"} {
			if seen[key] {
				given++
			}
		}
		if given != 1 {
			what := []string{"none", "", "two", "all three"}[given]
			r.fail(n, path+" has "+what+" of ratio, height and known", "give one of them")
		}
	}
}

// known reads a pair of lengths: maquette = full size.
func (r *reader) known(k *Known) read {
	return func(n ast.Node, path string) {
		advice := "write maquette = full size, like 1 in = 10 in"
		text, ok := r.scalar(n, path, "two lengths", advice)
		if !ok {
			return
		}
		left, right, ok := cutOnce(text, "=")
		if !ok {
			r.fail(n, path+" is "+quoted(text)+", not two lengths", advice)
			return
		}
		for _, side := range []struct {
			text string
			to   *float64
		}{{left, &k.MaquetteMM}, {right, &k.FullMM}} {
			r.lengthOf(n, path, side.text, side.to)
		}
		if ratio := k.FullMM / k.MaquetteMM; r.err == nil && (ratio < ratioMin || ratio > ratioMax) {
			r.fail(n, path+" makes a ratio of "+quantity.Exact(ratio), "write the maquette's length first; the ratio is from 0.01 to 10000")
		}
	}
}
