package fit

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// fitted is a feature with everything that the tests below ask of each.
type fitted interface {
	Distance(p r3.Vec) float64
	Normal(p r3.Vec) r3.Vec
}

// trial is one feature's functions with the type taken off, and an example.
type trial struct {
	name     string
	p        int
	points   []r3.Vec // on the example
	normals  []r3.Vec
	columns  func(points []r3.Vec) [][]float64 // derivatives of the distances at the example, local
	exact    fitted
	fit      func(points []r3.Vec, weight []float64, start fitted) (fitted, Association, error)
	start    func(points, normals []r3.Vec) (fitted, error)
	robust   func(points, normals []r3.Vec) (fitted, Association, []bool, error)
	against  func(got fitted, at r3.Vec) []float64 // got less the example
	moved    func(m motionOf) fitted
	gradient func(x []float64, q r3.Vec) (float64, []float64)
}

// motionOf is p → k R p + t.
type motionOf struct {
	k float64
	r r3.Rotation
	t r3.Vec
}

func (m motionOf) at(p r3.Vec) r3.Vec  { return along(m.t, m.k, m.r.Rotate(p)) }
func (m motionOf) dir(d r3.Vec) r3.Vec { return m.r.Rotate(d) }
func (m motionOf) all(p []r3.Vec) []r3.Vec {
	q := make([]r3.Vec, len(p))
	for i := range p {
		q[i] = m.at(p[i])
	}
	return q
}

type feature[F any] interface {
	fitted
	Points(n int, p Patch) []r3.Vec
	Difference(nominal F, at r3.Vec) []float64
}

// newTrial wraps the functions of one feature.
func newTrial[F feature[F]](
	name string, exact F, n int, patch Patch, k kind[F],
	fit func([]r3.Vec, []float64, F) (F, Association, error),
	start func(_, _ []r3.Vec) (F, error),
	moved func(F, motionOf) F,
) trial {
	points := exact.Points(n, patch)
	t := trial{name: name, p: len(k.parameters), points: points, exact: exact}
	for _, p := range points {
		t.normals = append(t.normals, exact.Normal(p))
	}
	t.columns = func(points []r3.Vec) [][]float64 { return columnsOf(exact, points, k) }
	t.fit = func(p []r3.Vec, w []float64, s fitted) (fitted, Association, error) { return fit(p, w, s.(F)) }
	t.start = func(p, n []r3.Vec) (fitted, error) { return start(p, n) }
	t.robust = func(p, n []r3.Vec) (fitted, Association, []bool, error) {
		s, err := start(p, n)
		if err != nil {
			return s, Association{}, nil, err
		}
		return Robust(p, nil, s, fit)
	}
	t.against = func(got fitted, at r3.Vec) []float64 { return got.(F).Difference(exact, at) }
	t.moved = func(m motionOf) fitted { return moved(exact, m) }
	o := k.open(k.in(exact, &cloud{scale: 1}))
	t.gradient = func(x []float64, q r3.Vec) (float64, []float64) {
		if x == nil {
			return 0, o.x0
		}
		if o.prepare != nil {
			o.prepare(x)
		}
		g := make([]float64, len(x))
		return o.residual(x, q, 0, g), g
	}
	return t
}

// columnsOf returns the Jacobian of the residuals at f, one slice a parameter.
func columnsOf[F any](f F, points []r3.Vec, k kind[F]) [][]float64 {
	c, err := newCloud(points, nil)
	if err != nil {
		panic(err)
	}
	o := k.open(k.in(f, c))
	if o.prepare != nil {
		o.prepare(o.x0)
	}
	col := make([][]float64, len(o.x0))
	g := make([]float64, len(o.x0))
	for _, q := range c.at {
		o.residual(o.x0, q, 0, g)
		for j, v := range g {
			col[j] = append(col[j], v)
		}
	}
	return col
}

// trials are the surfaces, of everyday proportions, off the coordinate axes.
func trials() []trial {
	axis := unit(r3.Vec{X: 1, Y: 2, Z: 2})
	p := r3.Vec{X: 3, Y: -4, Z: 7}
	movedCone := func(s Cone, m motionOf) Cone {
		return Cone{m.at(s.Point), m.dir(s.Axis), m.k * s.RadiusMM, s.HalfAngleDeg}
	}
	return []trial{
		newTrial("plane", Plane{p, axis}, 150, Patch{LengthMM: 60, WidthMM: 25}, planeKind(), fitPlane, StartPlane,
			func(s Plane, m motionOf) Plane { return Plane{m.at(s.Point), m.dir(s.Axis)} }),
		newTrial("sphere", Sphere{p, 15}, 150, Patch{ArcDeg: 150}, sphereKind(), FitSphere, StartSphere,
			func(s Sphere, m motionOf) Sphere { return Sphere{m.at(s.Centre), m.k * s.RadiusMM} }),
		newTrial("cylinder", Cylinder{p, axis, 12}, 150, Patch{ArcDeg: 130, LengthMM: 40}, cylinderKind(), FitCylinder, StartCylinder,
			func(s Cylinder, m motionOf) Cylinder { return Cylinder{m.at(s.Point), m.dir(s.Axis), m.k * s.RadiusMM} }),
		newTrial("tube", Cylinder{p, axis, 2}, 150, Patch{ArcDeg: 360, LengthMM: 150}, cylinderKind(), FitCylinder, StartCylinder,
			func(s Cylinder, m motionOf) Cylinder { return Cylinder{m.at(s.Point), m.dir(s.Axis), m.k * s.RadiusMM} }),
		newTrial("rim", Cylinder{p, axis, 40}, 150, Patch{ArcDeg: 360, LengthMM: 4}, cylinderKind(), FitCylinder, StartCylinder,
			func(s Cylinder, m motionOf) Cylinder { return Cylinder{m.at(s.Point), m.dir(s.Axis), m.k * s.RadiusMM} }),
		newTrial("cone", Cone{p, axis, 14, 20}, 150, Patch{ArcDeg: 200, LengthMM: 30}, coneKind(), FitCone, StartCone, movedCone),
		newTrial("wide cone", Cone{p, axis, 20, -65}, 150, Patch{ArcDeg: 360, LengthMM: 12}, coneKind(), FitCone, StartCone, movedCone),
		newTrial("torus", Torus{p, axis, 30, 6}, 200, Patch{ArcDeg: 360, SectionArcDeg: 360}, torusKind(), FitTorus, StartTorus, movedTorus),
		newTrial("elbow", Torus{p, axis, 30, 6}, 200, Patch{ArcDeg: 80, SectionArcDeg: 360}, torusKind(), FitTorus, StartTorus, movedTorus),
		newTrial("fillet", Torus{p, axis, 30, 6}, 200, Patch{ArcDeg: 150, SectionArcDeg: 120}, torusKind(), FitTorus, StartTorus, movedTorus),
		newTrial("helix", Helix{p, axis, 12, 9, 40, 2}, 600, Patch{ArcDeg: 1300, SectionArcDeg: 360}, helixKind(), FitHelix, StartHelix, movedHelix),
		newTrial("left helix", Helix{p, axis, 20, -70, 0, 3}, 400, Patch{ArcDeg: 400, SectionArcDeg: 360}, helixKind(), FitHelix, StartHelix, movedHelix),
	}
}

func movedTorus(s Torus, m motionOf) Torus {
	return Torus{m.at(s.Centre), m.dir(s.Axis), m.k * s.RadiusMM, m.k * s.SectionRadiusMM}
}

func movedHelix(s Helix, m motionOf) Helix {
	c := s.coil()
	e, f := Frame(m.dir(s.Axis))
	out := m.dir(turn(c.e, c.f, c.phase))
	phase := math.Atan2(r3.Dot(out, f), r3.Dot(out, e)) * 180 / math.Pi
	return Helix{m.at(s.Point), m.dir(s.Axis), m.k * s.RadiusMM, m.k * s.PitchMM, phase, m.k * s.SectionRadiusMM}
}

// nudged returns the example's points moved along their normals by a vector of
// length rms √n that is orthogonal to the Jacobian's columns, and its squared
// length: the example is their least-squares feature exactly (Cox and Forbes,
// NPL report DITC 211/92).
func (t trial) nudged(rms float64, seed uint64) ([]r3.Vec, float64) {
	rng := rand.New(rand.NewPCG(seed, 3))
	e := make([]float64, len(t.points))
	for i := range e {
		e[i] = rng.NormFloat64()
	}
	basis := orthonormal(t.columns(t.points))
	for range 2 {
		for _, b := range basis {
			s := dot(b, e)
			for i := range e {
				e[i] -= s * b[i]
			}
		}
	}
	k := rms * math.Sqrt(float64(len(e))/dot(e, e))
	moved := make([]r3.Vec, len(e))
	for i, p := range t.points {
		moved[i] = along(p, k*e[i], t.normals[i])
	}
	return moved, k * k * dot(e, e)
}

func dot(a, b []float64) float64 {
	s := 0.0
	for i := range a {
		s += a[i] * b[i]
	}
	return s
}

// orthonormal is Gram and Schmidt's process, twice over.
func orthonormal(col [][]float64) [][]float64 {
	var basis [][]float64
	for _, c := range col {
		v := append([]float64(nil), c...)
		for range 2 {
			for _, b := range basis {
				s := dot(b, v)
				for i := range v {
					v[i] -= s * b[i]
				}
			}
		}
		n := math.Sqrt(dot(v, v))
		for i := range v {
			v[i] /= n
		}
		basis = append(basis, v)
	}
	return basis
}

func centroid(points []r3.Vec) r3.Vec {
	var c r3.Vec
	for _, p := range points {
		c = along(c, 1/float64(len(points)), p)
	}
	return c
}

// The derivatives against central differences of step 1e-6, whose error is
// 1e-12 of the third derivative and 1e-8 of rounding.
func TestGradients(t *testing.T) {
	for _, tr := range trials() {
		t.Run(tr.name, func(t *testing.T) {
			_, x0 := tr.gradient(nil, r3.Vec{})
			x := append([]float64(nil), x0...)
			for j := range x {
				x[j] += 0.03 * float64(1+j%3)
			}
			for i, q := range tr.points[:40] {
				q = along(q, 0.3*float64(i%3-1), tr.normals[i])
				_, g := tr.gradient(x, q)
				for j := range x {
					y := append([]float64(nil), x...)
					y[j] = x[j] + 1e-6
					high, _ := tr.gradient(y, q)
					y[j] = x[j] - 1e-6
					low, _ := tr.gradient(y, q)
					require.InDelta(t, (high-low)/2e-6, g[j], 1e-7*(1+math.Abs(g[j])), "point %d, parameter %d", i, j)
				}
			}
		})
	}
}

// Every feature against points whose least-squares answer is known exactly.
func TestDesigned(t *testing.T) {
	for _, tr := range trials() {
		for _, normals := range []string{"with normals", "bare"} {
			t.Run(tr.name+" "+normals, func(t *testing.T) {
				points, ssq := tr.nudged(0.02, 7)
				n := tr.normals
				if normals == "bare" {
					n = nil
				}
				start, err := tr.start(points, n)
				require.NoError(t, err)
				got, a, err := tr.fit(points, nil, start)
				require.NoError(t, err)
				for j, d := range tr.against(got, centroid(points)) {
					require.InDelta(t, 0, d, 1e-8, a.Parameters[j])
				}
				require.InEpsilon(t, ssq, a.SSQ, 1e-9)
				require.Equal(t, float64(len(points)-tr.p), a.DOF)
				require.Less(t, a.PeakToValleyMM, 0.2) // ±5 of 0.02
			})
		}
	}
}
