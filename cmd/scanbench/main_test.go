package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// TestMain lets the test binary be the program, for the processes that it starts.
func TestMain(m *testing.M) {
	if len(os.Args) > 1 && os.Args[1] == "-"+oneFlag {
		main()
		os.Exit(0)
	}
	os.Exit(m.Run())
}

func TestCurve(t *testing.T) {
	var out bytes.Buffer
	require.NoError(t, run([]string{"-millions", "0.02", "-repeat", "1"}, &out))
	lines := strings.Split(strings.TrimSpace(out.String()), "\n")
	require.Len(t, lines, 5, out.String())
	require.Contains(t, lines[4], "| 0.0 M | 1 MB |")
}

func TestRow(t *testing.T) {
	r := row{facets: 10e6, fileBytes: 500e6, bare: time.Second, run: 4 * time.Second, process: 7 * time.Second, peakBytes: 750e6}
	require.Equal(t, "| 10.0 M | 500 MB | 1.000 s | 4.00 s | 7.00 s | 2.50 M | 750 MB | 4 | 1.5 |", r.String())
	r.peakBytes = 0
	require.Contains(t, r.String(), "not known")
}

func TestBareDecode(t *testing.T) {
	path := filepath.Join(t.TempDir(), "scan.stl")
	n, size, err := write(path, 30000)
	require.NoError(t, err)
	require.EqualValues(t, headBytes+recordBytes*n, size)
	x, err := bareDecode(path)
	require.NoError(t, err)
	require.InDelta(t, 400, x, 60) // four pieces of some 80 mm at steps of 120 mm: BigScene
}

func TestRefusals(t *testing.T) {
	for _, args := range [][]string{{"-millions", "0"}, {"-millions", "x"}, {"-millions", "21"}, {"-repeat", "0"}, {"scan.stl"}, {"-one", "x"}, {"-only", "hologram", "-repeat", "1", "-millions", "0.02"}} {
		require.Error(t, run(args, &bytes.Buffer{}), args)
	}
}
