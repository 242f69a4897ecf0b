package report

import "html/template"

// page is what the template prints: text that is ready, numbers with their
// units, nothing left to decide.
type page struct {
	Title         string
	Cover         []fact
	Decisions     []decision
	MoreDecisions string
	Contents      []link
	Figures       []figure
	DeviationNote string
	Rows          []row
	Unassigned    []string
	Elements      []element
	Connections   *connections
	Parts         []part
	Footer        string
}

type fact struct{ Name, Value, Note string }

// decision is one thing that the reader must settle: what is so, what to do. On is
// what the job calls it; where the job has it among the decided, Settled is true
// and Note what was decided.
type decision struct {
	On, What, Do, Note string
	Settled            bool
}

type link struct{ ID, Text string }

type figure struct {
	ID, Label, Caption, Alt string
	Src                     template.URL
	Width, Height           int
}

// row is an element in the table of elements.
type row struct {
	ID, Anchor, Name, Kind  string
	Span                    int // rows in the table: its dimensions
	Dimensions              []dimension
	RMS, P95, Max, Coverage string
}

// dimension is one size at both scales. In the table of elements Maquette holds
// its interval too.
type dimension struct {
	Name, Maquette, MaquetteU95, Full, FullU95, FeetInches string
}

// element is the section of one element.
type element struct {
	ID, Anchor, Name, Kind string
	Picture                *figure
	FeetInches             bool
	Dimensions             []dimension
	Tables                 []table
	Facts                  []fact
	Notes                  []string
}

type table struct {
	Caption string
	Head    []string
	Rows    [][]string
}

// part is a section after the elements.
type part struct {
	ID, Heading string
	Text        []string
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
