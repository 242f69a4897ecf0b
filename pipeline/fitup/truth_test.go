package fitup

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh/synthetic"
	"pointup/pipeline/stock"
)

// siteRatio is the scale of made-up scenes: 1:10.
const siteRatio = 10

// made is an assembly at full size as a perfect reading of its scan would give it:
// parts, and contacts with seams where the meshes of two pieces cut each other.
type made struct {
	parts    []stock.Part
	contacts []stock.Contact
	meshes   [][]r3.Vec // vertices of each part's surface, SITE
}

// madeScene takes a scene to full size, its lowest vertex on the ground.
func madeScene(t testing.TB, s synthetic.Scene, edgeMM float64) made {
	t.Helper()
	var out made
	var faces [][][3]uint32
	low := math.Inf(1)
	for _, p := range s.Pieces {
		shell, err := synthetic.Mesh(p.Shape, edgeMM)
		require.NoError(t, err)
		f := newPose(p.Pose.OriginMM, p.Pose.Axis, p.Pose.Ref)
		var at []r3.Vec
		for _, q := range shell.Points {
			v := r3.Scale(siteRatio, f.point(q))
			at = append(at, v)
			low = min(low, v.Z)
		}
		out.meshes, faces = append(out.meshes, at), append(faces, shell.Faces)
	}
	for i, p := range s.Pieces {
		for k := range out.meshes[i] {
			out.meshes[i][k].Z -= low
		}
		out.parts = append(out.parts, truthPart(t, p, i, low, out.meshes[i]))
	}
	var bodies []*body
	for _, p := range out.parts {
		bodies = append(bodies, newBody(p, p, nil))
	}
	for a := range bodies {
		for b := a + 1; b < len(bodies); b++ {
			if c, ok := cutting(bodies, out.meshes, faces, a, b); ok {
				out.contacts = append(out.contacts, c)
			}
		}
	}
	return out
}

// truthPart is a piece as a perfect fit would give it.
func truthPart(t testing.TB, p synthetic.Piece, n int, low float64, at []r3.Vec) stock.Part {
	t.Helper()
	truth, err := synthetic.TruthOf(p)
	require.NoError(t, err)
	site := func(v r3.Vec) r3.Vec { return r3.Sub(r3.Scale(siteRatio, v), r3.Vec{Z: low}) }
	out := stock.Part{ID: fmt.Sprintf("E%02d", n+1), Kind: truth.Kind, Section: truth.Section, Hand: truth.Hand,
		Frame: stock.Frame{OriginMM: site(truth.OriginMM), Axis: truth.Axis, Ref: truth.Ref}}
	dim := func(key string, v float64) stock.Dim {
		if strings.HasSuffix(key, "_mm") {
			v *= siteRatio
		}
		return stock.Dim{Key: key, Value: v, Count: strings.HasSuffix(key, "_count")}
	}
	for _, d := range truth.Dimensions {
		out.Dims = append(out.Dims, dim(d.Key, d.Value))
	}
	steps := func(list []synthetic.Step) []stock.Step {
		var o []stock.Step
		for _, s := range list {
			o = append(o, stock.Step{To: [2]float64{s.To[0] * siteRatio, s.To[1] * siteRatio}, Via: [2]float64{s.Via[0] * siteRatio, s.Via[1] * siteRatio}, Arc: s.Arc})
		}
		return o
	}
	out.Outline = steps(truth.Outline)
	for _, h := range truth.Holes {
		out.Holes = append(out.Holes, stock.Hole{Shape: h.Shape, CentreMM: [2]float64{h.CentreMM[0] * siteRatio, h.CentreMM[1] * siteRatio}, DiameterMM: h.DiameterMM * siteRatio,
			AcrossMM: [2]float64{h.AcrossMM[0] * siteRatio, h.AcrossMM[1] * siteRatio}, AngleDeg: h.AngleDeg, Outline: steps(h.Outline)})
	}
	if x, ok := p.Shape.(synthetic.Profile); ok { // box sections, about their centroid
		for _, h := range x.Openings {
			out.Holes = append(out.Holes, stock.Hole{Shape: "other", Outline: steps(h.Outline)})
		}
	}
	for _, l := range truth.Bends {
		if l.LengthMM > 0 {
			out.Segments = append(out.Segments, stock.Segment{Kind: "straight", Dims: []stock.Dim{dim("length_mm", l.LengthMM)}})
			continue
		}
		out.Segments = append(out.Segments, stock.Segment{Kind: "arc", Dims: []stock.Dim{dim("centreline_diameter_mm", 2*l.RadiusMM), dim("sweep_deg", l.AngleDeg), dim("turn_deg", l.TurnDeg)}})
	}
	f := newPose(p.Pose.OriginMM, p.Pose.Axis, p.Pose.Ref)
	for _, e := range runEnds(p.Shape) {
		out.Ends = append(out.Ends, stock.End{Kind: "square", AtMM: site(f.point(e[0])), Out: f.dir(e[1])})
	}
	for i, v := range at {
		if i == 0 {
			out.BoxMM = [2]r3.Vec{v, v}
		}
		out.BoxMM[0] = r3.Vec{X: min(out.BoxMM[0].X, v.X), Y: min(out.BoxMM[0].Y, v.Y), Z: min(out.BoxMM[0].Z, v.Z)}
		out.BoxMM[1] = r3.Vec{X: max(out.BoxMM[1].X, v.X), Y: max(out.BoxMM[1].Y, v.Y), Z: max(out.BoxMM[1].Z, v.Z)}
	}
	shell, err := synthetic.Mesh(p.Shape, 5)
	require.NoError(t, err)
	out.AreaMM2 = shell.AreaMM2() * siteRatio * siteRatio
	return out
}

// runEnds are the ends of a long piece in its own frame: place and normal. All are
// cut square in these scenes.
func runEnds(s synthetic.Shape) [][2]r3.Vec {
	along := func(l float64) [][2]r3.Vec {
		return [][2]r3.Vec{{{Z: -l / 2}, {Z: -1}}, {{Z: l / 2}, {Z: 1}}}
	}
	switch s := s.(type) {
	case synthetic.Tube:
		return along(s.LengthMM)
	case synthetic.Bar:
		return along(s.LengthMM)
	case synthetic.Profile:
		return along(s.LengthMM)
	case synthetic.Arc:
		r := s.CentrelineDiameterMM / 2
		sin, cos := math.Sincos(s.SweepDeg * math.Pi / 180)
		return [][2]r3.Vec{{{X: r}, {Y: -1}}, {{X: r * cos, Y: r * sin}, {X: -sin, Y: cos}}}
	case synthetic.Coil:
		h := helix{r: s.CentrelineDiameterMM / 2, rise: s.PitchMM / (2 * math.Pi), start: math.Pi * s.Turns, hand: 1}
		l := math.Pi * s.Turns * h.speed()
		p, a := h.at(-l)
		q, b := h.at(l)
		return [][2]r3.Vec{{p, r3.Scale(-1, a)}, {q, b}}
	case synthetic.Bent:
		at, way, in := r3.Vec{}, r3.Vec{Z: 1}, r3.Vec{X: 1}
		for _, l := range s.Legs {
			if l.LengthMM > 0 {
				at = r3.Add(at, r3.Scale(l.LengthMM, way))
				continue
			}
			sin, cos := math.Sincos(l.AngleDeg * math.Pi / 180)
			at = r3.Add(at, r3.Add(r3.Scale(l.RadiusMM*(1-cos), in), r3.Scale(l.RadiusMM*sin, way)))
			way, in = r3.Add(r3.Scale(cos, way), r3.Scale(sin, in)), r3.Sub(r3.Scale(cos, in), r3.Scale(sin, way))
		}
		return [][2]r3.Vec{{{}, {Z: -1}}, {at, way}}
	}
	return nil
}

// cutting is the contact of two parts: where edges of one's mesh pass through the
// surface of the other.
func cutting(bodies []*body, meshes [][]r3.Vec, faces [][][3]uint32, a, b int) (stock.Contact, bool) {
	c := stock.Contact{A: a, B: b, AngleDeg: math.NaN(), GapMM: math.Inf(1)}
	for _, o := range [2][2]int{{a, b}, {b, a}} {
		host := bodies[o[1]]
		far := make([]float64, len(meshes[o[0]]))
		for i, p := range meshes[o[0]] {
			far[i] = math.Inf(1)
			if r3.Norm(r3.Sub(p, host.centre())) < host.reachMM+20 {
				far[i] = host.shape.distance(host.at.local(p))
			}
			c.GapMM = min(c.GapMM, far[i])
		}
		for _, f := range faces[o[0]] {
			for k := range 3 {
				i, j := f[k], f[(k+1)%3]
				if i < j && (far[i] < 0) != (far[j] < 0) && !math.IsInf(far[i]+far[j], 0) {
					t := far[i] / (far[i] - far[j])
					p := r3.Add(r3.Scale(1-t, meshes[o[0]][i]), r3.Scale(t, meshes[o[0]][j]))
					_, na := bodies[a].look(p)
					_, nb := bodies[b].look(p)
					c.Seam = append(c.Seam, stock.SeamAt{Run: 1, PointMM: p, A: na, B: nb})
				}
			}
		}
	}
	if len(c.Seam) == 0 {
		return c, false
	}
	c.Kind, c.GapMM = kindOf(bodies[a], bodies[b], c.Seam)
	_, c.Through = goesThrough(bodies[a], bodies[b], c.GapMM)
	return c, true
}

// kindOf tells a seam along which the surfaces face each other, and how deep the
// parts lie in each other.
func kindOf(a, b *body, seam []stock.SeamAt) (string, float64) {
	deep, facing := math.Inf(1), 0
	for _, s := range thinned(seam, 24) {
		_, v := sink(a, b, s.PointMM, 3)
		deep = min(deep, 2*v)
		if r3.Dot(s.A, s.B) < -0.77 {
			facing++
		}
	}
	if 2*facing > len(thinned(seam, 24)) && deep > -3 {
		return "line", deep
	}
	return a.was.Kind + " on " + b.was.Kind, deep
}

// goesThrough tells a straight part of which both ends are outside the other.
func goesThrough(a, b *body, gap float64) (*body, bool) {
	for _, x := range [2][2]*body{{a, b}, {b, a}} {
		if _, ok := x[0].shape.run.(straight); ok && gap < -3 {
			out := 0
			for _, c := range x[0].shape.cuts {
				if p, _, _ := c.place(); x[1].shape.distance(x[1].at.local(x[0].at.point(p))) > 10 {
					out++
				}
			}
			if out == 2 {
				return x[0], true
			}
		}
	}
	return nil, false
}

// stocked changes the sizes of sections by up to share either way: what is sold
// decides diameters and thicknesses; lengths, outlines and sweeps are cut.
func stocked(parts []stock.Part, share float64, r *rand.Rand) []stock.Part {
	var out []stock.Part
	for _, p := range parts {
		k := func() float64 { return 1 + share*(2*r.Float64()-1) }
		whole, thick := k(), k()
		p.Dims = append([]stock.Dim(nil), p.Dims...)
		for i := range p.Dims {
			d := &p.Dims[i]
			switch d.Key {
			case "outside_diameter_mm", "inside_diameter_mm", "section_diameter_mm", "section_bore_mm", "diameter_mm", "tip_diameter_mm", "root_diameter_mm", "bore_diameter_mm", "large_diameter_mm", "small_diameter_mm":
				d.Value *= whole
			case "wall_mm", "thickness_mm":
				d.Value *= thick
			}
		}
		if p.Kind == "profile" {
			p.Outline = append([]stock.Step(nil), p.Outline...)
			for i := range p.Outline {
				s := &p.Outline[i]
				s.To, s.Via = [2]float64{s.To[0] * whole, s.To[1] * whole}, [2]float64{s.Via[0] * whole, s.Via[1] * whole}
			}
		}
		out = append(out, p)
	}
	return out
}
