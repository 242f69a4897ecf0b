package result

import (
	"bufio"
	"fmt"
	"math/rand"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// childDir names the folder that the test binary, started by the test below, keeps
// writing outputs to until it is killed.
const childDir = "RESULT_TEST_CHILD_DIR"

func TestMain(m *testing.M) {
	if dir := os.Getenv(childDir); dir != "" {
		fmt.Println("begun")
		for i := 0; ; i++ {
			if err := childRun(dir, i); err != nil {
				fmt.Println("child:", err)
				os.Exit(1)
			}
			fmt.Println("ready")
		}
	}
	os.Exit(m.Run())
}

// childRun writes one output; its files differ from run to run, in bytes and names.
func childRun(dir string, i int) error {
	names := []string{"elements.csv", "job.out.yaml", "elements.ply", "pictures/overview.png"}
	for n := range i%3 + 1 {
		names = append(names, fmt.Sprintf("pictures/E%02d.png", n+1))
	}
	return writeRun(dir, strings.Repeat(fmt.Sprintf("run %d of %d\n", i, os.Getpid()), 2000), names...)
}

// child is a process that writes outputs to dir until it is killed; what it said
// is known once it is.
type child struct {
	cmd   *exec.Cmd
	lines *bufio.Scanner
}

func startChild(t *testing.T, dir string) child {
	self, err := os.Executable()
	require.NoError(t, err)
	c := exec.Command(self)
	c.Env = append(os.Environ(), childDir+"="+dir)
	out, err := c.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, c.Start())
	return child{c, bufio.NewScanner(out)}
}

// says waits for the child's next line.
func (c child) says(t *testing.T, want string) {
	require.True(t, c.lines.Scan(), "the child ended")
	require.Equal(t, want, c.lines.Text())
}

// kill ends the child; it must not have complained before.
func (c child) kill(t *testing.T) {
	require.NoError(t, c.cmd.Process.Kill())
	for c.lines.Scan() {
		require.Equal(t, "ready", c.lines.Text(), "what a killed run left does not stop the next")
	}
	_ = c.cmd.Wait()
}

// The run is killed at 50 random times within the first three outputs, counted
// from when the child begins to write: a slow machine, or the race detector, only
// stretches them.
func TestKilledAtAnyMoment(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "out")
	require.NoError(t, os.Mkdir(dir, 0o755))
	file(t, dir, "notes.txt")
	c := startChild(t, dir)
	c.says(t, "begun")
	began := time.Now()
	for range 3 {
		c.says(t, "ready")
	}
	three := time.Since(began)
	c.kill(t)
	complete, incomplete := 0, 0
	random := rand.New(rand.NewSource(1))
	for range 50 {
		c := startChild(t, dir)
		c.says(t, "begun")
		time.Sleep(time.Duration(random.Float64() * float64(three)))
		c.kill(t)
		if whole(t, dir) == "" {
			incomplete++
		} else {
			complete++
		}
	}
	t.Logf("%d complete, %d without result.json", complete, incomplete)
	assert.Positive(t, complete)
	require.NoError(t, writeRun(dir, "last", "elements.csv"))
	assert.Equal(t, "last", whole(t, dir))
	got := tree(t, dir)
	assert.ElementsMatch(t, []string{"notes.txt", "elements.csv", "pictures/", "result.json"}, names(got), "nothing of a killed run stays")
}

// What a run that was killed while it put files in place leaves: the old result
// taken away, one file renamed, the rest still in .writing.
func TestSweepAfterAKilledCommit(t *testing.T) {
	dir := t.TempDir()
	file(t, dir, "notes.txt")
	require.NoError(t, writeRun(dir, "one", "elements.csv", "elements.ply", "report.html"))
	f, err := OpenFolder(dir)
	require.NoError(t, err)
	for _, name := range []string{"elements.csv", "elements.ply", "new.csv"} {
		require.NoError(t, f.Write(name, []byte("two")))
	}
	data, err := Encode(Document{Schema: SchemaName, Files: f.Sums()})
	require.NoError(t, err)
	require.NoError(t, f.writeResult(data))
	require.NoError(t, f.takeAway())
	require.NoError(t, f.root.Rename(".writing/new.csv", "new.csv"))
	assert.NoFileExists(t, filepath.Join(dir, resultName))
	file(t, dir, "elements.step")

	f, err = OpenFolder(dir)
	require.NoError(t, err)
	require.NoError(t, f.Abort())
	assert.Equal(t, map[string]string{"notes.txt": "x", "elements.step": "x"}, tree(t, dir))
}

// A rename that fails halfway: a folder appears at the place of a file after the
// checks. Nothing of ours stays, the foreign files do.
func TestACommitThatFailsHalfwayLeavesNothing(t *testing.T) {
	dir := t.TempDir()
	file(t, dir, "notes.txt")
	require.NoError(t, writeRun(dir, "one", "a.csv", "b.csv", "z.csv"))
	f, err := OpenFolder(dir)
	require.NoError(t, err)
	for _, name := range []string{"a.csv", "b.csv"} {
		require.NoError(t, f.Write(name, []byte("two")))
	}
	old, err := f.previous()
	require.NoError(t, err)
	require.NoError(t, f.takeAway())
	replace(t, dir, "b.csv")
	mkdir(t, dir, "b.csv")
	err = f.move([]string{"a.csv", "b.csv"}, old)
	var typed *FolderError
	require.ErrorAs(t, err, &typed)
	assert.ErrorContains(t, err, "cannot be put in place")
	f.removeOurs([]string{"a.csv", "b.csv"}, old)
	require.NoError(t, f.Abort())
	assert.Equal(t, map[string]string{"notes.txt": "x", "b.csv/": "", "b.csv/inside/": ""}, tree(t, dir))
}
