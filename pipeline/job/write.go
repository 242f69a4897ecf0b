package job

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"pointup/pipeline/quantity"
)

// Write prints a resolved job as a job file: every default explicit, lengths in
// mm, always the same bytes for the same job. Parse reads it back to an equal job.
// It refuses a job that Parse would refuse.
func Write(j Job) ([]byte, error) {
	data := []byte(text(j))
	back, err := Parse(OutName, data)
	if err != nil {
		return nil, fmt.Errorf("job: write: %w", err)
	}
	if text(back) != string(data) {
		return nil, errors.New("job: write: the job does not read back as it is; a text in it has a line break or blanks at an end")
	}
	return data, nil
}

// text prints the job, one section after the other in the order of the type.
func text(j Job) string {
	before, after := Around(j)
	var b strings.Builder
	b.WriteString(before)
	fmt.Fprintf(&b, "pieces:\n  expected: %s\n", given(j.Pieces.Expected, "unknown", strconv.Itoa))
	block(&b, "  ", "rows", j.Pieces.Rows, rowText)
	block(&b, "  ", "join", j.Pieces.Join, func(refs []Ref) string { return list(refs, refText) })
	block(&b, "  ", "part", j.Pieces.Part, func(points [][3]float64) string { return list(points, pointText) })
	b.WriteString(after)
	block(&b, "", "decided", j.Decided, decidedText)
	return b.String()
}

// Around returns what a job file holds before its section pieces and between that
// and its last one, decided: who corrects these two has the rest as it was.
func Around(j Job) (before, after string) {
	var b strings.Builder
	line := func(format string, a ...any) { fmt.Fprintf(&b, format+"\n", a...) }
	line("job: %d", j.Version)
	if j.Piece != "" {
		line("piece: %s", word(j.Piece))
	}
	line("scan: %s", scanText(j.Scan))
	line("enlarge: %s", enlargeText(j.Enlarge))
	block(&b, "", "by_hand", j.ByHand, measuredText)
	before = b.String()
	b.Reset()
	l := j.Limits
	line("limits: %s", flow("form", quantity.ShareText(l.Form), "surface", quantity.LengthText(l.SurfaceMM), "work", word(l.Work),
		"stock_change", flow("share", quantity.ShareText(l.StockChange.Share), "size", quantity.LengthText(l.StockChange.SizeMM))))
	m := j.Metal
	line("metal: %s", flow("system", m.System, "grade", word(m.Grade), "finish", word(m.Finish), "wall_min", quantity.LengthText(m.WallMinMM), "tables", list(m.Tables, word), "ban", list(m.Ban, word)))
	writeShop(&b, j.Shop)
	line("haul: %s", given(j.Haul, "none", haulText))
	line("site: %s", given(j.Site, "none", siteText))
	line("gates: %s", gatesText(j.Gates))
	line("show: %s", flow("units", j.Show.Units))
	return before, b.String()
}

func decidedText(d Decided) string {
	if d.Note == "" {
		return flow("on", word(d.On))
	}
	return flow("on", word(d.On), "note", word(d.Note))
}

func scanText(s Scan) string {
	pairs := []string{"file", word(s.File), "unit", s.Unit, "up", s.Up, "ground", s.Ground,
		"scale_u95", given(s.ScaleU95, "unknown", quantity.ShareText), "coating", given(s.CoatingMM, "unknown", quantity.LengthText)}
	if len(s.Parts) > 0 {
		pairs = append(pairs, "parts", list(s.Parts, func(p ScanPart) string { return flow("file", word(p.File), "unit", p.Unit, "piece", word(p.Piece)) }))
	}
	return flow(pairs...)
}

func enlargeText(e Enlarge) string {
	pairs := []string{}
	switch {
	case e.Ratio != nil:
		pairs = append(pairs, "ratio", quantity.Exact(*e.Ratio))
	case e.HeightMM != nil:
		pairs = append(pairs, "height", quantity.LengthText(*e.HeightMM))
	case e.Known != nil:
		pairs = append(pairs, "known", quantity.LengthText(e.Known.MaquetteMM)+" = "+quantity.LengthText(e.Known.FullMM))
	}
	return flow(append(pairs, "trust", e.Trust)...)
}

func measuredText(m Measured) string {
	value := quantity.Exact
	switch {
	case strings.HasSuffix(m.Dimension, "_mm"):
		value = quantity.LengthText
	case strings.HasSuffix(m.Dimension, "_deg"):
		value = quantity.AngleText
	}
	return flow("piece", word(m.Piece), "dimension", withoutUnit(m.Dimension), "value", value(m.Value), "u95", given(m.U95, "unknown", value))
}

func rowText(w Row) string {
	pairs := []string{}
	add := func(key, value string) {
		if value != "" {
			pairs = append(pairs, key, value)
		}
	}
	add("id", w.ID)
	add("name", word(w.Name))
	if w.At != nil {
		add("at", pointText(*w.At))
	}
	add("kind", w.Kind)
	add("stock", word(w.Stock))
	add("made", strconv.FormatBool(w.Made))
	return flow(pairs...)
}

func refText(r Ref) string {
	if r.At != nil {
		return pointText(*r.At)
	}
	return word(r.Name)
}

func pointText(p [3]float64) string { return list(p[:], quantity.Exact) }
