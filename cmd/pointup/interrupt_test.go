package main

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"pointup/mesh/synthetic"
)

// endsWithin is what an interrupted program is given to end: half a second on a
// machine that has nothing else to do, and room for one that has.
const endsWithin = 8 * time.Second

// interrupted starts the program, interrupts it once ready returns, and returns
// its status; -1 where the signal came before the program listens.
func interrupted(t *testing.T, ready func(ended <-chan struct{}), args ...string) int {
	c := program(t, nil, args...)
	var stderr bytes.Buffer
	c.Stderr = &stderr
	require.NoError(t, c.Start())
	ended := make(chan struct{})
	go func() { _ = c.Wait(); close(ended) }()
	ready(ended)
	began := time.Now()
	_ = c.Process.Signal(os.Interrupt)
	select {
	case <-ended:
	case <-time.After(endsWithin):
		_ = c.Process.Kill()
		require.Fail(t, "does not end")
	}
	status := c.ProcessState.ExitCode()
	t.Logf("status %d, %.0f ms after the signal", status, 1000*time.Since(began).Seconds())
	if status == exitInterrupted {
		require.Contains(t, stderr.String(), "interrupted")
	}
	return status
}

// after is ready a while after the start.
func after(d time.Duration) func(<-chan struct{}) {
	return func(ended <-chan struct{}) { pause(ended, d) }
}

// TestLargeRunInterrupted interrupts a run of 200,000 facets at moments
// spread over it, in its long sorts and fits too, and while elements.ply is
// written: nothing is left, and the status is 130.
func TestLargeRunInterrupted(t *testing.T) {
	dir := t.TempDir()
	scan := filepath.Join(dir, "big.stl")
	f, err := os.Create(scan)
	require.NoError(t, err)
	_, err = synthetic.Big(f, 200_000)
	require.NoError(t, err)
	require.NoError(t, f.Close())
	out := filepath.Join(dir, "a", "out")
	args := []string{"run", scan, "--unit", "mm", "--ratio", "12", "--only", "csv,ply", "-o", out}
	began := time.Now()
	require.NoError(t, program(t, nil, args...).Run())
	whole := time.Since(began)
	require.NoError(t, os.RemoveAll(filepath.Dir(out)))

	writing := func(ended <-chan struct{}) {
		until(ended, func() bool { _, err := os.Lstat(filepath.Join(out, ".writing", "elements.ply")); return err == nil })
	}
	moments := []func(<-chan struct{}){writing}
	for k := range 6 {
		moments = append(moments, after(whole*time.Duration(k+1)/8))
	}
	stopped := 0
	for _, ready := range moments {
		switch status := interrupted(t, ready, args...); status {
		case exitInterrupted:
			stopped++
			require.NoDirExists(t, filepath.Dir(out))
		case exitDone: // it was at its end
			require.True(t, completeness(t, out))
			require.NoError(t, os.RemoveAll(filepath.Dir(out)))
		default:
			require.Equal(t, -1, status)
			require.NoDirExists(t, filepath.Dir(out))
		}
	}
	require.Greater(t, stopped, len(moments)/2)
}

// TestDemoInterruptedAnywhere is the same for the demo, whose scan takes a while
// to make before anything is written.
func TestDemoInterruptedAnywhere(t *testing.T) {
	out := filepath.Join(t.TempDir(), "demo")
	stopped := 0
	for k := range 5 {
		status := interrupted(t, after(time.Duration(100+300*k)*time.Millisecond), "demo", "--no-pictures", "-o", out)
		if status == exitDone {
			require.True(t, completeness(t, out))
			require.NoError(t, os.RemoveAll(out))
			continue
		}
		require.Contains(t, []int{-1, exitInterrupted}, status)
		require.NoDirExists(t, out)
		stopped++
	}
	require.Positive(t, stopped)
}
