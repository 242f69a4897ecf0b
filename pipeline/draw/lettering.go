package draw

import (
	"sync"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// face is our font, with room to work in.
type face struct {
	font *sfnt.Font
	buf  sfnt.Buffer
	lock sync.Mutex
}

var lettering = sync.OnceValue(func() *face {
	f, err := sfnt.Parse(goregular.TTF)
	if err != nil {
		panic(err) // the font is part of the program
	}
	return &face{font: f}
})

// emUnits is the size at which letters are measured, in units of the font.
const emUnits = 2048

// TextWidthMM is the width of a line of text whose capitals are heightMM high, as
// PDF shows it; SVG asks for the same width of whatever font is there.
func TextWidthMM(text string, heightMM float64) float64 {
	f := lettering()
	f.lock.Lock()
	defer f.lock.Unlock()
	sum := 0.0
	for _, r := range printable(text) {
		i, err := f.font.GlyphIndex(&f.buf, r)
		if err != nil {
			i = 0
		}
		if a, err := f.font.GlyphAdvance(&f.buf, i, fixed.I(emUnits), font.HintingNone); err == nil {
			sum += float64(a) / 64
		}
	}
	return sum / emUnits * heightMM / capsShare
}
