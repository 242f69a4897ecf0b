package mesh

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// openings lists the widest openings one by one and sums the rest.
func (c *checking) openings() []Finding {
	loops := c.report.Loops
	most := min(len(loops), max(0, c.opt.LoopsMost))
	var out []Finding
	for _, l := range loops[:most] {
		out = append(out, c.opening(l))
	}
	if rest := loops[most:]; len(rest) > 0 {
		sum := 0.0
		for _, l := range rest {
			sum += l.LengthMM
		}
		at := array(rest[0].CentreMM)
		out = append(out, Finding{Code: "open-boundary-more", Severity: severityOf(c.mesh, rest[0]), WhereMM: &at,
			What:   fmt.Sprintf("%s, the widest %s across, %s of edge in all", countText(len(rest), "more opening", "more openings"), lengthText(rest[0].SpanMM), lengthText(sum)),
			Advice: "mend the wide ones first"})
	}
	return out
}

func (c *checking) opening(l Loop) Finding {
	at := array(l.CentreMM)
	side := side(l.CapMM2, c.opt.Up)
	return Finding{Code: "open-boundary", Severity: severityOf(c.mesh, l), WhereMM: &at,
		What:   fmt.Sprintf("an opening %s across, %s round, on the %s", lengthText(l.SpanMM), lengthText(l.LengthMM), side),
		Advice: fmt.Sprintf("rescan the %s: an opening %s across at %s", side, lengthText(l.SpanMM), placeText(at))}
}

// An opening narrower than a tenth of its shell leaves the shape in no doubt;
// one of half of it may hide an end or a bore.
const (
	openingNarrow = 0.1
	openingWide   = 0.5
)

func severityOf(m *Mesh, l Loop) string {
	share := l.SpanMM / math.Max(m.Components[l.Component].DiagonalMM(), math.SmallestNonzeroFloat64)
	switch {
	case share < openingNarrow:
		return "note"
	case share < openingWide:
		return "warning"
	default:
		return "serious"
	}
}

// side names the side that an opening looks to.
func side(cap r3.Vec, up string) string {
	rows, err := upRows(up)
	if n := r3.Norm(cap); err == nil && n > 0 {
		switch u := r3.Dot(cap, rows[2]) / n; {
		case u < -0.7:
			return "underside"
		case u > 0.7:
			return "top"
		}
	}
	name, most := "+x side", cap.X
	for _, s := range [...]struct {
		name string
		x    float64
	}{{"-x side", -cap.X}, {"+y side", cap.Y}, {"-y side", -cap.Y}, {"+z side", cap.Z}, {"-z side", -cap.Z}} {
		if s.x > most {
			name, most = s.name, s.x
		}
	}
	return name
}
