package main

import (
	"bufio"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh"
	"pointup/mesh/scanfile"
	"pointup/pipeline"
	"pointup/pipeline/quantity"
	"pointup/pipeline/result"
	"pointup/segment/primitive"
	"pointup/segment/surface"
)

type surfacesCommand struct {
	File   string `arg:"" help:"A mesh (.stl, .ply) or a bare point cloud (.xyz, .ply)."`
	Unit   string `placeholder:"UNIT" default:"mm" help:"Unit of the file: mm, cm, m, in, ft."`
	Labels string `placeholder:"OUT" help:"Write one integer a facet (or point) to OUT, in file order, 0 = none."`
	JSON   bool   `name:"json" help:"Print JSON and nothing else."`
}

// listed is one surface as --json prints it.
type listed struct {
	ID         int                `json:"id"`
	Type       string             `json:"type"`
	Parameters surface.Parameters `json:"parameters"`
	Points     int                `json:"points"`
	RMSMM      result.MM          `json:"rms_mm"`
}

func (c *surfacesCommand) Run(s *session) error {
	kind, err := scanfile.Sniff(c.File)
	if err != nil {
		return pipeline.AsInput(err)
	}
	var found []surface.Surface
	var label []int32
	if kind.IsMesh() {
		found, label, err = c.ofMesh(s)
	} else {
		found, label, err = c.ofCloud(s)
	}
	if err != nil {
		return err
	}
	if c.Labels != "" {
		if err := writeLabels(s, c.Labels, label); err != nil {
			return err
		}
	}
	return c.print(s, found)
}

func (c *surfacesCommand) ofMesh(s *session) ([]surface.Surface, []int32, error) {
	m, r, err := checked(s, c.File, c.Unit)
	if err != nil {
		return nil, nil, err
	}
	p := primitive.NewPatch(m, solidFaces(m), r.NoiseMM)
	at := make([]r3.Vec, len(p.P))
	for i, q := range p.P {
		at[i] = r3.Add(q, p.OriginMM)
	}
	f := surface.FromMesh(at, p.N, p.Facet, p.EdgeMM, p.NoiseMM)
	found, label, err := surface.Find(s.ctx, f, surface.DefaultOptions())
	if err != nil {
		return nil, nil, err
	}
	return found, fileLabels(m, p, surface.FacetLabels(label, p.Facet)), nil
}

// fileLabels brings labels of the patch's facets into the file's order.
func fileLabels(m *mesh.Mesh, p *primitive.Patch, label []int32) []int32 {
	out := make([]int32, m.FileFacets)
	for i := range out {
		out[i] = -1
	}
	for i, f := range p.Face {
		out[m.Source[f]] = label[i]
	}
	return out
}

func (c *surfacesCommand) ofCloud(s *session) ([]surface.Surface, []int32, error) {
	unit, err := quantity.UnitMM(c.Unit)
	if err != nil {
		return nil, nil, &pipeline.InputError{Err: fmt.Errorf("--unit %s: say mm, cm, m, in or ft", c.Unit)}
	}
	cloud, err := scanfile.ReadCloud(s.ctx, c.File)
	if err != nil {
		return nil, nil, pipeline.AsInput(err)
	}
	for i, q := range cloud.Points {
		cloud.Points[i] = r3.Scale(unit, q)
	}
	found, label, err := surface.Find(s.ctx, surface.FromCloud(cloud.Points), surface.DefaultOptions())
	return found, label, err
}

func (c *surfacesCommand) print(s *session, found []surface.Surface) error {
	list := make([]listed, 0, len(found))
	for i, x := range found {
		kind, parameters := surface.Describe(x)
		list = append(list, listed{i + 1, kind, parameters, len(x.Points), result.MM(x.RMSMM)})
	}
	if c.JSON {
		data, err := result.Indent(map[string]any{"surfaces": list})
		if err != nil {
			return err
		}
		_, err = s.stdout.Write(data)
		return err
	}
	for _, x := range list {
		data, err := json.Marshal(x.Parameters)
		if err != nil {
			return err
		}
		fmt.Fprintf(s.stdout, "%3d  %-9s %7d points, rms %.4f mm  %s\n", x.ID, x.Type, x.Points, float64(x.RMSMM), data)
	}
	return nil
}

// writeLabels writes a text of one integer a line, in place at once.
func writeLabels(s *session, path string, label []int32) error {
	if err := s.ctx.Err(); err != nil {
		return err
	}
	f, err := os.CreateTemp(filepath.Dir(path), ".labels-*")
	if err != nil {
		return &result.FolderError{Path: path, What: reason(err).Error(), Advice: "give another place with --labels", Err: err}
	}
	remove := func() bool { return os.Remove(f.Name()) == nil }
	defer remove()
	s.undo.add(remove)
	w := bufio.NewWriter(f)
	for _, l := range label {
		fmt.Fprintln(w, l+1)
	}
	err = w.Flush()
	if e := f.Close(); err == nil {
		err = e
	}
	if err == nil {
		err = os.Chmod(f.Name(), 0o644)
	}
	if err == nil {
		err = os.Rename(f.Name(), path)
	}
	if err != nil {
		return &result.FolderError{Path: path, What: reason(err).Error(), Advice: "give another place with --labels", Err: err}
	}
	return nil
}
