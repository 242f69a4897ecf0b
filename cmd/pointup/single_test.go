package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"

	"pointup/mesh/synthetic"
)

// shaped writes the scan of one shape and returns its path and its truth.
func shaped(t *testing.T, shape synthetic.Shape) (string, synthetic.Scanned) {
	opt := synthetic.DefaultOptions()
	opt.EdgeMM, opt.NoiseMM = 1.2, 0.02
	s, err := synthetic.Scan(synthetic.Scene{Name: "one", Pieces: []synthetic.Piece{{Name: "one", Shape: shape, Pose: synthetic.Upright(3, -4, 5)}}}, opt)
	require.NoError(t, err)
	var data bytes.Buffer
	require.NoError(t, s.WriteSTL(&data))
	path := filepath.Join(t.TempDir(), "one.stl")
	require.NoError(t, os.WriteFile(path, data.Bytes(), 0o644))
	return path, s
}

// TestFitPrintsTheShape holds kind and dimensions of one element as JSON against
// the shape that was scanned. Twice u95 and 0.005 mm: about one dimension in
// twenty lies outside u95 and one in ten thousand outside twice.
func TestFitPrintsTheShape(t *testing.T) {
	for _, shape := range []synthetic.Shape{
		synthetic.Tube{OutsideDiameterMM: 20, InsideDiameterMM: 14, LengthMM: 60},
		synthetic.Bar{OutsideDiameterMM: 12, LengthMM: 50},
		synthetic.Disc{OutsideDiameterMM: 40, ThicknessMM: 5},
		synthetic.Ring{OutsideDiameterMM: 50, InsideDiameterMM: 30, ThicknessMM: 6},
		synthetic.Plate{Outline: synthetic.Rectangle(60, 35), ThicknessMM: 4},
		synthetic.RoundRing{CentrelineDiameterMM: 60, SectionDiameterMM: 8},
		synthetic.Arc{CentrelineDiameterMM: 70, SectionDiameterMM: 10, SectionBoreMM: 6, SweepDeg: 120},
		synthetic.RolledPlate{InsideDiameterMM: 60, ThicknessMM: 3, WidthMM: 30, SweepDeg: 140},
	} {
		t.Run(fmt.Sprintf("%T", shape), func(t *testing.T) {
			path, s := shaped(t, shape)
			status, stdout, stderr := call("fit", path, "--json")
			require.Equal(t, exitDone, status, stderr)
			var e struct {
				Kind     string         `json:"kind"`
				Maquette map[string]any `json:"maquette"`
				U95      map[string]any `json:"u95"`
				NoiseMM  float64        `json:"noise_mm"`
			}
			require.NoError(t, json.Unmarshal([]byte(stdout), &e))
			require.Equal(t, s.Truth[0].Kind, e.Kind)
			require.InDelta(t, 0.02, e.NoiseMM, 0.004)
			n := 0
			for key, value := range e.Maquette {
				want, known := s.Truth[0].Value(key)
				u, sure := e.U95[key].(float64)
				if known && sure {
					require.InDelta(t, want, value, 2*u+0.005, key)
					n++
				}
			}
			require.GreaterOrEqual(t, n, 2)
		})
	}
}

// TestFitReadsPoints holds that bare points, with and without normals, are read
// as one element.
func TestFitReadsPoints(t *testing.T) {
	_, s := shaped(t, synthetic.Bar{OutsideDiameterMM: 12, LengthMM: 50})
	var bare strings.Builder
	for _, p := range s.Soup("one.stl").Points {
		fmt.Fprintf(&bare, "%.5f %.5f %.5f\n", p[0], p[1], p[2])
	}
	path := filepath.Join(t.TempDir(), "bar.xyz")
	require.NoError(t, os.WriteFile(path, []byte(bare.String()), 0o644))
	status, stdout, stderr := call("fit", path, "--json")
	require.Equal(t, exitDone, status, stderr)
	var e struct {
		Kind     string             `json:"kind"`
		Maquette map[string]float64 `json:"maquette"`
	}
	require.NoError(t, json.Unmarshal([]byte(stdout), &e))
	require.Equal(t, "bar", e.Kind)
	require.InDelta(t, 12, e.Maquette["outside_diameter_mm"], 0.05)
}

// TestSurfacesLabelsEveryFacet holds that the label file has a line a facet and
// names only surfaces that were listed.
func TestSurfacesLabelsEveryFacet(t *testing.T) {
	path, s := shaped(t, synthetic.Disc{OutsideDiameterMM: 30, ThicknessMM: 12})
	labels := filepath.Join(t.TempDir(), "labels.txt")
	status, stdout, stderr := call("surfaces", path, "--labels", labels, "--json")
	require.Equal(t, exitDone, status, stderr)
	var found struct {
		Surfaces []struct {
			ID   int    `json:"id"`
			Type string `json:"type"`
		} `json:"surfaces"`
	}
	require.NoError(t, json.Unmarshal([]byte(stdout), &found))
	count := map[string]int{}
	for _, x := range found.Surfaces {
		count[x.Type]++
	}
	require.Equal(t, 1, count["cylinder"], "the rim")
	require.Equal(t, 2, count["plane"], "two faces")
	data, err := os.ReadFile(labels)
	require.NoError(t, err)
	lines := strings.Fields(string(data))
	require.Len(t, lines, len(s.Soup("one.stl").Corners))
	labelled := 0
	for _, l := range lines {
		n, err := strconv.Atoi(l)
		require.NoError(t, err)
		require.True(t, n >= 0 && n <= len(found.Surfaces), "label %d", n)
		if n > 0 {
			labelled++
		}
	}
	require.Greater(t, float64(labelled), 0.9*float64(len(lines)))
}

// TestNoRegularFile holds that pipes, devices and folders are refused at once by
// every command that reads, and that a file without permission is named.
func TestNoRegularFile(t *testing.T) {
	dir := t.TempDir()
	pipe := filepath.Join(dir, "pipe.stl")
	require.NoError(t, syscall.Mkfifo(pipe, 0o644))
	link := filepath.Join(dir, "link.stl")
	require.NoError(t, os.Symlink(pipe, link))
	loop := filepath.Join(dir, "loop.stl")
	require.NoError(t, os.Symlink(loop, loop))
	paths := map[string]string{"pipe": pipe, "link to a pipe": link, "link to itself": loop, "device": "/dev/zero", "folder": dir}
	if os.Geteuid() != 0 {
		closed := filepath.Join(dir, "closed.stl")
		require.NoError(t, os.WriteFile(closed, []byte("solid"), 0))
		paths["no permission"] = closed
	}
	for name, path := range paths {
		for _, command := range []string{"run", "check", "fit", "surfaces"} {
			t.Run(command+" "+name, func(t *testing.T) {
				args := []string{command, path, "--unit", "mm"}
				if command == "run" {
					args = append(args, "--ratio", "2", "-o", filepath.Join(dir, "out"))
				}
				status, stdout, stderr := call(args...)
				require.Equal(t, exitInput, status, stderr)
				require.Contains(t, stderr, filepath.Base(path))
				require.Empty(t, stdout)
				require.NoDirExists(t, filepath.Join(dir, "out"))
			})
		}
	}
	jobPipe := filepath.Join(dir, "pipe.yaml")
	require.NoError(t, syscall.Mkfifo(jobPipe, 0o644))
	status, _, stderr := call("run", jobPipe)
	require.Equal(t, exitInput, status, stderr)
}

// TestFewPoints holds that files of very few points or facets end in a message
// or an answer, never in a fault of the program.
func TestFewPoints(t *testing.T) {
	for n := range 9 {
		var text strings.Builder
		for i := range n {
			fmt.Fprintf(&text, "%d %d %d\n", i, i*i%5, i*i*i%7)
		}
		path := filepath.Join(t.TempDir(), "few.xyz")
		require.NoError(t, os.WriteFile(path, []byte(text.String()), 0o644))
		for _, command := range []string{"fit", "surfaces"} {
			status, _, stderr := call(command, path)
			require.Contains(t, []int{exitDone, exitInput}, status, "%s of %d points: %s", command, n, stderr)
			require.NotContains(t, stderr, "fault of the program")
		}
	}
}

// TestHugeJob holds that a job file that only claims to be large is refused
// without being read whole: the file below is 64 GB of holes.
func TestHugeJob(t *testing.T) {
	path := filepath.Join(t.TempDir(), "huge.yaml")
	f, err := os.Create(path)
	require.NoError(t, err)
	defer f.Close()
	if err := f.Truncate(64 << 30); err != nil {
		t.Skip("this disk has no sparse files: ", err)
	}
	status, _, stderr := call("run", path)
	require.Equal(t, exitInput, status, stderr)
	require.Contains(t, stderr, "huge.yaml")
}
