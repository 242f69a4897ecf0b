package main

import (
	"fmt"
	"os"
	"sync"
	"time"
)

// undoing lists what takes back what a command has put on disk so far.
type undoing struct {
	mu   sync.Mutex
	list []func() (undone bool)
}

func (u *undoing) add(take func() (undone bool)) {
	u.mu.Lock()
	defer u.mu.Unlock()
	u.list = append(u.list, take)
}

// all takes everything back, the last first. It stops and returns false where
// something is complete and stays.
func (u *undoing) all() bool {
	u.mu.Lock()
	defer u.mu.Unlock()
	for i := len(u.list) - 1; i >= 0; i-- {
		if !u.list[i]() {
			return false
		}
	}
	return true
}

// graceTime is how long a command that is asked to stop may take to do so by
// itself. A fit or a sort does not look up as often; then the program ends here.
const graceTime = 200 * time.Millisecond

// endWhenAsked ends the program, with everything taken back, if the command does
// not stop soon after the signal. ended calls it off.
func (s *session) endWhenAsked() (ended func()) {
	done := make(chan struct{})
	go func() {
		select {
		case <-done:
			return
		case <-s.ctx.Done():
		}
		select {
		case <-done:
			return
		case <-time.After(graceTime):
		}
		if s.undo.all() {
			s.clear()
			fmt.Fprintln(s.stderr, "pointup: interrupted; nothing was written")
			os.Exit(exitInterrupted)
		}
	}()
	return sync.OnceFunc(func() { close(done) })
}
