package mesh

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Scaled is a mesh with the similarity that takes it to full size. No vertex is
// moved: the mesh stays in SCAN, and results map through SiteFromScan.
type Scaled struct {
	*Mesh
	Ratio        float64 // full size over maquette
	From         string  // ratio, height or known_dimension
	Up           string  // the scan axis that points up at the site
	SiteFromScan [3][4]float64
	HeightFullMM float64
}

// ScaleOptions are the settings of [Scale]. From says which of the others
// count.
type ScaleOptions struct {
	From         string  // ratio, height or known_dimension
	Ratio        float64 // ratio: full size over maquette
	HeightFullMM float64 // height: the whole piece, along up
	KnownScanMM  float64 // known_dimension: a length on the maquette,
	KnownFullMM  float64 // and the same at full size
	Up           string  // +z -z +x -x +y -y
}

// DefaultScaleOptions returns full size equal to the scan, z up.
func DefaultScaleOptions() ScaleOptions { return ScaleOptions{From: FromRatio, Ratio: 1, Up: "+z"} }

// The ways to state a scale.
const (
	FromRatio  = "ratio"
	FromHeight = "height"
	FromKnown  = "known_dimension"
)

// ratioMost is refused above: a maquette of 50 mm would be 500 m high.
const ratioMost = 1e4

// Scale attaches the similarity to SITE: z up, the lowest point that is not dust
// on z = 0, the origin under the middle of the box of the footprint, mm at full
// size. It refuses a ratio that is not over 0 and up to 1e4, and an axis that is
// none.
func Scale(m *Mesh, opt ScaleOptions) (Scaled, []Finding, error) {
	rows, err := upRows(opt.Up)
	if err != nil {
		return Scaled{}, nil, err
	}
	lo, hi := siteBox(m, rows)
	ratio, err := opt.ratio(hi.Z - lo.Z)
	if err != nil {
		return Scaled{}, nil, err
	}
	s := Scaled{Mesh: m, Ratio: ratio, From: opt.From, Up: opt.Up, HeightFullMM: ratio * (hi.Z - lo.Z)}
	shift := [3]float64{-(lo.X + hi.X) / 2, -(lo.Y + hi.Y) / 2, -lo.Z}
	for i, row := range rows {
		s.SiteFromScan[i] = [4]float64{ratio * row.X, ratio * row.Y, ratio * row.Z, ratio * shift[i]}
	}
	return s, scaleFindings(ratio), nil
}

func scaleFindings(ratio float64) []Finding {
	if ratio >= 1 {
		return nil
	}
	return []Finding{{Code: "scale-reduces", Severity: "warning",
		What:   fmt.Sprintf("full size is %s times the scan, so the work is smaller than its model", digits(ratio)),
		Advice: "give full size over maquette: 12, not 1/12"}}
}

// ratio returns full size over maquette.
func (o ScaleOptions) ratio(heightMM float64) (float64, error) {
	r := o.Ratio
	switch o.From {
	case FromRatio:
	case FromHeight:
		if !(heightMM > 0) {
			return 0, fmt.Errorf("height: the scan has none along %s; give the ratio or another axis", o.Up)
		}
		r = o.HeightFullMM / heightMM
	case FromKnown:
		if !(o.KnownScanMM > 0) || math.IsInf(o.KnownScanMM, 0) {
			return 0, fmt.Errorf("known dimension: %g mm on the maquette; give a length over 0", o.KnownScanMM)
		}
		r = o.KnownFullMM / o.KnownScanMM
	default:
		return 0, fmt.Errorf("scale from %q; use ratio, height or known_dimension", o.From)
	}
	if !(r > 0) || r > ratioMost {
		return 0, fmt.Errorf("ratio %g of full size to maquette; give one over 0 and up to %g", r, ratioMost)
	}
	return r, nil
}

// SiteMM maps a point from SCAN to SITE.
func (s *Scaled) SiteMM(p r3.Vec) r3.Vec {
	at := func(r [4]float64) float64 { return r[0]*p.X + r[1]*p.Y + r[2]*p.Z + r[3] }
	return r3.Vec{X: at(s.SiteFromScan[0]), Y: at(s.SiteFromScan[1]), Z: at(s.SiteFromScan[2])}
}

// SiteBox returns the box in SITE of vertices, one at least. SITE's axes are axes of the
// scan, so that the box turns with it, to the last digit.
func (s *Scaled) SiteBox(vertices []uint32) (lo, hi r3.Vec) {
	box := newSums()
	for _, v := range vertices {
		p := &s.Points[v]
		for k := range p {
			box.widen(k, p[k])
		}
	}
	at := func(p [3]float64) r3.Vec {
		return s.SiteMM(r3.Vec{X: p[0] * s.UnitMM, Y: p[1] * s.UnitMM, Z: p[2] * s.UnitMM})
	}
	a, b := at(box.min), at(box.max)
	lo = r3.Vec{X: min(a.X, b.X), Y: min(a.Y, b.Y), Z: min(a.Z, b.Z)}
	hi = r3.Vec{X: max(a.X, b.X), Y: max(a.Y, b.Y), Z: max(a.Z, b.Z)}
	return lo, hi
}

// siteBox returns the box of all that is not dust in the turned frame, at the
// scan's size. The rows are axes of the scan, so the box turns with it.
func siteBox(m *Mesh, rows [3]r3.Vec) (lo, hi r3.Vec) {
	a, b := m.Bounds()
	turn := func(p r3.Vec) r3.Vec {
		return r3.Vec{X: r3.Dot(rows[0], p), Y: r3.Dot(rows[1], p), Z: r3.Dot(rows[2], p)}
	}
	a, b = turn(a), turn(b)
	lo = r3.Vec{X: math.Min(a.X, b.X), Y: math.Min(a.Y, b.Y), Z: math.Min(a.Z, b.Z)}
	hi = r3.Vec{X: math.Max(a.X, b.X), Y: math.Max(a.Y, b.Y), Z: math.Max(a.Z, b.Z)}
	return lo, hi
}

var errUp = errors.New("use +z, -z, +x, -x, +y or -y")

// upRows returns the rows of the rotation that turns up to z, by a quarter or a
// half about one axis.
func upRows(up string) ([3]r3.Vec, error) {
	x, y, z := r3.Vec{X: 1}, r3.Vec{Y: 1}, r3.Vec{Z: 1}
	minus := func(v r3.Vec) r3.Vec { return r3.Vec{X: -v.X, Y: -v.Y, Z: -v.Z} }
	switch up {
	case "+z":
		return [3]r3.Vec{x, y, z}, nil
	case "-z":
		return [3]r3.Vec{x, minus(y), minus(z)}, nil
	case "+y":
		return [3]r3.Vec{x, minus(z), y}, nil
	case "-y":
		return [3]r3.Vec{x, z, minus(y)}, nil
	case "+x":
		return [3]r3.Vec{minus(z), y, x}, nil
	case "-x":
		return [3]r3.Vec{z, y, minus(x)}, nil
	}
	return [3]r3.Vec{}, fmt.Errorf("up %q: %w", up, errUp)
}
