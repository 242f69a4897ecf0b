package main

import (
	"errors"
	"fmt"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh"
	"pointup/mesh/scanfile"
	"pointup/pipeline"
	"pointup/pipeline/quantity"
	"pointup/pipeline/result"
	"pointup/segment/primitive"
	"pointup/segment/surface"
)

type fitCommand struct {
	Points string `arg:"" help:"One element: .xyz (x y z, or with a normal, a line), .ply or .stl."`
	Unit   string `placeholder:"UNIT" default:"mm" help:"Unit of the file: mm, cm, m, in, ft."`
	JSON   bool   `name:"json" help:"Print one element as JSON and nothing else."`
}

// fitted is what --json prints: an element, and the noise of its points.
type fitted struct {
	result.Element
	NoiseMM result.MM `json:"noise_mm"`
}

func (c *fitCommand) Run(s *session) error {
	p, err := c.patch(s)
	if err != nil {
		return err
	}
	if len(p.Facet) == 0 {
		return &pipeline.InputError{Err: fmt.Errorf("%s: no element in it; give a file with points or facets", c.Points)}
	}
	e := primitive.Recognise(p, primitive.DefaultOptions())
	out := fitted{pipeline.ElementOf(e, p), result.MM(p.NoiseMM)}
	if c.JSON {
		data, err := result.Indent(out)
		if err != nil {
			return err
		}
		_, err = s.stdout.Write(data)
		return err
	}
	fmt.Fprintf(s.stdout, "%s", out.Kind)
	if e.Section != "" {
		fmt.Fprintf(s.stdout, ", %s section", e.Section)
	}
	fmt.Fprintln(s.stdout)
	for _, d := range e.Dims {
		if d.Count {
			fmt.Fprintf(s.stdout, "  %-24s %d\n", d.Key, int(d.Value))
			continue
		}
		fmt.Fprintf(s.stdout, "  %-24s %.4f ± %.2g (95 %%)\n", d.Key, d.Value, d.U95)
	}
	if out.Deviation != nil {
		fmt.Fprintf(s.stdout, "  deviation                rms %.4f mm, p95 %.4f mm, largest %.4f mm\n", out.Deviation.RMSMM, out.Deviation.P95MM, out.Deviation.MaxMM)
	}
	fmt.Fprintf(s.stdout, "  noise                    %.4f mm\n", p.NoiseMM)
	return nil
}

// patch reads the file as a mesh or as bare points.
func (c *fitCommand) patch(s *session) (*primitive.Patch, error) {
	kind, err := scanfile.Sniff(c.Points)
	if err != nil {
		return nil, pipeline.AsInput(err)
	}
	if kind.IsMesh() {
		m, r, err := checked(s, c.Points, c.Unit)
		if err != nil {
			return nil, err
		}
		return primitive.NewPatch(m, solidFaces(m), r.NoiseMM), nil
	}
	f, err := c.cloud(s)
	if err != nil {
		return nil, err
	}
	return primitive.FromPoints(f.P, f.N, f.SpacingMM, f.NoiseMM), nil
}

// solidFaces are the facets that are not dust.
func solidFaces(m *mesh.Mesh) []uint32 {
	var out []uint32
	for f := range m.Faces {
		if !m.Dust(uint32(f)) {
			out = append(out, uint32(f))
		}
	}
	return out
}

// cloud reads bare points; normals that the file lacks are found and turned
// outward.
func (c *fitCommand) cloud(s *session) (*surface.Field, error) {
	unit, err := quantity.UnitMM(c.Unit)
	if err != nil {
		return nil, &pipeline.InputError{Err: fmt.Errorf("--unit %s: say mm, cm, m, in or ft", c.Unit)}
	}
	cloud, err := scanfile.ReadCloud(s.ctx, c.Points)
	if err != nil {
		return nil, pipeline.AsInput(err)
	}
	if len(cloud.Points) < 6 {
		return nil, pipeline.AsInput(fmt.Errorf("%s: %w: %d points; give at least 6", cloud.File, errors.New("too few points"), len(cloud.Points)))
	}
	for i, q := range cloud.Points {
		cloud.Points[i] = r3.Scale(unit, q)
	}
	f := surface.FromCloud(cloud.Points)
	if len(cloud.Normals) == len(f.N) {
		f.N = cloud.Normals
	} else {
		f.Orient()
	}
	return f, nil
}
