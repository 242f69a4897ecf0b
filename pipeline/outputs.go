package pipeline

import (
	"cmp"
	"context"
	"fmt"
	"io"
	"maps"
	"math"
	"path"
	"slices"
	"strings"
	"sync"

	"golang.org/x/sync/errgroup"

	"pointup/mesh"
	"pointup/mesh/scanfile"
	"pointup/pipeline/job"
	"pointup/pipeline/report"
	"pointup/pipeline/result"
	"pointup/pipeline/sheet"
)

// Outputs says which files are written beside result.json, which always is.
type Outputs struct{ CSV, PLY, Page, Pictures, Job, STEP, GLTF, ThreeMF, DXF, Tables, Patterns, Drawings bool }

// AllOutputs writes everything.
func AllOutputs() Outputs {
	return Outputs{true, true, true, true, true, true, true, true, true, true, true, true}
}

// OutputNames are the names that --only takes.
func OutputNames() []string {
	return []string{"json", "csv", "ply", "page", "pictures", "job", "step", "gltf", "3mf", "dxf", "tables", "patterns", "drawings"}
}

// OnlyOutputs reads a list of names; result.json is always among them.
func OnlyOutputs(names []string) (Outputs, error) {
	var o Outputs
	for _, n := range names {
		switch n {
		case "json":
		case "csv":
			o.CSV = true
		case "ply":
			o.PLY = true
		case "page":
			o.Page = true
		case "pictures":
			o.Pictures = true
		case "job":
			o.Job = true
		case "step":
			o.STEP = true
		case "gltf":
			o.GLTF = true
		case "3mf":
			o.ThreeMF = true
		case "dxf":
			o.DXF = true
		case "tables":
			o.Tables = true
		case "patterns":
			o.Patterns = true
		case "drawings":
			o.Drawings = true
		default:
			return o, fmt.Errorf("there is no output %q; choose from %s", n, strings.Join(OutputNames(), ", "))
		}
	}
	return o, nil
}

// OutputsAmong returns the outputs that a result lists, by its files.
func OutputsAmong(files map[string]string) Outputs {
	var o Outputs
	for name := range files {
		folder, _, _ := strings.Cut(name, "/")
		switch ext := path.Ext(name); {
		case name == "elements.csv":
			o.CSV = true
		case name == "elements.ply":
			o.PLY = true
		case name == "report.html":
			o.Page = true
		case name == job.OutName:
			o.Job = true
		case folder == "pictures":
			o.Pictures = true
		case folder == "tables":
			o.Tables = true
		case folder == "patterns":
			o.Patterns = true
		case folder == "drawings":
			o.Drawings = true
		case ext == ".step":
			o.STEP = true
		case ext == ".glb":
			o.GLTF = true
		case ext == ".3mf":
			o.ThreeMF = true
		case ext == ".dxf":
			o.DXF = true
		}
	}
	o.Patterns = o.Patterns || o.Tables // a work may have no flat piece and no bend: then tables tell
	return o
}

// output is the folder of a run. elements.ply, by far its largest file, is written
// beside all that comes once the pieces are known.
type output struct {
	folder *result.Folder
	labels func() (scanfile.Labelled, scene)
	ply    errgroup.Group
	halt   context.CancelFunc
}

// begin opens the output folder and begins elements.ply, where it is asked for. The
// caller must call end.
func (w *work) begin(ctx context.Context, dir string, opt Options) (*output, error) {
	folder, err := result.OpenFolder(dir)
	if err != nil {
		return nil, err
	}
	if opt.Undo != nil {
		opt.Undo(folder.Undo)
	}
	ctx, halt := context.WithCancel(ctx)
	out := &output{folder: folder, labels: sync.OnceValues(w.labels), halt: halt}
	tidy(len(w.soup.Corners)) // what fits and contacts left gives room to the labels
	if opt.Outputs.PLY {
		out.ply.Go(mesh.Guarded(func() error {
			l, _ := out.labels()
			return writePLY(ctx, folder, l)
		}))
	}
	return out, nil
}

// end gives up what is not complete.
func (o *output) end() {
	o.halt()
	_ = o.ply.Wait() // of a run that failed already, or told by write
	_ = o.folder.Abort()
}

// write puts the output folder in place, all or nothing.
func (w *work) write(ctx context.Context, doc *result.Document, out *output, o Outputs, tell mesh.Tell) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	folder := out.folder
	pictures := map[string][]byte{}
	if o.Pictures {
		_, sc := out.labels()
		var err error
		if pictures, err = w.pictures(ctx, sc, tell); err != nil {
			return err
		}
	}
	if o.CSV {
		data, err := result.CSV(*doc)
		if err != nil {
			return err
		}
		if err := folder.Write("elements.csv", data); err != nil {
			return err
		}
	}
	if o.Job {
		data, err := job.Write(w.jobOut())
		if err != nil {
			return err
		}
		if err := folder.Write(job.OutName, data); err != nil {
			return err
		}
	}
	if err := writePictures(folder, pictures); err != nil {
		return err
	}
	sketches, err := w.writeWorkshop(folder, doc, o)
	if err != nil {
		return err
	}
	if tell != nil {
		tell("write", 0, 0)
	}
	if err := out.ply.Wait(); err != nil {
		return err
	}
	if o.Page {
		_, sc := out.labels()
		page, err := w.page(*doc, sc, pictures, sketches, folder)
		if err != nil {
			return err
		}
		if err := folder.Write("report.html", page); err != nil {
			return err
		}
	}
	if err := ctx.Err(); err != nil {
		return err
	}
	doc.Files = folder.Sums()
	return folder.Commit(*doc)
}

// writeWorkshop writes models, tables, patterns and drawings, beside one another, and
// adds to doc what has no solid or no pattern. It returns the sketches.
func (w *work) writeWorkshop(folder *result.Folder, doc *result.Document, o Outputs) ([]sketch, error) {
	var noSolid, noPattern []result.Finding
	var sketches []sketch
	var g errgroup.Group
	g.Go(mesh.Guarded(func() (err error) {
		noSolid, err = w.writeModels(folder, o)
		return err
	}))
	g.Go(mesh.Guarded(func() error {
		if o.Drawings || o.Page {
			sketches = w.sketches()
		}
		if o.Drawings {
			return writeSketches(folder, sketches)
		}
		return nil
	}))
	g.Go(mesh.Guarded(func() error {
		if o.Drawings {
			return w.writeShopDrawings(folder)
		}
		return nil
	}))
	g.Go(mesh.Guarded(func() (err error) {
		if o.Tables {
			if err := writeTables(folder, *doc); err != nil {
				return err
			}
		}
		if o.Patterns {
			noPattern, err = w.writePatterns(folder, w.markedParts(), w.metal.contacts)
		}
		return err
	}))
	if err := g.Wait(); err != nil {
		return nil, err
	}
	doc.Scan.Findings = slices.Concat(doc.Scan.Findings, noSolid, noPattern)
	return sketches, nil
}

// page is the report with its figures; files are those that are written by then.
func (w *work) page(doc result.Document, sc scene, pictures map[string][]byte, sketches []sketch, folder *result.Folder) ([]byte, error) {
	figure, err := w.figure(sc)
	if err != nil {
		return nil, err
	}
	inline, err := inlineSketches(sketches)
	if err != nil {
		return nil, err
	}
	return report.Page(doc, report.Art{Pictures: pictures, Sketches: inline, Scene: figure, Files: slices.Sorted(maps.Keys(folder.Sums()))})
}

// writeTables writes the workshop's tables: a workbook, and each as CSV.
func writeTables(folder *result.Folder, doc result.Document) error {
	sheets := report.Sheets(doc)
	book, err := sheet.XLSX(cmp.Or(doc.Job.Piece, "piece"), sheets)
	if err != nil {
		return fmt.Errorf("shop.xlsx: %w", err)
	}
	if err := folder.Write("tables/shop.xlsx", book); err != nil {
		return err
	}
	for _, t := range sheets {
		data, err := sheet.CSV(t)
		if err != nil {
			return fmt.Errorf("%s: %w", report.SheetFile(t.Name), err)
		}
		if err := folder.Write("tables/"+report.SheetFile(t.Name), data); err != nil {
			return err
		}
	}
	return nil
}

func writePictures(folder *result.Folder, pictures map[string][]byte) error {
	names := make([]string, 0, len(pictures))
	for n := range pictures {
		names = append(names, n)
	}
	slices.Sort(names)
	for _, n := range names {
		if err := folder.Write("pictures/"+n, pictures[n]); err != nil {
			return err
		}
	}
	return nil
}

func writePLY(ctx context.Context, folder *result.Folder, l scanfile.Labelled) error {
	f, err := folder.Create("elements.ply")
	if err != nil {
		return err
	}
	if err := scanfile.WritePLY(stoppable{ctx, f}, l); err != nil {
		f.Close()
		return err
	}
	return f.Close()
}

// stoppable is a writer that fails once ctx has ended.
type stoppable struct {
	ctx context.Context
	w   io.Writer
}

func (s stoppable) Write(p []byte) (int, error) {
	if err := s.ctx.Err(); err != nil {
		return 0, err
	}
	return s.w.Write(p)
}

// Roles of a facet in elements.ply.
const (
	roleNone = iota
	rolePiece
	roleWeld
	roleDust
)

// labels maps elements, roles and deviation back to the file's facets and points.
func (w *work) labels() (scanfile.Labelled, scene) {
	m := w.scaled.Mesh
	l := scanfile.Labelled{Soup: w.soup, Element: mesh.Large[uint32](len(w.soup.Corners))}
	mark := func(facets []uint32, number int, role uint8) {
		for _, f := range facets {
			l.Element[m.Source[f]] = uint32(number)
			if l.Role != nil {
				l.Role[m.Source[f]] = role
			}
		}
	}
	if len(w.parts.Dust) > 0 || slices.ContainsFunc(w.elements, func(e element) bool { return len(e.weld) > 0 }) {
		l.Role = mesh.Large[uint8](len(w.soup.Corners))
	}
	for i := range w.elements {
		e := &w.elements[i]
		mark(e.faces, e.number, rolePiece)
		mark(e.weld, e.number, roleWeld)
	}
	mark(w.parts.Dust, 0, roleDust)
	sc := scene{m.Source, l.Element, w.vertexDeviation()}
	l.DeviationMM = sc.deviationMM
	if w.soup.Points == nil {
		l.Soup.Points, l.Row = m.Points, m.FilePoint
		return l, sc
	}
	l.DeviationMM = mesh.Large[float32](len(w.soup.Points))
	for i, v := range m.FilePoint {
		l.DeviationMM[i] = sc.deviationMM[v]
	}
	return l, sc
}

// vertexDeviation is the deviation of each vertex of the mesh, mm at full size; NaN
// where there is none. A vertex of two pieces takes the smaller.
func (w *work) vertexDeviation() []float32 {
	vertex := mesh.Large[float32](len(w.scaled.Points))
	for i := range vertex {
		vertex[i] = float32(math.NaN())
	}
	for i := range w.elements {
		e := &w.elements[i]
		for k, d := range e.DeviationMM {
			full := float32(d * w.scaled.Ratio)
			if old := vertex[e.vertex[k]]; !(math.Abs(float64(old)) <= math.Abs(float64(full))) {
				vertex[e.vertex[k]] = full
			}
		}
	}
	return vertex
}
