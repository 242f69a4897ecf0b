package pipeline

import (
	"bytes"
	"cmp"
	"fmt"
	"math"
	"runtime"
	"strings"

	"golang.org/x/sync/errgroup"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh"
	"pointup/pipeline/result"
	"pointup/pipeline/solid"
	"pointup/pipeline/stock"
	"pointup/segment/primitive"
)

// solids are the elements as true solids at full size, in their order. An element
// of which no solid can be made is left out, and a finding says so.
func (w *work) solids() ([]solid.Piece, []result.Finding) {
	var out []solid.Piece
	var findings []result.Finding
	for i := range w.elements {
		e := &w.elements[i]
		part := w.partAtSite(e)
		best, off, err := w.nearestSolid(part, e)
		if best.shape == nil {
			findings = append(findings, result.Finding{Code: "no-solid", Severity: "note",
				What:   fmt.Sprintf("%s has no solid model: %s", e.id, whyNoSolid(e, err)),
				Advice: "draw it from the scan, or give its kind in the job"})
			continue
		}
		p := pieceFor(part, best, w.job.Metal.Grade)
		if limit := max(w.scaled.Ratio*modelOff*e.RMSMM, modelShare*w.partSize(part)); off > limit {
			p.Notes = append(p.Notes, fmt.Sprintf("the model leaves the fitted surface by up to %.1f mm", off))
		}
		out = append(out, p)
	}
	return out, findings
}

// A model may leave the fitted surface by this many standard deviations of the
// scan, or this share of the part's size, before a note says so: at the cut
// corners of ends and the flanks of teeth it always does.
const (
	modelOff   = 6
	modelShare = 0.005
)

func (w *work) partSize(p stock.Part) float64 { return r3.Norm(r3.Sub(p.BoxMM[1], p.BoxMM[0])) }

func whyNoSolid(e *element, err error) string {
	switch {
	case e.Kind == "freeform":
		return "it is freeform"
	case err != nil:
		return err.Error()
	}
	return "the scan does not show all that it takes"
}

// nearestSolid is the one of a part's possible solids whose surface lies nearest
// to the element's ideal one, and how far it leaves that, mm at full size; err
// says why there is none.
func (w *work) nearestSolid(part stock.Part, e *element) (best placed, offMM float64, err error) {
	offMM = math.Inf(1)
	for _, c := range solidsOf(part) {
		var m solid.Mesh
		if _, err = c.shape.Body(); err != nil {
			continue
		}
		if m, err = c.shape.Mesh(0.002 * w.partSize(part)); err != nil {
			continue
		}
		off := 0.0
		for i := 0; i < len(m.Points); i += len(m.Points)/solidLooks + 1 {
			q := m.Points[i]
			off = max(off, w.scaled.Ratio*math.Abs(e.DistanceMM(w.scanPoint(c.frame.Point(q.X, q.Y, q.Z)))))
		}
		if off < offMM {
			best, offMM = c, off
		}
	}
	if best.shape != nil {
		err = nil
	}
	return best, offMM, err
}

// solidLooks is how many points tell one solid from another.
const solidLooks = 300

// scanPoint takes a point of SITE back to SCAN.
func (w *work) scanPoint(p r3.Vec) r3.Vec {
	m := w.scaled.SiteFromScan
	k := 1 / (w.scaled.Ratio * w.scaled.Ratio) // rows are a rotation times the ratio
	d := r3.Vec{X: p.X - m[0][3], Y: p.Y - m[1][3], Z: p.Z - m[2][3]}
	return r3.Vec{
		X: k * (m[0][0]*d.X + m[1][0]*d.Y + m[2][0]*d.Z),
		Y: k * (m[0][1]*d.X + m[1][1]*d.Y + m[2][1]*d.Z),
		Z: k * (m[0][2]*d.X + m[1][2]*d.Y + m[2][2]*d.Z),
	}
}

// steel is the colour of the models: one, since kinds have names.
var steel = [3]uint8{152, 158, 163}

// pieceFor is a part as a solid with what a drafter needs to know of it.
func pieceFor(part stock.Part, at placed, grade string) solid.Piece {
	p := solid.Piece{Mark: part.ID, Name: part.Name, Kind: part.Kind, Material: grade, Colour: steel, Frame: at.frame, Shape: at.shape}
	for _, d := range part.Dims {
		x := solid.Prop{Key: d.Key, Num: math.Round(d.Value*1e4) / 1e4}
		switch {
		case strings.HasSuffix(d.Key, "_mm"):
			x.Unit = "mm"
		case strings.HasSuffix(d.Key, "_deg"):
			x.Unit = "deg"
		}
		p.Props = append(p.Props, x)
	}
	if len(part.Hidden) > 0 {
		p.Notes = append(p.Notes, "not seen by the scan: "+strings.Join(part.Hidden, ", "))
	}
	return p
}

// modelChord is how far triangles of a model leave curved surfaces, mm on the
// maquette: what a scan of it would not tell.
const modelChord = 0.05

// writeModels writes what was asked for of the models, and tells of elements that
// have none.
func (w *work) writeModels(folder *result.Folder, doc *result.Document, o Outputs) error {
	if !o.STEP && !o.GLTF && !o.ThreeMF || len(w.elements) == 0 {
		return nil
	}
	const set = "as-scanned"
	pieces, findings := w.solids()
	doc.Scan.Findings = append(doc.Scan.Findings, findings...)
	title := cmp.Or(w.job.Piece, "piece")
	if o.STEP && len(pieces) > 0 {
		if err := writeSTEP(folder, set, title, pieces); err != nil {
			return err
		}
	}
	var b bytes.Buffer
	if o.GLTF {
		scan, err := w.thinScan()
		if err != nil {
			return err
		}
		if err := solid.WriteGLB(&b, title, pieces, scan, modelChord*w.scaled.Ratio); err != nil {
			return fmt.Errorf("%s.glb: %w", set, err)
		}
		if err := folder.Write("models/"+set+".glb", b.Bytes()); err != nil {
			return err
		}
	}
	b.Reset()
	if o.ThreeMF && len(pieces) > 0 {
		if err := solid.Write3MF(&b, title, pieces, 1/w.scaled.Ratio, modelChord*w.scaled.Ratio); err != nil {
			return fmt.Errorf("%s.3mf: %w", set, err)
		}
		return folder.Write("models/"+set+".3mf", b.Bytes())
	}
	return nil
}

// thinVertices are those of the scan in a model, all shells together.
const thinVertices = 60000

// thinScan is the scan at full size, each shell with its share of the vertices.
func (w *work) thinScan() (solid.Mesh, error) {
	patches := make([]*primitive.Patch, len(w.parts.Shells))
	var g errgroup.Group
	g.SetLimit(runtime.GOMAXPROCS(0))
	for i, s := range w.parts.Shells {
		g.Go(mesh.Guarded(func() error {
			share := max(200, thinVertices*len(s.Points)/max(len(w.scaled.Points), 1))
			patches[i] = primitive.Coarsen(w.scaled.Mesh, s.Faces, s.Points, w.report.NoiseMM, share)
			return nil
		}))
	}
	if err := g.Wait(); err != nil {
		return solid.Mesh{}, err
	}
	var out solid.Mesh
	for _, p := range patches {
		first := uint32(len(out.Points))
		for _, q := range p.P {
			out.Points = append(out.Points, w.scaled.SiteMM(r3.Add(q, p.OriginMM)))
		}
		for _, t := range p.Facet {
			out.Triangles = append(out.Triangles, [3]uint32{first + uint32(t[0]), first + uint32(t[1]), first + uint32(t[2])})
		}
	}
	return out, nil
}

// writeSTEP writes the assembly and a file a piece.
func writeSTEP(folder *result.Folder, set, title string, pieces []solid.Piece) error {
	var b bytes.Buffer
	if err := solid.WriteAssembly(&b, set+".step", title, pieces); err != nil {
		return fmt.Errorf("%s.step: %w", set, err)
	}
	if err := folder.Write("models/"+set+".step", b.Bytes()); err != nil {
		return err
	}
	for _, p := range pieces {
		b.Reset()
		name := p.Mark + ".step"
		if err := solid.WritePart(&b, name, p); err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
		if err := folder.Write("models/"+set+"/"+name, b.Bytes()); err != nil {
			return err
		}
	}
	return nil
}
