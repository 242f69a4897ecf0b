package draw

import (
	"bytes"
	"encoding/xml"
	"io"
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// TestContours: lengths and areas by the formulas of circles and rectangles.
func TestContours(t *testing.T) {
	c := sample().Items[0].Shape.(Contour)
	inward := math.Sqrt2 * 100 // radius of a quarter turn on a chord of 200
	assert.InEpsilon(t, 600+math.Pi*100+math.Pi/2*inward, c.LengthMM(), 1e-12)
	assert.InEpsilon(t, 300*200+math.Pi*100*100/2-(math.Pi/4*inward*inward-inward*inward/2), c.AreaMM2(), 1e-12)
	half := Contour{Vertices: []Vertex{{[2]float64{50, 0}, math.Pi}, {[2]float64{-50, 0}, math.Pi}}, Closed: true}
	assert.InEpsilon(t, math.Pi*2500, half.AreaMM2(), 1e-12)
	b := half.curves()[0].box()
	assert.InDeltaSlice(t, []float64{-50, 0, 50, 50}, []float64{b.lo[0], b.lo[1], b.hi[0], b.hi[1]}, 1e-12)
}

// pairs reads a DXF by itself: group codes and values, as the reference has them.
func pairs(t *testing.T, data string) [][2]string {
	lines := strings.Split(strings.TrimSuffix(data, "\n"), "\n")
	require.Zero(t, len(lines)%2)
	var out [][2]string
	for i := 0; i < len(lines); i += 2 {
		_, err := strconv.Atoi(strings.TrimSpace(lines[i]))
		require.NoError(t, err, "line %d", i+1)
		out = append(out, [2]string{strings.TrimSpace(lines[i]), lines[i+1]})
	}
	return out
}

func dxf(t *testing.T, d Drawing) string {
	var b bytes.Buffer
	require.NoError(t, WriteDXF(&b, d))
	return b.String()
}

// TestHandles: each is given once, all owners exist, the seed is above them.
func TestHandles(t *testing.T) {
	given, owners := map[string]bool{}, map[string]bool{"0": true}
	seed := uint64(0)
	all := pairs(t, dxf(t, sample()))
	for i, p := range all {
		switch {
		case p[0] == "5" && all[i-1][1] == "$HANDSEED":
			seed, _ = strconv.ParseUint(p[1], 16, 64)
		case p[0] == "5" || p[0] == "105":
			require.False(t, given[p[1]], "handle %s twice", p[1])
			given[p[1]] = true
			h, err := strconv.ParseUint(p[1], 16, 64)
			require.NoError(t, err)
			require.Less(t, h, seed)
		case p[0] == "330" || p[0] == "340" || p[0] == "350":
			owners[p[1]] = true
		}
	}
	require.Greater(t, len(given), 30)
	for o := range owners {
		assert.True(t, o == "0" || given[o], "owner %s", o)
	}
}

// TestArcsInSpace: the arc that the file describes, in its own plane by the
// format's rule, is the one that was drawn.
func TestArcsInSpace(t *testing.T) {
	var got []Arc
	var at map[string]float64
	end := func() {
		if at == nil {
			return
		}
		n := r3.Vec{X: at["210"], Y: at["220"], Z: at["230"]}
		if n == (r3.Vec{}) {
			n = r3.Vec{Z: 1}
		}
		u := r3.Cross(r3.Vec{Z: 1}, n)
		if math.Abs(n.X) < 1.0/64 && math.Abs(n.Y) < 1.0/64 {
			u = r3.Cross(r3.Vec{Y: 1}, n)
		}
		u = r3.Unit(u)
		v := r3.Cross(n, u)
		c := r3.Add(r3.Scale(at["10"], u), r3.Add(r3.Scale(at["20"], v), r3.Scale(at["30"], n)))
		sin, cos := math.Sincos(at["50"] * math.Pi / 180)
		sweep := math.Mod(at["51"]-at["50"]+720, 360) * math.Pi / 180
		got = append(got, Arc{c, r3.Add(r3.Scale(cos, u), r3.Scale(sin, v)), n, at["40"], sweep})
		at = nil
	}
	for _, p := range pairs(t, dxf(t, space())) {
		if p[0] == "0" {
			end()
			if p[1] == "ARC" {
				at = map[string]float64{}
			}
		} else if at != nil {
			at[p[0]], _ = strconv.ParseFloat(p[1], 64)
		}
	}
	require.Len(t, got, 2)
	for i, k := range []int{0, 2} {
		want := space().Items[k].Shape.(Arc)
		assert.Less(t, r3.Norm(r3.Sub(want.Centre, got[i].Centre)), 1e-8)
		assert.Less(t, r3.Norm(r3.Sub(want.X, got[i].X)), 1e-12)
		assert.Less(t, r3.Norm(r3.Sub(want.Normal, got[i].Normal)), 1e-12)
		assert.InDelta(t, want.SweepRad, got[i].SweepRad, 1e-12)
		assert.InDelta(t, want.RadiusMM, got[i].RadiusMM, 1e-9)
	}
}

// TestSVGPath: the picture's size is the drawing's with its margin, its view is
// 1:1, and it is XML.
func TestSVGPath(t *testing.T) {
	var b bytes.Buffer
	var d Drawing
	d.Add(Cut, Circle(100, 50, 40))
	require.NoError(t, WriteSVG(&b, d))
	s := b.String()
	assert.Contains(t, s, `width="90mm" height="90mm" viewBox="55 -95 90 90"`)
	assert.Contains(t, s, `<circle cx="100" cy="-50" r="40"/>`)
	x := xml.NewDecoder(&b)
	for {
		if _, err := x.Token(); err == io.EOF {
			break
		} else {
			require.NoError(t, err)
		}
	}
}

// TestRefusals: what cannot be drawn is an error in every format.
func TestRefusals(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	cases := map[string]Shape{
		"line to nowhere":        Segment(0, 0, nan, 1),
		"infinite centre":        Circle(inf, 0, 1),
		"no radius":              Circle(0, 0, 0),
		"radius that is none":    Circle(0, 0, nan),
		"direction not unit":     Arc{X: r3.Vec{X: 2}, Normal: r3.Vec{Z: 1}, RadiusMM: 1, SweepRad: 1},
		"one corner":             Polyline(true, [2]float64{1, 1}),
		"corner that is none":    Polyline(true, [2]float64{1, 1}, [2]float64{nan, 1}),
		"whole turn in contour":  Contour{Vertices: []Vertex{{SweepRad: 7}, {At: [2]float64{1, 0}}}},
		"wire of a point":        Wire{Points: []r3.Vec{{}}},
		"wire to infinity":       Wire{Points: []r3.Vec{{}, {X: inf}}},
		"text without height":    Label{Text: "x"},
		"dimension of nothing":   Dimension{HeightMM: 3},
		"dimension to nowhere":   Dimension{B: [2]float64{nan, 0}, HeightMM: 3},
		"nothing":                nil,
		"beyond any drawing":     Segment(0, 0, 1e12, 0),
		"dimension without text": Dimension{B: [2]float64{1, 0}},
	}
	for name, s := range cases {
		t.Run(name, func(t *testing.T) {
			d := Drawing{Items: []Item{{Cut, s}}}
			assert.Error(t, WriteDXF(io.Discard, d))
			assert.Error(t, WriteSVG(io.Discard, d))
			assert.Error(t, WritePDF(io.Discard, d, PDFOptions{"A4"}))
		})
	}
	assert.ErrorContains(t, WriteDXF(io.Discard, Drawing{}), "empty")
	assert.ErrorContains(t, WriteDXF(io.Discard, Drawing{Items: []Item{{"LASER", Segment(0, 0, 1, 1)}}}), "LASER")
	assert.ErrorIs(t, WriteSVG(io.Discard, space()), errSpace)
	assert.ErrorIs(t, WritePDF(io.Discard, space(), PDFOptions{"A4"}), errSpace)
	assert.ErrorContains(t, WritePDF(io.Discard, sample(), PDFOptions{"B5"}), "Letter")
	var far Drawing
	far.Add(Cut, Segment(0, 0, 30000, 30000))
	assert.ErrorContains(t, WritePDF(io.Discard, far, PDFOptions{"A4"}), "400 pages")
}

// TestTiles: the pages' windows cover the box, neighbours share their overlap,
// and of two ways round the one with fewer pages is taken.
func TestTiles(t *testing.T) {
	all := box{[2]float64{-100, 50}, [2]float64{900, 300}}
	tl, err := tile(all, "a4")
	require.NoError(t, err)
	assert.Equal(t, [2]int{4, 2}, [2]int{tl.columns, tl.rows}) // lying, a field of 277 × 164 mm; upright it would be 6 × 2
	first, last := tl.window([2]int{0, 0}), tl.window([2]int{tl.columns - 1, tl.rows - 1})
	assert.LessOrEqual(t, first.lo[0], -100.0)
	assert.GreaterOrEqual(t, first.hi[1], 300.0)
	assert.GreaterOrEqual(t, last.hi[0], 900.0)
	assert.LessOrEqual(t, last.lo[1], 50.0)
	assert.InDelta(t, overlapMM, first.hi[0]-tl.window([2]int{1, 0}).lo[0], 1e-9)
	ring := map[Layer][]stroke{Cut: mustFlat(Circle(0, 0, 2000))}
	big, err := tile(ring[Cut][0].box(), "A3")
	require.NoError(t, err)
	assert.Less(t, len(big.touched(ring)), big.columns*big.rows/2) // the middle stays empty
}

func mustFlat(s Shape) []stroke {
	out, _ := s.flat()
	return out
}

// TestSameBytes: files do not depend on when they are written.
func TestSameBytes(t *testing.T) {
	for name, write := range map[string]func(io.Writer) error{
		"dxf": func(w io.Writer) error { return WriteDXF(w, sample()) },
		"svg": func(w io.Writer) error { return WriteSVG(w, sample()) },
		"pdf": func(w io.Writer) error { return WritePDF(w, sample(), PDFOptions{"A4"}) },
	} {
		var a, b bytes.Buffer
		require.NoError(t, write(&a))
		require.NoError(t, write(&b))
		assert.Equal(t, a.Bytes(), b.Bytes(), name)
		assert.Positive(t, a.Len())
	}
}

// TestTextWidth is the width that the PDF's own font metrics give.
func TestTextWidth(t *testing.T) {
	f := newPDF([2]float64{100, 100}, "")
	f.SetFont("go", "", 1)
	f.SetFontUnitSize(2.5 / capsShare)
	for _, s := range []string{"", "Ø 1442.2 [4'-8 3/4\"]", "largeur é, ü – 30°", "WWW iii"} {
		assert.InDelta(t, f.GetStringWidth(s), TextWidthMM(s, 2.5), 0.02*float64(1+len(s))*0.1, s)
	}
}

// TestSheets: as many pages as drawings, of the paper lying, the same bytes each
// time; a bad drawing or paper is refused.
func TestSheets(t *testing.T) {
	write := func(paper string, d ...Drawing) (string, error) {
		var b bytes.Buffer
		err := WriteSheets(&b, "Gezeiten é", paper, d)
		return b.String(), err
	}
	a, err := write("A3", upright(), sample())
	require.NoError(t, err)
	b, err := write("A3", upright(), sample())
	require.NoError(t, err)
	assert.Equal(t, a, b)
	assert.Contains(t, a, "/MediaBox [0 0 1190.55 841.89]") // 420 × 297 mm at 72 points an inch
	assert.Contains(t, a, "/Count 2")
	_, err = write("A3", Drawing{})
	assert.ErrorContains(t, err, "sheet 1")
	_, err = write("B9", upright())
	assert.ErrorContains(t, err, "B9")
	_, err = write("A3", space())
	assert.Error(t, err)
}

// TestInline: two drawings in one page have no id twice and no declaration.
func TestInline(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, WriteInlineSVG(&b, sample()))
	assert.True(t, strings.HasPrefix(b.String(), "<svg "))
	assert.NotContains(t, b.String(), " id=")
	assert.Contains(t, b.String(), `<g class="CUT"`)
}
