package pipeline

import (
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"pointup/mesh"
	"pointup/mesh/scanfile"
	"pointup/pipeline/job"
	"pointup/segment"
	"pointup/segment/assembly"
	"pointup/segment/primitive"
)

// takeCloser reads the closer scans of single pieces that the job names, lays each
// onto its piece in the scan of the whole, and takes its sizes where it is the
// finer of the two. The place of the piece stays that of the whole.
//
// Findings: a piece that is not there, a scan that does not lie on its piece, is
// of another kind or is no finer; the sizes of the whole then stand.
func (w *work) takeCloser(ctx context.Context, scan string, tell mesh.Tell) error {
	for _, part := range w.job.Scan.Parts {
		i := slices.IndexFunc(w.elements, func(e element) bool { return e.id == part.Piece || e.name == part.Piece })
		if i < 0 {
			w.find([]mesh.Finding{{Code: "closer-scan-unused", Severity: "warning",
				What:   fmt.Sprintf("%s: the scan of the whole has no piece %s that it could be a closer scan of", part.File, part.Piece),
				Advice: "name a piece of pieces.rows or an id of the last result"}})
			continue
		}
		view, err := w.closerView(ctx, partPlace(w.job.Scan.File, scan, part.File), part.Unit, tell)
		if err != nil {
			return err
		}
		w.takeView(&w.elements[i], part, view)
	}
	return nil
}

// partPlace is where a closer scan lies: relative to where the scan of the whole
// is, as both are named relative to the job file; or else beside that scan.
func partPlace(named, scan, part string) string {
	if filepath.IsAbs(part) {
		return part
	}
	if root, ok := strings.CutSuffix(filepath.ToSlash(scan), filepath.ToSlash(named)); ok {
		if place := filepath.Join(filepath.FromSlash(root), part); exists(place) {
			return place
		}
	}
	return filepath.Join(filepath.Dir(scan), part)
}

func exists(path string) bool {
	_, err := os.Stat(path)
	return err == nil
}

// closerView reads one closer scan: its largest shell is the piece.
func (w *work) closerView(ctx context.Context, path, unit string, tell mesh.Tell) (assembly.View, error) {
	var none assembly.View
	soup, err := scanfile.Read(ctx, path, tell)
	if err != nil {
		return none, AsInput(err)
	}
	check := mesh.DefaultOptions()
	check.Unit = unit
	m, report, err := mesh.Check(ctx, soup, check, tell)
	if err != nil {
		return none, AsInput(fmt.Errorf("%s: %w", soup.File, err))
	}
	scale := mesh.DefaultScaleOptions()
	scale.From, scale.Ratio = mesh.FromRatio, 1
	scaled, _, err := mesh.Scale(m, scale)
	if err != nil {
		return none, AsInput(fmt.Errorf("%s: %w", soup.File, err))
	}
	parts, _, err := segment.Split(ctx, scaled, segment.DefaultOptions(), tell)
	if err != nil {
		return none, err
	}
	if len(parts.Shells) == 0 {
		return none, AsInput(fmt.Errorf("%s: no piece of surface in it; scan the piece again", soup.File))
	}
	best := 0
	for i, s := range parts.Shells {
		if s.AreaMM2 > parts.Shells[best].AreaMM2 {
			best = i
		}
	}
	p := primitive.NewPatch(m, parts.Shells[best].Faces, report.NoiseMM)
	e := w.closerFit(report, p)
	return assembly.View{Element: &e, Patch: p}, nil
}

// closerFit is what a closer scan shows, or what was kept of it.
func (w *work) closerFit(r mesh.Report, p *primitive.Patch) primitive.Element {
	name := w.keep.name("closer", r.SHA256, r.Unit, w.job.Limits.Form)
	var kept piece
	if w.keep.load(name, &kept) && kept.Element.SetIdeal(kept.Ideal) == nil && (kept.Element.Kind == "freeform" || len(kept.Element.DeviationMM) == len(p.P)) {
		return kept.Element
	}
	e := primitive.Recognise(p, w.fitOptions())
	if ideal, err := e.Ideal(); err == nil {
		w.keep.save(name, piece{Element: e, Ideal: ideal})
	}
	return e
}

// takeView registers a closer scan to e and takes its sizes.
func (w *work) takeView(e *element, part job.ScanPart, view assembly.View) {
	file := filepath.Base(filepath.FromSlash(part.File))
	warn := func(code, what, advice string) {
		w.find([]mesh.Finding{{Code: code, Severity: "warning", What: file + ": " + what, Advice: advice}})
	}
	whole := assembly.View{Element: &e.Element, Patch: primitive.NewPatch(w.scaled.Mesh, e.faces, w.report.NoiseMM)}
	if view.Element.Kind != e.Kind || view.Element.Section != e.Section {
		warn("closer-scan-differs", fmt.Sprintf("it reads as %s, %s as %s in the scan of the whole; its sizes are not taken", view.Element.Kind, e.id, e.Kind),
			"give pieces.rows its kind, or look at both pictures: one of the scans may show too little")
		return
	}
	r, ok := assembly.Register(view, whole)
	if !ok {
		warn("closer-scan-astray", fmt.Sprintf("it does not lie on %s: %.0f %% of its points come near the surface; its sizes are not taken", e.id, 100*r.Share),
			"check its unit and which piece it is of")
		return
	}
	if d, ok := unlike(&e.Element, view.Element); ok {
		warn("closer-scan-differs", fmt.Sprintf("its %s is %.3f, in the scan of the whole %s has %.3f; its sizes are not taken", d.Key, d.Value, e.id, e.size(d.Key)),
			"check its unit and which piece it is of, or scan what the whole does not show of it")
		return
	}
	lies := fmt.Sprintf("it lies on the scan of the whole within %.3f mm (rms, maquette) over %.0f %% of its points", r.RMSMM, 100*r.Share)
	if fine, coarse := grain(view.Patch), grain(whole.Patch); !(fine < coarse) {
		warn("closer-scan-coarser", fmt.Sprintf("%s; but it is no finer than that, so its sizes are not taken", lies), "scan the piece closer, or leave this scan out")
		return
	}
	e.takeSizes(view.Element)
	e.Notes = append(e.Notes, fmt.Sprintf("the sizes are those of the closer scan %s: %s", file, lies))
}

// Sizes of one piece in two scans agree within a few u95; so much more, and they
// are of different pieces or one scan shows a part only.
const (
	sizeShare = 0.03
	sizeMM    = 0.2
)

// unlike is the first length of the closer scan that is not that of the whole.
func unlike(whole, closer *primitive.Element) (primitive.Dimension, bool) {
	for _, d := range closer.Dims {
		if v, ok := whole.Dim(d.Key); ok && unitOf(d.Key) == "mm" && !strings.Contains(d.Key, "error") && math.Abs(v-d.Value) > sizeShare*v+sizeMM {
			return d, true
		}
	}
	return primitive.Dimension{}, false
}

func (e *element) size(key string) float64 {
	v, _ := e.Dim(key)
	return v
}

// grain is what the uncertainty of a size grows with: noise times the root of
// the area that one point has.
func grain(p *primitive.Patch) float64 {
	return math.Max(p.NoiseMM, 1e-6*p.SizeMM) * math.Sqrt(p.TotalMM2/float64(max(len(p.P), 1)))
}

// takeSizes replaces the sizes of e by those of a closer scan, and gives those
// that only it shows.
func (e *element) takeSizes(finer *primitive.Element) {
	for _, d := range finer.Dims {
		i := slices.IndexFunc(e.Dims, func(x primitive.Dimension) bool { return x.Key == d.Key })
		if i >= 0 {
			e.Dims[i] = d
			continue
		}
		if k := slices.Index(e.Hidden, d.Key); k >= 0 {
			e.Hidden = slices.Delete(slices.Clone(e.Hidden), k, k+1)
			e.Dims = append(e.Dims, d)
		}
	}
	e.Form = finer.Form
}
