package pipeline

import (
	"context"
	"image"
	"math"
	"slices"

	"pointup/mesh/render"
	"pointup/pipeline/fidelity"
	"pointup/pipeline/result"
	"pointup/pipeline/solid"
)

// seen compares the fitted pieces with those of stock as visitors see both. A
// piece that has no solid in one of the models is left out of both.
func (w *work) seen(ctx context.Context) error {
	// Triangles leave curved surfaces by a quarter of an arc-minute from two heights
	// away: half a pixel.
	chord := 2 * w.scaled.HeightFullMM * fidelity.NormalVisionArcmin / 4 * math.Pi / 180 / 60
	fitted, ofStock := make([]fidelity.Part, len(w.elements)), make([]fidelity.Part, len(w.elements))
	if err := eachOf(ctx, len(w.elements), func(i int) error {
		best, _, _, err := w.solidOf(i)
		if err != nil || best.shape == nil {
			return nil
		}
		sized, _, err := w.solidFor(w.metal.assembly.Parts[i], false)
		if err != nil || sized.shape == nil {
			return nil
		}
		n := w.elements[i].number
		a, b := seenPart(n, best, chord), seenPart(n, sized, chord)
		if a.Points != nil && b.Points != nil {
			fitted[i], ofStock[i] = a, b
		}
		return nil
	}); err != nil {
		return err
	}
	none := func(p fidelity.Part) bool { return p.Points == nil }
	before, after := slices.DeleteFunc(fitted, none), slices.DeleteFunc(ofStock, none)
	if len(before) == 0 {
		return nil
	}
	opt := fidelity.DefaultOptions()
	views, err := fidelity.Compare(ctx, before, after, opt)
	if err != nil {
		return err
	}
	w.fidelity = w.fidelityDoc(views, opt)
	w.worstPlate = func() (fidelity.Plate, error) { return fidelity.Picture(before, after, opt, fidelity.Worst(views)) }
	return nil
}

// seenPart has no points where no triangles can be made.
func seenPart(number int, p placed, chordMM float64) fidelity.Part {
	m, err := meshOf(p, chordMM)
	if err != nil {
		return fidelity.Part{}
	}
	return fidelity.Part{Number: number, Points: m.Points, Triangles: m.Triangles}
}

// worstPicture shows the view in which stock changes most.
func (w *work) worstPicture(s render.Sheet) (*image.RGBA, error) {
	p, err := w.worstPlate()
	if err != nil {
		return nil, err
	}
	return render.Outlines(render.Compared{Wide: p.Wide, High: p.High, Class: p.Class, At: p.At, StepArcmin: p.View.StepArcmin,
		MMPerArcmin: p.View.DistanceMM * math.Pi / 180 / 60, First: "as fitted", After: "of stock"}, s)
}

// meshOf is a placed shape as triangles in SITE.
func meshOf(p placed, chordMM float64) (solid.Mesh, error) {
	m, err := p.shape.Mesh(chordMM)
	if err != nil {
		return m, err
	}
	return m.In(p.frame), nil
}

func (w *work) fidelityDoc(views []fidelity.View, opt fidelity.Options) *result.Fidelity {
	f := &result.Fidelity{EyeMM: result.MM(opt.EyeMM), VisionMin: fidelity.NormalVisionArcmin}
	for i, v := range views {
		x := result.View{AzimuthDeg: result.Deg(v.AzimuthDeg), DistanceMM: result.MM(v.DistanceMM), StepArcmin: arcmin(v.StepArcmin), OutlineArcmin: arcmin(v.OutlineArcmin),
			OutlineMM: result.MM(v.OutlineMM), MovedShare: result.Share(v.MovedShare)}
		if v.PartNumber >= 0 {
			x.Element = w.idOf(v.PartNumber)
		}
		most := v.OutlineArcmin
		for k, o := range v.Openings {
			most = max(most, math.Abs(o.ChangeArcmin()))
			if k < openingsListed {
				x.Openings = append(x.Openings, result.Opening{BeforeArcmin: arcmin(o.BeforeArcmin), AfterArcmin: arcmin(o.AfterArcmin)})
			}
		}
		f.Views = append(f.Views, x)
		if i == fidelity.Worst(views) {
			f.WorstDeg, f.WorstArcmin, f.Seen = x.AzimuthDeg, arcmin(most), most > fidelity.NormalVisionArcmin
		}
	}
	return f
}

const openingsListed = 5

func arcmin(x float64) result.Factor { return result.Factor(math.Round(x*100) / 100) }

func (w *work) idOf(number int) string {
	for i := range w.elements {
		if w.elements[i].number == number {
			return w.elements[i].id
		}
	}
	return ""
}
