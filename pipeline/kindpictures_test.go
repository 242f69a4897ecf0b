package pipeline

import (
	"bytes"
	"context"
	"image"
	"image/color"
	"image/png"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"pointup/mesh/render"
	"pointup/mesh/synthetic"
)

// pictured is a shape of each kind of the README's table, under the name of its
// picture.
func pictured() map[string]synthetic.Shape {
	line, arc := synthetic.Line, synthetic.ArcVia
	var rolled, plate []synthetic.Hole
	for i := range 15 {
		rolled = append(rolled, synthetic.RoundHole(11*float64(i%5)+11, 9*float64(i/5-1), 6))
		plate = append(plate, synthetic.LongHole("diamond", 12*float64(i%5-2), 10*float64(i/5-1), 9, 6, 0))
	}
	return map[string]synthetic.Shape{
		"tube":         synthetic.Tube{OutsideDiameterMM: 20, InsideDiameterMM: 15, LengthMM: 60, Ends: [2]synthetic.End{{}, {MitreDeg: 35}}},
		"bar":          synthetic.Bar{OutsideDiameterMM: 12, LengthMM: 60},
		"disc":         synthetic.Disc{OutsideDiameterMM: 60, ThicknessMM: 8},
		"ring-flat":    synthetic.Ring{OutsideDiameterMM: 60, InsideDiameterMM: 36, ThicknessMM: 6},
		"ring-round":   synthetic.RoundRing{CentrelineDiameterMM: 50, SectionDiameterMM: 9},
		"sphere":       synthetic.Sphere{DiameterMM: 50},
		"cone":         synthetic.Cone{LargeDiameterMM: 44, SmallDiameterMM: 18, HeightMM: 40},
		"arc":          synthetic.Arc{CentrelineDiameterMM: 60, SectionDiameterMM: 9, SweepDeg: 150},
		"arc-flat":     synthetic.FlatArc{OutsideDiameterMM: 70, InsideDiameterMM: 46, ThicknessMM: 6, SweepDeg: 140},
		"coil":         synthetic.Coil{CentrelineDiameterMM: 34, SectionDiameterMM: 5, PitchMM: 11, Turns: 4},
		"wheel":        synthetic.ToothedWheel{ToothCount: 18, TipDiameterMM: 64, RootDiameterMM: 52, BoreDiameterMM: 14, ThicknessMM: 8, Teeth: synthetic.StraightTeeth(), Holes: synthetic.BoltCircle(6, 34, 6)},
		"plate":        synthetic.Plate{Outline: []synthetic.Step{line(-35, -20), line(35, -20), arc(44, 0, 35, 20), line(-35, 20)}, Holes: plate, ThicknessMM: 4},
		"rolled-plate": synthetic.RolledPlate{InsideDiameterMM: 60, ThicknessMM: 3, WidthMM: 32, SweepDeg: 120, Holes: rolled},
		"rolled-cone":  synthetic.RolledCone{LargeInsideDiameterMM: 70, SmallInsideDiameterMM: 44, ThicknessMM: 3, SlantMM: 32, SweepDeg: 130},
		"profile":      synthetic.Profile{Section: synthetic.Polygon([2]float64{0, 0}, [2]float64{24, 0}, [2]float64{24, 4}, [2]float64{4, 4}, [2]float64{4, 24}, [2]float64{0, 24}), LengthMM: 60},
	}
}

// picture draws a shape by itself, without the sheet's frame, title and scale bar,
// at half its size and in few colours.
func picture(t *testing.T, s synthetic.Shape, f synthetic.Form) image.Image {
	opt := synthetic.DefaultOptions()
	opt.EdgeMM = 0.8
	piece := synthetic.Piece{Name: "kind", Shape: s, Pose: synthetic.Upright(0, 0, 0), Form: f}
	scan, err := synthetic.Scan(synthetic.Scene{Name: "kind", Pieces: []synthetic.Piece{piece}}, opt)
	require.NoError(t, err)
	soup := scan.Soup("kind.stl")
	p := render.Piece{Points: soup.Points, Faces: soup.Corners, Site: [12]float64{1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0}}
	p.Element = slices.Repeat([]uint32{1}, len(p.Faces))
	sheet := render.DefaultSheet()
	sheet.WidthPx, sheet.HeightPx = 600, 450
	img, err := render.Element(context.Background(), p, 1, render.Frame{Axis: [3]float64{0, 0, 1}, Ref: [3]float64{1, 0, 0}}, nil, sheet)
	require.NoError(t, err)
	return halved(img, image.Rect(16, 16, 584, 348))
}

// halved averages four pixels into one and rounds colours to 32 steps of each
// channel, which a palette holds.
func halved(img *image.RGBA, part image.Rectangle) image.Image {
	out := image.NewPaletted(image.Rect(0, 0, part.Dx()/2, part.Dy()/2), nil)
	for y := range out.Rect.Dy() {
		for x := range out.Rect.Dx() {
			var sum [3]int
			for k := range 4 {
				c := img.RGBAAt(part.Min.X+2*x+k%2, part.Min.Y+2*y+k/2)
				sum[0], sum[1], sum[2] = sum[0]+int(c.R), sum[1]+int(c.G), sum[2]+int(c.B)
			}
			var q [3]uint8
			for k, v := range sum {
				q[k] = uint8((v/4 + 4) / 8 * 255 / 32)
			}
			c := color.RGBA{q[0], q[1], q[2], 255}
			i := slices.Index(out.Palette, color.Color(c))
			if i < 0 {
				i = min(len(out.Palette), 255)
				if i == len(out.Palette) {
					out.Palette = append(out.Palette, c)
				}
			}
			out.SetColorIndex(x, y, uint8(i))
		}
	}
	return out
}

// TestKindPictures holds that the README's table of kinds shows each kind as
// the program draws it today: `go test ./pipeline -run KindPictures -update` writes
// testdata/pictures anew.
func TestKindPictures(t *testing.T) {
	readme, err := os.ReadFile(filepath.Join("..", "README.md"))
	require.NoError(t, err)
	draw := map[string]image.Image{}
	for name, s := range pictured() {
		draw[name] = picture(t, s, synthetic.Form{})
	}
	draw["freeform"] = picture(t, synthetic.Sphere{DiameterMM: 50}, lump())
	total := 0
	for name, img := range draw {
		path := filepath.Join("..", "testdata", "pictures", name+".png")
		if *update {
			data, err := render.PNG(img)
			require.NoError(t, err)
			require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
			require.NoError(t, os.WriteFile(path, data, 0o644))
		}
		data, err := os.ReadFile(path)
		require.NoError(t, err)
		total += len(data)
		kept, err := png.Decode(bytes.NewReader(data))
		require.NoError(t, err)
		require.Equal(t, img.Bounds(), kept.Bounds(), name)
		require.Less(t, differing(img, kept), 200, "%s: run with -update and look at it", name)
		require.True(t, bytes.Contains(readme, []byte("testdata/pictures/"+name+".png")), "the README does not show %s", name)
	}
	require.Less(t, total, 400_000, "bytes of all pictures")
}

// differing counts pixels that differ by more than 16 of 255 in a channel.
func differing(a, b image.Image) int {
	n := 0
	for y := a.Bounds().Min.Y; y < a.Bounds().Max.Y; y++ {
		for x := a.Bounds().Min.X; x < a.Bounds().Max.X; x++ {
			r, g, bl, _ := a.At(x, y).RGBA()
			s, h, c, _ := b.At(x, y).RGBA()
			far := func(p, q uint32) bool { return max(p, q)-min(p, q) > 16<<8 }
			if far(r, s) || far(g, h) || far(bl, c) {
				n++
			}
		}
	}
	return n
}

// lump is what blows make of a ball.
func lump() synthetic.Form {
	return synthetic.Form{Dents: []synthetic.Dent{
		{AtMM: r3.Vec{X: 25}, Inward: r3.Vec{X: -1}, DepthMM: 14, SpreadMM: 13},
		{AtMM: r3.Vec{Y: -22, Z: 10}, Inward: r3.Vec{Y: 1, Z: -0.4}, DepthMM: 10, SpreadMM: 9},
		{AtMM: r3.Vec{X: -14, Z: 20}, Inward: r3.Vec{X: -0.6, Z: 1}, DepthMM: 11, SpreadMM: 10},
	}}
}
