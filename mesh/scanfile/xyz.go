package scanfile

import (
	"bytes"
	"fmt"
	"io"

	"gonum.org/v1/gonum/spatial/r3"
)

// readXYZ reads x y z or x y z nx ny nz a line, the same in all of them,
// parted by blanks, tabs, commas or semicolons. What follows # is a comment.
func readXYZ(s *stream) (points, normals []r3.Vec, err error) {
	if err := s.need(len(bom)); err == nil && string(s.data[:len(bom)]) == bom {
		s.data = s.data[len(bom):]
	}
	r := &xyzReader{}
	for {
		b, err := s.lines()
		if err == io.EOF {
			return r.points, r.normals, nil
		}
		if err != nil {
			return nil, nil, err
		}
		if err := r.block(b); err != nil {
			return nil, nil, err
		}
	}
}

type xyzReader struct {
	points, normals []r3.Vec
	columns         int // 0 before the first row
	line            int
	cr              bool // the last block ended with a carriage return
}

// block takes whole lines.
func (r *xyzReader) block(b []byte) error {
	if r.cr && len(b) > 0 && b[0] == '\n' {
		b = b[1:]
	}
	r.cr = len(b) > 0 && b[len(b)-1] == '\r'
	for len(b) > 0 {
		n := bytes.IndexAny(b, "\r\n")
		row := b
		switch {
		case n < 0:
			b = nil
		case b[n] == '\r' && n+1 < len(b) && b[n+1] == '\n':
			row, b = b[:n], b[n+2:]
		default:
			row, b = b[:n], b[n+1:]
		}
		r.line++
		if err := r.row(row); err != nil {
			return err
		}
	}
	return nil
}

// row takes one line.
func (r *xyzReader) row(b []byte) error {
	var v [6]float64
	n := 0
	for {
		w, rest := nextColumn(b)
		if len(w) == 0 {
			break
		}
		if n < len(v) {
			x, ok := parse64(w)
			if !ok {
				return r.bad(exportAgain, "%s is not a number", quoted(w))
			}
			v[n] = x
		}
		n++
		b = rest
	}
	switch {
	case n == 0:
		return nil
	case n != 3 && n != 6:
		return r.bad("write x y z or x y z nx ny nz a line", "%d numbers on the line", n)
	case r.columns == 0:
		r.columns = n
	case n != r.columns:
		return r.bad(copyAgain, "%d numbers on the line, %d on those before", n, r.columns)
	}
	return r.take(v)
}

func (r *xyzReader) take(v [6]float64) error {
	for k := range 3 {
		if why := outOfRange(v[k]); why != "" {
			return r.bad(exportAgain, "%c %s", "xyz"[k], why)
		}
	}
	if r.columns == 6 {
		n, why := unitNormal([3]float64(v[3:]))
		if why != "" {
			return r.bad(leaveNormals, "%s", why)
		}
		r.normals = append(r.normals, n)
	}
	r.points = append(r.points, r3.Vec{X: v[0], Y: v[1], Z: v[2]})
	return nil
}

func (r *xyzReader) bad(do, format string, a ...any) error {
	return atLine(r.line, fmt.Sprintf("point %d", len(r.points)), do, format, a...)
}

// nextColumn gives the next word of a row and what follows it.
func nextColumn(b []byte) (word, rest []byte) {
	i := 0
	for i < len(b) && isGap(b[i]) {
		i++
	}
	if i == len(b) || b[i] == '#' {
		return nil, nil
	}
	j := i
	for j < len(b) && !isGap(b[j]) && b[j] != '#' {
		j++
	}
	return b[i:j], b[j:]
}

// isGap tells whether c parts columns.
func isGap(c byte) bool { return isBlank(c) || c == ',' || c == ';' }

// firstRowIsPoint tells whether the first line that is no comment starts with
// three numbers.
func firstRowIsPoint(head []byte) bool {
	head = bytes.TrimPrefix(head, []byte(bom))
	for line := range bytes.FieldsFuncSeq(head, func(c rune) bool { return c == '\n' || c == '\r' }) {
		n := 0
		for w, rest := nextColumn(line); len(w) > 0; w, rest = nextColumn(rest) {
			if _, ok := parse64(w); !ok {
				return false
			}
			n++
		}
		if n > 0 {
			return n >= 3
		}
	}
	return false
}
