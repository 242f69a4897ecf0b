package report

import (
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"pointup/pipeline/result"
)

// Console writes a summary for a terminal: the piece, its elements with their
// sizes at full size, the findings that matter and the gates. It holds no escape
// codes; the error is that of w.
func Console(w io.Writer, doc result.Document) error {
	doc = cleaned(doc)
	var b strings.Builder
	fmt.Fprintf(&b, "%s\n", title(doc))
	fmt.Fprintf(&b, "%s at full size, scale %s from %s\n", heightText(float64(doc.Scale.HeightFullMM)), scaleText(doc.Scale), scaleFrom(doc.Scale.From))
	pieces := count(len(doc.Elements), "piece", "pieces")
	if n := doc.Job.Pieces.Expected; n != nil {
		pieces += fmt.Sprintf(" (%d expected)", *n)
	}
	fmt.Fprintf(&b, "%s in %s; noise %s on the maquette\n", pieces, doc.Scan.File, mm(float64(doc.Scan.NoiseMM), 4))
	consoleElements(&b, doc)
	for _, s := range unassigned(doc) {
		fmt.Fprintf(&b, "\n%s\n", s)
	}
	consoleMetal(&b, doc)
	consoleFindings(&b, doc)
	consoleGates(&b, doc)
	b.WriteString("\nPreliminary: deviations are of the scan. Strength, lifting and public safety need qualified people and local codes.\n")
	_, err := io.WriteString(w, b.String())
	return err
}

// consoleMetal says in three lines what the pieces become.
func consoleMetal(b *strings.Builder, doc result.Document) {
	s := doc.Stock
	if s == nil || len(s.Families) == 0 {
		return
	}
	odd := 0
	for _, f := range s.Families {
		if f.Route != nil {
			odd += len(f.Elements)
		}
	}
	fmt.Fprintf(b, "\nstock (%s): %s of %s, %s not sold as such, %s without; %s net\n", systemName(s.System), count(len(s.Families), "family", "families"),
		count(s.Objective.Sizes, "size", "sizes"), count(odd, "piece", "pieces"), count(s.Missing, "piece", "pieces"), massText(doc))
	if a := s.Assembly; a.Solved {
		fmt.Fprintf(b, "fit-up with stock sizes: gaps and overlaps to %s mm, no piece moved over %s mm\n", fixed(float64(a.GapMM), 2), fixed(float64(a.ShiftMM), 1))
	} else {
		fmt.Fprintf(b, "fit-up with stock sizes: not solved; %s\n", a.WhyNot)
	}
	if c := doc.Cost; c != nil {
		money := ""
		if c.Money != nil {
			money = fmt.Sprintf(", %s %s", fixed(float64(*c.Money), 0), c.Currency)
		}
		fmt.Fprintf(b, "workshop: %s h%s, in %s to %s h; see tables/shop.xlsx\n", fixed(float64(c.Hours), 0), money, fixed(float64(c.HoursLow), 0), fixed(float64(c.HoursHigh), 0))
	}
}

// sizesWidth is where a list of sizes goes on in the next line: with the columns
// before it, about 110 letters.
const sizesWidth = 66

// nameWidth is where a name is cut.
const nameWidth = 18

func consoleElements(b *strings.Builder, doc result.Document) {
	if len(doc.Elements) == 0 {
		return
	}
	t := [][]string{{"id", "name", "kind", "rms mm", "seen", "full size, mm (± half of the 95 % interval)"}}
	for _, e := range doc.Elements {
		rms := noNumber
		if e.Deviation != nil {
			rms = deviationText(float64(e.Deviation.RMSMM))
		}
		for i, line := range broken(consoleSizes(doc, e), sizesWidth) {
			if i == 0 {
				t = append(t, []string{e.ID, cut(e.Name, nameWidth), words(e.Kind), rms, percent(float64(e.Coverage), 0), line})
			} else {
				t = append(t, []string{"", "", "", "", "", line})
			}
		}
	}
	b.WriteString("\n")
	writeColumns(b, t, "lllrrl")
	if n := incomplete(doc); n != "" {
		fmt.Fprintf(b, "\n%s\n", n)
	}
}

// consoleSizes are the sizes a buyer asks for: an inside diameter follows from
// the outside and the wall.
func consoleSizes(doc result.Document, e result.Element) []string {
	var out []string
	for _, d := range dimensions(doc, e) {
		if d.Name == "inside diameter" && e.FullSize.Get("wall_mm") != nil {
			continue
		}
		s := d.Name + " " + strings.TrimSuffix(d.Full, " mm")
		if d.FullU95 != noNumber {
			s = d.Name + " " + strings.TrimSuffix(strings.TrimSuffix(d.Full, " mm"), "°") + " ± " + strings.TrimSuffix(d.FullU95, " mm")
		}
		out = append(out, s)
	}
	if len(out) == 0 {
		return []string{noNumber}
	}
	return out
}

func consoleFindings(b *strings.Builder, doc result.Document) {
	notes := 0
	head := "\nFindings\n"
	for _, severity := range []string{"serious", "warning"} {
		for _, f := range findingsOf(doc, severity) {
			b.WriteString(head)
			head = ""
			fmt.Fprintf(b, "  %-7s  %s", severity, f.What)
			if f.Do != "" {
				fmt.Fprintf(b, "\n           %s", f.Do)
			}
			b.WriteString("\n")
		}
	}
	for _, f := range doc.Scan.Findings {
		if f.Severity != "serious" && f.Severity != "warning" {
			notes++
		}
	}
	if notes > 0 {
		fmt.Fprintf(b, "%s  %s in the report\n", head, count(notes, "note", "notes"))
	}
}

func consoleGates(b *strings.Builder, doc result.Document) {
	if len(doc.Gates) == 0 {
		return
	}
	t := [][]string{{"gate", "found", "limit", ""}}
	for _, g := range doc.Gates {
		outcome := "passed"
		if !g.Passed {
			outcome = "FAILED"
		}
		t = append(t, []string{g.Name, gateValue(g.Name, float64(g.Value)), gateValue(g.Name, float64(g.Limit)), outcome})
	}
	b.WriteString("\n")
	writeColumns(b, t, "lrrl")
}

// broken joins parts with commas into lines of at most width letters; a part
// that is longer stands alone.
func broken(parts []string, width int) []string {
	var lines []string
	for i, p := range parts {
		if i < len(parts)-1 {
			p += ","
		}
		n := len(lines) - 1
		if n >= 0 && utf8.RuneCountInString(lines[n])+1+utf8.RuneCountInString(p) <= width {
			lines[n] += " " + p
			continue
		}
		lines = append(lines, p)
	}
	return lines
}

// writeColumns writes rows in columns, l to the left and r to the right; a column
// that is empty but for its head is left out.
func writeColumns(b *strings.Builder, rows [][]string, align string) {
	width := make([]int, len(align))
	for k := range align {
		filled := 0
		for i, r := range rows {
			width[k] = max(width[k], utf8.RuneCountInString(r[k]))
			if i > 0 {
				filled += len(r[k])
			}
		}
		if filled == 0 {
			width[k] = -1
		}
	}
	for _, r := range rows {
		line := ""
		for k, cell := range r {
			if width[k] < 0 {
				continue
			}
			pad := strings.Repeat(" ", width[k]-utf8.RuneCountInString(cell))
			if align[k] == 'r' {
				cell = pad + cell
			} else {
				cell += pad
			}
			line += "  " + cell
		}
		b.WriteString(strings.TrimRight(line, " ") + "\n")
	}
}

// cut shortens s to n letters.
func cut(s string, n int) string {
	r := []rune(s)
	if len(r) <= n {
		return s
	}
	return string(r[:n-1]) + "…"
}
