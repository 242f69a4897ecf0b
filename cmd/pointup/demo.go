package main

import (
	"bytes"
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
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return &result.FolderError{Path: dir, What: reason(err).Error(), Advice: "give another folder with -o", Err: err}
	}
	jobFile := filepath.Join(dir, "tide-clock.yaml")
	for name, data := range map[string][]byte{filepath.Join(dir, synthetic.TideClockFile): stl.Bytes(), jobFile: []byte(text)} {
		if err := os.WriteFile(name, data, 0o644); err != nil {
			return &result.FolderError{Path: name, What: reason(err).Error(), Advice: "give another folder with -o", Err: err}
		}
	}
	j, path, err := readJob(jobFile)
	if err != nil {
		return err
	}
	return runJob(s, j, path, dir, c.outputFlags)
}
