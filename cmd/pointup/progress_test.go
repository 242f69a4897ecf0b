package main

import (
	"bytes"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

func TestProgressLine(t *testing.T) {
	for _, row := range []struct {
		stage       string
		done, total int64
		spent       time.Duration
		want        string
	}{
		{"read", 0, 100, 0, "read   0 %"},
		{"read", 25, 100, 500 * time.Millisecond, "read  25 %"},
		{"fit", 2, 8, 3 * time.Second, "fit  25 %, 3 s, 9 s left"},
		{"fit", 0, 8, 3 * time.Second, "fit   0 %, 3 s"},
		{"fit", 8, 8, 3 * time.Second, "fit 100 %, 3 s"},
		{"write", 9, 8, 3 * time.Second, "write 100 %, 3 s"},
		{"contacts", 0, 0, 2 * time.Second, "contacts, 2 s"},
	} {
		require.Equal(t, row.want, lineOf(row.stage, row.done, row.total, row.spent))
	}
}

// TestProgressDraws holds that the line is drawn while nothing is told, with the
// time since its stage began, and goes in the end; a stream that is no terminal
// gets nothing.
func TestProgressDraws(t *testing.T) {
	var out bytes.Buffer
	now := time.Unix(100, 0)
	p := &progress{out: &out, clock: func() time.Time { return now }, stop: make(chan struct{})}
	p.draw()
	require.Empty(t, out.String())
	p.tell("fit", 1, 4)
	now = now.Add(2 * time.Second)
	p.draw()
	p.tell("write", 0, 4)
	p.draw()
	p.clear()
	require.Equal(t, "\r\x1b[Kfit  25 %, 2 s, 6 s left\r\x1b[Kwrite   0 %\r\x1b[K", out.String())
	q := newProgress(&out)
	q.tell("fit", 1, 4)
	q.clear()
	require.Equal(t, 1, bytes.Count(out.Bytes(), []byte("fit")))
}
