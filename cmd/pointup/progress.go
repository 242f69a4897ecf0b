package main

import (
	"fmt"
	"io"
	"os"
	"sync"
	"time"

	"golang.org/x/term"
)

// progress writes one line of stage, share and time left, on a terminal only.
type progress struct {
	out   io.Writer
	mu    sync.Mutex
	stage string
	began time.Time
	last  time.Time
	shown bool
}

func newProgress(out io.Writer) *progress {
	f, ok := out.(*os.File)
	if !ok || !term.IsTerminal(int(f.Fd())) {
		return &progress{}
	}
	return &progress{out: out}
}

func (p *progress) tell(stage string, done, total int64) {
	if p.out == nil {
		return
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	now := time.Now()
	if stage != p.stage {
		p.stage, p.began, p.last = stage, now, time.Time{}
	}
	if now.Sub(p.last) < 100*time.Millisecond || total <= 0 {
		return
	}
	p.last, p.shown = now, true
	share := float64(done) / float64(total)
	left := ""
	if spent := now.Sub(p.began); share > 0.05 && spent > time.Second {
		left = fmt.Sprintf(", %.0f s left", spent.Seconds()*(1-share)/share)
	}
	fmt.Fprintf(p.out, "\r\x1b[K%s %3.0f %%%s", stage, 100*share, left)
}

func (p *progress) clear() {
	if p.out != nil && p.shown {
		fmt.Fprint(p.out, "\r\x1b[K")
	}
}
