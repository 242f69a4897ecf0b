package synthetic

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Tube is straight and round with a bore; z from -LengthMM/2 to LengthMM/2
// along the axis between the end planes, which may be mitred.
type Tube struct {
	OutsideDiameterMM, InsideDiameterMM, LengthMM float64
	Ends                                          [2]End
}

// Bar is straight, round and solid.
type Bar struct {
	OutsideDiameterMM, LengthMM float64
	Ends                        [2]End
}

// Disc is round, solid and thin; holes go through it along z.
type Disc struct {
	OutsideDiameterMM, ThicknessMM float64
	Holes                          []Hole
}

// Ring is a full circle about z: flat, an annulus of OutsideDiameterMM,
// InsideDiameterMM and ThicknessMM with holes.
type Ring struct {
	OutsideDiameterMM, InsideDiameterMM, ThicknessMM float64
	Holes                                            []Hole
}

// RoundRing is a full circle of round section about z; SectionBoreMM is 0 for
// a solid one.
type RoundRing struct {
	CentrelineDiameterMM, SectionDiameterMM, SectionBoreMM float64
}

func (t Tube) plan(edgeMM float64) (plan, error) {
	loops, err := pipe("tube", "outside diameter", t.OutsideDiameterMM, "inside diameter", t.InsideDiameterMM)
	if err != nil {
		return plan{}, err
	}
	if err := positive("tube", "inside diameter", t.InsideDiameterMM); err != nil {
		return plan{}, err
	}
	s, err := cut("tube", loops, t.OutsideDiameterMM/2, t.LengthMM, t.Ends, edgeMM)
	if err != nil {
		return plan{}, err
	}
	return s.plan(edgeMM)
}

func (b Bar) plan(edgeMM float64) (plan, error) {
	loops, err := pipe("bar", "outside diameter", b.OutsideDiameterMM, "", 0)
	if err != nil {
		return plan{}, err
	}
	s, err := cut("bar", loops, b.OutsideDiameterMM/2, b.LengthMM, b.Ends, edgeMM)
	if err != nil {
		return plan{}, err
	}
	return s.plan(edgeMM)
}

func (d Disc) plan(edgeMM float64) (plan, error) {
	return flat("disc", d.OutsideDiameterMM, 0, d.ThicknessMM, d.Holes, edgeMM)
}

func (r Ring) plan(edgeMM float64) (plan, error) {
	if err := positive("ring", "inside diameter", r.InsideDiameterMM); err != nil {
		return plan{}, err
	}
	return flat("ring", r.OutsideDiameterMM, r.InsideDiameterMM, r.ThicknessMM, r.Holes, edgeMM)
}

func (r RoundRing) plan(edgeMM float64) (plan, error) {
	return Arc{r.CentrelineDiameterMM, r.SectionDiameterMM, r.SectionBoreMM, 360}.plan(edgeMM)
}

// pipe returns a round section about the origin, with a bore unless boreMM is 0.
func pipe(shape, outer string, outerMM float64, bore string, boreMM float64) ([]loop, error) {
	if err := positive(shape, outer, outerMM); err != nil {
		return nil, err
	}
	loops := []loop{circle(0, 0, outerMM/2)}
	if boreMM == 0 {
		return loops, nil
	}
	if err := positive(shape, bore, boreMM); err != nil {
		return nil, err
	}
	return append(loops, circle(0, 0, boreMM/2).wound(true)), under(shape, bore, boreMM, outer, outerMM)
}

func flat(shape string, outerMM, boreMM, thickMM float64, holes []Hole, edgeMM float64) (plan, error) {
	loops, err := pipe(shape, "outside diameter", outerMM, "inside diameter", boreMM)
	if err != nil {
		return plan{}, err
	}
	if err := positive(shape, "thickness", thickMM); err != nil {
		return plan{}, err
	}
	more, err := region(shape, loops[0], holes)
	if err != nil {
		return plan{}, err
	}
	loops = append(loops, more[1:]...)
	p, err := extruded(loops, thickMM, edgeMM).plan(edgeMM)
	if err != nil {
		return plan{}, fmt.Errorf("%s: %w", shape, err)
	}
	return p, nil
}

// mitreMax keeps a mitred end's ellipse under six diameters long.
const mitreMax = 80

// cut carries a section along z between end planes, reachMM the section's
// largest distance from the axis. Layers between the ends tilt from one plane
// to the other.
func cut(shape string, loops []loop, reachMM, lengthMM float64, ends [2]End, edgeMM float64) (solid, error) {
	if err := positive(shape, "length", lengthMM); err != nil {
		return solid{}, err
	}
	var tilt [2][2]float64 // dz/dx, dz/dy of each end plane
	for i, e := range ends {
		if err := within(shape, "mitre", e.MitreDeg, 0, mitreMax); err != nil {
			return solid{}, err
		}
		k := math.Tan(rad(e.MitreDeg))
		tilt[i] = [2]float64{k * cosine(rad(e.AzimuthDeg)), k * sine(rad(e.AzimuthDeg))}
	}
	lean := math.Hypot(tilt[1][0]-tilt[0][0], tilt[1][1]-tilt[0][1]) * reachMM
	if !(lean < lengthMM) {
		return solid{}, fmt.Errorf("%s: the mitred ends cross within %g mm of length; lengthen it or cut them less", shape, lengthMM)
	}
	n := steps(lengthMM+lean, edgeMM, 1)
	st := make([]station, n+1)
	for j := range st {
		t := float64(j) / float64(n)
		st[j] = station{
			o: r3.Vec{Z: lengthMM * (t - 0.5)},
			x: r3.Vec{X: 1, Z: tilt[0][0] + t*(tilt[1][0]-tilt[0][0])},
			y: r3.Vec{Y: 1, Z: tilt[0][1] + t*(tilt[1][1]-tilt[0][1])},
		}
	}
	return solid{loops: loops, layers: n, place: along(st)}, nil
}

// straight is the truth of shapes about z with u along x.
func straight(kind string, dims ...Dim) Truth {
	return Truth{Kind: kind, Dimensions: dims, Axis: r3.Vec{Z: 1}, Ref: r3.Vec{X: 1}}
}

func (t Tube) truth() Truth {
	if t.LengthMM <= t.OutsideDiameterMM/2 {
		return Ring{t.OutsideDiameterMM, t.InsideDiameterMM, t.LengthMM, nil}.truth()
	}
	out := straight("tube",
		Dim{"outside_diameter_mm", t.OutsideDiameterMM},
		Dim{"inside_diameter_mm", t.InsideDiameterMM},
		Dim{"wall_mm", (t.OutsideDiameterMM - t.InsideDiameterMM) / 2},
		Dim{"length_mm", t.LengthMM})
	out.Ends = t.Ends[:]
	return out
}

func (b Bar) truth() Truth {
	if b.LengthMM <= b.OutsideDiameterMM/2 {
		return Disc{b.OutsideDiameterMM, b.LengthMM, nil}.truth()
	}
	out := straight("bar", Dim{"outside_diameter_mm", b.OutsideDiameterMM}, Dim{"length_mm", b.LengthMM})
	out.Ends = b.Ends[:]
	return out
}

func (d Disc) truth() Truth {
	if d.ThicknessMM > d.OutsideDiameterMM/2 {
		return Bar{d.OutsideDiameterMM, d.ThicknessMM, [2]End{}}.truth()
	}
	out := straight("disc", Dim{"outside_diameter_mm", d.OutsideDiameterMM}, Dim{"thickness_mm", d.ThicknessMM})
	out.Holes = d.Holes
	return out
}

func (r Ring) truth() Truth {
	if r.ThicknessMM > r.OutsideDiameterMM/2 {
		return Tube{r.OutsideDiameterMM, r.InsideDiameterMM, r.ThicknessMM, [2]End{}}.truth()
	}
	out := straight("ring",
		Dim{"outside_diameter_mm", r.OutsideDiameterMM},
		Dim{"inside_diameter_mm", r.InsideDiameterMM},
		Dim{"thickness_mm", r.ThicknessMM})
	out.Section, out.Holes = "flat", r.Holes
	return out
}

func (r RoundRing) truth() Truth {
	return Arc{r.CentrelineDiameterMM, r.SectionDiameterMM, r.SectionBoreMM, 360}.truth()
}

// cosine and sine are exact at quarter turns, so that square poses stay square.
func cosine(a float64) float64 { return sine(a + math.Pi/2) }

func sine(a float64) float64 {
	if s := math.Sin(a); math.Abs(s) > 1e-15 {
		return s
	}
	return 0
}
