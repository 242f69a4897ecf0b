// Command montecarlo holds the stated uncertainties against many scans of the
// same pieces: how far the fitted dimensions scatter against the least that
// noise allows (the Cramér-Rao bound), and how often the truth lies within the
// 95 % interval.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
	"strings"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	passed, err := command(ctx, os.Args[1:], os.Stdout)
	switch {
	case errors.Is(err, flag.ErrHelp):
	case errors.Is(err, context.Canceled):
		os.Exit(130)
	case err != nil:
		fmt.Fprintln(os.Stderr, "montecarlo:", err)
		os.Exit(2)
	case !passed:
		os.Exit(1)
	}
}

// command reads args and runs the study; passed is false where a limit is
// missed.
func command(ctx context.Context, args []string, out io.Writer) (passed bool, err error) {
	f := flag.NewFlagSet("montecarlo", flag.ContinueOnError)
	f.SetOutput(out)
	seeds := f.Int("seeds", 2000, "scans of each piece; a tenth of it where there is no limit")
	kind := f.String("kind", "all", "one piece, by name, or all")
	waves := f.Bool("waves", false, "add long waves and smooth noise of the size of the white noise")
	if err := f.Parse(args); err != nil {
		return false, err
	}
	if f.NArg() > 0 || *seeds < 10 || *seeds > 1e6 {
		return false, errors.New("give flags only, and 10 to 1000000 seeds")
	}
	var chosen []specimen
	var names []string
	for _, s := range specimens() {
		names = append(names, s.name)
		if *kind == "all" || *kind == s.name {
			chosen = append(chosen, s)
		}
	}
	if len(chosen) == 0 {
		return false, fmt.Errorf("kind %q is none of: %s", *kind, strings.Join(names, ", "))
	}
	return table(ctx, out, chosen, *seeds, *waves)
}
