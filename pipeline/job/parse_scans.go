package job

import "github.com/goccy/go-yaml/ast"

// scanParts reads the closer scans of single pieces. That each names a piece is
// looked at last, when the pieces are known.
func (r *reader) scanParts(to *[]ScanPart, later *[]func(), j *Job) read {
	return func(n ast.Node, path string) {
		*to = nil
		r.items(n, path, func(n ast.Node, path string) {
			var p ScanPart
			var piece ast.Node
			seen := r.fields(n, path,
				field{"file", r.text(&p.File, "mast-close.stl")},
				field{"unit", r.choice(&p.Unit, "mm", "cm", "m", "in", "ft")},
				field{"piece", func(n ast.Node, path string) {
					piece = n
					r.text(&p.Piece, "mast")(n, path)
				}},
			)
			r.need(n, path, seen, "file", "name the closer scan, relative to the job file")
			r.need(n, path, seen, "unit", "a scan file does not say it: write mm, cm, m, in or ft")
			r.need(n, path, seen, "piece", "name the piece as in pieces.rows, or its id")
			*later = append(*later, func() {
				if piece != nil {
					r.piece(piece, under(path, "piece"), p.Piece, j.Pieces.Rows)
				}
			})
			*to = append(*to, p)
		})
	}
}
