package report

import (
	"fmt"

	"pointup/pipeline/quantity"
	"pointup/pipeline/result"
)

// parts are the sections after the elements.
func parts(doc result.Document) []part {
	out := append(metalParts(doc), scanPart(doc), scalePart(doc), gatePart(doc), readingPart())
	return append(out, cautionPart())
}

func scanPart(doc result.Document) part {
	s := doc.Scan
	p := part{ID: "scan", Heading: "Scan check"}
	closed := "it is closed"
	if !s.Watertight {
		closed = "it is not closed"
	}
	p.Tables = append(p.Tables, table{
		Caption: "The file " + s.File + ".",
		Head:    []string{"What", "Value"},
		Rows: [][]string{
			{"Facets, vertices", count(s.Triangles, "facet", "facets") + ", " + count(s.Vertices, "vertex", "vertices")},
			{"Connected parts", count(s.Shells, "part", "parts") + ", and " + count(s.DustShells, "loose speck", "loose specks")},
			{"Openings", count(s.BoundaryLoops, "opening", "openings") + ", " + count(s.NonmanifoldEdges, "edge", "edges") + " where more than two facets meet; " + closed},
			{"Size of the maquette", size(s.BoundsMM)},
			{"Median edge of a facet", mm(float64(s.EdgeMedianMM), 3)},
			{"Noise, standard deviation", mm(float64(s.NoiseMM), 4) + " on the maquette, " + mm(float64(s.NoiseMM)*float64(doc.Scale.Ratio), 2) + " at full size"},
		},
	})
	if len(s.Findings) == 0 {
		p.Text = []string{"Nothing was found amiss."}
		return p
	}
	t := table{Caption: "Findings. Places are in the scan, in mm.", Head: []string{"Weight", "What is so", "Where", "What to do", "Code"}}
	for _, severity := range []string{"serious", "warning", "note"} {
		for _, f := range s.Findings {
			if f.Severity == severity || severity == "note" && f.Severity != "serious" && f.Severity != "warning" {
				t.Rows = append(t.Rows, []string{f.Severity, sentence(f.What), place(f.WhereMM), sentence(f.Advice), f.Code})
			}
		}
	}
	p.Tables = append(p.Tables, t)
	return p
}

func size(b result.Bounds) string {
	s := ""
	for k := range 3 {
		if k > 0 {
			s += " × "
		}
		s += mm(float64(b.Max[k]-b.Min[k]), 1)
	}
	return s + " along x, y, z of the scan"
}

func place(p *result.Point) string {
	if p == nil {
		return noNumber
	}
	return fmt.Sprintf("%s, %s, %s mm", fixed(float64(p[0]), 1), fixed(float64(p[1]), 1), fixed(float64(p[2]), 1))
}

func scalePart(doc result.Document) part {
	p := part{ID: "scale", Heading: "Scale"}
	p.Text = []string{
		"Full size is " + quantity.Decimal(float64(doc.Scale.Ratio), 9) + " times the maquette, from " + scaleFrom(doc.Scale.From) + ". The work is " + heightText(float64(doc.Scale.HeightFullMM)) + " high.",
		"Positions at full size are in mm, z up, ground at z = 0, the origin under the middle of the footprint's box. A point of the scan, in mm, is taken there by the rows below: the first three numbers multiply its x, y and z, the last, in mm, is added.",
	}
	t := table{Caption: "From the scan (mm) to the site (mm).", Head: []string{"Site", "× x", "× y", "× z", "+ mm"}}
	for i, row := range doc.Scale.SiteFromScan {
		cells := []string{[]string{"x", "y", "z"}[i]}
		for k, v := range row {
			d := 6
			if k == 3 {
				d = 3
			}
			cells = append(cells, minus(quantity.Decimal(float64(v), d)))
		}
		t.Rows = append(t.Rows, cells)
	}
	p.Tables = []table{t}
	return p
}

func gatePart(doc result.Document) part {
	p := part{ID: "gates", Heading: "Gates", Tables: gateTable(doc)}
	if len(p.Tables) == 0 {
		p.Text = []string{"The job sets none that could be evaluated."}
	}
	return p
}

func readingPart() part {
	return part{ID: "reading", Heading: "How to read the numbers", List: []string{
		"Maquette sizes are what the scan of the maquette gives, in mm: the least-squares size of the ideal shape, so that dents and an oval section do not count. Full-size lengths are those times the ratio; angles and counts stay.",
		"± is the half-width of the 95 % interval: with the causes that were counted, the true size lies within it 19 times of 20. At full size it grows with the ratio. Where a cause was not given, the scan check says that it is not counted.",
		"Deviation is scan minus ideal shape, square to the surface, in mm at full size, plus outside. rms is its root mean square, p95 the size that 95 % of the surface does not exceed, max the largest after single spikes were taken out.",
		"Deviation describes the maquette and its scan. It is not a tolerance, and it says nothing of how exactly the work can be or has been built.",
		"Form, such as roundness, is how far the maquette itself departs from the ideal shape, less what noise alone would show. It is not part of ±.",
		"Seen is the share of the ideal surface that the scan covers. A low one makes sizes and ends less sure, and ± wider.",
		"Feet and inches are rounded to 1/16 in. Work from the mm.",
	}}
}

func cautionPart() part {
	return part{ID: "cautions", Heading: "Cautions", List: []string{
		"All sizes here are of the scan. No judgement has been made of structure, lifting, wind or public safety; qualified people and the codes of the place decide on those.",
		"This is a preliminary reading. Check every size that matters on the maquette before metal is ordered or cut.",
		"Enlarging lengths by a ratio multiplies areas by its square and masses by its cube. A wall, a joint or a foot that serves the maquette may not serve the work.",
		"Strength, stability, wind, foundations and whatever people may touch, climb or walk under are for a licensed engineer, by the code in force where the work will stand.",
		"Lifting, rigging and transport of pieces of this size can kill. Leave their planning and doing to qualified people, with equipment that is rated and inspected, by local rules.",
		"Welding, cutting and coating have rules of their own for safety and for quality; the shop has to follow those that hold where it works.",
	}}
}
