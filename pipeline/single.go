package pipeline

import (
	"pointup/pipeline/job"
	"pointup/pipeline/result"
	"pointup/segment/primitive"
)

// ElementOf writes one element that stands alone, at its own size.
func ElementOf(e primitive.Element, p *primitive.Patch) result.Element {
	w := &work{job: job.Default()}
	w.scaled.Ratio = 1
	e.Survey(p, primitive.DefaultOptions())
	one := element{Element: e, id: job.ID(1), number: 1, faces: p.Face, vertex: p.Vertex, vertexMM2: p.AreaMM2}
	one.deviation = newDeviation(&one, 1, w.job.Limits.SurfaceMM)
	return w.element(&one)
}
