package mesh

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// findings returns what the user should know, in a fixed order: what was lost,
// what was changed, what is missing, what is doubtful.
func (c *checking) findings() []Finding {
	var out []Finding
	add := func(f Finding, ok bool) {
		if ok {
			out = append(out, f)
		}
	}
	add(c.degenerate())
	add(c.duplicates())
	add(c.welded())
	add(c.dust())
	add(c.mixedWinding())
	add(c.insideOut())
	add(c.oneSided())
	add(c.cavity())
	add(c.nonmanifoldEdges())
	out = append(out, c.openings()...)
	add(c.slivers())
	add(c.noiseUnknown())
	return out
}

// middle returns the middle of some vertices, for a finding's place.
func (m *Mesh) middle(vertices ...uint32) *[3]float64 {
	var sum r3.Vec
	for _, v := range vertices {
		sum = r3.Add(sum, m.At(v))
	}
	at := array(r3.Scale(1/float64(len(vertices)), sum))
	return &at
}

func (c *checking) degenerate() (Finding, bool) {
	n := c.report.DegenerateFacets
	f := Finding{Code: "degenerate-facets", Severity: "note",
		What:   countText(n, "facet has no area and was", "facets have no area and were") + " left out",
		Advice: "nothing to do; if there are many, export again at full precision"}
	if n == 0 {
		return f, false
	}
	if c.dropped.flat > 0 {
		f.WhereMM = c.mesh.middle(c.dropped.flatAt[:]...)
	} else {
		f.WhereMM = c.mesh.middle(c.dropped.equalAt)
	}
	return f, true
}

func (c *checking) duplicates() (Finding, bool) {
	n := c.dropped.copies
	f := Finding{Code: "duplicate-facets", Severity: "note",
		What:   countText(n, "facet is a second copy and was", "facets are second copies and were") + " left out",
		Advice: "nothing to do; merge overlapping scans once only"}
	if n == 0 {
		return f, false
	}
	if c.dropped.reversed > 0 {
		f.What += fmt.Sprintf(", %d of them facing the other way", c.dropped.reversed)
	}
	f.WhereMM = c.mesh.middle(c.dropped.copyAt[:]...)
	return f, true
}

func (c *checking) welded() (Finding, bool) {
	tol := weldShare * c.report.EdgeMedianMM
	n := c.report.WeldedVertices
	return Finding{Code: "welded-vertices", Severity: "note",
		What:   fmt.Sprintf("%s on open edges merged with a neighbour within %s", countText(n, "vertex was", "vertices were"), lengthText(tol)),
		Advice: "nothing to do; a binary file keeps the corners of neighbouring facets equal"}, n > 0
}

func (c *checking) dust() (Finding, bool) {
	n, m := c.report.DustShells, c.mesh
	if n == 0 {
		return Finding{}, false
	}
	var big *Component
	for i := range m.Components {
		if d := &m.Components[i]; d.Dust && (big == nil || d.AreaMM2 > big.AreaMM2) {
			big = d
		}
	}
	at := array(big.CentroidMM)
	return Finding{Code: "dust", Severity: "note", WhereMM: &at,
		What: fmt.Sprintf("%s of %s set aside as dust; the biggest has %s of surface in %s",
			countText(n, "speck", "specks"), countText(c.report.DustFacets, "facet was", "facets in all were"), areaText(big.AreaMM2), countText(big.Facets, "facet", "facets")),
		Advice: "look at the biggest; if it is a piece of metal, scan it finer"}, true
}

func (c *checking) mixedWinding() (Finding, bool) {
	n := c.winding.flipped
	if n == 0 {
		return Finding{}, false
	}
	return Finding{Code: "mixed-winding", Severity: "warning", WhereMM: c.mesh.middle(c.winding.flippedAt[:]...),
		What:   countText(n, "facet was", "facets were") + " wound against the rest of the shell and turned round",
		Advice: "check the deviation there; repair normals in the scanner's software before export"}, true
}

func (c *checking) insideOut() (Finding, bool) {
	n := len(c.winding.turned)
	if n == 0 {
		return Finding{}, false
	}
	shell := c.mesh.Components[c.winding.turned[0]]
	at := array(shell.CentroidMM)
	return Finding{Code: "inside-out", Severity: "warning", WhereMM: &at,
		What:   countText(n, "shell faced inwards and was", "shells faced inwards and were") + " turned round",
		Advice: "nothing to do; if the file was mirrored on export, left and right are exchanged: export it again"}, true
}

func (c *checking) oneSided() (Finding, bool) {
	n := len(c.winding.oneSided)
	if n == 0 {
		return Finding{}, false
	}
	at := array(c.mesh.Components[c.winding.oneSided[0]].CentroidMM)
	return Finding{Code: "one-sided", Severity: "serious", WhereMM: &at,
		What:   countText(n, "shell has", "shells have") + " no inside and outside: its facets cannot be wound alike",
		Advice: "mesh the scan again; two surfaces are joined crosswise there"}, true
}

func (c *checking) cavity() (Finding, bool) {
	n := len(c.winding.cavities)
	if n == 0 {
		return Finding{}, false
	}
	at := array(c.mesh.Components[c.winding.cavities[0]].CentroidMM)
	return Finding{Code: "cavity", Severity: "note", WhereMM: &at,
		What:   countText(n, "closed shell lies", "closed shells lie") + " inside another and faces inwards: taken for a hollow and left as it is",
		Advice: "if it is a piece of its own, turn its normals in the scanner's software"}, true
}

func (c *checking) nonmanifoldEdges() (Finding, bool) {
	n := len(c.nonmanifold)
	if n == 0 {
		return Finding{}, false
	}
	f := Finding{Code: "nonmanifold-edges", Severity: "note",
		What:   countText(n, "edge is shared by three facets or more", "edges are shared by three facets or more"),
		Advice: "nothing to do: dust sits on them"}
	at := c.nonmanifold[0]
	if left := c.edges.nonmanifold; len(left) > 0 {
		at = left[0]
		f.Severity = "warning"
		f.What += fmt.Sprintf(", %d of them without dust; surfaces are not connected across those", len(left))
		f.Advice = "where pieces touch there, nothing; else repair the mesh or scan the place again"
	}
	f.WhereMM = c.mesh.middle(at[0], at[1])
	return f, true
}

// A sliver is a facet sliverRatio times longer than high and sliverEdges median
// edges long: a span that the scanner did not see and its software bridged.
const (
	sliverRatio = 50
	sliverEdges = 10
)

func (c *checking) slivers() (Finding, bool) {
	m := c.mesh
	if c.edges.mostUnits < 0.999*sliverEdges*c.edges.medianUnits { // for the rounding of either
		return Finding{}, false
	}
	bounds := shares(len(m.Faces))
	found := make([]slivers, len(bounds)-1)
	eachFree(bounds, func(k, lo, hi int) { found[k] = m.sliversAmong(m.Faces[lo:hi], sliverEdges*c.edges.medianUnits) })
	var s slivers
	for _, o := range found {
		if s.n += o.n; o.worst2 > s.worst2 {
			s.worst2, s.at = o.worst2, o.at
		}
	}
	if s.n == 0 {
		return Finding{}, false
	}
	return Finding{Code: "sliver-facets", Severity: "note", WhereMM: m.middle(s.at[:]...),
		What:   fmt.Sprintf("%s over %d times as long as high, the longest %s", countText(s.n, "facet is", "facets are"), sliverRatio, lengthText(math.Sqrt(s.worst2)*m.UnitMM)),
		Advice: "in a drawn model, nothing; in a scan, look for bridged gaps there and scan them again"}, true
}

// slivers counts them; the first of the longest is at three vertices.
type slivers struct {
	n      int
	worst2 float64 // its longest edge squared, file units
	at     [3]uint32
}

func (m *Mesh) sliversAmong(faces [][3]uint32, longUnits float64) (s slivers) {
	for _, t := range faces {
		p, q, r := &m.Points[t[0]], &m.Points[t[1]], &m.Points[t[2]]
		u, v := difference(q, p), difference(r, p)
		edge2 := max(r3.Norm2(u), r3.Norm2(v), r3.Norm2(difference(r, q)))
		if edge2 < longUnits*longUnits || edge2*edge2 < sliverRatio*sliverRatio*r3.Norm2(r3.Cross(u, v)) {
			continue
		}
		if s.n++; edge2 > s.worst2 {
			s.worst2, s.at = edge2, t
		}
	}
	return s
}

func (c *checking) noiseUnknown() (Finding, bool) {
	return Finding{Code: "noise-unknown", Severity: "note",
		What:   "the noise cannot be measured: no vertex has enough smooth surface round it; it is given as 0",
		Advice: "in a drawn model, nothing; a scan needs facets smaller than its smallest piece"}, c.report.Noise.Patches == 0
}
