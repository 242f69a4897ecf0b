package draw

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// sample has every shape on its layer: a plate of 300 × 200 mm with round ends,
// a hole of 80 mm, text, a dimension.
func sample() Drawing {
	d := Drawing{Title: "E07 plate, Ø 80 – largeur 200 mm é", Notes: []string{"12 mm ASTM A36", "one of 1"}}
	d.Add(Cut, Contour{Vertices: []Vertex{{[2]float64{0, 0}, 0}, {[2]float64{300, 0}, math.Pi}, {[2]float64{300, 200}, 0}, {[2]float64{0, 200}, -math.Pi / 2}}, Closed: true})
	d.Add(Cut, Circle(150, 100, 40))
	d.Add(Mark, FlatArc(150, 100, 60, 0.3, -1.1))
	d.Add(Centre, Segment(150, 40, 150, 160))
	d.Add(Punch, Cross(150, 100, 6)...)
	d.Add(Text, Label{At: [2]float64{20, 60}, HeightMM: 8, TurnRad: 0.5, Text: "rolled → 100 %%d \\U"}, Label{At: [2]float64{20, 20}, HeightMM: 5, Middle: true, Text: ""})
	d.Add(Size, Dimension{A: [2]float64{0, 0}, B: [2]float64{300, 0}, OffMM: -30, HeightMM: 5, Text: "300 mm"})
	d.Add(Edge, Wire{Points: []r3.Vec{{X: 10, Y: 10}, {X: 60, Y: 10}, {X: 60, Y: 40}}, Closed: true})
	return d
}

// space is what only DXF holds: a circle and an arc aslant, a line, a helix.
func space() Drawing {
	var d Drawing
	n := r3.Unit(r3.Vec{X: 0.3, Y: -0.8, Z: 0.52})
	x := r3.Unit(r3.Cross(n, r3.Vec{X: 1}))
	d.Add(Centre, Arc{r3.Vec{X: 100, Y: -40, Z: 700}, x, n, 250, 1.9}, Arc{r3.Vec{X: 100, Y: -40, Z: 700}, x, n, 30, 2 * math.Pi},
		Arc{r3.Vec{X: 5, Y: 6, Z: 7}, r3.Vec{X: 1}, r3.Vec{Z: -1}, 50, 2.5}, Line{r3.Vec{}, r3.Vec{X: 1, Y: 2, Z: 3}})
	var w Wire
	for i := range 50 {
		sin, cos := math.Sincos(0.2 * float64(i))
		w.Points = append(w.Points, r3.Vec{X: 80 * cos, Y: 80 * sin, Z: 3 * float64(i)})
	}
	d.Add(Edge, w)
	d.Add(Text, Label{At: [2]float64{10, 20}, LevelMM: 300, HeightMM: 40, Text: "E01"})
	return d
}
