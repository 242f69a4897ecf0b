package report

import (
	"bytes"
	"encoding/base64"
	"fmt"
	"html/template"
	"image/png"
	"strconv"

	"pointup/pipeline/result"
)

// mainFigures are the pictures of the whole piece that were given.
func mainFigures(doc result.Document, pictures map[string][]byte) ([]figure, error) {
	list := []struct{ file, id, caption, alt string }{
		{
			"overview.png", "overview", "The piece at full size, its elements in different washes, beside a figure 1.75 m tall. Heights, and widths across the sheet, are true to the scale bar.",
			"The whole piece at full size, " + heightText(float64(doc.Scale.HeightFullMM)) + " high, on a floor beside a standing person 1.75 m tall.",
		},
		{
			"exploded.png", "exploded", "The elements drawn apart. Each is moved away from the one it is joined to, as the dashed lines show; the true places are in the first picture. Sizes on each part are true to the scale bar.",
			"The elements drawn apart from each other, each with its id, dashed lines leading back to where they were joined. The contacts stand in a table below.",
		},
		{
			"deviation.png", "deviation", "How far the scan lies outside (red) or inside (blue) of the ideal elements, in mm at full size. Hatched areas lie beyond the ends of the scale; grey ones have no value.",
			"The whole piece coloured by signed deviation in mm at full size, blue inside, pale at zero, red outside, with a legend at the right. The numbers stand in table 1.",
		},
		{
			"seen.png", "seen-picture", "The view in which stock sizes change most, and the place where they do. Where only the work as fitted covers the background the hatch rises, where only that of stock does it falls.",
			"The outline of the work from the standpoint where stock changes it most, with that place enlarged and hatched. The numbers of all standpoints stand under What visitors see of it.",
		},
	}
	var out []figure
	for _, x := range list {
		f, err := newFigure(pictures, x.file)
		if err != nil {
			return nil, err
		}
		if f == nil {
			continue
		}
		f.ID, f.Caption, f.Alt = x.id, x.caption, x.alt
		f.Label = "Fig. " + strconv.Itoa(len(out)+1)
		out = append(out, *f)
	}
	return out, nil
}

// elementFigure is the picture of an element, or nil where there is none.
func elementFigure(e result.Element, pictures map[string][]byte, number int) (*figure, error) {
	f, err := newFigure(pictures, e.ID+".png")
	if f == nil || err != nil {
		return nil, err
	}
	f.Label = "Fig. " + strconv.Itoa(number)
	f.Caption = e.ID + " as scanned, at full size; isometric along its own axes. Its place in the piece is marked in the corner."
	f.Alt = "Isometric drawing of element " + e.ID + ", a " + words(e.Kind) + ", and a small picture of the piece that marks its place."
	return f, nil
}

// newFigure puts a PNG into the page; nil where there is none of that name.
func newFigure(pictures map[string][]byte, file string) (*figure, error) {
	data := pictures[file]
	if len(data) == 0 {
		return nil, nil
	}
	c, err := png.DecodeConfig(bytes.NewReader(data))
	if err != nil {
		return nil, fmt.Errorf("report.html: picture %s: %w", file, err)
	}
	// The URL is of our own making: a fixed head and base64 letters.
	src := template.URL("data:image/png;base64," + base64.StdEncoding.EncodeToString(data))
	return &figure{Src: src, Width: c.Width, Height: c.Height}, nil
}
