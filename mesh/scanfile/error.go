package scanfile

import (
	"errors"
	"fmt"
	"strings"
)

// Error says what is wrong with a file, where, and what to do about it:
//
//	horse.stl: byte 16684 (triangle 332): vertex 2 is NaN; export the scan again
//
// Triangles, vertices and corners are counted from 0, as in the arrays of
// [mesh.Soup]; lines from 1, as editors do. The offset of a damaged record is
// that of its first byte.
type Error struct {
	File   string // base name
	Offset int64  // byte, or -1 where a line or no place is meant
	Line   int    // line of a text file, or 0
	Part   string // the record at that place: "triangle 332"; may be empty
	What   string // what is so
	Do     string // what to do
	Err    error  // cause, for errors.Is; may be nil
}

// Error gives file, place, what is so and what to do, on one line.
func (e *Error) Error() string {
	var b strings.Builder
	b.WriteString(e.File)
	switch {
	case e.Line > 0:
		fmt.Fprintf(&b, ": line %d", e.Line)
	case e.Offset >= 0:
		fmt.Fprintf(&b, ": byte %d", e.Offset)
	}
	if e.Part != "" && (e.Line > 0 || e.Offset >= 0) {
		fmt.Fprintf(&b, " (%s)", e.Part)
	}
	fmt.Fprintf(&b, ": %s; %s", e.What, e.Do)
	return b.String()
}

// Unwrap gives the cause: fs.ErrNotExist, fs.ErrPermission, a device's error.
func (e *Error) Unwrap() error { return e.Err }

const (
	exportAgain = "export the scan again"
	copyAgain   = "copy or export the scan again"
)

// whole is an error about the file as such.
func whole(do, format string, a ...any) *Error {
	return &Error{Offset: -1, What: fmt.Sprintf(format, a...), Do: do}
}

// atByte is an error about the record that starts at a byte.
func atByte(offset int64, part, do, format string, a ...any) *Error {
	return &Error{Offset: offset, Part: part, What: fmt.Sprintf(format, a...), Do: do}
}

// atLine is an error about a line of text.
func atLine(line int, part, do, format string, a ...any) *Error {
	return &Error{Offset: -1, Line: line, Part: part, What: fmt.Sprintf(format, a...), Do: do}
}

// named gives an error of this package the name of its file; others pass as
// they are.
func named(err error, file string) error {
	var e *Error
	if errors.As(err, &e) {
		e.File = file
	}
	return err
}
