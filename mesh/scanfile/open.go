package scanfile

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
)

// open opens a regular file and gives its size. The kind of file is looked at
// before opening, so that a named pipe cannot hold the program up.
func open(path string) (*os.File, int64, error) {
	name := filepath.Base(path)
	info, err := os.Stat(path)
	if err != nil {
		return nil, 0, named(unopened(err), name)
	}
	if err := regular(info.Mode()); err != nil {
		return nil, 0, named(err, name)
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, 0, named(unopened(err), name)
	}
	info, err = f.Stat() // of what was opened, should the name have changed hands
	if err == nil {
		err = regular(info.Mode())
	}
	if err == nil && info.Size() == 0 {
		err = whole(exportAgain, "the file is empty (0 bytes)")
	}
	if err != nil {
		_ = f.Close() // nothing was written
		return nil, 0, named(err, name)
	}
	return f, info.Size(), nil
}

// regular refuses what is not a plain file.
func regular(m fs.FileMode) error {
	const do = "name the scan file itself"
	switch {
	case m.IsRegular():
		return nil
	case m.IsDir():
		return whole(do, "is a folder, not a file")
	case m&fs.ModeNamedPipe != 0:
		return whole(do, "is a named pipe, not a file")
	case m&fs.ModeDevice != 0:
		return whole(do, "is a device, not a file")
	case m&fs.ModeSocket != 0:
		return whole(do, "is a socket, not a file")
	}
	return whole(do, "is not a regular file")
}

// unopened words the refusals of the operating system.
func unopened(err error) error {
	var e *Error
	switch {
	case errors.Is(err, fs.ErrNotExist):
		e = whole("check the name and the folder", "there is no such file")
	case errors.Is(err, fs.ErrPermission):
		e = whole("change its permissions or copy it", "no permission to read it")
	default:
		e = unread(err)
	}
	e.Err = err
	return e
}

// unread words a failure of the disk or the network under it.
func unread(err error) *Error {
	cause := err
	var p *fs.PathError
	if errors.As(err, &p) {
		cause = p.Err
	}
	e := whole("copy the file to this machine and try again", "cannot be read: %v", cause)
	e.Err = err
	return e
}
