package report

import (
	"strings"

	"pointup/pipeline/result"
)

// setSheet is a sheet of the set that holds one or more parts.
type setSheet struct {
	Block block
	Parts []part
}

// together are parts that share a sheet, under the heading of the first of them.
func together(first string) (heading string, others []string) {
	if first == "scan" {
		return "Scan, scale and gates", []string{"scale", "gates"}
	}
	return "", nil
}

// sheetsOf puts parts on sheets, in their order.
func sheetsOf(parts []part) []*setSheet {
	var out []*setSheet
	for i := 0; i < len(parts); i++ {
		s := &setSheet{Parts: []part{parts[i]}}
		heading, others := together(parts[i].ID)
		for len(others) > 0 && i+1 < len(parts) && parts[i+1].ID == others[0] {
			i++
			s.Parts, others = append(s.Parts, parts[i]), others[1:]
		}
		s.Block.Heading = parts[i].Heading
		if len(s.Parts) > 1 {
			s.Block.Heading = heading
		}
		out = append(out, s)
	}
	return out
}

// numberSheets numbers the sheets of p and makes its contents.
func numberSheets(p *page, doc result.Document) {
	var n numberer
	whole := contentsGroup{Heading: "The whole"}
	n.add(&p.CoverBlock, "cover", "Cover", "Cover and contents")
	if p.Turn != nil {
		whole.Sheets = append(whole.Sheets, n.add(&p.TurnBlock, "fig1", "Fig. 1: the piece, to be turned and drawn apart", "Figure"))
	}
	whole.Sheets = append(whole.Sheets, n.add(&p.ScheduleBlock, "elements", "The pieces and their sizes", "Schedule of pieces"))
	if len(p.Sides) > 0 {
		whole.Sheets = append(whole.Sheets, n.add(&p.SidesBlock, "sides", "The work at full size, from four sides", "Pictures"))
	}
	pieces := contentsGroup{Heading: "A sheet for each piece", Many: true}
	for i := range p.Elements {
		e := &p.Elements[i]
		ref := n.add(&e.Block, e.Anchor, strings.TrimSpace(e.ID+" "+e.Name), "Sheet of a piece")
		ref.Note, e.Block.Pick = e.Kind, e.ID
		pieces.Sheets = append(pieces.Sheets, ref)
		p.Rows[i].Sheet = ref.Number
	}
	work := contentsGroup{Heading: "The work"}
	if p.Connections != nil {
		work.Sheets = append(work.Sheets, n.add(&p.ConnectionsBlock, "connections", "How the pieces meet", "Diagram and table"))
	}
	for _, s := range p.Sheets {
		work.Sheets = append(work.Sheets, n.add(&s.Block, s.Parts[0].ID, s.Block.Heading, "Tables"))
	}
	n.finish(p.Title, doc.Scan.SHA256, doc.Version)
	for _, g := range []contentsGroup{whole, pieces, work} {
		if len(g.Sheets) > 0 {
			p.Contents = append(p.Contents, g)
		}
	}
}
