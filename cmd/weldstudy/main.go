// Command weldstudy takes many random welded scenes apart, whose pieces are
// known, and says how many come out right: pieces found, kinds, counts,
// dimensions, facets, time.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	err := command(ctx, os.Args[1:], os.Stdout)
	switch {
	case errors.Is(err, flag.ErrHelp):
	case errors.Is(err, context.Canceled):
		os.Exit(130)
	case err != nil:
		fmt.Fprintln(os.Stderr, "weldstudy:", err)
		os.Exit(2)
	}
}

// settings of the study.
type settings struct {
	first, seeds, pieces int
	edgeMM               float64
	verbose              bool
	stl                  string
}

func command(ctx context.Context, args []string, out io.Writer) error {
	f := flag.NewFlagSet("weldstudy", flag.ContinueOnError)
	f.SetOutput(out)
	var s settings
	f.IntVar(&s.seeds, "seeds", 20, "scenes")
	f.IntVar(&s.first, "first", 1, "seed of the first scene")
	f.IntVar(&s.pieces, "pieces", 0, "pieces a scene, 2 to 18; 0: 2 to 18, by seed")
	f.Float64Var(&s.edgeMM, "edge", 0, "mm, of facets; 0: 0.4 to 0.7 mm, by seed")
	f.BoolVar(&s.verbose, "v", false, "list every piece and dimension")
	f.StringVar(&s.stl, "stl", "", "write each scene as STL to this folder")
	if err := f.Parse(args); err != nil {
		return err
	}
	if f.NArg() > 0 || s.seeds < 1 || s.seeds > 10000 || s.first < 0 {
		return errors.New("give flags only, and 1 to 10000 seeds")
	}
	return study(ctx, s, out)
}
