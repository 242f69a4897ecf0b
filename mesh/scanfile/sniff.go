package scanfile

import (
	"bytes"
	"encoding/binary"
	"io"
	"math"
	"path/filepath"
)

// Kind is what a file holds, told by its content and never by its name.
type Kind string

// The kinds that can be read.
const (
	STLBinary Kind = "stl-binary"
	STLASCII  Kind = "stl-ascii"
	PLYMesh   Kind = "ply-mesh"  // with faces
	PLYCloud  Kind = "ply-cloud" // without
	XYZ       Kind = "xyz"
)

// IsMesh tells whether the kind has triangles: [Read] takes it, else
// [ReadCloud] does.
func (k Kind) IsMesh() bool { return k == STLBinary || k == STLASCII || k == PLYMesh }

// Sniff tells what the file is by its first bytes and its size. It returns an
// *Error for what is none of the kinds.
func Sniff(path string) (Kind, error) {
	f, size, err := open(path)
	if err != nil {
		return "", err
	}
	defer f.Close()
	head := make([]byte, min(size, headBytes))
	if _, err := io.ReadFull(f, head); err != nil {
		return "", named(unread(err), filepath.Base(path))
	}
	k, err := sniff(head, size)
	return k, named(err, filepath.Base(path))
}

// headBytes is how much of a file is looked at to tell what it is: more than
// the longest PLY header that is read.
const headBytes = 2 * carryMax

const (
	stlHead   = 84 // 80 bytes of anything, 4 of count
	stlRecord = 50
)

// sniff tells the kind from the first bytes of a file of so many bytes. The
// size is asked before the word "solid", which many binary files start with.
func sniff(head []byte, size int64) (Kind, error) {
	if isPLY(head) {
		h, err := parsePLYHeader(head, size)
		if err != nil {
			return "", err
		}
		if h.hasFaces() {
			return PLYMesh, nil
		}
		return PLYCloud, nil
	}
	if size >= stlHead && len(head) >= stlHead && size == stlSize(binary.LittleEndian.Uint32(head[80:])) {
		return STLBinary, nil
	}
	if e := foreign(head); e != nil {
		return "", e
	}
	if isText(head) || isSpoiltText(head) {
		return sniffText(head)
	}
	if size < stlHead {
		return "", whole(copyAgain, "has %d bytes, less than the %d that every binary STL starts with", size, stlHead)
	}
	return STLBinary, nil // damaged: its reader says how
}

// stlSize is how long a binary STL of n triangles is.
func stlSize(n uint32) int64 { return stlHead + stlRecord*int64(n) }

func sniffText(head []byte) (Kind, error) {
	text := bytes.TrimLeft(bytes.TrimPrefix(head, []byte(bom)), " \t\r\n\v\f")
	if len(text) == 0 {
		return "", whole(exportAgain, "holds blanks only")
	}
	if isWord(text[:wordEnd(text)], "solid") {
		return STLASCII, nil
	}
	if firstRowIsPoint(head) {
		return XYZ, nil
	}
	return "", whole("name an STL, PLY or XYZ file", "is text, but starts neither with solid nor ply nor a point")
}

// bom is the byte order mark that some editors put before UTF-8.
const bom = "\xef\xbb\xbf"

// isText tells whether the first 4 KiB hold no control characters but those
// that lay out text. Every binary STL has zeros in its facets.
func isText(head []byte) bool {
	for _, c := range head[:min(len(head), 4096)] {
		if c < ' ' && !isBlank(c) {
			return false
		}
	}
	return true
}

// isSpoiltText tells whether a text STL with a control character in it is more
// likely than a binary one: no header of 80 bytes has all these words.
func isSpoiltText(head []byte) bool {
	head = bytes.ToLower(head[:min(len(head), 4096)])
	for _, w := range [...]string{"solid", "facet", "normal", "outer", "loop", "vertex"} {
		if !bytes.Contains(head, []byte(w)) {
			return false
		}
	}
	return true
}

// foreign refuses the files that are most often named by mistake.
func foreign(head []byte) *Error {
	for _, f := range [...]struct{ magic, what, do string }{
		{"PK\x03\x04", "is a zip archive (perhaps 3MF)", "unpack it, or export STL or PLY"},
		{"\x1f\x8b", "is compressed with gzip", "unpack it"},
		{"glTF", "is a glTF model", "export STL or PLY"},
		{"%PDF", "is a PDF document", "name the scan file"},
		{"\x89PNG", "is a picture", "name the scan file"},
		{"\xff\xfe", "is UTF-16 text", "save it as plain text (UTF-8)"},
		{"\xfe\xff", "is UTF-16 text", "save it as plain text (UTF-8)"},
	} {
		if bytes.HasPrefix(head, []byte(f.magic)) {
			return whole(f.do, "%s", f.what)
		}
	}
	return nil
}

// wordEnd is the length of the word that b starts with.
func wordEnd(b []byte) int {
	for i, c := range b {
		if isBlank(c) {
			return i
		}
	}
	return len(b)
}

// isBlank tells whether c parts words. Control characters do not: they show in
// the words that they spoil.
func isBlank(c byte) bool { return c == ' ' || c-'\t' <= '\r'-'\t' }

// isWord tells whether b is the lower-case word w, in any case.
func isWord(b []byte, w string) bool {
	if len(b) != len(w) {
		return false
	}
	for i := range b {
		if b[i]|0x20 != w[i] {
			return false
		}
	}
	return true
}

// coordinateMax bounds every coordinate, in file units. Its cube, a volume,
// still fits a float32; no metal thing is 10^12 of any unit long.
const coordinateMax = 1e12

// outOfRange words why a coordinate cannot be used, or returns "".
func outOfRange(v float64) string {
	switch {
	case math.IsNaN(v):
		return "is NaN"
	case math.IsInf(v, 0):
		return "is infinite"
	case math.Abs(v) > coordinateMax:
		return "is too large to be a length (over 1e12)"
	}
	return ""
}
