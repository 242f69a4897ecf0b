package draw

import (
	"bytes"
	"encoding/json"
	"image"
	"image/png"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// dxfScript has ezdxf read files and say what it would mend, and the length of
// what is on the layer CUT.
const dxfScript = `
import ezdxf, json, math, sys
out = []
for f in sys.argv[1:]:
    d = ezdxf.readfile(f)
    a = d.audit()
    length = 0.0
    for e in d.modelspace().query('*[layer=="CUT"]'):
        if e.dxftype() == "CIRCLE":
            length += 2 * math.pi * e.dxf.radius
            continue
        v = list(e.get_points("xyb"))
        for (ax, ay, bulge), (bx, by, _) in zip(v, v[1:] + v[:1]):
            chord, turn = math.hypot(bx - ax, by - ay), 4 * math.atan(bulge)
            length += chord if turn == 0 else abs(turn * chord / 2 / math.sin(turn / 2))
    out.append({"mended": [str(x.message) for x in a.errors + a.fixes], "units": d.header["$INSUNITS"],
        "kinds": sorted({e.dxftype() for e in d.modelspace()}), "length": length})
print(json.dumps(out))
`

// program skips the test where a program is not installed.
func program(t *testing.T, ok bool, name string) {
	if !ok {
		t.Skipf("install %s", name)
	}
}

// TestDXFIsRead: an independent reader finds nothing to mend, mm, and the length
// of cut that the drawing has.
func TestDXFIsRead(t *testing.T) {
	const python = "/usr/bin/python3"
	program(t, exec.Command(python, "-c", "import ezdxf").Run() == nil, "python3-ezdxf")
	dir := t.TempDir()
	var files []string
	for name, d := range []Drawing{sample(), space()} {
		files = append(files, filepath.Join(dir, string(rune('a'+name))+".dxf"))
		require.NoError(t, os.WriteFile(files[name], []byte(dxf(t, d)), 0o644))
	}
	var says []struct {
		Mended, Kinds []string
		Units         int
		Length        float64
	}
	out, err := exec.Command(python, append([]string{"-c", dxfScript}, files...)...).Output()
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal(out, &says))
	for _, s := range says {
		assert.Empty(t, s.Mended)
		assert.Equal(t, 4, s.Units)
	}
	assert.Equal(t, []string{"ARC", "CIRCLE", "LINE", "LWPOLYLINE", "POLYLINE", "TEXT"}, says[0].Kinds)
	assert.Equal(t, []string{"ARC", "CIRCLE", "LINE", "POLYLINE", "TEXT"}, says[1].Kinds)
	assert.InDelta(t, sample().Items[0].Shape.(Contour).LengthMM()+2*math.Pi*40, says[0].Length, 1e-6)
}

// upright are two lines 120 mm apart.
func upright() Drawing {
	var d Drawing
	d.Add(Cut, Segment(0, 0, 0, 60), Segment(120, 0, 120, 60))
	return d
}

// dark lists the middles of dark runs along a row of a picture of ten points a
// mm, in mm.
func dark(p image.Image, row int) []float64 {
	var out []float64
	start := -1
	for x := p.Bounds().Min.X; x <= p.Bounds().Max.X; x++ {
		r, g, b, _ := p.At(x, row).RGBA()
		on := x < p.Bounds().Max.X && (r+g+b)/3 < 0xB000
		if on && start < 0 {
			start = x
		} else if !on && start >= 0 {
			out = append(out, float64(start+x)/2/10)
			start = -1
		}
	}
	return out
}

// TestPrintedSize: on the rendered page the check bars are 100 mm and 4 in long
// and lines 120 mm apart are so, on metric and American paper.
func TestPrintedSize(t *testing.T) {
	_, err := exec.LookPath("pdftoppm")
	program(t, err == nil, "poppler-utils")
	for _, paper := range []string{"A4", "Letter"} {
		path := filepath.Join(t.TempDir(), "x.pdf")
		f, err := os.Create(path)
		require.NoError(t, err)
		require.NoError(t, WritePDF(f, upright(), PDFOptions{paper}))
		require.NoError(t, f.Close())
		out, err := exec.Command("pdftoppm", "-r", "254", "-png", path).Output()
		require.NoError(t, err)
		p, err := png.Decode(bytes.NewReader(out))
		require.NoError(t, err)
		high := float64(p.Bounds().Dy()) / 10
		mm := dark(p, int(10*(high-marginMM-stripMM+6-2.2)))
		require.Len(t, mm, 3) // at 0, 50 and 100 mm
		assert.InDelta(t, 100, mm[2]-mm[0], 0.15)
		inch := dark(p, int(10*(high-marginMM-stripMM+13+2.2)))
		require.GreaterOrEqual(t, len(inch), 5) // at whole inches; letters may follow
		assert.InDelta(t, 101.6, inch[4]-inch[0], 0.15)
		lines := dark(p, int(10*(marginMM+(high-2*marginMM-stripMM)/2)))
		require.Len(t, lines, 2)
		assert.InDelta(t, 120, lines[1]-lines[0], 0.15)
	}
}

// TestPictureSize: rendered at 254 points an inch, an SVG has ten points a mm.
func TestPictureSize(t *testing.T) {
	_, err := exec.LookPath("rsvg-convert")
	program(t, err == nil, "librsvg2-bin")
	var in bytes.Buffer
	require.NoError(t, WriteSVG(&in, upright()))
	cmd := exec.Command("rsvg-convert", "-d", "254", "-p", "254", "-b", "white")
	cmd.Stdin = &in
	out, err := cmd.Output()
	require.NoError(t, err)
	p, err := png.Decode(bytes.NewReader(out))
	require.NoError(t, err)
	assert.InDelta(t, 130*10, p.Bounds().Dx(), 2)
	lines := dark(p, p.Bounds().Dy()/2)
	require.Len(t, lines, 2)
	assert.InDelta(t, 120, lines[1]-lines[0], 0.15)
}

// FuzzDXF: whatever the numbers and the text, the answer is a file or an error.
func FuzzDXF(f *testing.F) {
	f.Add(0.0, 0.0, 1.0, 6.3, "é")
	f.Add(math.NaN(), 1e300, -1.0, 0.0, "\x00\xff")
	f.Fuzz(func(_ *testing.T, a, b, c, e float64, s string) {
		d := Drawing{Title: s}
		d.Add(Cut, FlatArc(a, b, c, e, e), Contour{Vertices: []Vertex{{[2]float64{a, b}, c}, {[2]float64{c, e}, a}}, Closed: true})
		d.Add(Text, Label{At: [2]float64{a, b}, HeightMM: c, TurnRad: e, Text: s})
		_ = WriteDXF(io.Discard, d)
		_ = WriteSVG(io.Discard, d)
		_ = WritePDF(io.Discard, d, PDFOptions{"A4"})
	})
}
