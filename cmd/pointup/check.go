package main

import (
	"fmt"
	"text/tabwriter"

	"pointup/mesh"
	"pointup/mesh/scanfile"
	"pointup/pipeline"
	"pointup/pipeline/quantity"
	"pointup/pipeline/result"
)

type checkCommand struct {
	Scan string `arg:"" help:"The scan: .stl or .ply."`
	Unit string `placeholder:"UNIT" help:"Unit of the scan: mm, cm, m, in, ft; guessed from its size where not given."`
	JSON bool   `name:"json" help:"Print the scan object of result.json and nothing else."`
}

func (c *checkCommand) Run(s *session) error {
	_, r, err := checked(s, c.Scan, c.Unit)
	if err != nil {
		return err
	}
	scan := pipeline.ScanOf(r)
	if c.JSON {
		data, err := result.Indent(scan)
		if err != nil {
			return err
		}
		_, err = s.stdout.Write(data)
		return err
	}
	w := tabwriter.NewWriter(s.stdout, 0, 4, 2, ' ', 0)
	size := [3]float64{r.MaxMM.X - r.MinMM.X, r.MaxMM.Y - r.MinMM.Y, r.MaxMM.Z - r.MinMM.Z}
	fmt.Fprintf(w, "scan\t%s\n", scan.File)
	fmt.Fprintf(w, "unit\t%s%s\n", r.Unit, map[bool]string{true: " (guessed)"}[r.UnitGuessed])
	fmt.Fprintf(w, "size\t%.1f x %.1f x %.1f mm\n", size[0], size[1], size[2])
	fmt.Fprintf(w, "triangles\t%d\n", r.Triangles)
	fmt.Fprintf(w, "pieces of surface\t%d shells, %d of dust\n", r.Shells, r.DustShells)
	fmt.Fprintf(w, "openings\t%d\n", r.BoundaryLoops)
	fmt.Fprintf(w, "median edge\t%.3f mm\n", r.EdgeMedianMM)
	fmt.Fprintf(w, "noise\t%.4f mm (1 sigma)\n", r.NoiseMM)
	if err := w.Flush(); err != nil {
		return err
	}
	for _, f := range scan.Findings {
		fmt.Fprintf(s.stdout, "%s: %s: %s\n", f.Severity, f.What, f.Advice)
	}
	if len(scan.Findings) == 0 {
		fmt.Fprintln(s.stdout, "nothing found that stands against using this scan")
	}
	return nil
}

// checked reads and checks a mesh file.
func checked(s *session, path, unit string) (*mesh.Mesh, mesh.Report, error) {
	if unit != "" {
		if _, err := quantity.UnitMM(unit); err != nil {
			return nil, mesh.Report{}, &pipeline.InputError{Err: fmt.Errorf("--unit %s: say mm, cm, m, in or ft", unit)}
		}
	}
	soup, err := scanfile.Read(s.ctx, path, s.tell)
	if err != nil {
		return nil, mesh.Report{}, pipeline.AsInput(err)
	}
	opt := mesh.DefaultOptions()
	opt.Unit = unit
	m, r, err := mesh.Check(s.ctx, soup, opt, s.tell)
	if err != nil {
		return nil, r, pipeline.AsInput(fmt.Errorf("%s: %w", soup.File, err))
	}
	return m, r, nil
}
