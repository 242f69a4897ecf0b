package job

import "strings"

// meant returns the name of the list that a mistyped word most likely means, or
// "": the first one at the least distance, at most a third of the word away.
func meant(word string, names []string) string {
	if len(word) > 64 {
		return ""
	}
	word = strings.ToLower(strings.ReplaceAll(word, "-", "_"))
	best, least := "", max(1, len(word)/3)+1
	for _, n := range names {
		if d := distance(word, strings.ToLower(n)); d < least {
			best, least = n, d
		}
	}
	return best
}

// distance counts the letters to insert, drop, change or swap with a neighbour to
// make b of a (optimal string alignment).
func distance(a, b string) int {
	before, last, row := make([]int, len(b)+1), make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range last {
		last[j] = j
	}
	for i := 1; i <= len(a); i++ {
		row[0] = i
		for j := 1; j <= len(b); j++ {
			change := 1
			if a[i-1] == b[j-1] {
				change = 0
			}
			row[j] = min(last[j]+1, row[j-1]+1, last[j-1]+change)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
		}
		before, last, row = last, row, before
	}
	return last[len(b)]
}

// listed joins names for a message: "a, b or c".
func listed(names []string) string {
	if len(names) < 2 {
		return strings.Join(names, "")
	}
	return strings.Join(names[:len(names)-1], ", ") + " or " + names[len(names)-1]
}

// suggestion is the advice for a word that is none of the names.
func suggestion(word string, names []string) string {
	if m := meant(word, names); m != "" {
		return "did you mean " + m + "? the choices are " + listed(names)
	}
	return "write " + listed(names)
}
