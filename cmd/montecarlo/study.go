package main

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"strings"

	"golang.org/x/sync/errgroup"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh"
	"pointup/mesh/synthetic"
	"pointup/segment"
	"pointup/segment/primitive"
)

// reading is what one scan was taken for.
type reading struct {
	right bool // kind and section are the true ones
	dims  []primitive.Dimension
}

// outcome is what all scans of a piece say of one dimension.
type outcome struct {
	Key      string
	Bound    float64 // Cramér-Rao from the vertices off the edges, 0 where there is none
	Least    float64 // Cramér-Rao from all vertices
	Mean     float64 // of reading less truth
	Scatter  float64 // standard deviation of the readings
	Within   float64 // share of truths within the stated interval
	Readings int
}

// study reads one piece seeds times, each time with noise of its own and turned
// another way. Each seed writes to its own place: the order of work cannot
// reach the outcome. wrong counts the scans taken for another kind.
func study(ctx context.Context, s specimen, seeds int, waves bool) (out []outcome, wrong int, err error) {
	all := make([]reading, seeds)
	g, ctx := errgroup.WithContext(ctx)
	g.SetLimit(runtime.GOMAXPROCS(0))
	for i := range all {
		g.Go(func() (err error) {
			if err := ctx.Err(); err != nil {
				return err
			}
			all[i], err = read(ctx, s, uint64(i)+1, waves)
			return err
		})
	}
	if err := g.Wait(); err != nil {
		return nil, 0, fmt.Errorf("%s: %w", s.name, err)
	}
	var bounds, least map[string]float64
	if s.ideal != nil {
		bounds, err = boundsOf(s, false)
		if err == nil {
			least, err = boundsOf(s, true)
		}
		if err != nil {
			return nil, 0, err
		}
	}
	for _, r := range all {
		if !r.right {
			wrong++
		}
	}
	truth, err := synthetic.TruthOf(synthetic.Piece{Name: s.name, Shape: s.shape, Pose: synthetic.Upright(0, 0, 0)})
	if err != nil {
		return nil, 0, err
	}
	for _, d := range append(truth.Dimensions, placeKeys()...) {
		o := summary(d, all)
		if o.Readings == 0 && strings.HasPrefix(d.Key, "place of") {
			continue // a piece without such
		}
		o.Bound, o.Least = bounds[d.Key], least[d.Key]
		out = append(out, o)
	}
	return out, wrong, nil
}

// summary gathers one dimension over the readings of the right kind; a count has
// no interval, it must be the true one.
func summary(d synthetic.Dim, all []reading) outcome {
	o := outcome{Key: d.Key}
	var sum, square float64
	for _, r := range all {
		for _, got := range r.dims {
			if !r.right || got.Key != d.Key {
				continue
			}
			e := got.Value - d.Value
			sum, square = sum+e, square+e*e
			if math.Abs(e) <= got.U95 {
				o.Within++
			}
			o.Readings++
		}
	}
	if n := float64(o.Readings); n > 1 {
		o.Mean = sum / n
		o.Scatter = math.Sqrt(max(square-n*o.Mean*o.Mean, 0) / (n - 1))
		o.Within /= n
	}
	return o
}

// read makes one scan and takes it through the stages.
func read(ctx context.Context, s specimen, seed uint64, waves bool) (reading, error) {
	rng := rand.New(rand.NewPCG(seed, 0x706f7365)) // any second word will do
	vec := func() r3.Vec {
		return r3.Vec{X: rng.NormFloat64(), Y: rng.NormFloat64(), Z: rng.NormFloat64()}
	}
	p := synthetic.Piece{Name: s.name, Shape: s.shape, Pose: synthetic.Pose{OriginMM: r3.Scale(20, vec()), Axis: vec(), Ref: vec()}}
	scan, err := synthetic.Scan(synthetic.Scene{Name: s.name, Pieces: []synthetic.Piece{p}}, scanOptions(s, seed, waves))
	if err != nil {
		return reading{}, err
	}
	m, report, err := mesh.Check(ctx, scan.Soup(s.name), mesh.CheckOptions{Unit: "mm"}, nil)
	if err != nil {
		return reading{}, err
	}
	scaled, _, err := mesh.Scale(m, mesh.ScaleOptions{From: mesh.FromRatio, Ratio: 10, Up: "+z"})
	if err != nil {
		return reading{}, err
	}
	parts, _, err := segment.Split(ctx, scaled, segment.DefaultOptions(), nil)
	if err != nil || len(parts.Shells) == 0 {
		return reading{}, err
	}
	e := primitive.Recognise(primitive.NewPatch(m, parts.Shells[0].Faces, report.NoiseMM), primitive.DefaultOptions())
	want := scan.Truth[0]
	right := e.Kind == want.Kind && e.Section == want.Section && e.Hand == want.Hand
	return reading{right, append(e.Dims, placesOff(want, e)...)}, nil
}
