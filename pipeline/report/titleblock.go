package report

import "strconv"

// block is the title block of a sheet, with the fields of ISO 7200: those that only
// the reader's office can fill (owner, approval, date, revision) are left to write in.
type block struct {
	Title, Heading, Kind string
	Ident                string // identification number: the scan's, and the sheet's
	By                   string
	Number, Of           int
	Prev, Next, Fig      string // anchors; empty where there is none
	Pick                 string // the element that the sheet is of
}

// sheetRef is a sheet in the contents.
type sheetRef struct {
	Anchor, Heading, Note string
	Number                int
}

// contentsGroup is some of the sheets under one heading.
type contentsGroup struct {
	Heading string
	Sheets  []sheetRef
	Many    bool // in short columns
}

// numberer hands out sheet numbers in the order of the page.
type numberer struct {
	blocks  []*block
	anchors []string
}

// add gives the next number to the sheet at an anchor.
func (n *numberer) add(b *block, anchor, heading, kind string) sheetRef {
	n.blocks, n.anchors = append(n.blocks, b), append(n.anchors, anchor)
	b.Heading, b.Kind, b.Number = heading, kind, len(n.blocks)
	return sheetRef{Anchor: anchor, Heading: heading, Number: b.Number}
}

// finish fills in what is the same on all sheets, and what leads from one to the next.
func (n *numberer) finish(title, scanSHA256, version string) {
	ident := scanSHA256
	if len(ident) > 8 {
		ident = ident[:8]
	}
	for i, b := range n.blocks {
		b.Title, b.Of, b.By, b.Ident = title, len(n.blocks), "pointup", ident+"-"+strconv.Itoa(i+1)
		if version != "" {
			b.By += " " + version
		}
		if i > 0 && n.anchors[1] == "fig1" {
			b.Fig = "fig1"
		}
		if i > 0 {
			b.Prev = n.anchors[i-1]
		}
		if i+1 < len(n.anchors) {
			b.Next = n.anchors[i+1]
		}
	}
}
