package result

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"sync"
)

// Folder is the output folder while a run writes to it. A reader of the folder
// sees a complete output or no result.json, whenever the run ends:
//
// Files go to .writing/ and are synced. [Folder.Commit] takes the old result.json
// away, renames the files into place one by one and the new result.json, which
// lists the sha256 of every other file, last. Files that the old result.json names
// and the new one does not are removed; no others ever are. A file under a name of
// ours that no result.json names is not ours: unless its bytes are the same, the
// commit is refused.
//
// Nothing is written or removed through a symbolic link, nor outside the folder.
// Two runs must not write to one folder at a time.
type Folder struct {
	dir     string   // as the user named it
	root    *os.Root // holds every path below dir
	created []string // folders that this run made, outermost first

	mu   sync.Mutex
	sums map[string]string // name → sha256 in hex; "" while it is written
	done bool

	ending    sync.Mutex // held while a commit or an abort is at work
	committed bool
}

const (
	resultName   = "result.json"
	writingName  = ".writing"
	previousName = ".writing/previous.json" // the old result.json, once taken away
)

// OpenFolder makes dir, if it is missing, and clears away what a killed run left.
// A result.json that is not of this program is refused. Errors are of type
// *FolderError.
func OpenFolder(dir string) (*Folder, error) {
	f := &Folder{dir: dir, sums: map[string]string{}}
	if dir == "" {
		return nil, f.fail("", "no folder is named", "name one with -o", nil)
	}
	if err := f.makeDir(); err != nil {
		f.removeCreated()
		return nil, err
	}
	root, err := os.OpenRoot(dir)
	if err != nil {
		f.removeCreated()
		return nil, f.system("", "the folder cannot be opened", err)
	}
	f.root = root
	if err := f.prepare(); err != nil {
		f.root.Close()
		f.removeCreated()
		return nil, err
	}
	return f, nil
}

// makeDir makes dir and the folders above it, and keeps which ones it made.
func (f *Folder) makeDir() error {
	missing := []string{}
	for d := filepath.Clean(f.dir); ; d = filepath.Dir(d) {
		info, err := os.Stat(d)
		if err == nil && !info.IsDir() {
			return &FolderError{Path: d, What: "this is a file, not a folder", Advice: "choose another folder with -o"}
		}
		if err == nil {
			break
		}
		if !errors.Is(err, fs.ErrNotExist) {
			return f.system("", "the folder cannot be reached", err)
		}
		missing = append(missing, d)
		if d == filepath.Dir(d) {
			break
		}
	}
	for i := len(missing) - 1; i >= 0; i-- {
		if err := os.Mkdir(missing[i], 0o755); err != nil {
			return f.system("", "the folder cannot be made", err)
		}
		f.created = append(f.created, missing[i])
	}
	return nil
}

// prepare looks at what is there and makes .writing/.
func (f *Folder) prepare() error {
	if _, err := f.previous(); err != nil {
		return err
	}
	if err := f.sweep(); err != nil {
		return err
	}
	if err := f.root.Mkdir(writingName, 0o755); err != nil {
		return f.system(writingName, "the folder cannot be written to", err)
	}
	return nil
}

// Abort gives up: what was written so far goes, and folders that this run made, if
// they are empty. After Commit or Abort it does nothing.
func (f *Folder) Abort() error {
	f.ending.Lock()
	defer f.ending.Unlock()
	return f.abort()
}

// Undo is Abort for another goroutine, while the run is at work on the folder: a
// commit that has begun is waited for. undone is false where the output is
// complete and stays.
func (f *Folder) Undo() (undone bool) {
	f.ending.Lock()
	defer f.ending.Unlock()
	if f.committed {
		return false
	}
	_ = f.abort() // what cannot be removed now the next run clears away
	return true
}

func (f *Folder) abort() error {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.done {
		return nil
	}
	f.done = true
	err := f.root.RemoveAll(writingName)
	f.root.Close()
	f.removeCreated()
	if err != nil {
		return f.system(writingName, "what was begun cannot be removed", err)
	}
	return nil
}

// removeCreated removes the folders that this run made, as far as they are empty.
func (f *Folder) removeCreated() {
	for i := len(f.created) - 1; i >= 0; i-- {
		if os.Remove(f.created[i]) != nil {
			return
		}
	}
}

// Sums returns the sha256 of every file that is written and closed, by name, as
// result.json lists it.
func (f *Folder) Sums() map[string]string {
	f.mu.Lock()
	defer f.mu.Unlock()
	sums := map[string]string{}
	for name, sum := range f.sums {
		if sum != "" {
			sums[name] = sumPrefix + sum
		}
	}
	return sums
}
