package job

import "strings"

// A job file is written by hand: these are far over what one needs.
const (
	bracketsMax = 24   // open at one place
	marksMax    = 1000 // dashes on one line, commas and lines between { and }
	keysMax     = 200  // in one group
)

// shallow refuses nesting and groups of keys that no job needs, before the YAML
// reader sees them: it recurses, and its time grows with the square of the keys
// in one group (52,000 keys took 7 s).
func shallow(file, text string) *Error {
	line := 0
	keys := map[int]int{}      // by indent: keys of the group that is open there
	var open []byte            // brackets
	var marks [bracketsMax]int // by bracket: commas and lines in it
	for s := range strings.Lines(text) {
		line++
		if strings.HasPrefix(strings.TrimSpace(s), "#") {
			continue
		}
		if len(open) == 0 && countKey(keys, s) > keysMax {
			return &Error{file, line, 1, "a group has over 200 keys", "a job has about 15 in its largest; check the indents"}
		}
		if strings.Count(s, "- ")+strings.Count(s, "? ") > marksMax {
			return &Error{file, line, 1, "the line holds over 1000 dashes", "write a list one item a line"}
		}
		for column, c := range []byte(s) {
			switch c {
			case '[', '{':
				if len(open) == bracketsMax {
					return &Error{file, line, column + 1, "over 24 brackets are open here", "close them; no job nests so deeply"}
				}
				marks[len(open)] = 0
				open = append(open, c)
			case ']', '}':
				open = open[:max(0, len(open)-1)]
			case ',', '\n':
				if n := len(open); n > 0 && open[n-1] == '{' {
					if marks[n-1]++; marks[n-1] > marksMax {
						return &Error{file, line, column + 1, "over 1000 keys stand between { and }", "look for a bracket that is not closed"}
					}
				}
			}
		}
	}
	return nil
}

// countKey counts a line that may hold a key, and returns how many keys its group
// has so far. A line that stands further left, or starts an item of a list, ends
// the groups to its right.
func countKey(keys map[int]int, line string) int {
	rest := strings.TrimLeft(line, " \t")
	if strings.TrimSpace(rest) == "" || rest[0] == '#' {
		return 0
	}
	indent := len(line) - len(rest)
	for k := range keys {
		if k > indent {
			delete(keys, k)
		}
	}
	if rest[0] != '-' && (rest[0] == '?' || strings.Contains(rest, ":")) {
		keys[indent]++
	}
	return keys[indent]
}
