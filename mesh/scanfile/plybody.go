package scanfile

import (
	"fmt"
	"io"
	"math"
)

// plyBody reads the numbers behind a PLY header one after the other.
type plyBody struct {
	s      *stream
	h      *plyHeader
	text   []byte // of a text file: whole lines not yet used
	line   int    // of a text file: line of the next word
	cr     bool
	name   string // element at hand
	row    int64
	offset int64 // where its row starts
}

// value reads one number. Every type of PLY is exact in a float64.
func (b *plyBody) value(t plyType) (float64, error) {
	if b.h.order == nil {
		return b.textValue(t)
	}
	n := t.size()
	if len(b.s.data) < n {
		if err := b.s.need(n); err != nil {
			return 0, b.ended(err)
		}
	}
	d := b.s.data[:n]
	b.s.data = b.s.data[n:]
	switch t {
	case int8Type:
		return float64(int8(d[0])), nil
	case uint8Type:
		return float64(d[0]), nil
	case int16Type:
		return float64(int16(b.h.order.Uint16(d))), nil
	case uint16Type:
		return float64(b.h.order.Uint16(d)), nil
	case int32Type:
		return float64(int32(b.h.order.Uint32(d))), nil
	case uint32Type:
		return float64(b.h.order.Uint32(d)), nil
	case float32Type:
		return float64(math.Float32frombits(b.h.order.Uint32(d))), nil
	}
	return math.Float64frombits(b.h.order.Uint64(d)), nil
}

// textValue reads the next word of a text file as a number of the type.
func (b *plyBody) textValue(t plyType) (float64, error) {
	w, err := b.word()
	if err != nil {
		return 0, b.ended(err)
	}
	var v float64
	var ok bool
	if t == float32Type {
		var v32 float32
		v32, ok = parse32(w)
		v = float64(v32)
	} else {
		v, ok = parse64(w)
	}
	if !ok {
		return 0, b.bad(exportAgain, "%s is not a number", quoted(w))
	}
	return v, nil
}

// word gives the next word of a text file, io.EOF when there is none.
func (b *plyBody) word() ([]byte, error) {
	for {
		for i, c := range b.text {
			if !isBlank(c) {
				b.text = b.text[i:]
				b.cr = false
				n := wordEnd(b.text)
				w := b.text[:n]
				b.text = b.text[n:]
				return w, nil
			}
			if c == '\r' || c == '\n' && !b.cr {
				b.line++
			}
			b.cr = c == '\r'
		}
		var err error
		if b.text, err = b.s.lines(); err != nil {
			return nil, err
		}
	}
}

// count reads the length of a list of numbers of type t and holds it against
// what is left of the file.
func (b *plyBody) count(p plyProperty) (int64, error) {
	v, err := b.value(p.counter)
	if err != nil {
		return 0, err
	}
	least, left := int64(p.kind.size()), b.s.left()
	if b.h.order == nil {
		least, left = 2, left+int64(len(b.text))+1
	}
	if !(v >= 0 && v <= math.MaxUint32) || v != math.Trunc(v) {
		return 0, b.bad(exportAgain, "a list of %v items", v)
	}
	if n := int64(v); n*least <= left {
		return n, nil
	}
	return 0, b.bad(copyAgain, "a list of %.0f items takes at least %.0f bytes, but %d are left", v, v*float64(least), max(left, 0))
}

// skip reads past a property.
func (b *plyBody) skip(p plyProperty) error {
	n := int64(1)
	if p.counter != none {
		var err error
		if n, err = b.count(p); err != nil {
			return err
		}
	}
	for range n {
		if _, err := b.value(p.kind); err != nil {
			return err
		}
	}
	return nil
}

// rows calls row once a record of e, whose numbers it must all read.
func (b *plyBody) rows(e *plyElement, row func() error) error {
	if len(e.properties) == 0 {
		return nil // nothing stands in the file, whatever the count
	}
	b.name = e.name
	for b.row = 0; b.row < e.count; b.row++ {
		b.offset = b.s.offset()
		if err := row(); err != nil {
			return err
		}
	}
	return nil
}

// end refuses what follows the last element, blanks excepted.
func (b *plyBody) end() error {
	if b.h.order == nil {
		w, err := b.word()
		if err == nil {
			return atLine(b.line, "", copyAgain, "%s stands behind the last element that the header counts", quoted(w))
		}
		return notEOF(err)
	}
	for {
		for i, c := range b.s.data {
			if !isBlank(c) {
				return atByte(b.s.offset()+int64(i), "", copyAgain, "%d bytes stand behind the last element that the header counts", b.s.left()-int64(i))
			}
		}
		b.s.data = nil
		if err := b.s.more(); err != nil {
			return notEOF(err)
		}
	}
}

// ended words an end of the file where a number should stand.
func (b *plyBody) ended(err error) error {
	if err != io.EOF {
		return err
	}
	e := b.h.element(b.name)
	return b.bad(copyAgain, "the file ends here; its header counts %d of element %s", e.count, quoted([]byte(b.name)))
}

// bad is an error in the record at hand.
func (b *plyBody) bad(do, format string, a ...any) error {
	part := fmt.Sprintf("%.24s %d", b.name, b.row)
	if b.h.order == nil {
		return atLine(b.line, part, do, format, a...)
	}
	return atByte(b.offset, part, do, format, a...)
}

// notEOF drops the end of the file, where that is as it should be.
func notEOF(err error) error {
	if err == io.EOF {
		return nil
	}
	return err
}
