package report

import (
	_ "embed"
	"slices"

	"pointup/pipeline/job"
	"pointup/pipeline/result"
)

//go:embed correct.html
var correctHTML string

//go:embed correct.js
var correctJS string

// correctable is what the page needs to hand back a corrected job file: the text
// about the parts that can be corrected, and these.
type correctable struct {
	File     string              `json:"file"`
	Unit     string              `json:"unit"` // of points
	Before   string              `json:"before"`
	After    string              `json:"after"`
	Expected *int                `json:"expected"`
	Rows     []job.Row           `json:"rows"`
	Join     [][]job.Ref         `json:"join"`
	Part     [][][3]float64      `json:"part"`
	Decided  []job.Decided       `json:"decided"`
	Kinds    []string            `json:"kinds"`
	Stock    map[string][]string `json:"stock"` // what may be pinned, by piece
}

// correctableOf returns the settled job with its pieces named by id, so that a
// name can be changed without losing what else the job says of the piece.
func correctableOf(doc result.Document) correctable {
	j := byID(doc.Job)
	before, after := job.Around(j)
	return correctable{
		File: job.OutName, Unit: j.Scan.Unit, Before: before, After: after, Expected: j.Pieces.Expected,
		Rows: j.Pieces.Rows, Join: j.Pieces.Join, Part: j.Pieces.Part, Decided: j.Decided,
		Kinds: job.Kinds(), Stock: pinnable(doc.Stock),
	}
}

// byID returns the job with each name of a piece outside of its row replaced by
// the row's id.
func byID(j job.Job) job.Job {
	ids := map[string]string{}
	for _, r := range j.Pieces.Rows {
		if r.Name != "" && r.ID != "" {
			ids[r.Name] = r.ID
		}
	}
	of := func(name string) string {
		if id, ok := ids[name]; ok {
			return id
		}
		return name
	}
	j.ByHand = slices.Clone(j.ByHand)
	for i := range j.ByHand {
		j.ByHand[i].Piece = of(j.ByHand[i].Piece)
	}
	j.Scan.Parts = slices.Clone(j.Scan.Parts)
	for i := range j.Scan.Parts {
		j.Scan.Parts[i].Piece = of(j.Scan.Parts[i].Piece)
	}
	join := make([][]job.Ref, len(j.Pieces.Join))
	for i, refs := range j.Pieces.Join {
		join[i] = slices.Clone(refs)
		for k := range join[i] {
			join[i][k].Name = of(join[i][k].Name)
		}
	}
	j.Pieces.Join = join
	return j
}

// pinnable lists the stock that comes near each piece: what was chosen first.
func pinnable(s *result.Stock) map[string][]string {
	out := map[string][]string{}
	if s == nil {
		return out
	}
	for _, f := range s.Families {
		var marks []string
		add := func(m string) {
			if m != "" && !slices.Contains(marks, m) {
				marks = append(marks, m)
			}
		}
		if f.Stock != nil {
			add(f.Stock.Mark)
		}
		add(f.Nearest)
		add(f.Below)
		add(f.Above)
		for _, id := range f.Elements {
			out[id] = marks
		}
	}
	return out
}
