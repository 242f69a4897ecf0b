package result

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"io"
	"io/fs"
	"path"
	"strings"
)

// previous reads which files the result.json in place lists as ours, with their
// hashes; nil where there is none.
func (f *Folder) previous() (map[string]string, error) {
	info, err := f.root.Lstat(resultName)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, nil
	case err != nil:
		return nil, f.system(resultName, "the file cannot be looked at", err)
	case !info.Mode().IsRegular():
		return nil, f.fail(resultName, "this is "+what(info)+", where a file of ours belongs", "move it away or choose another folder with -o", nil)
	}
	listed, ok, err := f.listed(resultName)
	if err != nil {
		return nil, f.system(resultName, "the file cannot be read", err)
	}
	if !ok {
		return nil, f.fail(resultName, "this is not a result that was written here", "move it away or choose another folder with -o", nil)
	}
	return listed, nil
}

// listed reads the list of files in a result; ok tells whether it is one of this
// program's. Names that could not be ours are passed over.
func (f *Folder) listed(name string) (files map[string]string, ok bool, err error) {
	data, err := f.root.ReadFile(name)
	if err != nil {
		return nil, false, err
	}
	var d struct {
		Schema string            `json:"schema"`
		Files  map[string]string `json:"files"`
	}
	family, _, _ := strings.Cut(SchemaName, "/")
	if json.Unmarshal(data, &d) != nil || !strings.HasPrefix(d.Schema, family+"/") {
		return nil, false, nil
	}
	files = map[string]string{}
	for n, sum := range d.Files {
		if validName(n) && n != resultName {
			files[n] = strings.TrimPrefix(sum, sumPrefix)
		}
	}
	return files, true, nil
}

// sweep clears away what a killed run left. If it was killed while it put files in
// place, the folder holds parts of two outputs and no result.json: they go too,
// those that its old result.json lists, and those of the new one whose bytes are
// as listed.
func (f *Folder) sweep() error {
	info, err := f.root.Lstat(writingName)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil:
		return f.system(writingName, "the folder cannot be looked at", err)
	case !info.IsDir():
		return f.fail(writingName, "this is "+what(info)+", where outputs are written first", "move it away or choose another folder with -o", nil)
	}
	if _, err := f.root.Lstat(resultName); errors.Is(err, fs.ErrNotExist) {
		old, _, _ := f.listed(previousName)
		for name := range old {
			f.remove(name)
		}
		begun, _, _ := f.listed(path.Join(writingName, resultName))
		for name, want := range begun {
			if sum, err := f.sum(name); err == nil && sum == want {
				f.remove(name)
			}
		}
	}
	if err := f.root.RemoveAll(writingName); err != nil {
		return f.system(writingName, "what a killed run left cannot be removed", err)
	}
	return nil
}

// remove removes a file, if it is one: never a folder, and no link's target. What
// cannot be removed stays.
func (f *Folder) remove(name string) {
	if f.free(name) == nil {
		_ = f.root.Remove(name)
	}
}

// sum computes the sha256 of a file in the folder.
func (f *Folder) sum(name string) (string, error) {
	if info, err := f.root.Lstat(name); err != nil {
		return "", err
	} else if !info.Mode().IsRegular() {
		return "", fs.ErrInvalid
	}
	file, err := f.root.Open(name)
	if err != nil {
		return "", err
	}
	defer file.Close()
	h := sha256.New()
	if _, err := io.Copy(h, file); err != nil {
		return "", err
	}
	return hex.EncodeToString(h.Sum(nil)), nil
}
