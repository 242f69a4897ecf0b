package scanfile

import (
	"fmt"
	"io"

	"pointup/mesh"
)

// facetWords are the words of one facet of a text STL in their order; an empty
// string is a number. The first three numbers are the normal, then three a
// vertex.
var facetWords = [...]string{
	"facet", "normal", "", "", "", "outer", "loop",
	"vertex", "", "", "", "vertex", "", "", "", "vertex", "", "", "",
	"endloop", "endfacet",
}

// vertexWord is the first number of the first vertex in facetWords.
const vertexWord = 8

// asciiReader takes a text STL word by word. Line ends are blanks but after
// solid and endsolid, whose names they end.
type asciiReader struct {
	w       *welder
	corners [][3]uint32
	facet   [3][3]float32
	at      int  // place in facetWords
	inSolid bool // between solid and endsolid
	inName  bool // the rest of the line is a name
	cr      bool // the last byte was a carriage return
	line    int
}

// readASCII reads one or more solids. Any case, any line end and any layout
// will do; the text may end after a whole facet without endsolid.
func readASCII(s *stream) (mesh.Soup, error) {
	// 250 bytes a facet is usual: what is set aside is in step with the file
	guess := int(min(s.size/250, facetsMax))
	r := &asciiReader{line: 1, w: newWelder(guess), corners: make([][3]uint32, 0, guess)}
	if err := s.need(len(bom)); err == nil && string(s.data[:len(bom)]) == bom {
		s.data = s.data[len(bom):]
	}
	for {
		b, err := s.lines()
		if err == io.EOF {
			break
		}
		if err != nil {
			return mesh.Soup{}, err
		}
		if err := r.block(b); err != nil {
			return mesh.Soup{}, err
		}
	}
	if r.at != 0 {
		return mesh.Soup{}, r.bad(copyAgain, "the file ends inside a triangle")
	}
	return mesh.Soup{Points: r.w.points, Corners: r.corners}, nil
}

// block takes whole lines.
func (r *asciiReader) block(b []byte) error {
	for i := 0; i < len(b); {
		c := b[i]
		switch {
		case c == '\n' || c == '\r':
			if c == '\r' || !r.cr {
				r.line++
			}
			r.inName = false
			r.cr = c == '\r'
			i++
			continue
		case r.inName || isBlank(c):
			i++
		default:
			n := wordEnd(b[i:])
			if err := r.word(b[i : i+n]); err != nil {
				return err
			}
			i += n
		}
		r.cr = false
	}
	return nil
}

// word takes one word.
func (r *asciiReader) word(t []byte) error {
	if r.at == 0 && !isWord(t, "facet") || !r.inSolid {
		return r.between(t)
	}
	if want := facetWords[r.at]; want != "" {
		if !isWord(t, want) {
			return r.bad(exportAgain, "%s stands where %s should", quoted(t), want)
		}
	} else if err := r.number(t); err != nil {
		return err
	}
	if r.at++; r.at == len(facetWords) {
		r.at = 0
		if len(r.corners) == facetsMax {
			return tooMany(facetsMax + 1)
		}
		r.corners = append(r.corners, [3]uint32{r.w.add(r.facet[0]), r.w.add(r.facet[1]), r.w.add(r.facet[2])})
	}
	return nil
}

// between takes a word that stands outside a facet: solid or endsolid. A solid
// may follow another that was not ended.
func (r *asciiReader) between(t []byte) error {
	switch {
	case isWord(t, "solid"):
		r.inSolid, r.inName = true, true
	case isWord(t, "endsolid") && r.inSolid:
		r.inSolid, r.inName = false, true
	case r.inSolid:
		return r.bad(exportAgain, "%s stands where facet or endsolid should", quoted(t))
	default:
		return r.bad(exportAgain, "%s stands where solid should", quoted(t))
	}
	return nil
}

// number takes a coordinate. Those of the normal need only look like numbers:
// they are not used, and exporters write NaN for facets without area.
func (r *asciiReader) number(t []byte) error {
	v, ok := parse32(t)
	if !ok {
		return r.bad(exportAgain, "%s is not a number", quoted(t))
	}
	if r.at < vertexWord {
		return nil
	}
	if v == 0 {
		v = 0 // not -0
	}
	k := r.at - vertexWord
	if why := outOfRange(float64(v)); why != "" {
		return r.bad(exportAgain, "vertex %d %s", k/4, why)
	}
	r.facet[k/4][k%4] = v
	return nil
}

// bad is an error at the word at hand.
func (r *asciiReader) bad(do, format string, a ...any) error {
	return atLine(r.line, fmt.Sprintf("triangle %d", len(r.corners)), do, format, a...)
}

// quoted shows a word of a damaged file, its length and its bytes kept in check.
func quoted(t []byte) string {
	if len(t) > 24 {
		return fmt.Sprintf("%q...", t[:24])
	}
	return fmt.Sprintf("%q", t)
}
