package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"pointup/pipeline"
	"pointup/pipeline/job"
	"pointup/pipeline/report"
	"pointup/pipeline/result"
)

// outputFlags are the flags of every command that writes an output folder.
type outputFlags struct {
	Out        string   `short:"o" placeholder:"DIR" help:"Folder to write to; made if missing. Default: NAME-out beside you."`
	Only       []string `placeholder:"NAMES" help:"Write only these beside result.json: json, csv, ply, page, pictures, job, step, gltf, 3mf, dxf, tables, patterns, drawings."`
	NoPictures bool     `help:"Leave the pictures out."`
	Fresh      bool     `help:"Ignore kept stages."`
}

func (f outputFlags) outputs() (pipeline.Outputs, error) {
	o := pipeline.AllOutputs()
	if len(f.Only) > 0 {
		var err error
		if o, err = pipeline.OnlyOutputs(f.Only); err != nil {
			return o, &pipeline.InputError{Err: err}
		}
	}
	if f.NoPictures {
		o.Pictures = false
	}
	return o, nil
}

type runCommand struct {
	Input string  `arg:"" name:"job-or-scan" help:"JOB.yaml, or a scan with --unit and --ratio."`
	Unit  string  `placeholder:"UNIT" help:"Unit of a bare scan: mm, cm, m, in, ft."`
	Ratio float64 `placeholder:"N" help:"Full size over maquette, for a bare scan."`
	outputFlags
}

func (c *runCommand) Run(s *session) error {
	j, scan, err := c.job()
	if err != nil {
		return err
	}
	dir := c.Out
	if dir == "" {
		base := filepath.Base(c.Input)
		dir = strings.TrimSuffix(base, filepath.Ext(base)) + "-out"
	}
	return runJob(s, j, scan, dir, c.outputFlags)
}

// job reads the job file, or makes one for a bare scan.
func (c *runCommand) job() (job.Job, string, error) {
	if ext := strings.ToLower(filepath.Ext(c.Input)); ext == ".yaml" || ext == ".yml" {
		if c.Unit != "" || c.Ratio != 0 {
			return job.Job{}, "", &pipeline.InputError{Err: fmt.Errorf("%s: --unit and --ratio are for a bare scan; write scan.unit and enlarge.ratio in the job", c.Input)}
		}
		return readJob(c.Input)
	}
	if c.Unit == "" || c.Ratio == 0 {
		return job.Job{}, "", &pipeline.InputError{Err: fmt.Errorf("%s: a bare scan needs --unit and --ratio; give them, or a job file", c.Input)}
	}
	j, err := job.ForScan(filepath.Base(c.Input), c.Unit, c.Ratio)
	return j, c.Input, err
}

// readJob reads a job file and finds its scan.
func readJob(path string) (job.Job, string, error) {
	info, err := os.Stat(path)
	if err == nil && !info.Mode().IsRegular() {
		err = errors.New("not a regular file")
	}
	var data []byte
	if err == nil {
		data, err = readUpTo(path, jobReadBytes)
	}
	if err != nil {
		return job.Job{}, "", &pipeline.InputError{Err: fmt.Errorf("%s: %w; give a job file", path, reason(err))}
	}
	j, err := job.Parse(filepath.Base(path), data)
	if err != nil {
		return job.Job{}, "", err
	}
	places := j.ScanPlaces(path)
	for _, p := range places {
		if _, err := os.Stat(p); err == nil {
			return j, p, nil
		}
	}
	return j, places[0], nil
}

// jobReadBytes is how much of a job file is read: more than job.Parse takes, so
// that a longer file is refused for its length, and never a threat to memory.
const jobReadBytes = 1 << 20

// readUpTo reads a file, or its first n bytes.
func readUpTo(path string, n int64) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(io.LimitReader(f, n))
}

// reason takes the path off a file error: the message names it already.
func reason(err error) error {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err
	}
	return err
}

// runJob runs the pipeline and prints the summary.
func runJob(s *session, j job.Job, scan, dir string, f outputFlags) error {
	o, err := f.outputs()
	if err != nil {
		return err
	}
	doc, err := pipeline.Run(s.ctx, j, scan, dir, pipeline.Options{Version: version(), Build: build(), Outputs: o, Fresh: f.Fresh, Undo: s.undo.add}, s.tell)
	if err != nil {
		return err
	}
	if err := report.Console(s.stdout, doc); err != nil {
		return err
	}
	fmt.Fprintf(s.stdout, "\nwritten to %s", dir)
	if o.Page {
		fmt.Fprintf(s.stdout, "; open %s", filepath.Join(dir, "report.html"))
	}
	fmt.Fprintln(s.stdout)
	if !result.Passed(doc.Gates) {
		return errGate
	}
	return nil
}
