package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"pointup/mesh/scanfile"
	"pointup/mesh/synthetic"
)

// asProgram is the variable that turns the test binary into the program itself,
// so that signals and statuses are those of a real process.
const asProgram = "POINTUP_TEST_AS_PROGRAM"

func TestMain(m *testing.M) {
	if os.Getenv(asProgram) != "" {
		main()
	}
	os.Exit(m.Run())
}

// program is a run of the program as a process of its own.
func program(t *testing.T, env []string, args ...string) *exec.Cmd {
	self, err := os.Executable()
	require.NoError(t, err)
	c := exec.Command(self, args...)
	c.Env = append(append(os.Environ(), asProgram+"=1"), env...)
	return c
}

// completeness says whether dir holds a result.json, and holds every file that
// it lists against its sha256.
func completeness(t *testing.T, dir string) (complete bool) {
	data, err := os.ReadFile(filepath.Join(dir, "result.json"))
	if errors.Is(err, os.ErrNotExist) {
		return false
	}
	require.NoError(t, err)
	var doc struct{ Files map[string]string }
	require.NoError(t, json.Unmarshal(data, &doc), "a result.json that is no JSON")
	require.NotEmpty(t, doc.Files)
	for name, sum := range doc.Files {
		data, err := os.ReadFile(filepath.Join(dir, name))
		require.NoError(t, err)
		got := sha256.Sum256(data)
		require.Equal(t, strings.TrimPrefix(sum, "sha256 "), hex.EncodeToString(got[:]), name)
	}
	return true
}

// TestKilledAtAnyTime kills 50 runs into folders that hold a complete output:
// anywhere, while they write, and while they put files in place, in turn. What is
// left is complete or has no result.json, a stranger's file stays, and the next
// run is as good as the first.
func TestKilledAtAnyTime(t *testing.T) {
	scan, _ := shaped(t, synthetic.Disc{OutsideDiameterMM: 20, ThicknessMM: 5}) // small: 50 runs
	good := filepath.Join(t.TempDir(), "good")
	args := []string{"run", scan, "--unit", "mm", "--ratio", "12", "--only", "csv,ply,page,job", "-o"}
	began := time.Now()
	require.NoError(t, program(t, nil, append(args, good)...).Run())
	whole := time.Since(began)
	require.True(t, completeness(t, good))
	first, err := os.ReadFile(filepath.Join(good, "result.json"))
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(good, "notes.txt"), []byte("keep"), 0o644))

	rng := rand.New(rand.NewPCG(50, 0))
	left := map[bool]string{}                                 // a folder that was left complete, one that was not
	for i := 0; i < 50 || i < 300 && left[false] == ""; i++ { // a busy machine may be late for the short time between
		dir := filepath.Join(t.TempDir(), "out")
		require.NoError(t, os.CopyFS(dir, os.DirFS(good)))
		c := program(t, nil, append(args, dir)...)
		require.NoError(t, c.Start())
		ended := make(chan struct{})
		go func() { _ = c.Wait(); close(ended) }()
		switch i % 3 {
		case 0:
			pause(ended, time.Duration(rng.Float64()*1.2*float64(whole)))
		case 1:
			until(ended, func() bool { list, _ := os.ReadDir(filepath.Join(dir, ".writing")); return len(list) > 0 })
			pause(ended, time.Duration(rng.IntN(8000))*time.Microsecond)
		case 2:
			until(ended, func() bool { _, err := os.Lstat(filepath.Join(dir, "result.json")); return err != nil })
			pause(ended, time.Duration(rng.IntN(300))*time.Microsecond)
		}
		_ = c.Process.Kill()
		<-ended
		left[completeness(t, dir)] = dir
		require.FileExists(t, filepath.Join(dir, "notes.txt"))
	}
	require.Contains(t, left, false, "no kill came between the first file and the last")
	for _, dir := range left {
		require.NoError(t, program(t, nil, append(args, dir)...).Run())
		require.True(t, completeness(t, dir))
		require.NoDirExists(t, filepath.Join(dir, ".writing"))
		require.FileExists(t, filepath.Join(dir, "notes.txt"))
		again, err := os.ReadFile(filepath.Join(dir, "result.json"))
		require.NoError(t, err)
		require.Equal(t, string(first), string(again))
	}
}

// pause waits for d or until the process has ended.
func pause(ended <-chan struct{}, d time.Duration) {
	select {
	case <-ended:
	case <-time.After(d):
	}
}

// until waits for what happens within microseconds, or for the process's end.
func until(ended <-chan struct{}, happened func() bool) {
	for !happened() {
		select {
		case <-ended:
			return
		default:
			time.Sleep(20 * time.Microsecond)
		}
	}
}

// TestInterrupted holds status 130 and an untouched place for both signals that
// ask a program to stop. One that comes before the program listens ends it
// silently, one that comes too late finds it done: both are tried again.
func TestInterrupted(t *testing.T) {
	scan := scanned(t)
	for _, signal := range []os.Signal{os.Interrupt, syscall.SIGTERM} {
		held := false
		for wait := 20 * time.Millisecond; wait < 5*time.Second && !held; wait = wait * 5 / 4 {
			out := filepath.Join(t.TempDir(), "out")
			c := program(t, nil, "run", scan, "--unit", "mm", "--ratio", "12", "-o", out)
			var stderr bytes.Buffer
			c.Stderr = &stderr
			require.NoError(t, c.Start())
			time.Sleep(wait)
			_ = c.Process.Signal(signal)
			_ = c.Wait()
			switch status := c.ProcessState.ExitCode(); status {
			case exitInterrupted:
				require.Contains(t, stderr.String(), "interrupted")
				require.NoDirExists(t, out)
				held = true
			case exitDone:
				require.True(t, completeness(t, out))
			default:
				require.Equal(t, -1, status, stderr.String())
				require.NoDirExists(t, out)
			}
		}
		require.True(t, held, "no %v was answered with status 130", signal)
	}
}

// TestSameBytesOnOneAndTwoProcessors holds every file of a run, by way of the
// sums in result.json, against the number of processors.
func TestSameBytesOnOneAndTwoProcessors(t *testing.T) {
	scan := scanned(t)
	var got [2]string
	for i, n := range []string{"1", "2"} {
		out := filepath.Join(t.TempDir(), "out")
		c := program(t, []string{"GOMAXPROCS=" + n}, "run", scan, "--unit", "mm", "--ratio", "12", "-o", out)
		text, err := c.CombinedOutput()
		require.NoError(t, err, string(text))
		require.True(t, completeness(t, out))
		data, err := os.ReadFile(filepath.Join(out, "result.json"))
		require.NoError(t, err)
		got[i] = string(data)
	}
	require.Equal(t, got[0], got[1])
}

// TestShuffledTriangles holds elements.csv, the printed elements, against the
// order of the triangles in the file and of the corners in a triangle.
func TestShuffledTriangles(t *testing.T) {
	scan := scanned(t)
	soup, err := scanfile.Read(t.Context(), scan, nil)
	require.NoError(t, err)
	rng := rand.New(rand.NewPCG(11, 0))
	rng.Shuffle(len(soup.Corners), func(a, b int) { soup.Corners[a], soup.Corners[b] = soup.Corners[b], soup.Corners[a] })
	for i, c := range soup.Corners {
		if rng.IntN(2) == 0 {
			soup.Corners[i] = [3]uint32{c[1], c[2], c[0]}
		}
	}
	shuffled := filepath.Join(t.TempDir(), "two.stl")
	f, err := os.Create(shuffled)
	require.NoError(t, err)
	require.NoError(t, scanfile.WriteSTL(f, "shuffled", soup))
	require.NoError(t, f.Close())
	var got [2]struct{ Elements json.RawMessage }
	for i, path := range []string{scan, shuffled} {
		out := filepath.Join(t.TempDir(), "out")
		status, _, stderr := call("run", path, "--unit", "mm", "--ratio", "12", "--only", "csv", "-o", out)
		require.Equal(t, exitDone, status, stderr)
		data, err := os.ReadFile(filepath.Join(out, "result.json"))
		require.NoError(t, err)
		require.NoError(t, json.Unmarshal(data, &got[i]))
	}
	require.NotEmpty(t, got[0].Elements)
	require.JSONEq(t, string(got[0].Elements), string(got[1].Elements))
}

// TestDemoInterrupted holds that a demo that is stopped at work takes its scan,
// its job and its folder away again, and no file of anybody else.
func TestDemoInterrupted(t *testing.T) {
	for _, before := range []string{"", "notes.txt"} {
		out := filepath.Join(t.TempDir(), "a", "demo")
		if before != "" {
			require.NoError(t, os.MkdirAll(out, 0o755))
			require.NoError(t, os.WriteFile(filepath.Join(out, before), []byte("keep"), 0o644))
		}
		c := program(t, nil, "demo", "-o", out)
		var stderr bytes.Buffer
		c.Stderr = &stderr
		require.NoError(t, c.Start())
		ended := make(chan struct{})
		go func() { _ = c.Wait(); close(ended) }()
		until(ended, func() bool { _, err := os.Lstat(filepath.Join(out, "tide-clock.yaml")); return err == nil })
		_ = c.Process.Signal(os.Interrupt)
		<-ended
		require.Equal(t, exitInterrupted, c.ProcessState.ExitCode(), stderr.String())
		if before == "" {
			require.NoDirExists(t, filepath.Dir(out))
			continue
		}
		list, err := os.ReadDir(out)
		require.NoError(t, err)
		require.Len(t, list, 1)
		require.Equal(t, before, list[0].Name())
	}
}

// TestDemoLeavesStrangers holds that a file of the demo's names that is not the
// demo's is not written over.
func TestDemoLeavesStrangers(t *testing.T) {
	for _, name := range []string{"tide-clock.yaml", "tide-clock.stl"} {
		out := t.TempDir()
		path := filepath.Join(out, name)
		require.NoError(t, os.WriteFile(path, []byte("mine"), 0o644))
		status, _, stderr := call("demo", "-o", out)
		require.Equal(t, exitOutput, status, stderr)
		require.Contains(t, stderr, name)
		list, err := os.ReadDir(out)
		require.NoError(t, err)
		require.Len(t, list, 1)
	}
}

// TestNoCommand holds that a bare call is a mistake: usage on stderr, status 2.
func TestNoCommand(t *testing.T) {
	status, stdout, stderr := call()
	require.Equal(t, exitInput, status)
	require.Empty(t, stdout)
	require.Contains(t, stderr, "Usage: pointup <command>")
	require.Contains(t, stderr, "no command is given")
	status, stdout, _ = call("--help")
	require.Equal(t, exitDone, status)
	require.Contains(t, stdout, "Usage: pointup <command>")
}

// TestFreshGivesTheSame holds that a run that takes kept stages up, and one that
// is told not to, write the same result.
func TestFreshGivesTheSame(t *testing.T) {
	scan, out := scanned(t), filepath.Join(t.TempDir(), "out")
	args := []string{"run", scan, "--unit", "mm", "--ratio", "12", "--only", "csv,ply,page,job", "-o", out}
	var got []string
	for _, more := range []string{"", "", "--fresh"} {
		status, _, stderr := call(append(args, strings.Fields(more)...)...)
		require.Equal(t, exitDone, status, stderr)
		require.DirExists(t, filepath.Join(out, ".stages"))
		data, err := os.ReadFile(filepath.Join(out, "result.json")) // with the sums of all files
		require.NoError(t, err)
		got = append(got, string(data))
	}
	require.Equal(t, got[0], got[1])
	require.Equal(t, got[0], got[2])
}
