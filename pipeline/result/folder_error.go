package result

import (
	"errors"
	"io/fs"
	"path/filepath"
	"syscall"
)

// FolderError tells that an output could not be written: which file, what is so,
// what to do. The exit status is 3.
type FolderError struct {
	Path   string // as the user named the folder, with the file's name
	What   string
	Advice string
	Err    error // of the system, or nil
}

func (e *FolderError) Error() string { return e.Path + ": " + e.What + "; " + e.Advice }

func (e *FolderError) Unwrap() error { return e.Err }

// fail makes a FolderError of a file in the folder.
func (f *Folder) fail(name, what, advice string, err error) *FolderError {
	return &FolderError{Path: filepath.Join(f.dir, filepath.FromSlash(name)), What: what, Advice: advice, Err: err}
}

// system makes a FolderError of an error of the system: its cause alone, since
// the path is named already.
func (f *Folder) system(name, doing string, err error) *FolderError {
	cause := err
	var p *fs.PathError
	if errors.As(err, &p) {
		cause = p.Err
	}
	return f.fail(name, doing+": "+cause.Error(), adviceOn(err), err)
}

func adviceOn(err error) string {
	switch {
	case errors.Is(err, fs.ErrPermission):
		return "make the folder writable or choose another one with -o"
	case errors.Is(err, syscall.ENOSPC):
		return "free some space or choose another folder with -o"
	case errors.Is(err, syscall.ENOTDIR), errors.Is(err, fs.ErrExist):
		return "move away what stands there or choose another folder with -o"
	}
	return "look at the disk, or choose another folder with -o"
}
