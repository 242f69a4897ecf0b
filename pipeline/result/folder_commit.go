package result

import (
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"path"
	"runtime"
	"slices"
	"syscall"
)

// Commit puts every output in place and result.json last; d.Files is filled in. On
// an error nothing of ours stays in the folder but, where the old output was not
// touched yet, that.
func (f *Folder) Commit(d Document) error {
	f.ending.Lock()
	defer f.ending.Unlock()
	f.mu.Lock()
	done := f.done
	open := slices.Contains(slices.Collect(maps.Values(f.sums)), "")
	f.mu.Unlock()
	if done || open {
		return errors.New("result: commit: an output is still being written, or the folder is closed")
	}
	d.Files = f.Sums()
	data, err := Encode(d)
	if err == nil {
		err = f.writeResult(data)
	}
	if err == nil {
		err = f.place(slices.Sorted(maps.Keys(d.Files)))
	}
	if err != nil {
		f.abort()
		return err
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	f.done, f.committed = true, true
	f.root.RemoveAll(writingName) // the output is complete; the next run clears what stays
	f.root.Close()
	return nil
}

// writeResult writes result.json to .writing/.
func (f *Folder) writeResult(data []byte) error {
	w, err := f.open(resultName)
	if err != nil {
		return err
	}
	_, err = w.Write(data)
	if err := errors.Join(err, w.Close()); err != nil {
		return err
	}
	f.disown(resultName)
	return f.syncDir(writingName)
}

// place moves the files from .writing/ to where they belong.
func (f *Folder) place(names []string) error {
	old, err := f.previous()
	if err != nil {
		return err
	}
	for _, name := range names {
		if err := f.ours(name, old); err != nil {
			return err
		}
	}
	if err := f.takeAway(); err != nil {
		return err
	}
	if err := f.move(names, old); err != nil {
		f.removeOurs(names, old)
		return err
	}
	return nil
}

// ours refuses a name under which a file stands that is not ours.
func (f *Folder) ours(name string, old map[string]string) error {
	if err := f.free(name); err != nil {
		return err
	}
	if _, listed := old[name]; listed {
		return nil
	}
	if _, err := f.root.Lstat(name); errors.Is(err, fs.ErrNotExist) || errors.Is(err, syscall.ENOTDIR) {
		return nil
	}
	sum, err := f.sum(name)
	if err != nil {
		return f.system(name, "the file cannot be read", err)
	}
	if sum != f.sums[name] {
		return f.fail(name, "a file of this name is here that no result.json lists as ours", "move it away or choose another folder with -o", nil)
	}
	return nil
}

// takeAway moves the old result.json to .writing/: from here on the folder is
// incomplete.
func (f *Folder) takeAway() error {
	err := f.root.Rename(resultName, previousName)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return f.system(resultName, "the old one cannot be taken away", err)
	}
	return f.syncDirs(".", writingName)
}

// move renames the new files, removes the old ones that have no successor, and
// renames result.json.
func (f *Folder) move(names []string, old map[string]string) error {
	dirs := map[string]bool{".": true}
	for _, name := range names {
		dirs[path.Dir(name)] = true
		if err := f.root.MkdirAll(path.Dir(name), 0o755); err != nil {
			return f.system(name, "its folder cannot be made", err)
		}
		if err := f.root.Rename(path.Join(writingName, name), name); err != nil {
			return f.system(name, "the file cannot be put in place", err)
		}
	}
	for _, name := range slices.Sorted(maps.Keys(old)) {
		if !slices.Contains(names, name) {
			f.remove(name)
		}
	}
	if err := f.syncDirs(slices.Sorted(maps.Keys(dirs))...); err != nil {
		return err
	}
	if err := f.root.Rename(path.Join(writingName, resultName), resultName); err != nil {
		return f.system(resultName, "the file cannot be put in place", err)
	}
	return f.syncDir(".")
}

// removeOurs takes a half-placed output away.
func (f *Folder) removeOurs(names []string, old map[string]string) {
	f.remove(resultName)
	for _, name := range names {
		if sum, err := f.sum(name); err == nil && sum == f.sums[name] {
			f.remove(name)
		}
	}
	for name := range old {
		f.remove(name)
	}
}

// syncDirs syncs folders, so that a rename outlives a power cut.
func (f *Folder) syncDirs(names ...string) error {
	for _, name := range names {
		if err := f.syncDir(name); err != nil {
			return err
		}
	}
	return nil
}

// syncDir syncs one folder; where the system cannot do that, it is left.
func (f *Folder) syncDir(name string) error {
	if runtime.GOOS == "windows" {
		return nil
	}
	d, err := f.root.Open(name)
	if err != nil {
		return f.system(name, "the folder cannot be opened", err)
	}
	defer d.Close()
	if err := d.Sync(); err != nil && !errors.Is(err, syscall.EINVAL) && !errors.Is(err, errors.ErrUnsupported) {
		return f.system(name, fmt.Sprintf("the folder %q cannot be synced", name), err)
	}
	return nil
}
