package pipeline

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"encoding/gob"
	"encoding/hex"
	"errors"
	"fmt"
	"hash"
	"io/fs"
	"os"
	"regexp"
	"sync"
)

// keeper holds what costly stages found, in DIR/.stages/, one file a stage under
// a hash of all that reaches it: the scan's bytes, the settings, the program.
//
// A file that is not whole, or not ours, is taken for absent. Nothing is written
// before the output is complete, and nothing that goes wrong here fails a run: a
// stage that was not kept is done again.
type keeper struct {
	dir   string // the output folder
	build string // of the program
	fresh bool   // ignore what is kept

	mu    sync.Mutex
	used  map[string]bool   // names asked for in this run
	made  map[string][]byte // and those found in it
	stage map[string]bool   // stages that were asked for
}

const (
	stagesName = ".stages"
	keptHead   = "pointup kept stage 1\n"
	keptMost   = 1 << 30 // bytes; no stage of a scan that fits in memory needs more
)

// keptName is what our files there are called; .part is one that a killed run
// was writing.
var keptName = regexp.MustCompile(`^([a-z]+)-[0-9a-f]{64}(\.part)?$`)

func newKeeper(dir, build string, fresh bool) *keeper {
	return &keeper{dir: dir, build: build, fresh: fresh, used: map[string]bool{}, made: map[string][]byte{}, stage: map[string]bool{}}
}

// name is the file of a stage that all of parts reach.
func (k *keeper) name(stage string, parts ...any) string {
	h := sha256.New()
	hashPart(h, keptHead)
	hashPart(h, k.build)
	for _, p := range parts {
		hashPart(h, p)
	}
	return stage + "-" + hex.EncodeToString(h.Sum(nil))
}

// hashPart hashes a value with its length, so that no two lists of values give
// the same bytes.
func hashPart(h hash.Hash, part any) {
	switch x := part.(type) {
	case []uint32, []float32, [][3]float32:
		fmt.Fprintf(h, "%T %d\n", x, binary.Size(x))
		_ = binary.Write(h, binary.LittleEndian, x)
	default:
		text := fmt.Sprintf("%T %v", x, x)
		fmt.Fprintf(h, "%d %s\n", len(text), text)
	}
}

// load fills into with what is kept under a name; false where nothing whole is.
func (k *keeper) load(name string, into any) bool {
	stage, _, _ := bytes.Cut([]byte(name), []byte("-"))
	k.mu.Lock()
	k.used[name], k.stage[string(stage)] = true, true
	k.mu.Unlock()
	if k.fresh || k.dir == "" {
		return false
	}
	root, err := os.OpenRoot(k.dir)
	if err != nil {
		return false
	}
	defer root.Close()
	data, err := readKept(root, stagesName+"/"+name)
	if err != nil {
		return false
	}
	return decodeKept(data, into) == nil
}

// readKept reads a file of the folder through no link.
func readKept(root *os.Root, path string) ([]byte, error) {
	for _, p := range []string{stagesName, path} {
		info, err := root.Lstat(p)
		if err != nil {
			return nil, err
		}
		if regular := info.Mode().IsRegular(); p == path && (!regular || info.Size() > keptMost) || p != path && !info.IsDir() {
			return nil, fs.ErrInvalid
		}
	}
	return root.ReadFile(path)
}

var errDamaged = errors.New("a kept stage is damaged")

func decodeKept(data []byte, into any) error {
	body, ours := bytes.CutPrefix(data, []byte(keptHead))
	if !ours || len(body) < sha256.Size {
		return errDamaged
	}
	if sum := sha256.Sum256(body[sha256.Size:]); !bytes.Equal(sum[:], body[:sha256.Size]) {
		return errDamaged
	}
	return gob.NewDecoder(bytes.NewReader(body[sha256.Size:])).Decode(into)
}

func encodeKept(v any) ([]byte, error) {
	var b bytes.Buffer
	if err := gob.NewEncoder(&b).Encode(v); err != nil {
		return nil, err
	}
	sum := sha256.Sum256(b.Bytes())
	return append(append([]byte(keptHead), sum[:]...), b.Bytes()...), nil
}

// save remembers what a stage found until write.
func (k *keeper) save(name string, v any) {
	if k.dir == "" {
		return
	}
	data, err := encodeKept(v)
	if err != nil {
		return
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	k.made[name] = data
}

// write puts new stages in place once the output is complete, and removes those
// of the same stages that this run had no use for.
func (k *keeper) write() {
	root, err := os.OpenRoot(k.dir)
	if err != nil {
		return
	}
	defer root.Close()
	if err := root.Mkdir(stagesName, 0o755); err != nil && !errors.Is(err, fs.ErrExist) {
		return
	}
	if info, err := root.Lstat(stagesName); err != nil || !info.IsDir() {
		return
	}
	for name, data := range k.made {
		at := stagesName + "/" + name
		if info, err := root.Lstat(at); err == nil && !info.Mode().IsRegular() {
			continue
		}
		_ = root.Remove(at + ".part") // not written through, were it a link
		if root.WriteFile(at+".part", data, 0o644) != nil || root.Rename(at+".part", at) != nil {
			_ = root.Remove(at + ".part")
		}
	}
	k.sweep(root)
}

// sweep removes old files of ours.
func (k *keeper) sweep(root *os.Root) {
	d, err := root.Open(stagesName)
	if err != nil {
		return
	}
	defer d.Close()
	list, _ := d.ReadDir(-1)
	for _, f := range list {
		m := keptName.FindStringSubmatch(f.Name())
		if m != nil && f.Type().IsRegular() && (m[2] != "" || k.stage[m[1]] && !k.used[f.Name()]) {
			_ = root.Remove(stagesName + "/" + f.Name())
		}
	}
}
