package site

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/stock"
)

var steel = Metal{DensityKGM3: 7850, ElasticMPa: 210e3, Poisson: 0.3, YieldMPa: 250}

func dims(pairs ...any) []stock.Dim {
	var out []stock.Dim
	for i := 0; i < len(pairs); i += 2 {
		out = append(out, stock.Dim{Key: pairs[i].(string), Value: pairs[i+1].(float64)})
	}
	return out
}

// turnedSolid is a closed surface of revolution about z between heights, moved to at.
func turnedSolid(radii, heights []float64, at r3.Vec) (points []r3.Vec, triangles [][3]uint32) {
	const n = 90
	for k := range radii {
		for i := range n {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / n)
			points = append(points, r3.Add(at, r3.Vec{X: radii[k] * cos, Y: radii[k] * sin, Z: heights[k]}))
		}
	}
	rows := len(radii)
	for k := range rows {
		for i := range n {
			a, b := uint32(k*n+i), uint32(k*n+(i+1)%n)
			c, d := uint32((k+1)%rows*n+i), uint32((k+1)%rows*n+(i+1)%n)
			triangles = append(triangles, [3]uint32{a, b, d}, [3]uint32{a, d, c})
		}
	}
	return points, triangles
}

// mast is a tube on the ground, from there up.
func mast(od, wall, high float64) Piece {
	p := Piece{Part: stock.Part{ID: "E01", Name: "mast", Kind: "tube", Frame: stock.Frame{OriginMM: r3.Vec{Z: high / 2}, Axis: r3.Vec{Z: 1}, Ref: r3.Vec{X: 1}},
		Dims: dims("outside_diameter_mm", od, "inside_diameter_mm", od-2*wall, "wall_mm", wall, "length_mm", high)}}
	p.PointsMM, p.Triangles = turnedSolid([]float64{od / 2, od / 2, od/2 - wall, od/2 - wall}, []float64{0, high, high, 0}, r3.Vec{})
	return p
}

// disc is a solid disc square to y on top of a mast.
func disc(d, t float64, centre r3.Vec) Piece {
	p := Piece{Part: stock.Part{ID: "E02", Name: "disc", Kind: "disc", Frame: stock.Frame{OriginMM: centre, Axis: r3.Vec{Y: 1}, Ref: r3.Vec{X: 1}},
		Dims: dims("outside_diameter_mm", d, "thickness_mm", t)}, MassKG: 7850e-9 * math.Pi / 4 * d * d * t}
	points, triangles := turnedSolid([]float64{1e-3, d / 2, d / 2, 1e-3}, []float64{-t / 2, -t / 2, t / 2, t / 2}, r3.Vec{})
	for _, x := range points { // z → y
		p.PointsMM = append(p.PointsMM, r3.Add(centre, r3.Vec{X: x.Y, Y: x.Z, Z: x.X}))
	}
	p.Triangles = triangles
	return p
}

func seamAt(run int, points ...r3.Vec) (out []stock.SeamAt) {
	for _, p := range points {
		out = append(out, stock.SeamAt{Run: run, PointMM: p})
	}
	return out
}

// mastAndDisc: 4 m of tube, on it a disc of 1 m.
func mastAndDisc() ([]Piece, []stock.Contact) {
	pieces := []Piece{mast(219.1, 8.2, 4000), disc(1000, 20, r3.Vec{Z: 4500})}
	return pieces, []stock.Contact{{A: 0, B: 1, Seam: seamAt(1, r3.Vec{X: -100, Z: 4000}, r3.Vec{X: 100, Z: 4000})}}
}

func TestBuildStandsAndWeighs(t *testing.T) {
	pieces, contacts := mastAndDisc()
	s, err := Build(pieces, contacts, steel, DefaultOptions())
	require.NoError(t, err)
	require.Len(t, s.Feet, 1)
	tube := 7850e-9 * math.Pi / 4 * (219.1*219.1 - 202.7*202.7) * 4000
	near(t, tube+pieces[1].MassKG, s.MassKG(), 1e-9, "mass")
	sol, err := s.Frame.Solve(s.SelfWeight())
	require.NoError(t, err)
	near(t, gravityMS2*s.MassKG(), sol.Reactions[0].ForceN.Z, 1e-9, "foot")
	near(t, gravityMS2*pieces[1].MassKG, sol.Links[s.Joints[0].Link].ForceN.Z, 1e-6, "the disc's weight in its weld")

	// A mast with a mass over its top: √(3EI/ML³)/2π with the arm of the disc, by
	// flexibility of the top: v = F(L³/3 + aL² + a²L)/EI for a rigid arm a; the tube's own mass (33/140 of it
	// at the top, Rayleigh) shifts it.
	f, err := s.Frame.FrequenciesHz(1)
	require.NoError(t, err)
	const l, a = 4000.0, 500.0
	i := math.Pi / 64 * (math.Pow(219.1, 4) - math.Pow(202.7, 4))
	soft := (l*l*l/3 + a*l*l + a*a*l) / (210e3 * i)
	hand := math.Sqrt(1000/(soft*(pieces[1].MassKG+33.0/140*tube*math.Pow(l/(l+a), 3)))) / (2 * math.Pi)
	near(t, hand, f[0], 0.03, "first frequency")
}

// A disc's centre and moments are those of a cylinder.
func TestRigidPieces(t *testing.T) {
	p := disc(1000, 200, r3.Vec{X: 30, Y: 40, Z: 1500})
	c, second, rough := p.centreOf()
	require.False(t, rough)
	require.InDelta(t, 0, r3.Norm(r3.Sub(c, p.Part.Frame.OriginMM)), 1e-6)
	m := p.massAt(0, second)
	near(t, p.MassKG*500*500/2, m.InertiaKGMM2[1][1], 2e-3, "about its axis")
	near(t, p.MassKG*(500*500/4.0+200*200/12.0), m.InertiaKGMM2[0][0], 2e-3, "across")
}

// NPS 8 Sch 40 (8.625 × 0.322 in): A 8.40 in², I 72.5 in⁴ (AISC Manual, Pipe 8 STD by
// nominal wall, from memory: 8.40, 72.5).
func TestSections(t *testing.T) {
	const in = 25.4
	s := steel.round(8.625*in, (8.625-2*0.322)*in)
	near(t, 8.40, s.AreaMM2/(in*in), 2e-3, "area")
	near(t, 72.5, s.IzMM4/math.Pow(in, 4), 2e-3, "second moment")
	box, turn, err := steel.polygon([][2]float64{{-50, -20}, {50, -20}, {50, 20}, {-50, 20}}, 0)
	require.NoError(t, err)
	near(t, 40*100*100*100/12.0, box.IzMM4, 1e-9, "stiff")
	near(t, 100*40*40*40/12.0, box.IyMM4, 1e-9, "soft")
	require.InDelta(t, 0, math.Abs(math.Sin(turn)), 1e-9, "y lies along the long side")
	near(t, steel.flat(100, 40).JMM4, box.JMM4, 0.15, "torsion by Saint-Venant's rule against Roark's")
	tube := steel.box(100, 60, 5)
	near(t, (60*100*100*100-50*90*90*90)/12.0, tube.IzMM4, 1e-9, "box")
}

func TestLinesOfPieces(t *testing.T) {
	f := stock.Frame{OriginMM: r3.Vec{Z: 3000}, Axis: r3.Vec{Y: 1}, Ref: r3.Vec{X: 1}}
	of := func(p stock.Part) *line {
		p.Frame = f
		l, err := steel.lineOf(Piece{Part: p})
		require.NoError(t, err)
		return l
	}
	length := func(l *line) float64 {
		sum := 0.0
		for i := range l.points {
			if i+1 < len(l.points) || l.closed {
				sum += r3.Norm(r3.Sub(l.points[(i+1)%len(l.points)], l.points[i]))
			}
		}
		return sum
	}
	ring := stock.Part{Kind: "ring", Section: "round", Dims: dims("centreline_diameter_mm", 1000.0, "section_diameter_mm", 60.0)}
	near(t, 1000*math.Pi, length(of(ring)), 2e-3, "ring")
	coil := stock.Part{Kind: "coil", Hand: "right", Dims: dims("centreline_diameter_mm", 400.0, "section_diameter_mm", 30.0, "pitch_mm", 120.0, "turns", 3.5)}
	near(t, 3.5*math.Hypot(400*math.Pi, 120), length(of(coil)), 2e-3, "coil")
	arc := stock.Part{Kind: "arc", Dims: dims("centreline_diameter_mm", 2000.0, "section_diameter_mm", 60.0, "sweep_deg", 90.0)}
	near(t, 500*math.Pi, length(of(arc)), 2e-3, "arc")
	plate := stock.Part{Kind: "plate", Dims: dims("length_mm", 900.0, "width_mm", 100.0, "thickness_mm", 10.0)}
	near(t, 900, length(of(plate)), 1e-9, "flat bar")
	plate.Dims[1].Value = 300
	require.Nil(t, of(plate), "a plate is rigid")
	_, err := steel.lineOf(Piece{Part: stock.Part{ID: "E05", Kind: "tube"}})
	require.ErrorContains(t, err, "E05: its")
	arc.Dims[2].Value = 1e12
	_, err = steel.lineOf(Piece{Part: arc})
	require.ErrorContains(t, err, "sweep_deg is not known")
	coil.Dims[3].Value = 1e12
	_, err = steel.lineOf(Piece{Part: coil})
	require.ErrorContains(t, err, "turns is not known")
}

func TestBuildRefuses(t *testing.T) {
	pieces, contacts := mastAndDisc()
	_, err := Build(pieces, nil, steel, DefaultOptions())
	require.ErrorContains(t, err, "E02 disc: not held")
	pieces[1].MassKG = 0
	_, err = Build(pieces, contacts, steel, DefaultOptions())
	require.ErrorContains(t, err, "mass is not known")
	_, err = Build(nil, nil, steel, DefaultOptions())
	require.ErrorContains(t, err, "no pieces")
	contacts[0].B = 7
	_, err = Build(pieces, contacts, steel, DefaultOptions())
	require.ErrorContains(t, err, "joins pieces")
}
