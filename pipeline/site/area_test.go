package site

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"pointup/pipeline/stock"
)

func total(all []Shown) (sum float64) {
	for _, s := range all {
		sum += s.AreaMM2
	}
	return sum
}

// torus about y: its faces look outwards.
func torus(r, a float64, centre r3.Vec) Piece {
	p := Piece{Part: stock.Part{ID: "E09", Kind: "ring", Section: "round"}}
	const n, m = 180, 60
	for i := range n {
		for j := range m {
			s, c := math.Sincos(2 * math.Pi * float64(i) / n)
			t, d := math.Sincos(2 * math.Pi * float64(j) / m)
			p.PointsMM = append(p.PointsMM, r3.Add(centre, r3.Vec{X: (r + a*d) * c, Y: a * t, Z: (r + a*d) * s}))
			k, l := uint32((i+1)%n*m), uint32((j+1)%m)
			p.Triangles = append(p.Triangles, [3]uint32{uint32(i*m + j), uint32(i*m) + l, k + l}, [3]uint32{uint32(i*m + j), k + l, k + uint32(j)})
		}
	}
	return p
}

// Closed forms of projected areas, within 0.5 %: disc face on, edge on and turned, tube
// from the side (its bore hidden) and slanted, sphere, torus face on and edge on.
func TestAreas(t *testing.T) {
	edges := []float64{0, 1000, 2500, 9000}
	face, edge := math.Pi/2, 0.0
	const share = 0.005

	d := disc(1000, 20, r3.Vec{Z: 2000})
	near(t, math.Pi/4*1e6, total(d.shown(face, edges)), share, "disc face on")
	near(t, 1000*20, total(d.shown(edge, edges)), share, "disc edge on")
	const turn = math.Pi / 6 // an ellipse and a strip as wide as the disc is high
	near(t, math.Pi/4*1e6*math.Sin(turn)+1000*20*math.Cos(turn), total(d.shown(turn, edges)), share, "disc turned")

	m := mast(219.1, 8.2, 4000)
	got := m.shown(0.3, edges)
	near(t, 219.1*4000, total(got), share, "tube")
	near(t, 219.1*1500, got[1].AreaMM2, share, "its second band")
	near(t, 1750, got[1].HeightMM, 1e-6, "middle of the band")

	var ball Piece
	var radii, heights []float64
	for i := range 121 {
		s, c := math.Sincos(math.Pi * (float64(i) + 1e-6) / 120.00001)
		radii, heights = append(radii, 500*s), append(heights, 600-500*c)
	}
	ball.PointsMM, ball.Triangles = turnedSolid(radii, heights, r3.Vec{})
	near(t, math.Pi*500*500, total(ball.shown(1.1, edges)), share, "sphere")

	const r, a = 500.0, 30.0
	ring := torus(r, a, r3.Vec{Z: 2000})
	near(t, math.Pi*((r+a)*(r+a)-(r-a)*(r-a)), total(ring.shown(face, edges)), share, "torus face on")
	one := 2*r*2*a + math.Pi*a*a // edge on: a stadium; the back wall is that of the hole's other side
	near(t, one, total(silhouette([]Piece{ring}, edge, edges)), share, "torus edge on, outline")
	near(t, torusWalls(r, a), total(ring.shown(edge, edges)), share, "torus edge on, walls")

	both := []Piece{m, mast(100, 5, 4000)} // the thin one hides within
	near(t, 219.1*4000, total(silhouette(both, 0.3, edges)), share, "silhouette of one behind another")
}

// torusWalls is half the projected area of all faces: ½∫|n·d|dA with d in the plane of
// the ring, by a fine sum of its own.
func torusWalls(r, a float64) float64 {
	const n = 1000
	sum := 0.0
	for i := range n {
		for j := range n {
			u, v := 2*math.Pi*(float64(i)+0.5)/n, 2*math.Pi*(float64(j)+0.5)/n
			sum += math.Abs(math.Cos(u)*math.Cos(v)) * (r + a*math.Cos(v)) * a
		}
	}
	return sum / 2 * math.Pow(2*math.Pi/n, 2)
}
