package solid

import (
	"archive/zip"
	"bufio"
	"compress/flate"
	"encoding/xml"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"time"
)

// Parts of a 3MF package (3MF Core Specification 1.3; ISO/IEC 29500-2).
const (
	threeTypes = xml.Header + `<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">` +
		`<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>` +
		`<Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/></Types>`
	threeRels = xml.Header + `<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">` +
		`<Relationship Target="/3D/3dmodel.model" Id="rel0" Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/></Relationships>`
)

// fast is the level at which a model is compressed: a tenth of the usual one's time, for
// a quarter more of bytes.
const fast = flate.BestSpeed

// Write3MF writes the pieces for printing, every one a closed mesh of its own,
// multiplied by scale; chordMM, at full size, is how far triangles leave curved
// surfaces. The model stands with its lowest corner's coordinates at zero, as
// printers want it. Skins are left out: they enclose nothing to print. The same
// pieces give the same bytes.
func Write3MF(w io.Writer, title string, pieces []Piece, scale, chordMM float64) error {
	z := zip.NewWriter(w)
	z.RegisterCompressor(zip.Deflate, func(w io.Writer) (io.WriteCloser, error) { return flate.NewWriter(w, fast) })
	part := func(name string) (io.Writer, error) {
		return z.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Deflate, Modified: time.Date(1980, 1, 1, 0, 0, 0, 0, time.UTC)})
	}
	for _, p := range [][2]string{{"[Content_Types].xml", threeTypes}, {"_rels/.rels", threeRels}} {
		f, err := part(p[0])
		if err != nil {
			return err
		}
		if _, err := io.WriteString(f, p[1]); err != nil {
			return err
		}
	}
	f, err := part("3D/3dmodel.model")
	if err != nil {
		return err
	}
	b := bufio.NewWriterSize(f, 1<<16)
	if err := writeThree(b, title, Printable(pieces), scale, chordMM); err != nil {
		return err
	}
	if err := b.Flush(); err != nil {
		return err
	}
	return z.Close()
}

// Printable are the pieces that enclose a volume.
func Printable(pieces []Piece) []Piece {
	return slices.DeleteFunc(slices.Clone(pieces), func(p Piece) bool {
		f, mesh := p.Shape.(Facets)
		return mesh && f.Open
	})
}

func writeThree(b *bufio.Writer, title string, pieces []Piece, scale, chordMM float64) error {
	meshes := make([]Mesh, len(pieces))
	low := [3]float64{}
	for i, p := range pieces {
		m, err := p.Shape.Mesh(chordMM)
		if err != nil {
			return fmt.Errorf("%s: %w", p.Mark, err)
		}
		for k, q := range m.Points {
			m.Points[k] = p.Frame.Point(q.X, q.Y, q.Z)
			for j, x := range [3]float64{m.Points[k].X, m.Points[k].Y, m.Points[k].Z} {
				if i == 0 && k == 0 || x < low[j] {
					low[j] = x
				}
			}
		}
		meshes[i] = m
	}
	b.WriteString(xml.Header + `<model unit="millimeter" xml:lang="en" xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02">`)
	b.WriteString(`<metadata name="Title">` + escaped(title) + `</metadata><resources>`)
	for i, m := range meshes {
		fmt.Fprintf(b, `<object id="%d" type="model" name="%s"><mesh><vertices>`, i+1, escaped(pieces[i].Title()))
		for _, q := range m.Points {
			fmt.Fprintf(b, `<vertex x="%s" y="%s" z="%s"/>`, short(scale*(q.X-low[0])), short(scale*(q.Y-low[1])), short(scale*(q.Z-low[2])))
		}
		b.WriteString(`</vertices><triangles>`)
		for _, t := range m.Triangles {
			fmt.Fprintf(b, `<triangle v1="%d" v2="%d" v3="%d"/>`, t[0], t[1], t[2])
		}
		b.WriteString(`</triangles></mesh></object>`)
	}
	b.WriteString(`</resources><build>`)
	for i := range meshes {
		fmt.Fprintf(b, `<item objectid="%d"/>`, i+1)
	}
	_, err := b.WriteString(`</build></model>`)
	return err
}

// short is a number to 1e-6, which keeps apart what a mesh has apart.
func short(x float64) string { return strconv.FormatFloat(x, 'f', 6, 64) }

func escaped(s string) string {
	var b strings.Builder
	_ = xml.EscapeText(&b, []byte(s))
	return b.String()
}
