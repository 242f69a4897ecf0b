package main

import (
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"pointup/pipeline/job"
	"pointup/pipeline/result"
)

// TestReadme holds that what the README shows is so: its job is read, its kinds
// and keys are those of the schema, its commands and flags exist.
func TestReadme(t *testing.T) {
	data, err := os.ReadFile("../../README.md")
	require.NoError(t, err)
	text := string(data)
	require.Contains(t, text, "    go run ./cmd/pointup demo ")
	require.Contains(t, text, "    go test ./... ")

	_, err = job.Parse("README.md", []byte(indented(text, "    job: 1")))
	require.NoError(t, err)

	schema := string(result.Schema())
	_, kinds, _ := strings.Cut(text, "## Kinds")
	kinds, _, _ = strings.Cut(kinds, "\nEach stands")
	words := regexp.MustCompile("`([a-z_]+)`").FindAllStringSubmatch(kinds, -1)
	require.Greater(t, len(words), 30)
	for _, w := range words {
		require.True(t, strings.Contains(schema, `"`+w[1]+`"`), "the schema has no %s", w[1])
	}

	for _, m := range regexp.MustCompile(`(?m)^    (?:\$ )?pointup ([a-z]+)(.*)$`).FindAllStringSubmatch(text, -1) {
		status, help, _ := call(m[1], "--help")
		require.Equal(t, exitDone, status, m[1])
		for _, flag := range regexp.MustCompile(`--[a-z]+`).FindAllString(m[2], -1) {
			require.Contains(t, help, flag, "pointup %s", m[1])
		}
	}
}

// indented returns the block of indented lines that starts with the given one.
func indented(text, first string) string {
	_, rest, _ := strings.Cut(text, first)
	var out strings.Builder
	for _, line := range strings.Split(first+rest, "\n") {
		line, in := strings.CutPrefix(line, "    ")
		if !in {
			break
		}
		out.WriteString(line + "\n")
	}
	return out.String()
}
