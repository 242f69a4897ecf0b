package report

import "html/template"

// page is what the template prints: text that is ready, numbers with their
// units, nothing left to decide.
type page struct {
	Title, Lead   string
	Cover         []fact
	Decisions     []decision
	MoreDecisions string
	Hero          *figure
	Contents      []contentsGroup
	Turn          *turned
	Sides         []figure
	DeviationNote string
	Rows          []row
	Spreads       []spread
	SpreadNote    string
	Unassigned    []string
	Elements      []element
	Connections   *connections
	Sheets        []*setSheet
	Footer        string
	Correct       correctable
	CorrectScript template.JS
	Policy        string

	CoverBlock, TurnBlock, ScheduleBlock, SidesBlock, ConnectionsBlock block
}

type fact struct{ Name, Value, Note string }

// decision is one thing that the reader must settle: what is so, what to do. On is
// what the job calls it; where the job has it among the decided, Settled is true
// and Note what was decided.
type decision struct {
	On, What, Do, Note string
	Settled            bool
}

// fileRef leads to a file beside the page.
type fileRef struct{ Href, Text, What string }

// spread is the histogram of an element beside those of the others.
type spread struct {
	Anchor, Label, Worst string
	Drawing              drawing
}

type figure struct {
	ID, Label, Caption, Alt string
	Src                     template.URL
	Width, Height           int
}

// row is an element in the table of elements.
type row struct {
	ID, Anchor, Name, Kind  string
	Sheet                   int
	Span                    int // rows in the table: its dimensions
	Dimensions              []dimension
	RMS, P95, Max, Coverage string
}

// dimension is one size at both scales. In the table of elements Maquette holds
// its interval too.
type dimension struct {
	Key, Name, Maquette, MaquetteU95, Full, FullU95, FeetInches, Stock, Change string
}

// element is the section of one element.
type element struct {
	ID, Anchor, Name, Kind string
	Picture                *figure
	Block                  block
	FeetInches, Sold       bool // the columns of the table of dimensions
	Dimensions             []dimension
	Sketch                 template.HTML
	Spread                 *drawing
	Seen                   seen
	Tables                 []table
	Facts                  []fact
	Notes                  []string
	Files                  []fileRef
}

// seen is the share of an element's surface that the scan covers.
type seen struct {
	Text  string
	Width int // of 100
}

type table struct {
	Caption string
	Head    []string
	Rows    [][]string
}

// Right tells of each column whether it holds numbers and so is set to the right.
func (t table) Right() []bool {
	out := make([]bool, len(t.Head))
	for k := range out {
		any := false
		out[k] = k > 0
		for _, r := range t.Rows {
			if k < len(r) && r[k] != noNumber && r[k] != "" {
				any = true
				out[k] = out[k] && isNumber(r[k])
			}
		}
		out[k] = out[k] && any
	}
	return out
}

// part is a section after the elements.
type part struct {
	ID, Heading string
	Text        []string
	Figures     []figure
	Drawings    []drawing
	Tables      []table
	List        []string
}

// drawing is one of lines, in the page itself. SVG is of our own making: its root
// element with a viewBox, and no text of a user that is not escaped.
type drawing struct {
	SVG          template.HTML
	Caption, Alt string
}
