package result

import (
	"bufio"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"hash"
	"io"
	"io/fs"
	"os"
	"path"
	"strings"
	"syscall"
)

// sumPrefix stands before a hash in result.json.
const sumPrefix = "sha256 "

// Create opens an output for writing: "elements.ply", "pictures/overview.png". It
// reaches its place at Commit; closing the writer syncs it. Several may be open at
// a time, in several goroutines.
func (f *Folder) Create(name string) (io.WriteCloser, error) {
	if !validName(name) || name == resultName {
		return nil, fmt.Errorf("result: %q is not a name for an output", name)
	}
	if err := f.claim(name); err != nil {
		return nil, err
	}
	if err := f.free(name); err != nil {
		f.disown(name)
		return nil, err
	}
	w, err := f.begin(name)
	if err != nil {
		f.disown(name)
		return nil, err
	}
	return w, nil
}

// begin opens a file unless the folder was given up meanwhile.
func (f *Folder) begin(name string) (*writer, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.done {
		return nil, fmt.Errorf("result: %s is written after the end", name)
	}
	return f.open(name)
}

// Write writes a whole output.
func (f *Folder) Write(name string, data []byte) error {
	w, err := f.Create(name)
	if err != nil {
		return err
	}
	if _, err := w.Write(data); err != nil {
		w.Close()
		return err
	}
	return w.Close()
}

// claim notes that a name is being written; a name twice is a fault.
func (f *Folder) claim(name string) error {
	f.mu.Lock()
	defer f.mu.Unlock()
	if _, twice := f.sums[name]; twice || f.done {
		return fmt.Errorf("result: %s is written twice, or after the end", name)
	}
	f.sums[name] = ""
	return nil
}

func (f *Folder) disown(name string) {
	f.mu.Lock()
	defer f.mu.Unlock()
	delete(f.sums, name)
}

// validName says whether a name can be one of ours: slash-separated, below the
// folder, of letters, digits, dot, dash and underscore, no part starting with a
// dot. Names in a result.json are held to it before anything is removed.
func validName(name string) bool {
	if !fs.ValidPath(name) || name == "." || len(name) > 200 {
		return false
	}
	for part := range strings.SplitSeq(name, "/") {
		if strings.HasPrefix(part, ".") || strings.HasSuffix(part, ".") {
			return false
		}
	}
	return strings.IndexFunc(name, func(r rune) bool {
		return !(r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || strings.ContainsRune("._-/", r))
	}) < 0
}

// free refuses a name whose place is taken by something that is no file: a folder,
// a link. The folders above it must be folders.
func (f *Folder) free(name string) error {
	for above := path.Dir(name); above != "."; above = path.Dir(above) {
		info, err := f.root.Lstat(above)
		if err == nil && !info.IsDir() {
			return f.fail(above, "this is "+what(info)+", where a folder of ours belongs", "move it away or choose another folder with -o", nil)
		}
	}
	info, err := f.root.Lstat(name)
	switch {
	case err == nil && !info.Mode().IsRegular():
		return f.fail(name, "this is "+what(info)+", where a file of ours belongs", "move it away or choose another folder with -o", nil)
	case err != nil && !errors.Is(err, fs.ErrNotExist) && !errors.Is(err, syscall.ENOTDIR):
		return f.system(name, "the place of an output cannot be looked at", err)
	}
	return nil
}

func what(info fs.FileInfo) string {
	switch {
	case info.IsDir():
		return "a folder"
	case info.Mode()&fs.ModeSymlink != 0:
		return "a link"
	case info.Mode().IsRegular():
		return "a file"
	}
	return "not a regular file"
}

// open opens the file in .writing/.
func (f *Folder) open(name string) (*writer, error) {
	inside := path.Join(writingName, name)
	if err := f.root.MkdirAll(path.Dir(inside), 0o755); err != nil {
		return nil, f.system(name, "the folder cannot be written to", err)
	}
	file, err := f.root.OpenFile(inside, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return nil, f.system(name, "the file cannot be written", err)
	}
	return &writer{folder: f, name: name, file: file, buffer: bufio.NewWriterSize(file, 1<<18), hash: sha256.New()}, nil
}

// writer writes one output and computes its hash on the way.
type writer struct {
	folder   *Folder
	name     string
	file     *os.File
	buffer   *bufio.Writer
	hash     hash.Hash
	unsynced int
	failed   error
	closed   bool
}

// What is hashed beside the writing, and what is written between two syncs: no
// step may take so long that an interruption has to wait for it.
const (
	besideBytes = 1 << 16
	syncBytes   = 32 << 20
)

func (w *writer) Write(p []byte) (int, error) {
	hashed := w.hashBeside(p)
	n, err := w.buffer.Write(p)
	<-hashed
	if w.unsynced += n; err == nil && w.unsynced > syncBytes {
		w.unsynced = 0
		err = w.file.Sync()
	}
	if err != nil {
		w.failed = w.folder.system(w.name, "the file cannot be written", err)
		return n, w.failed
	}
	return n, nil
}

// hashBeside takes p into the hash, a large one while it is being written.
func (w *writer) hashBeside(p []byte) (done chan struct{}) {
	done = make(chan struct{})
	take := func() {
		w.hash.Write(p)
		close(done)
	}
	if len(p) < besideBytes {
		take()
	} else {
		go take()
	}
	return done
}

// Close syncs the file. An output that failed never counts as written.
func (w *writer) Close() error {
	if w.closed {
		return nil
	}
	w.closed = true
	err := errors.Join(w.buffer.Flush(), w.file.Sync(), w.file.Close())
	if w.failed != nil {
		return w.failed
	}
	if err != nil {
		return w.folder.system(w.name, "the file cannot be written", err)
	}
	w.folder.mu.Lock()
	defer w.folder.mu.Unlock()
	w.folder.sums[w.name] = hex.EncodeToString(w.hash.Sum(nil))
	return nil
}
