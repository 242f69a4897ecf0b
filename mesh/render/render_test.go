package render

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	"image/png"
	"math"
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"
)

func testSheet(w, h int) Sheet {
	return Sheet{WidthPx: w, HeightPx: h, Title: "Harbour Station", Subtitle: "Fig. 1", Note: "ratio 16"}
}

func waves(m *model) []float32 {
	d := make([]float32, len(m.points))
	for i, p := range m.points {
		d[i] = float32(4 * math.Sin(float64(p[0])/25) * math.Cos(float64(p[2])/30))
	}
	return d
}

func TestSameBytesWhateverTheProcessors(t *testing.T) {
	m := station(40)
	draw := func() []byte {
		var all []byte
		add := func(img image.Image, err error) {
			require.NoError(t, err)
			b, err := PNG(img)
			require.NoError(t, err)
			all = append(all, b...)
		}
		ctx, p, s := context.Background(), m.piece(16), testSheet(640, 480)
		add(Overview(ctx, p, DefaultView(), s))
		add(Standing(ctx, p, View{AzimuthDeg: 90, ElevationDeg: 6}, s))
		add(Deviation(ctx, p, waves(m), 3, DefaultView(), s))
		loc, err := NewLocator(ctx, p, DefaultView(), s)
		require.NoError(t, err)
		add(Element(ctx, p, 3, Frame{[3]float64{0, 0, 1}, [3]float64{1, 0, 0}}, loc, s))
		return all
	}
	first := draw()
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	require.True(t, bytes.Equal(first, draw()), "one processor")
	runtime.GOMAXPROCS(7)
	require.True(t, bytes.Equal(first, draw()), "seven processors")
}

func TestRefusals(t *testing.T) {
	ctx, v := context.Background(), DefaultView()
	good := station(12).piece(1)
	bad := func(change func(*Piece)) Piece { p := good; change(&p); return p }
	cases := map[string]error{}
	try := func(name string, _ *image.RGBA, err error) { cases[name] = err }
	over := func(name string, p Piece, s Sheet) {
		img, err := Overview(ctx, p, v, s)
		try(name, img, err)
	}
	s := testSheet(320, 240)
	over("no facets", bad(func(p *Piece) { p.Faces, p.Element = nil, nil }), s)
	over("short element list", bad(func(p *Piece) { p.Element = p.Element[1:] }), s)
	over("index", bad(func(p *Piece) { p.Points = p.Points[:10] }), s)
	over("matrix", bad(func(p *Piece) { p.Site[5] = math.NaN() }), s)
	over("too large", bad(func(p *Piece) { p.Site[0] = 1e12 }), s)
	over("sheet", good, testSheet(100, 100))
	img, err := Deviation(ctx, good, nil, 1, v, s)
	try("deviations", img, err)
	img, err = Deviation(ctx, good, make([]float32, len(good.Points)), 0, v, s)
	try("range", img, err)
	img, err = Element(ctx, good, 99, Frame{[3]float64{0, 0, 1}, [3]float64{1, 0, 0}}, nil, s)
	try("no such element", img, err)
	for name, err := range cases {
		require.ErrorIs(t, err, ErrInput, name)
	}
	stopped, cancel := context.WithCancel(ctx)
	cancel()
	_, err = Overview(stopped, good, v, s)
	require.True(t, errors.Is(err, context.Canceled))
}

// Points that are not finite, slivers and doubled facets must neither stop the
// drawing nor colour anything outside it.
func TestBrokenFacetsAreLeftOut(t *testing.T) {
	m := station(16)
	clean, err := Overview(context.Background(), m.piece(4), DefaultView(), testSheet(320, 240))
	require.NoError(t, err)
	n := uint32(len(m.points))
	inf := float32(math.Inf(1))
	m.points = append(m.points, [3]float32{inf, 0, 0}, [3]float32{float32(math.NaN()), 1, 1})
	for _, f := range [][3]uint32{{0, 1, n}, {n, n + 1, n}, {2, 2, 2}, {3, 4, n + 1}} {
		m.faces = append(m.faces, f)
		m.element = append(m.element, 1)
	}
	img, err := Overview(context.Background(), m.piece(4), DefaultView(), testSheet(320, 240))
	require.NoError(t, err)
	require.True(t, bytes.Equal(clean.Pix, img.Pix))
}

func TestFlatAndTinyPieces(t *testing.T) {
	for name, q := range map[string]Piece{
		"point":    {Points: [][3]float32{{1, 1, 1}}, Faces: [][3]uint32{{0, 0, 0}}, Site: [12]float64{1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0}},
		"flat":     {Points: [][3]float32{{0, 0, 0}, {1, 0, 0}, {0, 1, 0}}, Faces: [][3]uint32{{0, 1, 2}}, Site: [12]float64{1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0}},
		"no scale": {Points: [][3]float32{{0, 0, 0}, {1, 0, 0}, {0, 1, 0}}, Faces: [][3]uint32{{0, 1, 2}}},
	} {
		_, err := Overview(context.Background(), q, DefaultView(), testSheet(320, 240))
		require.NoError(t, err, name)
		_, err = Deviation(context.Background(), q, make([]float32, len(q.Points)), 1, DefaultView(), testSheet(320, 240))
		require.NoError(t, err, name)
	}
}

func TestLongAndHostileTextStaysOnTheSheet(t *testing.T) {
	s := testSheet(320, 240)
	s.Title = string(bytes.Repeat([]byte("a very long name \n\x00"), 5000))
	s.Subtitle, s.Note = "\xff\xfe 名前 \u202e", s.Title
	img, err := Overview(context.Background(), station(12).piece(16), DefaultView(), s)
	require.NoError(t, err)
	for y := range 240 { // nothing is written outside the ruled frame
		require.Equal(t, paperColour().over(), img.RGBAAt(317, y))
	}
}

func TestSiteFromFileScalesOnlyTheRotation(t *testing.T) {
	m := SiteFromFile(25.4, [12]float64{10, 0, 0, 5, 0, 10, 0, 6, 0, 0, 10, 7})
	require.Equal(t, [12]float64{254, 0, 0, 5, 0, 254, 0, 6, 0, 0, 254, 7}, m)
}

func TestPNGRoundTrip(t *testing.T) {
	img := newPaper(200, 160)
	b, err := PNG(img)
	require.NoError(t, err)
	back, err := png.Decode(bytes.NewReader(b))
	require.NoError(t, err)
	r, g, bl, _ := back.At(3, 3).RGBA()
	p := paperColour()
	require.Equal(t, [3]uint32{uint32(p[0]), uint32(p[1]), uint32(p[2])}, [3]uint32{r >> 8, g >> 8, bl >> 8})
}

func BenchmarkOverview(b *testing.B) {
	for _, n := range []int{25, 78, 246} { // about 1e4, 1e5, 1e6 facets
		p := station(n).piece(16)
		b.Run(fmt.Sprintf("faces=%d", len(p.Faces)), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				img, err := Overview(context.Background(), p, DefaultView(), DefaultSheet())
				require.NoError(b, err)
				require.NotNil(b, img)
			}
			b.ReportMetric(float64(len(p.Faces))*float64(b.N)/b.Elapsed().Seconds(), "faces/s")
		})
	}
}

// A freeform element may have no frame: it is drawn along the piece's axes.
func TestElementWithoutFrame(t *testing.T) {
	p, s := station(12).piece(3), testSheet(320, 240)
	want, err := Element(context.Background(), p, 2, Frame{[3]float64{0, 0, 1}, [3]float64{1, 0, 0}}, nil, s)
	require.NoError(t, err)
	nan := math.NaN()
	for _, f := range []Frame{{}, {[3]float64{0, 0, 1}, [3]float64{0, 0, 2}}, {[3]float64{nan, 0, 0}, [3]float64{0, 1, 0}}} {
		img, err := Element(context.Background(), p, 2, f, nil, s)
		require.NoError(t, err)
		require.True(t, bytes.Equal(want.Pix, img.Pix))
	}
}
