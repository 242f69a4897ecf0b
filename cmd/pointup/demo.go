package main

import (
	"bytes"
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"

	"pointup/mesh/synthetic"
	"pointup/pipeline/result"
)

// demoDir is where the demo goes unless told otherwise.
const demoDir = "tide-clock-demo"

type demoCommand struct {
	outputFlags
}

// Run writes the scan and its job file into the folder and runs them.
func (c *demoCommand) Run(s *session) error {
	dir := c.Out
	if dir == "" {
		dir = demoDir
	}
	if _, err := c.outputs(); err != nil {
		return err // before anything is written
	}
	scan, err := synthetic.Scan(synthetic.TideClock(), synthetic.TideClockOptions())
	if err != nil {
		return err
	}
	text, err := synthetic.TideClockJob()
	if err != nil {
		return err
	}
	var stl bytes.Buffer
	if err := scan.WriteSTL(&stl); err != nil {
		return err
	}
	jobFile := filepath.Join(dir, "tide-clock.yaml")
	undo, err := writeDemo(dir, []demoFile{{synthetic.TideClockFile, stl.Bytes()}, {"tide-clock.yaml", []byte(text)}})
	if err != nil {
		undo()
		return err
	}
	j, path, err := readJob(jobFile)
	if err == nil {
		err = runJob(s, j, path, dir, c.outputFlags)
	}
	if errors.Is(err, context.Canceled) {
		undo() // interrupted: nothing is left behind
	}
	return err
}

type demoFile struct {
	name string
	data []byte
}

// writeDemo writes the scan and its job. What stands there under their names with
// other contents is somebody's work and is left; undo removes what was made here.
func writeDemo(dir string, files []demoFile) (undo func(), err error) {
	var made []string
	undo = func() {
		for i := len(made) - 1; i >= 0; i-- {
			_ = os.Remove(made[i]) // a folder only if it is empty
		}
	}
	fail := func(path, what, advice string, err error) (func(), error) {
		return undo, &result.FolderError{Path: path, What: what, Advice: advice, Err: err}
	}
	for d := filepath.Clean(dir); ; d = filepath.Dir(d) {
		if _, err := os.Stat(d); err == nil || d == filepath.Dir(d) {
			break
		}
		made = append([]string{d}, made...)
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return fail(dir, reason(err).Error(), "give another folder with -o", err)
	}
	for _, f := range files {
		path := filepath.Join(dir, f.name)
		info, err := os.Lstat(path)
		var old []byte
		if err == nil && info.Mode().IsRegular() {
			old, err = readUpTo(path, int64(len(f.data))+1)
		}
		switch {
		case err == nil && bytes.Equal(old, f.data):
			continue
		case err == nil:
			return fail(path, "a file of this name is here with other contents than the demo's", "move it away or choose another folder with -o", nil)
		case !errors.Is(err, fs.ErrNotExist):
			return fail(path, reason(err).Error(), "give another folder with -o", err)
		}
		made = append(made, path)
		if err := os.WriteFile(path, f.data, 0o644); err != nil {
			return fail(path, reason(err).Error(), "give another folder with -o", err)
		}
	}
	return undo, nil
}
