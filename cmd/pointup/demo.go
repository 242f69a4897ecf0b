package main

import (
	"bytes"
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"sync"

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
	made := &demoFolder{}
	s.undo.add(made.undo)
	err = made.write(dir, []demoFile{{synthetic.TideClockFile, stl.Bytes()}, {"tide-clock.yaml", []byte(text)}})
	if err != nil {
		made.undo()
		return err
	}
	j, path, err := readJob(jobFile)
	if err == nil {
		err = runJob(s, j, path, dir, c.outputFlags)
	}
	if errors.Is(err, context.Canceled) {
		made.undo() // interrupted: nothing is left behind
	}
	return err
}

type demoFile struct {
	name string
	data []byte
}

// demoFolder is what the demo made on disk.
type demoFolder struct {
	mu   sync.Mutex
	made []string // folders, then files
	gone bool
}

// undo removes what was made, a folder only if it is empty. It may be called from
// any goroutine; nothing more is made after it.
func (d *demoFolder) undo() (undone bool) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.gone = true
	for i := len(d.made) - 1; i >= 0; i-- {
		_ = os.Remove(d.made[i])
	}
	d.made = nil
	return true
}

// make calls do, which makes path, unless all was taken away.
func (d *demoFolder) make(path string, do func() error) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.gone {
		return context.Canceled
	}
	d.made = append(d.made, path)
	return do()
}

func demoError(path, what, advice string, err error) error {
	return &result.FolderError{Path: path, What: what, Advice: advice, Err: err}
}

// write writes the scan and its job. What stands there under their names with
// other contents is somebody's work and is left.
func (d *demoFolder) write(dir string, files []demoFile) error {
	if err := d.makeDirs(dir); err != nil {
		return demoError(dir, reason(err).Error(), "give another folder with -o", err)
	}
	for _, f := range files {
		if err := d.writeFile(filepath.Join(dir, f.name), f.data); err != nil {
			return err
		}
	}
	return nil
}

// makeDirs makes dir and the folders above it that are missing.
func (d *demoFolder) makeDirs(dir string) error {
	var missing []string
	for p := filepath.Clean(dir); ; p = filepath.Dir(p) {
		if info, err := os.Stat(p); err == nil || p == filepath.Dir(p) {
			if err == nil && !info.IsDir() {
				return errors.New("not a directory")
			}
			break
		}
		missing = append(missing, p)
	}
	for i := len(missing) - 1; i >= 0; i-- {
		if err := d.make(missing[i], func() error { return os.Mkdir(missing[i], 0o755) }); err != nil {
			return err
		}
	}
	return nil
}

func (d *demoFolder) writeFile(path string, data []byte) error {
	info, err := os.Lstat(path)
	var old []byte
	if err == nil && info.Mode().IsRegular() {
		old, err = readUpTo(path, int64(len(data))+1)
	}
	switch {
	case err == nil && bytes.Equal(old, data):
		return nil
	case err == nil:
		return demoError(path, "a file of this name is here with other contents than the demo's", "move it away or choose another folder with -o", nil)
	case !errors.Is(err, fs.ErrNotExist):
		return demoError(path, reason(err).Error(), "give another folder with -o", err)
	}
	err = d.make(path, func() error { return os.WriteFile(path, data, 0o644) })
	if err != nil && !errors.Is(err, context.Canceled) {
		return demoError(path, reason(err).Error(), "give another folder with -o", err)
	}
	return err
}
