package scanfile

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"strconv"
)

// plyHeader is what stands before the numbers of a PLY file.
type plyHeader struct {
	order    binary.ByteOrder // nil for a text file
	elements []plyElement
	bytes    int // length with its last end of line
	lines    int
}

type plyElement struct {
	name       string
	count      int64
	properties []plyProperty
}

// plyProperty is a number or, where counter is not none, a list of numbers
// behind its length.
type plyProperty struct {
	name          string
	kind, counter plyType
}

// plyType is a type of number in a PLY file.
type plyType uint8

const (
	none plyType = iota
	int8Type
	uint8Type
	int16Type
	uint16Type
	int32Type
	uint32Type
	float32Type
	float64Type
)

// size is the length in bytes.
func (t plyType) size() int {
	return [...]int{0, 1, 1, 2, 2, 4, 4, 4, 8}[t]
}

// plyTypeOf names the type, by its old or its new name.
func plyTypeOf(w string) plyType {
	switch w {
	case "char", "int8":
		return int8Type
	case "uchar", "uint8":
		return uint8Type
	case "short", "int16":
		return int16Type
	case "ushort", "uint16":
		return uint16Type
	case "int", "int32":
		return int32Type
	case "uint", "uint32":
		return uint32Type
	case "float", "float32":
		return float32Type
	case "double", "float64":
		return float64Type
	}
	return none
}

// isPLY tells whether a file starts with the line "ply".
func isPLY(head []byte) bool {
	return len(head) >= 4 && string(head[:3]) == "ply" && head[3] <= ' '
}

// hasFaces tells whether there is a face with a list of corners.
func (h *plyHeader) hasFaces() bool {
	f := h.element("face")
	return f != nil && f.count > 0 && f.corners() >= 0
}

// element is the element of that name, or nil.
func (h *plyHeader) element(name string) *plyElement {
	for i := range h.elements {
		if h.elements[i].name == name {
			return &h.elements[i]
		}
	}
	return nil
}

// find is the place of the property of that name, or -1.
func (e *plyElement) find(name string) int {
	for i := range e.properties {
		if e.properties[i].name == name {
			return i
		}
	}
	return -1
}

// corners is the place of the list of corners of a face, or -1.
func (e *plyElement) corners() int {
	for _, name := range [...]string{"vertex_indices", "vertex_index"} {
		if i := e.find(name); i >= 0 && e.properties[i].counter != none {
			return i
		}
	}
	return -1
}

// parsePLYHeader reads the header of a file of size bytes, of which head are
// the first, and refuses counts for which the file is too short.
func parsePLYHeader(head []byte, size int64) (*plyHeader, error) {
	h := &plyHeader{}
	format := false
	for {
		line, err := h.line(head)
		if err != nil {
			return nil, err
		}
		w := bytes.Fields(line)
		if len(w) == 0 || h.lines == 1 {
			continue
		}
		switch string(w[0]) {
		case "comment", "obj_info":
		case "format":
			format = true
			err = h.format(w)
		case "element":
			err = h.addElement(w)
		case "property":
			err = h.addProperty(w)
		case "end_header":
			if !format {
				return nil, h.bad("the header names no format")
			}
			return h, h.checkCounts(size)
		default:
			err = h.bad("%s is no word of a PLY header", quoted(w[0]))
		}
		if err != nil {
			return nil, err
		}
	}
}

// line gives the next line. All lines end as the first does, so that a body
// that starts with a line feed's code is not taken for a line end.
func (h *plyHeader) line(head []byte) ([]byte, error) {
	eol := "\n"
	if i := bytes.IndexAny(head, "\r\n"); i >= 0 && head[i] == '\r' {
		eol = "\r"
		if i+1 < len(head) && head[i+1] == '\n' {
			eol = "\r\n"
		}
	}
	rest := head[h.bytes:]
	n := bytes.Index(rest, []byte(eol))
	h.lines++
	if n < 0 && len(head) >= headBytes || n > carryMax || h.bytes > carryMax {
		return nil, h.bad("the header is longer than %d bytes", carryMax)
	}
	if n < 0 {
		return nil, h.bad("the file ends inside its header")
	}
	h.bytes += n + len(eol)
	return rest[:n], nil
}

func (h *plyHeader) format(w [][]byte) error {
	if len(w) != 3 || string(w[2]) != "1.0" {
		return h.bad("the format must be ascii, binary_little_endian or binary_big_endian, and its version 1.0")
	}
	switch string(w[1]) {
	case "ascii":
		h.order = nil
	case "binary_little_endian":
		h.order = binary.LittleEndian
	case "binary_big_endian":
		h.order = binary.BigEndian
	default:
		return h.bad("%s is not a format of PLY", quoted(w[1]))
	}
	return nil
}

func (h *plyHeader) addElement(w [][]byte) error {
	if len(w) != 3 {
		return h.bad("an element has a name and a count")
	}
	n, err := strconv.ParseInt(string(w[2]), 10, 64)
	if err != nil || n < 0 {
		return h.bad("%s is not a count", quoted(w[2]))
	}
	name := string(w[1])
	if h.element(name) != nil {
		return h.bad("there are two elements of the name %s", quoted(w[1]))
	}
	h.elements = append(h.elements, plyElement{name: name, count: n})
	return nil
}

func (h *plyHeader) addProperty(w [][]byte) error {
	if len(h.elements) == 0 {
		return h.bad("a property stands before the first element")
	}
	var p plyProperty
	switch {
	case len(w) == 3:
		p = plyProperty{name: string(w[2]), kind: plyTypeOf(string(w[1]))}
	case len(w) == 5 && string(w[1]) == "list":
		p = plyProperty{name: string(w[4]), kind: plyTypeOf(string(w[3])), counter: plyTypeOf(string(w[2]))}
		if p.counter == none || p.counter >= float32Type {
			return h.bad("%s cannot count a list", quoted(w[2]))
		}
	default:
		return h.bad("a property has a type and a name")
	}
	if p.kind == none {
		return h.bad("%s is not a type of PLY", quoted(w[len(w)-2]))
	}
	e := &h.elements[len(h.elements)-1]
	if e.find(p.name) >= 0 {
		return h.bad("there are two properties of the name %s", quoted([]byte(p.name)))
	}
	e.properties = append(e.properties, p)
	return nil
}

// checkCounts holds the counts against the bytes behind the header.
func (h *plyHeader) checkCounts(size int64) error {
	left := size - int64(h.bytes)
	for i := range h.elements {
		e := &h.elements[i]
		least := h.leastBytes(e)
		if least == 0 || e.count == 0 {
			continue
		}
		if e.count > math.MaxInt64/least || e.count*least > left+1 { // the last line of a text may lack its end
			return atByte(int64(h.bytes), "header", copyAgain,
				"the header counts %d of element %s, which take at least %d bytes each, but %d bytes are left", e.count, quoted([]byte(e.name)), least, max(left, 0))
		}
		left -= e.count * least
	}
	return nil
}

// leastBytes is the shortest that a record of e can be. The corners of a face
// are three at least.
func (h *plyHeader) leastBytes(e *plyElement) int64 {
	corners := -1
	if e.name == "face" {
		corners = e.corners()
	}
	numbers, bytes := 0, 0
	for i, p := range e.properties {
		items := 1
		if p.counter != none {
			items = 0
			if i == corners {
				items = 3
			}
			numbers++
			bytes += p.counter.size()
		}
		numbers += items
		bytes += items * p.kind.size()
	}
	if h.order == nil {
		return int64(2 * numbers) // a digit and a blank
	}
	return int64(bytes)
}

func (h *plyHeader) bad(format string, a ...any) error {
	return atLine(h.lines, "header", exportAgain, "%s", fmt.Sprintf(format, a...))
}
