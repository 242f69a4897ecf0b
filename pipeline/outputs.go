package pipeline

import (
	"context"
	"fmt"
	"image"
	"math"
	"runtime"
	"slices"
	"strings"

	"golang.org/x/sync/errgroup"

	"pointup/mesh"
	"pointup/mesh/render"
	"pointup/mesh/scanfile"
	"pointup/pipeline/job"
	"pointup/pipeline/report"
	"pointup/pipeline/result"
)

// Outputs says which files are written beside result.json, which always is.
type Outputs struct{ CSV, PLY, Page, Pictures, Job bool }

// AllOutputs writes everything.
func AllOutputs() Outputs { return Outputs{true, true, true, true, true} }

// OutputNames are the names that --only takes.
func OutputNames() []string { return []string{"json", "csv", "ply", "page", "pictures", "job"} }

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
		default:
			return o, fmt.Errorf("there is no output %q; choose from %s", n, strings.Join(OutputNames(), ", "))
		}
	}
	return o, nil
}

// write puts the output folder in place, all or nothing.
func (w *work) write(ctx context.Context, doc *result.Document, dir string, o Outputs, tell mesh.Tell) error {
	folder, err := result.OpenFolder(dir)
	if err != nil {
		return err
	}
	defer folder.Abort()
	l := w.labels()
	pictures := map[string][]byte{}
	if o.Pictures {
		if pictures, err = w.pictures(ctx, l, tell); err != nil {
			return err
		}
	}
	if o.PLY {
		if err := writePLY(folder, l); err != nil {
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
	if o.Page {
		page, err := report.Page(*doc, pictures)
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

func writePLY(folder *result.Folder, l scanfile.Labelled) error {
	f, err := folder.Create("elements.ply")
	if err != nil {
		return err
	}
	if err := scanfile.WritePLY(f, l); err != nil {
		f.Close()
		return err
	}
	return f.Close()
}

// Roles of a facet in elements.ply.
const (
	roleNone = iota
	rolePiece
	roleWeld
	roleDust
)

// labels maps elements, roles and deviation back to the file's facets and
// points. A vertex of two pieces takes the smaller deviation.
func (w *work) labels() scanfile.Labelled {
	m := w.scaled.Mesh
	l := scanfile.Labelled{Soup: w.soup, Element: make([]uint32, len(w.soup.Corners)), Role: make([]uint8, len(w.soup.Corners)),
		DeviationMM: make([]float32, len(w.soup.Points))}
	vertex := make([]float32, len(m.Points))
	for i := range vertex {
		vertex[i] = float32(math.NaN())
	}
	for i := range w.elements {
		e := &w.elements[i]
		for _, f := range e.faces {
			l.Element[m.Source[f]], l.Role[m.Source[f]] = uint32(e.number), rolePiece
		}
		for _, f := range e.weld {
			l.Element[m.Source[f]], l.Role[m.Source[f]] = uint32(e.number), roleWeld
		}
		for k, d := range e.DeviationMM {
			full := float32(d * w.scaled.Ratio)
			if old := vertex[e.vertex[k]]; !(math.Abs(float64(old)) <= math.Abs(float64(full))) {
				vertex[e.vertex[k]] = full
			}
		}
	}
	for _, f := range w.parts.Dust {
		l.Role[m.Source[f]] = roleDust
	}
	for i, v := range m.FilePoint {
		l.DeviationMM[i] = float32(math.NaN())
		if int(v) < len(vertex) {
			l.DeviationMM[i] = vertex[v]
		}
	}
	return l
}

// pictures draws the overview, the deviation and each element.
func (w *work) pictures(ctx context.Context, l scanfile.Labelled, tell mesh.Tell) (map[string][]byte, error) {
	m := w.scaled.Mesh
	piece := render.Piece{Points: m.Points, Faces: m.Faces, Element: make([]uint32, len(m.Faces)), Site: render.SiteFromFile(m.UnitMM, w.flat())}
	for i, f := range m.Source {
		piece.Element[i] = l.Element[f]
	}
	vertex := make([]float32, len(m.Points))
	for i, v := range m.FilePoint {
		if int(v) < len(vertex) {
			vertex[v] = l.DeviationMM[i]
		}
	}
	sheet := render.DefaultSheet()
	sheet.Title = w.job.Piece
	sheet.Subtitle = fmt.Sprintf("scale %s : 1, height %.0f mm", trimmed(w.scaled.Ratio), w.scaled.HeightFullMM)
	type drawing struct {
		name string
		draw func() (*image.RGBA, error)
	}
	list := []drawing{
		{"overview.png", func() (*image.RGBA, error) {
			s := sheet
			s.Note = "the scan at full size"
			return render.Overview(ctx, piece, render.DefaultView(), s)
		}},
		{"deviation.png", func() (*image.RGBA, error) {
			s := sheet
			s.Note = "deviation of the scan from the fitted elements, full size"
			return render.Deviation(ctx, piece, vertex, render.NiceRangeMM(vertex), render.DefaultView(), s)
		}},
	}
	small := sheet
	small.WidthPx, small.HeightPx = 1000, 750
	loc, err := render.NewLocator(ctx, piece, render.DefaultView(), small)
	if err != nil {
		loc = nil
	}
	for i := range w.elements {
		e := &w.elements[i]
		list = append(list, drawing{e.id + ".png", func() (*image.RGBA, error) {
			s := small
			s.Title = strings.TrimSpace(e.id + " " + e.name)
			s.Note = strings.ReplaceAll(e.Kind, "_", " ")
			frame := render.Frame{Axis: [3]float64{e.Frame.Axis.X, e.Frame.Axis.Y, e.Frame.Axis.Z}, Ref: [3]float64{e.Frame.Ref.X, e.Frame.Ref.Y, e.Frame.Ref.Z}}
			return render.Element(ctx, piece, uint32(e.number), frame, loc, s)
		}})
	}
	out := make([][]byte, len(list))
	g := new(errgroup.Group)
	g.SetLimit(runtime.GOMAXPROCS(0))
	step := counter(tell, "pictures", len(list))
	for i := range list {
		g.Go(func() error {
			img, err := list[i].draw()
			if err != nil {
				return fmt.Errorf("picture %s: %w", list[i].name, err)
			}
			out[i], err = render.PNG(img)
			step()
			return err
		})
	}
	if err := g.Wait(); err != nil {
		return nil, err
	}
	pictures := map[string][]byte{}
	for i, d := range list {
		pictures[d.name] = out[i]
	}
	return pictures, nil
}

func (w *work) flat() [12]float64 {
	var m [12]float64
	for i, row := range w.scaled.SiteFromScan {
		copy(m[4*i:], row[:])
	}
	return m
}

// trimmed prints a ratio without trailing zeros.
func trimmed(x float64) string {
	return strings.TrimRight(strings.TrimRight(fmt.Sprintf("%.3f", x), "0"), ".")
}
