package main

import (
	"fmt"
	"io"
	"os"
	"sync"
	"time"

	"golang.org/x/term"
)

// progress keeps one line of stage, share and time left, on a terminal only. It is
// drawn anew several times a second, so that one sees that a stage that says
// little is at work.
type progress struct {
	out   io.Writer
	clock func() time.Time

	mu          sync.Mutex
	stage       string
	done, total int64
	began       time.Time // of the stage
	shown       bool
	stop        chan struct{}
	stopped     sync.WaitGroup
}

// redrawTime is the time between two drawings.
const redrawTime = 200 * time.Millisecond

// newProgress draws on out until clear is called; on nothing where out is no
// terminal.
func newProgress(out io.Writer) *progress {
	f, ok := out.(*os.File)
	if !ok || !term.IsTerminal(int(f.Fd())) {
		return &progress{}
	}
	p := &progress{out: out, clock: time.Now, stop: make(chan struct{})}
	p.stopped.Go(p.redraw)
	return p
}

func (p *progress) redraw() {
	tick := time.NewTicker(redrawTime)
	defer tick.Stop()
	for {
		select {
		case <-p.stop:
			return
		case <-tick.C:
			p.draw()
		}
	}
}

// tell notes how far a stage is.
func (p *progress) tell(stage string, done, total int64) {
	if p.out == nil {
		return
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	if stage != p.stage {
		p.stage, p.began = stage, p.clock()
	}
	p.done, p.total = done, total
}

func (p *progress) draw() {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.stage == "" {
		return
	}
	p.shown = true
	fmt.Fprintf(p.out, "\r\x1b[K%s", lineOf(p.stage, p.done, p.total, p.clock().Sub(p.began)))
}

// leftShare and leftTime are how much of a stage must be done, and how long it
// must have taken, before what is left of it is worth a guess.
const (
	leftShare = 0.05
	leftTime  = time.Second
)

// lineOf is the line: the stage, its share, the time that it took so far and what
// is left at this pace.
func lineOf(stage string, done, total int64, spent time.Duration) string {
	line := stage
	share := 0.0
	if total > 0 {
		share = min(float64(done)/float64(total), 1)
		line += fmt.Sprintf(" %3.0f %%", 100*share)
	}
	if spent >= leftTime {
		line += fmt.Sprintf(", %.0f s", spent.Seconds())
	}
	if share > leftShare && share < 1 && spent >= leftTime {
		line += fmt.Sprintf(", %.0f s left", spent.Seconds()*(1-share)/share)
	}
	return line
}

// clear takes the line away and ends the drawing.
func (p *progress) clear() {
	if p.out == nil {
		return
	}
	close(p.stop)
	p.stopped.Wait()
	if p.shown {
		fmt.Fprint(p.out, "\r\x1b[K")
	}
}
