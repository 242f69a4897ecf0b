// Command scanbench times the whole pipeline on made-up scans of growing size,
// beside what merely reading and decoding the same file takes: the curve of the
// README.
//
// Each run is a process of its own, so that its memory is its own. Times of a
// machine with other work vary; the least of -repeat counts, and the ratio to the
// bare decode, taken right before, tells more than the seconds.
package main

import (
	"context"
	"flag"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"runtime/pprof"
	"slices"
	"strconv"
	"strings"
	"time"

	"pointup/mesh/synthetic"
	"pointup/pipeline"
	"pointup/pipeline/job"
)

// oneFlag makes the program one run, of the scan and into the folder given.
const oneFlag = "one"

func main() {
	if err := run(os.Args[1:], os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, "scanbench:", err)
		os.Exit(2)
	}
}

func run(args []string, out io.Writer) error {
	set := flag.NewFlagSet("scanbench", flag.ContinueOnError)
	sizes := set.String("millions", "0.1,1,5,10", "millions of facets, comma-separated; 0.02 to 20")
	repeat := set.Int("repeat", 3, "runs of each size; the least counts")
	only := set.String("only", "json,csv,ply", "outputs of a run, as pointup run --only takes them")
	profile := set.String("cpuprofile", "", "with -one: write a profile of processor time there")
	one := set.Bool(oneFlag, false, "run SCAN into FOLDER once, and print nothing")
	if err := set.Parse(args); err != nil {
		return err
	}
	if *one {
		if set.NArg() != 2 {
			return fmt.Errorf("-%s: name a scan and a folder", oneFlag)
		}
		if *profile != "" {
			return profiled(*profile, func() error { return runOne(set.Arg(0), set.Arg(1), *only) })
		}
		return runOne(set.Arg(0), set.Arg(1), *only)
	}
	if *repeat < 1 || set.NArg() > 0 {
		return fmt.Errorf("repeat %d, %d names; give 1 or more, and none", *repeat, set.NArg())
	}
	list, err := facetsOf(*sizes)
	if err != nil {
		return err
	}
	return curve(out, list, *repeat, *only)
}

func facetsOf(millions string) ([]int, error) {
	var list []int
	for _, t := range strings.Split(millions, ",") {
		x, err := strconv.ParseFloat(t, 64)
		if err != nil || !(x >= 0.02 && x <= 20) {
			return nil, fmt.Errorf("%q million facets; give 0.02 to 20", t)
		}
		list = append(list, int(x*1e6))
	}
	return list, nil
}

// profiled calls f and writes a profile of its processor time to path.
func profiled(path string, f func() error) error {
	w, err := os.Create(path)
	if err != nil {
		return err
	}
	defer w.Close()
	if err := pprof.StartCPUProfile(w); err != nil {
		return err
	}
	defer pprof.StopCPUProfile()
	return f()
}

// runOne is the pipeline once, nothing kept from before.
func runOne(scan, dir, only string) error {
	o, err := pipeline.OnlyOutputs(strings.Split(only, ","))
	if err != nil {
		return err
	}
	j, err := job.ForScan(filepath.Base(scan), "mm", 10)
	if err != nil {
		return err
	}
	_, err = pipeline.Run(context.Background(), j, scan, dir, pipeline.Options{Version: "bench", Outputs: o, Fresh: true}, nil)
	return err
}

// row is one size of the curve.
type row struct {
	facets             int
	fileBytes          int64
	bare, run, process time.Duration // process: processor time of the run
	peakBytes          int64         // 0 where the system does not tell
}

func curve(out io.Writer, sizes []int, repeat int, only string) error {
	fmt.Fprintf(out, "eight pieces, outputs %s, %d processors, %s; the least of %d\n\n", only, runtime.GOMAXPROCS(0), runtime.Version(), repeat)
	fmt.Fprintf(out, "| facets | file | bare decode | run | processor time | facets/s | peak memory | run / bare | peak / file |\n")
	fmt.Fprintf(out, "| --- | --- | --- | --- | --- | --- | --- | --- | --- |\n")
	// Small ones first: a process begins with the peak of the one that started it, which
	// grows with the scans it makes.
	for _, n := range slices.Sorted(slices.Values(sizes)) {
		r, err := measure(n, repeat, only)
		if err != nil {
			return err
		}
		fmt.Fprintln(out, r)
	}
	return nil
}

func (r row) String() string {
	peak, share := "not known", "not known"
	if r.peakBytes > 0 {
		peak = fmt.Sprintf("%.0f MB", float64(r.peakBytes)/1e6)
		share = fmt.Sprintf("%.1f", float64(r.peakBytes)/float64(r.fileBytes))
	}
	return fmt.Sprintf("| %.1f M | %.0f MB | %.3f s | %.2f s | %.2f s | %.2f M | %s | %.0f | %s |",
		float64(r.facets)/1e6, float64(r.fileBytes)/1e6, r.bare.Seconds(), r.run.Seconds(), r.process.Seconds(),
		float64(r.facets)/1e6/r.run.Seconds(), peak, r.run.Seconds()/r.bare.Seconds(), share)
}

// measure makes a scan and takes the least of each figure.
func measure(facets, repeat int, only string) (row, error) {
	dir, err := os.MkdirTemp("", "scanbench-*")
	if err != nil {
		return row{}, err
	}
	defer os.RemoveAll(dir)
	scan := filepath.Join(dir, "scan.stl")
	r := row{}
	if r.facets, r.fileBytes, err = write(scan, facets); err != nil {
		return r, err
	}
	for k := range repeat {
		s, err := measureOnce(scan, filepath.Join(dir, "out"), only)
		if err != nil {
			return r, err
		}
		if k == 0 {
			r.bare, r.run, r.process, r.peakBytes = s.bare, s.run, s.process, s.peakBytes
		}
		r.bare, r.run = min(r.bare, s.bare), min(r.run, s.run)
		r.process, r.peakBytes = min(r.process, s.process), min(r.peakBytes, s.peakBytes)
	}
	return r, nil
}

func write(path string, facets int) (int, int64, error) {
	f, err := os.Create(path)
	if err != nil {
		return 0, 0, err
	}
	defer f.Close()
	n, err := synthetic.Big(f, facets)
	if err != nil {
		return 0, 0, err
	}
	info, err := f.Stat()
	if err != nil {
		return 0, 0, err
	}
	return n, info.Size(), f.Sync()
}

func measureOnce(scan, out, only string) (row, error) {
	began := time.Now()
	if _, err := bareDecode(scan); err != nil {
		return row{}, err
	}
	r := row{bare: time.Since(began)}
	self, err := os.Executable()
	if err != nil {
		return r, err
	}
	c := exec.Command(self, "-"+oneFlag, "-only", only, scan, out)
	began = time.Now()
	if text, err := c.CombinedOutput(); err != nil {
		return r, fmt.Errorf("%s: %w: %s", filepath.Base(scan), err, text)
	}
	r.run = time.Since(began)
	r.process = c.ProcessState.UserTime() + c.ProcessState.SystemTime()
	r.peakBytes = peakBytes(c.ProcessState)
	return r, nil
}
