package report

import (
	"bytes"
	"crypto/sha256"
	_ "embed"
	"encoding/base64"
	"fmt"
	"html/template"
	"image/png"
	"strings"

	"pointup/pipeline/quantity"
	"pointup/pipeline/result"
)

//go:embed figure1.js
var figure1JS string

// hero is the picture on the cover.
func hero(doc result.Document, pictures map[string][]byte) (*figure, error) {
	f, err := newFigure(pictures, "overview.png")
	if f == nil || err != nil {
		return nil, err
	}
	f.Caption = "The work at full size beside a figure 1.75 m tall. Heights, and widths across the sheet, are true to the scale bar; the washes only tell the pieces apart."
	f.Alt = "The whole piece at full size, " + heightText(float64(doc.Scale.HeightFullMM)) + " high, on a floor beside a standing person 1.75 m tall."
	return f, nil
}

// turnedFigure is Fig. 1; nil where there is neither a scene nor a picture for it.
func turnedFigure(art Art) (*turned, error) {
	t := &turned{}
	for _, x := range []struct{ file, label, caption, alt string }{
		{
			"exploded.png", "Fig. 1a", "The pieces drawn apart. Each is moved away from the one it is joined to, as the dashed lines show. Sizes on each part are true to the scale bar.",
			"The pieces drawn apart from each other, each with its id, dashed lines leading back to where they were joined. The contacts stand in a table on a sheet of their own.",
		},
		{
			"deviation.png", "Fig. 1b", "How far the scan lies outside (red) or inside (blue) of the fitted pieces, in mm at full size. Hatched areas lie beyond the ends of the scale; grey ones have no value.",
			"The whole piece coloured by signed deviation in mm at full size, blue inside, pale at zero, red outside, with a legend at the right. The numbers stand in table 1.",
		},
	} {
		f, err := newFigure(art.Pictures, x.file)
		if err != nil {
			return nil, err
		}
		if f != nil {
			f.Label, f.Caption, f.Alt = x.label, x.caption, x.alt
			t.Stills = append(t.Stills, *f)
		}
	}
	if art.Scene == nil || len(art.Scene.Layers) == 0 {
		if len(t.Stills) == 0 {
			return nil, nil
		}
		return t, nil
	}
	code, err := art.Scene.code()
	if err != nil {
		return nil, fmt.Errorf("report.html: Fig. 1: %w", err)
	}
	t.Data = template.HTML(code) // letters of base64
	t.Script = script(figure1JS)
	for i, l := range art.Scene.Layers {
		t.Layers = append(t.Layers, layerKey{Value: l.Name, Label: l.Label, First: i == 0})
		if l.DeviationMM != nil {
			t.Off = true
		}
	}
	n := len(art.Scene.Colours)
	for i, c := range art.Scene.Colours {
		t.Colours = append(t.Colours, colourKey{template.CSS(c), axisText(art.Scene.RangeMM * float64(2*i-n+1) / float64(max(n-1, 1)))})
	}
	return t, nil
}

// script is one of our own as XML takes it too.
func script(text string) template.JS { return template.JS("//<![CDATA[\n" + text + "\n//]]>") }

// policy lets the page run its own scripts, known by what is in them, and fetch
// nothing but what its own server has, where it is under review.
func policy(t *turned, scripts ...template.JS) string {
	s := "default-src 'none'; img-src data:; style-src 'unsafe-inline'; connect-src 'self'; script-src"
	if t != nil && t.Script != "" {
		scripts = append(scripts, t.Script)
	}
	for _, x := range scripts {
		sum := sha256.Sum256([]byte(x))
		s += " 'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"
	}
	return s
}

// sideFigures are the work seen from its four sides, where they were drawn.
func sideFigures(pictures map[string][]byte) ([]figure, error) {
	var out []figure
	for _, side := range []string{"front", "right", "back", "left"} {
		f, err := newFigure(pictures, side+".png")
		if err != nil {
			return nil, err
		}
		if f != nil {
			f.Caption = "From the " + side + "."
			f.Alt = "The work at full size on a ground plane beside a figure 1.75 m tall, seen from the " + side + "."
			out = append(out, *f)
		}
	}
	return out, nil
}

// seenPicture puts the picture of what visitors see into its part.
func seenPicture(list []part, pictures map[string][]byte) ([]part, error) {
	f, err := newFigure(pictures, "seen.png")
	if f == nil || err != nil {
		return list, err
	}
	f.Caption = "The view in which stock sizes change most, and the place where they do. Where only the work as fitted covers the background the hatch rises, where only that of stock does it falls."
	f.Alt = "The outline of the work from the standpoint where stock changes it most, with that place enlarged and hatched. The numbers of all standpoints stand in the table."
	for i := range list {
		if list[i].ID == "seen" {
			list[i].Figures = append(list[i].Figures, *f)
		}
	}
	return list, nil
}

// elementFigure is the picture of an element, or nil where there is none.
func elementFigure(e result.Element, pictures map[string][]byte) (*figure, error) {
	f, err := newFigure(pictures, e.ID+".png")
	if f == nil || err != nil {
		return nil, err
	}
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

// spreads are the histograms of all elements on one axis, and what it is.
func spreads(doc result.Document) ([]spread, string) {
	reach := spreadMM(doc)
	var out []spread
	for i, e := range doc.Elements {
		if d := histogramDrawing(e, reach, true); d != nil {
			out = append(out, spread{Anchor: anchor(i), Label: strings.TrimSpace(e.ID + " " + e.Name), Worst: "p95 " + deviationText(float64(e.Deviation.P95MM)) + " mm", Drawing: *d})
		}
	}
	return out, "All on one axis, ±" + quantity.Decimal(reach, 3) + " mm at full size; the height of each is its own. Outside of the fitted shape is +."
}
