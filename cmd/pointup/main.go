// Command pointup reads a scan of a sculptor's maquette back into the pieces of
// metal it is made of and says how large each becomes at full size.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"sync"
	"syscall"

	"github.com/alecthomas/kong"

	"pointup/mesh"
	"pointup/pipeline"
	"pointup/pipeline/job"
	"pointup/pipeline/result"
)

// Exit statuses, as the contract has them.
const (
	exitDone        = 0
	exitGate        = 1
	exitInput       = 2
	exitOutput      = 3
	exitInterrupted = 130
)

// errGate says that all is written and a gate of the job failed.
var errGate = errors.New("a gate of the job failed")

type commands struct {
	Demo     demoCommand     `cmd:"" help:"Write the demo piece, a synthetic scan with its job file, and run everything on it."`
	Run      runCommand      `cmd:"" help:"Take a job file, or a bare scan, through the whole pipeline."`
	Check    checkCommand    `cmd:"" help:"Say whether a scan is good enough."`
	Fit      fitCommand      `cmd:"" help:"Fit the best primitive to one element: .xyz, .ply or .stl."`
	Surfaces surfacesCommand `cmd:"" help:"List the ideal surfaces of a mesh or of a bare point cloud."`
	Review   reviewCommand   `cmd:"" help:"Show an output folder in the browser, take corrections and run again."`
	Schema   schemaCommand   `cmd:"" help:"Print the JSON Schema of result.json."`
	Version  versionCommand  `cmd:"" help:"Print the version."`
}

// session is what a command gets beside its own flags.
type session struct {
	ctx    context.Context
	stdout io.Writer
	stderr io.Writer
	tell   func(stage string, done, total int64)
	clear  func() // takes the line of progress away
	undo   undoing
}

func main() { os.Exit(run(os.Args[1:], os.Stdout, os.Stderr)) }

// run is main with its streams given; it returns the exit status.
func run(args []string, stdout, stderr io.Writer) (status int) {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	defer func() {
		if p := recover(); p != nil {
			fault, ok := p.(*mesh.Fault)
			if !ok {
				fault = &mesh.Fault{Value: p}
			}
			fmt.Fprintln(stderr, "pointup:", fault)
			status = exitOutput
		}
	}()
	var c commands
	done := -1
	parser, err := kong.New(&c, kong.Name("pointup"), kong.Description("From a scan of a welded maquette to its pieces in steel, at full size."),
		kong.Writers(stdout, stderr), kong.Exit(func(code int) { done = code }), kong.UsageOnError())
	if err != nil {
		fmt.Fprintln(stderr, "pointup:", err)
		return exitOutput
	}
	if len(args) == 0 {
		parser.Stdout = stderr
		_, _ = parser.Parse([]string{"--help"})
		fmt.Fprintln(stderr, "\npointup: no command is given; name one of those above")
		return exitInput
	}
	k, err := parser.Parse(args)
	if done >= 0 {
		return done
	}
	if err != nil {
		fmt.Fprintf(stderr, "pointup: %v; see pointup --help\n", err)
		return exitInput
	}
	p := newProgress(stderr)
	s := &session{ctx: ctx, stdout: stdout, stderr: stderr, tell: p.tell, clear: sync.OnceFunc(p.clear)}
	ended := s.endWhenAsked()
	err = k.Run(s)
	ended()
	s.clear()
	if err != nil && ctx.Err() != nil && !errors.Is(err, errGate) {
		s.undo.all()
		err = ctx.Err() // whatever went wrong then, it was asked to stop
	}
	return statusOf(err, stderr)
}

// statusOf prints an error and returns its exit status.
func statusOf(err error, stderr io.Writer) int {
	var input *pipeline.InputError
	var jobError *job.Error
	var folder *result.FolderError
	switch {
	case err == nil:
		return exitDone
	case errors.Is(err, errGate):
		fmt.Fprintln(stderr, "pointup:", err)
		return exitGate
	case errors.Is(err, context.Canceled):
		fmt.Fprintln(stderr, "pointup: interrupted; nothing was written")
		return exitInterrupted
	case errors.As(err, &folder):
		fmt.Fprintln(stderr, "pointup:", err)
		return exitOutput
	case errors.As(err, &input), errors.As(err, &jobError):
		fmt.Fprintln(stderr, "pointup:", err)
		return exitInput
	}
	fmt.Fprintln(stderr, "pointup:", err)
	return exitOutput
}
