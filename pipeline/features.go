package pipeline

import (
	"pointup/pipeline/result"
	"pointup/segment/primitive"
)

// missingMost is how many places without a hole are listed.
const missingMost = 200

// features are what an element has beside its sizes: the pattern of its holes, a
// wheel's bolt circle, damaged teeth, chains and lands, a freeform's sections.
func features(e *primitive.Element) result.Dims {
	var out result.Dims
	list := e.Patterns()
	bolts, bolted := primitive.BoltCircle(list)
	if e.Kind == "toothed_wheel" {
		out = append(out, result.Dim{Key: "worn_teeth", Value: wornTeeth(e.Worn)})
		if s, ok := e.Seats(1); ok {
			out = append(out, result.Dim{Key: "chains", Value: chainsFor(s)})
		}
		if bolted {
			out = append(out, result.Dim{Key: "bolt_circle", Value: result.BoltCircle{
				HoleCount: bolts.Holes, MissingCount: len(bolts.MissingMM), HoleDiameterMM: result.MM(bolts.Hole.DiameterMM),
				CircleDiameterMM: result.MM(bolts.CircleMM), CircleU95MM: result.MM(bolts.PitchU95),
			}})
		}
	}
	if len(list) > 0 {
		out = append(out, result.Dim{Key: "pattern", Value: patternOf(list[0])})
	}
	if len(e.Lands) > 0 {
		out = append(out, result.Dim{Key: "lands", Value: lands(e.Lands)})
	}
	if len(e.Sections) > 0 {
		out = append(out, result.Dim{Key: "sections", Value: sections(e.Sections)})
	}
	return out
}

func lands(list []primitive.Land) result.Lands {
	out := result.Lands{}
	for _, l := range list {
		out = append(out, result.Land{FromDiameterMM: result.MM(2 * l.FromMM), ToDiameterMM: result.MM(2 * l.ToMM), ThicknessMM: result.MM(l.FrontMM + l.BackMM),
			FrontMM: result.MM(l.FrontMM), BackMM: result.MM(l.BackMM), FaceU95MM: result.MM(l.U95MM)})
	}
	return out
}

func sections(list []primitive.Station) result.Sections {
	out := result.Sections{}
	for _, s := range list {
		x := result.Section{StationMM: result.MM(s.StationMM)}
		for _, l := range s.Loops {
			var p result.Polygon
			for _, q := range l {
				p = append(p, pair(q))
			}
			x.LoopsMM = append(x.LoopsMM, p)
		}
		out = append(out, x)
	}
	return out
}

// atFullSize replaces what does not grow with the work but changes with it: the
// chains that an enlarged wheel fits.
func atFullSize(d result.Dims, e *primitive.Element, ratio float64) result.Dims {
	for i := range d {
		if s, ok := e.Seats(ratio); ok && d[i].Key == "chains" {
			d[i].Value = chainsFor(s)
		}
	}
	return d
}

func wornTeeth(list []primitive.WornTooth) result.WornTeeth {
	out := result.WornTeeth{}
	for _, x := range list {
		out = append(out, result.WornTooth{Tooth: x.Number, What: x.What, ByMM: result.MM(x.ByMM)})
	}
	return out
}

func chainsFor(s primitive.Seats) result.Chains {
	out := result.Chains{}
	for _, c := range primitive.ChainsThatFit(s) {
		out = append(out, result.Chain{Standard: c.Standard, Number: c.Number, ISO: c.ISO, PitchMM: result.MM(c.PitchMM),
			RollerMM: result.MM(c.RollerMM), InnerWidthMM: result.MM(c.InnerWidthMM), FromMemory: c.FromMemory})
	}
	return out
}

func patternOf(p primitive.Pattern) result.Pattern {
	mm := func(x float64) *result.MM {
		if x <= 0 {
			return nil
		}
		v := result.MM(x)
		return &v
	}
	factor := func(x float64) *result.Factor {
		if x <= 0 {
			return nil
		}
		v := result.Factor(x)
		return &v
	}
	out := result.Pattern{
		Arrangement: p.Arrangement, Shape: p.Hole.Shape, HoleCount: p.Holes, MissingCount: len(p.MissingMM), OtherCount: p.Others,
		RowCount: p.Rows, ColumnCount: p.Columns, PitchAlongMM: mm(p.AlongMM), PitchAcrossMM: mm(p.AcrossMM), CentresMM: mm(p.CentresMM),
		CircleDiameterMM: mm(p.CircleMM), CentreMM: pair(p.CentreMM), PitchU95MM: result.MM(p.PitchU95), ScatterMM: result.MM(p.ScatterMM),
		OpenPercent: factor(p.OpenPercent), OpenFormulaPercent: factor(p.FormulaPercent), DiameterMM: mm(p.Hole.DiameterMM),
	}
	if p.Hole.AcrossMM[0] > 0 {
		a := pair(p.Hole.AcrossMM)
		out.AcrossMM = &a
	}
	angle := result.Deg(p.AngleDeg)
	if p.Arrangement == "ring" {
		step := result.Deg(p.StepDeg)
		out.StepDeg = &step
	} else {
		out.RowsDeg = &angle
	}
	for i, q := range p.MissingMM {
		if i < missingMost {
			out.MissingMM = append(out.MissingMM, pair(q))
		}
	}
	return out
}
