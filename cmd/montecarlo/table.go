package main

import (
	"context"
	"fmt"
	"io"
	"math"
	"strings"
)

// Limits on sizes across a piece. Lengths along it rest on the vertices of its
// ends and are reported only, as are kinds without a bound.
const (
	scatterMost  = 1.10
	coverLeast   = 0.93
	coverMost    = 0.97
	coverWaves   = 0.90
	scatterWords = "diameters, walls and thicknesses: scatter <= 1.10 x bound"
)

// limited tells whether a limit holds for the dimension: those of pieces with a
// bound, but for lengths.
func (o outcome) limited() bool { return o.Bound > 0 && o.Key != "length_mm" }

// passed holds an outcome against the limits, allowing for what n scans can
// tell: two standard deviations of the sampled scatter and of the share. With
// waves the noise is not white and the bound does not apply.
func (o outcome) passed(waves bool) bool {
	n := float64(o.Readings)
	if n < 2 {
		return false
	}
	slack := 2 * math.Sqrt(0.95*0.05/n)
	if waves {
		return o.Within >= coverWaves-slack
	}
	return o.Scatter/o.Bound <= scatterMost*(1+2/math.Sqrt(2*n)) &&
		o.Within >= coverLeast-slack && o.Within <= coverMost+slack
}

// scans is the number of scans of the piece: a tenth where nothing is judged.
func (s specimen) scans(seeds int) int {
	if s.ideal == nil {
		return max(seeds/10, 10)
	}
	return seeds
}

// table studies the pieces one after the other and prints a row a dimension.
func table(ctx context.Context, out io.Writer, list []specimen, seeds int, waves bool) (bool, error) {
	all := true
	fmt.Fprint(out, heading(seeds, waves))
	for _, s := range list {
		n := s.scans(seeds)
		rows, wrong, err := study(ctx, s, n, waves)
		if err != nil {
			return false, err
		}
		for _, o := range rows {
			mark := "reported"
			if o.limited() {
				mark = "ok"
				if !o.passed(waves) {
					mark, all = "MISSED", false
				}
			}
			fmt.Fprintln(out, o.line(s.name, mark))
		}
		if wrong > 0 {
			fmt.Fprintf(out, "%-13s %d of %d scans taken for another kind, left out above\n", s.name, wrong, n)
			all = all && s.ideal == nil
		}
	}
	return all, nil
}

func heading(seeds int, waves bool) string {
	var b strings.Builder
	limit := scatterWords + ", truth within u95 in 93 to 97 %"
	noise := fmt.Sprintf("white noise of %g mm", noiseMM)
	if waves {
		noise += fmt.Sprintf(", smooth noise and long waves of %g mm each", noiseMM/2)
		limit = "diameters, walls and thicknesses: truth within u95 in 90 % or more; the bound is that of the white noise alone"
	}
	fmt.Fprintf(&b, "%d scans a piece, %s\nlimits: %s;\nlengths, and rows without a bound from a tenth of the scans, are reported only; sampling of two standard deviations is allowed for;\nratio: scatter over the bound from vertices off the edges (under 1 where those on edges helped); least: over that from all vertices\n", seeds, noise, limit)
	fmt.Fprintf(&b, "%-13s %-23s %10s %10s %10s %7s %7s %8s %s\n", "piece", "dimension", "mean", "scatter", "bound", "ratio", "least", "within", "verdict")
	return b.String()
}

// line is a row: mm, degrees or a count as the key says, within in per cent.
func (o outcome) line(name, mark string) string {
	bound, ratio, least := "-", "-", "-"
	if o.Bound > 0 {
		bound = fmt.Sprintf("%.5f", o.Bound)
		ratio, least = fmt.Sprintf("%.3f", o.Scatter/o.Bound), fmt.Sprintf("%.3f", o.Scatter/o.Least)
	}
	within := fmt.Sprintf("%.1f %%", 100*o.Within)
	if o.Readings == 0 {
		within = "-"
	}
	return fmt.Sprintf("%-13s %-23s %+10.5f %10.5f %10s %7s %7s %8s %s", name, o.Key, o.Mean, o.Scatter, bound, ratio, least, within, mark)
}
