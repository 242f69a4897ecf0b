package main

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"pointup/mesh/synthetic"
	"pointup/segment/assembly"
)

// score of a scene, or of several.
//
// A piece is found where an element shares over a fifth of all facets that
// either has (intersection over union); pieces of which less than a quarter is
// seen may be missed. Dimensions that the scan does not show do not count.
type score struct {
	pieces, need, needFound, found, matched, kinds, countsOff, wanted, given int
	errs, iou                                                                []float64
	lines, short                                                             []string
}

const (
	iouLeast  = 0.2
	seenNeed  = 0.25 // of a piece, under which it may be missed
	seenSizes = 0.5  // of a piece, under which lengths across it do not count
	seenEnd   = 0.35 // of an end, under which lengths to it do not count
	seenBore  = 0.15
)

// needsEnds are dimensions that both ends have to be seen for, by kind.
var needsEnds = map[string][]string{
	"tube": {"length_mm"}, "bar": {"length_mm"}, "arc": {"sweep_deg"}, "coil": {"turns"}, "profile": {"length_mm"},
	"disc": {"thickness_mm"}, "ring": {"thickness_mm"}, "cone": {"large_diameter_mm", "small_diameter_mm", "height_mm"},
}

// scored are the dimensions that count, by kind.
var scored = map[string][]string{
	"tube":          {"outside_diameter_mm", "inside_diameter_mm", "wall_mm", "length_mm"},
	"bar":           {"outside_diameter_mm", "length_mm"},
	"disc":          {"outside_diameter_mm", "thickness_mm"},
	"ring":          {"outside_diameter_mm", "inside_diameter_mm", "thickness_mm", "centreline_diameter_mm", "section_diameter_mm"},
	"plate":         {"thickness_mm", "length_mm", "width_mm", "hole_count"},
	"toothed_wheel": {"tooth_count", "tip_diameter_mm", "root_diameter_mm", "bore_diameter_mm", "thickness_mm"},
	"arc":           {"centreline_diameter_mm", "section_diameter_mm", "outside_diameter_mm", "inside_diameter_mm", "thickness_mm", "sweep_deg"},
	"coil":          {"centreline_diameter_mm", "section_diameter_mm", "pitch_mm", "turns"},
	"rolled_plate":  {"inside_diameter_mm", "thickness_mm", "width_mm", "sweep_deg", "hole_count"},
	"profile":       {"length_mm"},
	"sphere":        {"diameter_mm"},
	"cone":          {"large_diameter_mm", "small_diameter_mm", "height_mm", "wall_mm"},
}

// where tells which elements a piece's facets went to; the rest are weld or none.
func where(both []float64, all float64, pieces []assembly.Piece) string {
	var out strings.Builder
	for j, n := range both {
		if n > 0.02*all {
			fmt.Fprintf(&out, ", %.0f %% in %s of %d facets", 100*n/all, pieces[j].Element.Kind, len(pieces[j].Faces))
		}
	}
	return out.String()
}

// hidden are the dimensions of a piece that its scan does not show.
func hidden(t synthetic.Truth, s synthetic.Seen) []string {
	var out []string
	if min(s.End[0], s.End[1]) < seenEnd {
		out = append(out, needsEnds[t.Kind]...)
	}
	if s.Bore < seenBore {
		out = append(out, "inside_diameter_mm", "wall_mm", "bore_diameter_mm", "hole_count") // what passes through a hole hides it
	}
	if s.Whole < seenSizes {
		out = append(out, "length_mm", "width_mm", "sweep_deg", "turns", "hole_count")
	}
	return out
}

// judge holds what was found against the truth.
func judge(scan synthetic.Welded, pieces []assembly.Piece, label []int32) score {
	n, k := len(scan.Truth), len(pieces)
	s := score{pieces: n, found: k}
	a, b, both := make([]float64, n), make([]float64, k), make([][]float64, n)
	for i := range both {
		both[i] = make([]float64, k)
	}
	for f, i := range scan.Piece {
		if i >= 0 {
			a[i]++
		}
		if j := label[f]; j >= 0 {
			b[j]++
			if i >= 0 {
				both[i][j]++
			}
		}
	}
	to := make([]int, n)
	for i := range to {
		to[i] = -1
	}
	taken := make([]bool, k)
	for {
		top, bi, bj := iouLeast, -1, -1
		for i := range n {
			for j := range k {
				if v := both[i][j] / (a[i] + b[j] - both[i][j]); to[i] < 0 && !taken[j] && v > top {
					top, bi, bj = v, i, j
				}
			}
		}
		if bi < 0 {
			break
		}
		to[bi], taken[bj] = bj, true
	}
	for i, t := range scan.Truth {
		seen := scan.Seen[i]
		head := fmt.Sprintf("#%-2d %-10s %-13s seen %.2f ends %.2f %.2f bore %.2f", i, t.Name, t.Kind, seen.Whole, seen.End[0], seen.End[1], seen.Bore)
		need := seen.Whole >= seenNeed
		if need {
			s.need++
		}
		j := to[i]
		if j < 0 {
			if need {
				s.iou = append(s.iou, 0)
				s.short = append(s.short, fmt.Sprintf("#%d %s lost", i, t.Kind))
				head += " LOST" + where(both[i], a[i], pieces)
			}
			s.lines = append(s.lines, head)
			continue
		}
		if need {
			s.needFound++
		}
		s.matched++
		v := both[i][j] / (a[i] + b[j] - both[i][j])
		s.iou = append(s.iou, v)
		e := pieces[j].Element
		head += fmt.Sprintf(" -> %s iou %.3f", e.Kind, v)
		if v < 0.8 {
			s.short = append(s.short, fmt.Sprintf("#%d %s iou %.2f", i, t.Kind, v))
			head += where(both[i], a[i], pieces)
		}
		if e.Kind == t.Kind || t.Kind == "tube" && e.Kind == "bar" && seen.Bore < seenBore {
			s.kinds++
		} else {
			s.short = append(s.short, fmt.Sprintf("#%d %s→%s", i, t.Kind, e.Kind))
			head += " WRONG KIND"
		}
		s.lines = append(s.lines, head)
		s.dimensions(i, t, hidden(t, seen), pieces[j])
	}
	for j := range k {
		if !taken[j] {
			e := pieces[j].Element
			s.lines = append(s.lines, fmt.Sprintf("    extra %s of %d facets, coverage %.2f", e.Kind, int(b[j]), e.Coverage))
			of := 0
			for i := range n {
				if both[i][j] > both[of][j] {
					of = i
				}
			}
			s.short = append(s.short, fmt.Sprintf("extra %s of #%d %s, %d facets", e.Kind, of, scan.Truth[of].Kind, int(b[j])))
		}
	}
	return s
}

func (s *score) dimensions(i int, t synthetic.Truth, hide []string, x assembly.Piece) {
	cl, _ := t.Value("centreline_diameter_mm")
	for _, d := range t.Dimensions {
		if !slices.Contains(scored[t.Kind], d.Key) || slices.Contains(hide, d.Key) {
			continue
		}
		s.wanted++
		got, ok := x.Element.Dim(d.Key)
		if !ok {
			s.lines = append(s.lines, fmt.Sprintf("       %-24s %10.3f  not given", d.Key, d.Value))
			continue
		}
		s.given++
		arm := 1.0
		switch d.Key {
		case "sweep_deg":
			if od, ok := t.Value("outside_diameter_mm"); ok && cl == 0 {
				cl = od
			}
			arm = math.Pi * cl / 360
		case "turns":
			arm = math.Pi * cl
		case "tooth_count", "hole_count":
			if got != d.Value {
				s.countsOff++
				s.short = append(s.short, fmt.Sprintf("#%d %s %g not %g", i, d.Key, got, d.Value))
			}
			continue
		}
		off := math.Abs(got-d.Value) * arm
		s.errs = append(s.errs, off)
		mark := ""
		if off > 0.15 {
			mark = "  OFF"
			s.short = append(s.short, fmt.Sprintf("#%d %s %s %+.2f", i, t.Kind, strings.TrimSuffix(d.Key, "_mm"), (got-d.Value)*arm))
		}
		s.lines = append(s.lines, fmt.Sprintf("       %-24s %10.3f  got %10.3f  %+8.3f%s", d.Key, d.Value, got, (got-d.Value)*arm, mark))
	}
}

func (s *score) add(o score) {
	s.pieces += o.pieces
	s.need += o.need
	s.needFound += o.needFound
	s.found += o.found
	s.matched += o.matched
	s.kinds += o.kinds
	s.countsOff += o.countsOff
	s.wanted += o.wanted
	s.given += o.given
	s.errs, s.iou = append(s.errs, o.errs...), append(s.iou, o.iou...)
}

func share(a, b int) float64 { return float64(a) / float64(max(b, 1)) }

func (s score) print(out io.Writer, head, tail string) {
	mean := 0.0
	for _, v := range s.iou {
		mean += v / float64(len(s.iou))
	}
	fmt.Fprintf(out, "%s %6d  %.3f    %.3f   %.3f %6d %6d %.3f %.3f  %.3f  %6.3f  %.3f %s\n", head, s.found, share(s.needFound, s.need), share(s.matched, s.found),
		share(s.kinds, s.matched), s.countsOff, s.wanted, share(s.given, s.wanted), quantile(s.errs, 0.5), quantile(s.errs, 0.95), quantile(s.errs, 1), mean, tail)
}

func (s score) list(out io.Writer) {
	for _, l := range s.lines {
		fmt.Fprintln(out, "  ", l)
	}
}

func (s score) notes() string { return strings.Join(s.short, "; ") }
