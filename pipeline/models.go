package pipeline

import (
	"bytes"
	"cmp"
	"fmt"
	"io"
	"runtime"

	"golang.org/x/sync/errgroup"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh"
	"pointup/pipeline/draw"
	"pointup/pipeline/result"
	"pointup/pipeline/solid"
	"pointup/pipeline/stock"
	"pointup/segment/primitive"
)

// The sets of models: with the sizes that were fitted, and with those of stock in
// the assembly that closes with them.
const (
	asScanned = "as-scanned"
	asStock   = "as-stock"
)

// modelChord is how far triangles of a model leave curved surfaces, mm on the
// maquette: what a scan of it would not tell.
const modelChord = 0.05

// writeModels writes what was asked for of the models, and tells of elements that
// have none.
func (w *work) writeModels(folder *result.Folder, o Outputs) ([]result.Finding, error) {
	if !o.STEP && !o.GLTF && !o.ThreeMF && !o.DXF {
		return nil, nil
	}
	findings, err := w.writeSet(folder, o, asScanned, w.scannedParts())
	if err != nil || w.metal == nil {
		return findings, err
	}
	_, err = w.writeSet(folder, o, asStock, w.metal.assembly.Parts) // what has no solid is the same
	return findings, err
}

// scannedParts are the elements at full size, in their order.
func (w *work) scannedParts() []stock.Part {
	parts := make([]stock.Part, len(w.elements))
	for i := range w.elements {
		parts[i] = w.partAtSite(&w.elements[i])
	}
	return parts
}

// writeSet writes the models of one set of parts, those of an element under its
// id, and tells of parts without a solid. The first set alone holds the scan.
func (w *work) writeSet(folder *result.Folder, o Outputs, set string, parts []stock.Part) ([]result.Finding, error) {
	if len(parts) == 0 {
		return nil, nil
	}
	pieces, findings := w.solids(parts, set == asScanned)
	title, chord := cmp.Or(w.job.Piece, "piece"), modelChord*w.scaled.Ratio
	if o.STEP && len(pieces) > 0 {
		if err := writeSTEP(folder, set, title, pieces); err != nil {
			return nil, err
		}
	}
	if o.DXF && len(pieces) > 0 {
		d, err := wireframe(title, pieces)
		if err != nil {
			return nil, err
		}
		if err := writeModel(folder, set+".dxf", func(b io.Writer) error { return draw.WriteDXF(b, d) }); err != nil {
			return nil, err
		}
	}
	if o.GLTF {
		var scan solid.Mesh
		if set == asScanned {
			var err error
			if scan, err = w.thinScan(); err != nil {
				return nil, err
			}
		}
		if err := writeModel(folder, set+".glb", func(b io.Writer) error { return solid.WriteGLB(b, title, pieces, scan, chord) }); err != nil {
			return nil, err
		}
	}
	if o.ThreeMF && len(solid.Printable(pieces)) > 0 {
		if err := writeModel(folder, set+".3mf", func(b io.Writer) error { return solid.Write3MF(b, title, pieces, 1/w.scaled.Ratio, chord) }); err != nil {
			return nil, err
		}
	}
	return findings, nil
}

// writeModel writes one file of the folder models.
func writeModel(folder *result.Folder, name string, write func(io.Writer) error) error {
	var b bytes.Buffer
	if err := write(&b); err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	return folder.Write("models/"+name, b.Bytes())
}

// thinVertices are those of the scan in a model, all shells together.
const thinVertices = 60000

// thinned is the scan of fewer facets, each shell with its share of the vertices;
// made once.
func (w *work) thinned() ([]*primitive.Patch, error) {
	if w.thin != nil {
		return w.thin, nil
	}
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
	err := g.Wait()
	w.thin = patches
	return patches, err
}

// thinScan is the thinned scan at full size.
func (w *work) thinScan() (solid.Mesh, error) {
	patches, err := w.thinned()
	if err != nil {
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
	if err := writeModel(folder, set+".step", func(b io.Writer) error { return solid.WriteAssembly(b, set+".step", title, pieces) }); err != nil {
		return err
	}
	for _, p := range pieces {
		name := p.Mark + ".step"
		if err := writeModel(folder, set+"/"+name, func(b io.Writer) error { return solid.WritePart(b, name, p) }); err != nil {
			return err
		}
	}
	return nil
}
