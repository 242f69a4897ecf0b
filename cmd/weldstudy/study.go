package main

import (
	"context"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"time"

	"pointup/mesh"
	"pointup/mesh/synthetic"
	"pointup/segment"
	"pointup/segment/assembly"
	"pointup/segment/primitive"
)

// scene is a scene of the study and how it is scanned, all by its seed.
func scene(s settings, seed int) (synthetic.Scene, synthetic.WeldOptions, error) {
	r := rand.New(rand.NewPCG(uint64(seed), 7))
	n := s.pieces
	if n == 0 {
		n = 2 + r.IntN(17)
	}
	o := synthetic.DefaultWeldOptions()
	o.Seed = uint64(seed)
	o.EdgeMM = 0.4 + 0.3*r.Float64()
	if s.edgeMM > 0 {
		o.EdgeMM = s.edgeMM
	}
	o.FilletMinMM, o.FilletMaxMM = 0.3+0.3*r.Float64(), 0.8+0.7*r.Float64()
	o.RoughMM = 0.03 + 0.07*r.Float64()
	o.NoiseMM = 0.02 + 0.04*r.Float64()
	o.RoundingMM = 0.1 + 0.2*r.Float64()
	if r.IntN(2) == 0 { // noise that neighbours share
		all := o.NoiseMM
		o.NoiseMM, o.CorrelatedMM, o.SmoothMM = 0.4*all, 0.9*all, o.EdgeMM*(1+1.5*r.Float64())
	}
	if r.IntN(2) == 0 {
		o.Spatter, o.TackShare = 10+r.IntN(40), 0.4
	}
	if r.IntN(2) == 0 {
		o.Views = 14 + r.IntN(40)
	}
	if r.IntN(3) == 0 {
		o.Gaps, o.GapMM = 1+r.IntN(5), 2+3*r.Float64()
	}
	sc, err := synthetic.RandomWeld(uint64(seed), n)
	return sc, o, err
}

// study prints a row a scene, then the whole.
func study(ctx context.Context, s settings, out io.Writer) error {
	var sum score
	fmt.Fprintln(out, "seed pieces facets   found recall precision  kind counts-off dims given p50/mm p95/mm max/mm  iou   time/s  (scan s) notes")
	for seed := s.first; seed < s.first+s.seeds; seed++ {
		sc, o, err := scene(s, seed)
		if err != nil {
			fmt.Fprintln(out, seed, err)
			continue
		}
		start := time.Now()
		scan, err := synthetic.ScanWelded(sc, o)
		if err != nil { // a hole may touch a side at this size of facets
			fmt.Fprintln(out, seed, err)
			continue
		}
		scanned := time.Since(start)
		if s.stl != "" {
			if err := os.WriteFile(filepath.Join(s.stl, fmt.Sprintf("weld-%d.stl", seed)), scan.STL(), 0o644); err != nil {
				return err
			}
		}
		start = time.Now()
		pieces, label, err := apart(ctx, scan)
		if err != nil {
			return err
		}
		took := time.Since(start)
		row := judge(scan, pieces, label)
		if s.verbose {
			fmt.Fprintf(out, "%+v\n", o)
			row.list(out)
		}
		row.print(out, fmt.Sprintf("%4d %6d %6d", seed, len(sc.Pieces), len(scan.Triangles)), fmt.Sprintf("%7.1f %7.1f  %s", took.Seconds(), scanned.Seconds(), row.notes()))
		sum.add(row)
	}
	sum.print(out, "all               ", "")
	return ctx.Err()
}

// apart reads a scan as the program does: pieces and each facet's piece, -1 for
// none.
func apart(ctx context.Context, scan synthetic.Welded) ([]assembly.Piece, []int32, error) {
	m, report, err := mesh.Check(ctx, scan.Soup("weld.stl"), mesh.CheckOptions{Unit: "mm", Up: "+z"}, nil)
	if err != nil {
		return nil, nil, err
	}
	scaled, _, err := mesh.Scale(m, mesh.DefaultScaleOptions())
	if err != nil {
		return nil, nil, err
	}
	parts, _, err := segment.Split(ctx, scaled, segment.DefaultOptions(), nil)
	if err != nil {
		return nil, nil, err
	}
	opt := primitive.DefaultOptions()
	var out, small []assembly.Piece
	for _, shell := range parts.Shells {
		whole, pieces, err := assembly.Shell(ctx, m, shell.Faces, shell.Points, report.NoiseMM, opt)
		if err != nil {
			return nil, nil, err
		}
		switch {
		case len(pieces) > 0:
			out = append(out, pieces...)
		case assembly.MayBeIsland(whole):
			small = append(small, whole)
		default:
			out = append(out, whole)
		}
	}
	for i, taken := range assembly.Islands(m, out, small, report.NoiseMM, opt) {
		if !taken {
			out = append(out, small[i])
		}
	}
	label := make([]int32, len(scan.Triangles))
	for i := range label {
		label[i] = -1
	}
	for k, x := range out {
		if e := x.Element; e.DeviationMM != nil && x.Patch != nil && len(e.DeviationMM) != len(x.Patch.Vertex) {
			return nil, nil, fmt.Errorf("piece %d, %s: deviation of %d vertices, has %d", k, e.Kind, len(e.DeviationMM), len(x.Patch.Vertex))
		}
		for _, list := range [][]uint32{x.Faces, x.Weld} {
			for _, f := range list {
				label[m.Source[f]] = int32(k)
			}
		}
	}
	return out, label, nil
}

func quantile(v []float64, q float64) float64 {
	if len(v) == 0 {
		return math.NaN()
	}
	v = slices.Clone(v)
	slices.Sort(v)
	x := q * float64(len(v)-1)
	i := int(x)
	return v[i] + (v[min(i+1, len(v)-1)]-v[i])*(x-float64(i))
}
