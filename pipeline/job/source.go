package job

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"unicode/utf8"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/parser"
	"github.com/goccy/go-yaml/token"
)

// bytesMax is far over what a job needs (1000 pieces take 120 kB) and keeps the
// YAML reader's work under half a second whatever the file holds.
const bytesMax = 256 << 10

// root reads the text of a job file and returns its one document.
func root(file string, data []byte) (ast.Node, *Error) {
	data = bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))
	if err := plainText(file, data); err != nil {
		return nil, err
	}
	text := strings.ReplaceAll(strings.ReplaceAll(string(data), "\r\n", "\n"), "\r", "\n")
	if err := shallow(file, text); err != nil {
		return nil, err
	}
	tree, err := parse(file, text)
	if err != nil {
		return nil, err
	}
	return document(file, tree)
}

// plainText refuses what is not a text of reasonable size.
func plainText(file string, data []byte) *Error {
	if len(data) > bytesMax {
		return &Error{file, 1, 1, fmt.Sprintf("the file has %d bytes, a job file at most %d", len(data), bytesMax), "give a job file, not a scan"}
	}
	if i := bytes.IndexByte(data, 0); i >= 0 {
		line, column := placeOf(data, i)
		return &Error{file, line, column, "the file holds a zero byte: it is not a text", "give a job file in UTF-8"}
	}
	for i := 0; i < len(data); {
		r, n := utf8.DecodeRune(data[i:])
		if r == utf8.RuneError && n < 2 {
			line, column := placeOf(data, i)
			return &Error{file, line, column, fmt.Sprintf("byte 0x%02x is not UTF-8", data[i]), "save the file as UTF-8"}
		}
		i += n
	}
	return nil
}

// placeOf returns the line and column of byte i, columns in characters.
func placeOf(data []byte, i int) (line, column int) {
	before := data[:i]
	start := bytes.LastIndexByte(before, '\n') + 1
	return bytes.Count(before, []byte("\n")) + 1, utf8.RuneCount(before[start:]) + 1
}

// parse runs the YAML reader. A panic of it becomes an error: the text is not one
// that a person would write.
func parse(file, text string) (tree *ast.File, problem *Error) {
	defer func() {
		if recover() != nil {
			tree, problem = nil, &Error{file, 1, 1, "the file cannot be read as YAML", "look for a bracket or quote that is not closed"}
		}
	}()
	tree, err := parser.ParseBytes([]byte(text), 0, parser.AllowDuplicateMapKey())
	if err != nil {
		return nil, syntax(file, err)
	}
	return tree, nil
}

// syntax makes an Error of what the YAML reader says.
func syntax(file string, err error) *Error {
	e := &Error{file, 1, 1, "the file cannot be read as YAML", "look for a wrong indent, bracket or quote"}
	var y yaml.Error
	if !errors.As(err, &y) {
		return e
	}
	if message := printable(y.GetMessage()); message != "" {
		e.What = "this is not YAML: " + strings.ToLower(message[:1]) + message[1:]
		e.Advice = "mend the line; look for a wrong indent, bracket or quote"
	}
	e.Line, e.Column = at(y.GetToken())
	return e
}

// document returns the body of the only document of the file.
func document(file string, tree *ast.File) (ast.Node, *Error) {
	var body ast.Node
	for i, d := range tree.Docs {
		if d.Body != nil && d.Body.Type() == ast.DirectiveType {
			line, column := at(d.Body.GetToken())
			return nil, &Error{file, line, column, "the file starts with a YAML directive", "take the line out"}
		}
		if i > 0 {
			line, column := at(d.Start)
			if d.Start == nil && d.Body != nil {
				line, column = start(d.Body)
			}
			return nil, &Error{file, line, column, "a second document starts here", "keep one job in a file; take out the line ---"}
		}
		body = d.Body
	}
	if body == nil {
		return nil, &Error{file, 1, 1, "the file is empty", "write the job: scan, its unit and the enlargement at least"}
	}
	return body, nil
}

// at returns the line and column of a token, 1 and 1 where it has none.
func at(t *token.Token) (line, column int) {
	if t == nil || t.Position == nil {
		return 1, 1
	}
	return max(1, t.Position.Line), max(1, t.Position.Column)
}

// start returns where a node starts; a block mapping starts at its first key.
func start(n ast.Node) (line, column int) {
	if m, ok := n.(*ast.MappingNode); ok && !m.IsFlowStyle && len(m.Values) > 0 {
		return at(m.Values[0].Key.GetToken())
	}
	return at(n.GetToken())
}
