package job

import (
	"fmt"
	"strings"

	"github.com/goccy/go-yaml/ast"
)

// reader walks the document. The first thing that is wrong stays in err, and
// every later call does nothing.
type reader struct {
	file string
	err  *Error
}

// read reads one value; path names it in messages: scan.unit, pieces.rows[2].at.
type read func(n ast.Node, path string)

// field is a key of a mapping and how its value is read.
type field struct {
	key  string
	read read
}

// fail keeps the first error.
func (r *reader) fail(n ast.Node, what, advice string) {
	if r.err == nil {
		line, column := start(n)
		r.err = &Error{r.file, line, column, what, advice}
	}
}

// fields reads a mapping. An unknown key, a key twice and a missing value are
// errors. It returns the keys that stand there.
func (r *reader) fields(n ast.Node, path string, fields ...field) map[string]bool {
	seen := map[string]bool{}
	names := make([]string, len(fields))
	known := map[string]read{}
	for i, f := range fields {
		names[i], known[f.key] = f.key, f.read
	}
	for _, pair := range r.pairs(n, path, names) {
		key := r.key(pair.Key, path)
		if r.err != nil {
			return seen
		}
		f, ok := known[key]
		switch {
		case !ok:
			r.fail(pair.Key, inside(path, "unknown key "+quoted(key)), suggestion(key, names))
		case seen[key]:
			r.fail(pair.Key, "the key "+under(path, key)+" stands here a second time", "keep one of them")
		default:
			seen[key] = true
			r.value(pair, under(path, key), f)
		}
		if r.err != nil {
			return seen
		}
	}
	return seen
}

// pairs returns the entries of a mapping.
func (r *reader) pairs(n ast.Node, path string, names []string) []*ast.MappingValueNode {
	if r.err != nil {
		return nil
	}
	switch m := n.(type) {
	case *ast.MappingNode:
		return m.Values
	case *ast.MappingValueNode:
		return []*ast.MappingValueNode{m}
	}
	r.wrongType(n, path, "keys ("+listed(names)+")", "write `key: value`, a line each or between { and }")
	return nil
}

// key returns the text of a key.
func (r *reader) key(k ast.Node, path string) string {
	if _, ok := k.(*ast.StringNode); ok {
		return k.GetToken().Value
	}
	r.fail(k, inside(path, "a key is "+describe(k)), "write a word as the key")
	return ""
}

// value hands the value of a pair on.
func (r *reader) value(pair *ast.MappingValueNode, path string, f read) {
	if empty(pair.Value) {
		r.fail(pair.Key, path+" has no value", "give it one or take the line out")
		return
	}
	f(pair.Value, path)
}

func empty(n ast.Node) bool { return n == nil || n.Type() == ast.NullType }

// items reads a list, each item with f.
func (r *reader) items(n ast.Node, path string, f func(item ast.Node, path string)) {
	if r.err != nil {
		return
	}
	s, ok := n.(*ast.SequenceNode)
	if !ok {
		r.wrongType(n, path, "a list", "write [ , ] or a line with a dash for each")
		return
	}
	for i, item := range s.Values {
		p := fmt.Sprintf("%s[%d]", path, i+1)
		if empty(item) {
			r.fail(n, p+" is empty", "give it a value or take it out")
		}
		if r.err != nil {
			return
		}
		f(item, p)
	}
}

// need fails where a key that has no default is missing.
func (r *reader) need(n ast.Node, path string, seen map[string]bool, key, advice string) {
	if !seen[key] {
		r.fail(n, under(path, key)+" is missing", advice)
	}
}

// wrongType fails with what was expected and what is there.
func (r *reader) wrongType(n ast.Node, path, want, advice string) {
	if path == "" {
		path = "the job"
	}
	r.fail(n, path+" is "+describe(n)+", not "+want, advice)
}

// under joins a path and a key.
func under(path, key string) string {
	if path == "" {
		return key
	}
	return path + "." + key
}

// inside adds the mapping's path to a message about it.
func inside(path, what string) string {
	if path == "" {
		return what
	}
	return what + " in " + path
}

// describe names what a node is, for messages.
func describe(n ast.Node) string {
	switch v := n.(type) {
	case nil:
		return "empty"
	case *ast.MappingNode, *ast.MappingValueNode:
		return "a group of keys"
	case *ast.SequenceNode:
		return "a list"
	case *ast.NullNode:
		return "empty"
	case *ast.NanNode, *ast.InfinityNode:
		return v.GetToken().Value + ", which is not a finite number"
	case *ast.IntegerNode, *ast.FloatNode:
		return "the number " + cut(v.GetToken().Value)
	case *ast.BoolNode:
		return v.GetToken().Value
	case *ast.StringNode:
		return quoted(v.GetToken().Value)
	case *ast.LiteralNode:
		return "a text of several lines"
	case *ast.AnchorNode, *ast.AliasNode, *ast.MergeKeyNode:
		return "a YAML anchor, which is not read in a job"
	case *ast.TagNode:
		return "a YAML tag, which is not read in a job"
	}
	return strings.ToLower(n.Type().String())
}

func cut(s string) string {
	if len(s) > 40 {
		return s[:40] + "…"
	}
	return s
}
