package surface

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/segment/fit"
)

// Parameters are those of an ideal surface under names that end in their unit;
// only those of its type are set.
type Parameters struct {
	PointMM      *[3]float64 `json:"point_mm,omitempty"`
	CentreMM     *[3]float64 `json:"centre_mm,omitempty"`
	ApexMM       *[3]float64 `json:"apex_mm,omitempty"`
	Normal       *[3]float64 `json:"normal,omitempty"`
	Axis         *[3]float64 `json:"axis,omitempty"`
	DiameterMM   float64     `json:"diameter_mm,omitempty"`
	CentrelineMM float64     `json:"centreline_diameter_mm,omitempty"`
	SectionMM    float64     `json:"section_diameter_mm,omitempty"`
	HalfAngleDeg float64     `json:"half_angle_deg,omitempty"`
}

// Describe returns the type and the parameters of a surface: lengths to 1e-4 mm,
// directions to 1e-9.
func Describe(s Surface) (string, Parameters) {
	var p Parameters
	switch h := s.Ideal.(type) {
	case fit.Plane:
		p.PointMM, p.Normal = pointOf(h.Point), direction(h.Axis)
	case fit.Cylinder:
		p.PointMM, p.Axis, p.DiameterMM = pointOf(h.Point), direction(h.Axis), rounded(2*h.RadiusMM, 1e4)
	case fit.Cone:
		p.ApexMM, p.Axis, p.HalfAngleDeg = pointOf(h.Apex()), direction(h.Axis), rounded(h.HalfAngleDeg, 1e4)
	case fit.Sphere:
		p.CentreMM, p.DiameterMM = pointOf(h.Centre), rounded(2*h.RadiusMM, 1e4)
	case fit.Torus:
		p.CentreMM, p.Axis = pointOf(h.Centre), direction(h.Axis)
		p.CentrelineMM, p.SectionMM = rounded(2*h.RadiusMM, 1e4), rounded(2*h.SectionRadiusMM, 1e4)
	}
	return Type(s.Ideal), p
}

func rounded(x, k float64) float64 { return math.Round(x*k)/k + 0 }

func pointOf(p r3.Vec) *[3]float64 {
	return &[3]float64{rounded(p.X, 1e4), rounded(p.Y, 1e4), rounded(p.Z, 1e4)}
}

func direction(p r3.Vec) *[3]float64 {
	return &[3]float64{rounded(p.X, 1e9), rounded(p.Y, 1e9), rounded(p.Z, 1e9)}
}

// FacetLabels gives each facet the surface that most of its vertices lie on,
// none (-1) counting as one; where all three differ, that of its first vertex
// with any.
func FacetLabels(label []int32, facets [][3]int32) []int32 {
	out := make([]int32, len(facets))
	for i, t := range facets {
		a, b, c := label[t[0]], label[t[1]], label[t[2]]
		switch {
		case b == c:
			out[i] = b
		case a == b || a == c || a >= 0:
			out[i] = a
		default:
			out[i] = b
		}
	}
	return out
}
