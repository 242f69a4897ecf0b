// Package pipeline is the one place that knows the order of the work: read,
// check, scale, split, fit, and the files that come of it.
package pipeline

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"sync"

	"golang.org/x/sync/errgroup"

	"pointup/mesh"
	"pointup/mesh/scanfile"
	"pointup/pipeline/fidelity"
	"pointup/pipeline/job"
	"pointup/pipeline/result"
	"pointup/pipeline/site"
	"pointup/segment"
	"pointup/segment/assembly"
	"pointup/segment/primitive"
)

// InputError marks what is wrong with something that the user named: exit 2.
type InputError struct{ Err error }

func (e *InputError) Error() string { return e.Err.Error() }
func (e *InputError) Unwrap() error { return e.Err }

// Options of a run beside the job's own settings.
type Options struct {
	Version string
	Build   string // tells one build of the program from another, for kept stages; the version where ""
	Outputs Outputs
	Fresh   bool // ignore kept stages

	// Undo, unless nil, is handed a function that may be called from any goroutine
	// while Run is at work, by a caller who then ends the program: it takes away
	// what Run has put on disk. undone is false where the output is complete.
	Undo func(take func() (undone bool))
}

// Run takes the scan of a job through the whole pipeline and writes the output
// folder, all or nothing.
//
// Errors: an *InputError where the job or the scan is at fault, ctx's own where
// it was interrupted, anything else where an output could not be written.
func Run(ctx context.Context, j job.Job, scan, dir string, opt Options, tell mesh.Tell) (result.Document, error) {
	var none result.Document
	keep := newKeeper(dir, cmp.Or(opt.Build, opt.Version), opt.Fresh)
	w, err := pieces(ctx, j, scan, keep, tell)
	if err != nil {
		return none, err
	}
	defer lean(len(w.soup.Corners))()
	out, err := w.begin(ctx, dir, opt)
	if err != nil {
		return none, err
	}
	defer out.end()
	if err := w.plan(ctx, scan); err != nil {
		return none, err
	}
	doc := w.document(opt.Version)
	if err := w.write(ctx, &doc, out, opt.Outputs, tell); err != nil {
		return none, err
	}
	keep.write()
	return doc, nil
}

// work is what the stages up to the fit found.
type work struct {
	job      job.Job
	keep     *keeper
	soup     mesh.Soup
	report   mesh.Report
	scaled   mesh.Scaled
	parts    segment.Parts
	elements []element
	contacts []assembly.Contact
	findings []mesh.Finding
	shared   map[uint32]bool // vertices of more than one piece, once asked for

	relations []assembly.Relation
	metal     *metal
	models    []model            // of each element, once asked for
	thin      []*primitive.Patch // the thinned scan, once asked for
	fidelity  *result.Fidelity

	modelsOnce sync.Once
	tables     struct{ own, all published } // of the job's system, of every one

	haul       *result.Haul
	site       *site.Report
	access     *site.Access
	weather    *site.Weather
	worstPlate func() (fidelity.Plate, error) // nil where nothing was compared
}

// measure is all stages but the writing.
func measure(ctx context.Context, j job.Job, scan string, keep *keeper, tell mesh.Tell) (*work, error) {
	w, err := pieces(ctx, j, scan, keep, tell)
	if err != nil {
		return nil, err
	}
	return w, w.plan(ctx, scan)
}

// pieces reads, checks, scales, splits and fits, and finds where pieces meet: what it
// finds of each facet stands from then on.
func pieces(ctx context.Context, j job.Job, scan string, keep *keeper, tell mesh.Tell) (*work, error) {
	w := &work{job: j, keep: keep}
	w.tables.own, w.tables.all = readTables(j.Metal.System)
	var err error
	if w.soup, err = scanfile.Read(ctx, scan, tell); err != nil {
		return nil, AsInput(err)
	}
	defer lean(len(w.soup.Corners))()
	m, report, err := mesh.Check(ctx, w.soup, checkOptions(j), tell)
	if err != nil {
		return nil, AsInput(fmt.Errorf("%s: %w", w.soup.File, err))
	}
	if report.WeldedVertices == 0 { // each point is a vertex as it was, and found by FilePoint
		w.soup.Points = nil
	}
	w.report = report
	w.job.Scan.Unit = report.Unit
	scaled, findings, err := mesh.Scale(m, scaleOptions(j))
	if err != nil {
		return nil, AsInput(fmt.Errorf("%s: %w", w.soup.File, err))
	}
	w.scaled = scaled
	w.find(findings)
	parts, findings, err := segment.Split(ctx, scaled, segment.DefaultOptions(), tell)
	if err != nil {
		return nil, err
	}
	w.parts = parts
	w.find(findings)
	if w.elements, err = w.recognise(ctx, tell); err != nil {
		return nil, err
	}
	if err := w.identify(ctx); err != nil {
		return nil, err
	}
	if err := w.takeCloser(ctx, scan, tell); err != nil {
		return nil, err
	}
	w.compareByHand()
	w.expect()
	if err := w.meet(ctx, tell); err != nil {
		return nil, err
	}
	return w, nil
}

// plan is what the pieces are together, of metal and at full size.
func (w *work) plan(ctx context.Context, scan string) error {
	if err := w.toMetal(ctx, scan); err != nil {
		return err
	}
	g, beside := errgroup.WithContext(ctx)
	g.Go(mesh.Guarded(func() error { return w.seen(beside) }))
	g.Go(mesh.Guarded(func() error {
		if err := w.build(beside); err != nil {
			return err
		}
		return w.divide(beside)
	}))
	if err := g.Wait(); err != nil {
		return err
	}
	w.checkSite()
	return nil
}

func (w *work) find(f []mesh.Finding) { w.findings = append(w.findings, f...) }

// AsInput marks an error as the user's, but not an interruption.
func AsInput(err error) error {
	if errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
		return err
	}
	return &InputError{err}
}

func checkOptions(j job.Job) mesh.CheckOptions {
	opt := mesh.DefaultOptions()
	opt.Unit, opt.Up = j.Scan.Unit, j.Scan.Up
	return opt
}

func scaleOptions(j job.Job) mesh.ScaleOptions {
	opt := mesh.DefaultScaleOptions()
	opt.Up, opt.From = j.Scan.Up, j.Enlarge.From()
	e := j.Enlarge
	switch {
	case e.Ratio != nil:
		opt.Ratio = *e.Ratio
	case e.HeightMM != nil:
		opt.HeightFullMM = *e.HeightMM
	case e.Known != nil:
		opt.KnownScanMM, opt.KnownFullMM = e.Known.MaquetteMM, e.Known.FullMM
	}
	return opt
}
