package result

import (
	"bytes"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"pointup/pipeline/job"
)

// Encode writes the document: indented, keys in their order, numbers rounded, the
// same bytes for the same document, a line feed at the end. File names lose their
// folders.
//
// A number that is not finite, a dimension of the wrong type, two elements of one
// id are faults of the program: an error, never a NaN or null in the file.
func Encode(d Document) ([]byte, error) {
	if err := check(d); err != nil {
		return nil, fmt.Errorf("result: encode: %w", err)
	}
	d.Job = d.Job.WithoutFolders()
	if d.Files == nil {
		d.Files = map[string]string{}
	}
	if d.Scan.File != "" {
		d.Scan.File = d.Scan.File[strings.LastIndexAny(d.Scan.File, `/\`)+1:]
	}
	data, err := Indent(d)
	if err != nil {
		return nil, fmt.Errorf("result: encode: %w", err)
	}
	return data, nil
}

// Indent writes any part of a document, a [Scan] or an [Element] say, as Encode
// writes the whole.
func Indent(v any) ([]byte, error) {
	if err := finite(v); err != nil {
		return nil, err
	}
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	if err := enc.Encode(v); err != nil {
		return nil, err
	}
	return compactRows(b.Bytes()), nil
}

// Decode reads a document. Keys that are not known here are passed over.
func Decode(data []byte) (Document, error) {
	var d Document
	if err := json.Unmarshal(data, &d); err != nil {
		return Document{}, fmt.Errorf("result.json: %w", err)
	}
	if d.Schema != SchemaName {
		return Document{}, fmt.Errorf("result.json: the schema is %.40q, not %s; give a result.json of this program", d.Schema, SchemaName)
	}
	return d, nil
}

// check refuses a document that its readers could not rely on.
func check(d Document) error {
	if d.Schema != SchemaName {
		return fmt.Errorf("the schema is %q, not %s", d.Schema, SchemaName)
	}
	ids := map[string]bool{}
	for _, e := range d.Elements {
		if _, ok := job.Number(e.ID); !ok || ids[e.ID] {
			return fmt.Errorf("element %q: the id is wrong or stands twice", e.ID)
		}
		ids[e.ID] = true
		if err := checkElement(e); err != nil {
			return fmt.Errorf("element %s: %w", e.ID, err)
		}
	}
	return nil
}

// checkElement holds the parts of an element against each other.
func checkElement(e Element) error {
	if !slices.Contains(job.Kinds(), e.Kind) {
		return fmt.Errorf("the kind %q is not one of the list", e.Kind)
	}
	if (e.Deviation == nil) != (e.Kind == "freeform") {
		return fmt.Errorf("a %s has a deviation: %v; all kinds but freeform have one", e.Kind, e.Deviation != nil)
	}
	if len(e.Maquette) != len(e.FullSize) {
		return fmt.Errorf("maquette has %d dimensions, full_size %d", len(e.Maquette), len(e.FullSize))
	}
	for i, m := range e.Maquette {
		if e.FullSize[i].Key != m.Key {
			return fmt.Errorf("dimension %d is %q in maquette, %q in full_size", i, m.Key, e.FullSize[i].Key)
		}
	}
	for _, w := range e.U95 {
		if e.Maquette.Get(w.Key) == nil {
			return fmt.Errorf("u95 has %q, which maquette has not", w.Key)
		}
	}
	for _, key := range e.Hidden {
		if e.Maquette.Get(key) != nil {
			return fmt.Errorf("%q is hidden and given", key)
		}
	}
	return nil
}

// compactRows puts a list of numbers on one line, so that a point or a row of a
// matrix reads as one.
func compactRows(data []byte) []byte {
	out := make([]byte, 0, len(data))
	inString := false
	for i := 0; i < len(data); i++ {
		c := data[i]
		if inString {
			out = append(out, c)
			switch c {
			case '\\':
				i++
				out = append(out, data[i])
			case '"':
				inString = false
			}
			continue
		}
		if c == '[' {
			if row, n := numberRow(data[i:]); n > 0 {
				out = append(out, row...)
				i += n - 1
				continue
			}
		}
		inString = c == '"'
		out = append(out, c)
	}
	return out
}

// numberRow returns the list at the start of data on one line and its length in
// data, or 0 if it holds anything but numbers.
func numberRow(data []byte) (row []byte, n int) {
	for i, c := range data {
		switch {
		case c == ' ' || c == '\n':
		case c == ',':
			row = append(row, ", "...)
		case c == ']':
			return append(row, c), i + 1
		case c == '[' && i == 0, c >= '0' && c <= '9', c == '-', c == '+', c == '.', c == 'e', c == 'E':
			row = append(row, c)
		default:
			return nil, 0
		}
	}
	return nil, 0
}
