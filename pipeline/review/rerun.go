package review

import (
	"net/http"

	"pointup/mesh"
)

// start begins a run of the job file, unless one is at work.
func (s *Server) start(w http.ResponseWriter) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.state.Running {
		answer(w, http.StatusConflict, refusal{"a run is at work already"})
		return
	}
	s.state = state{Running: true, Runs: s.state.Runs}
	s.work.Go(s.run)
	answer(w, http.StatusAccepted, s.state)
}

// run runs the job file and looks at the folder anew.
func (s *Server) run() {
	err := mesh.Guarded(func() error { return s.rerun(s.ended, s.tell) })()
	if err == nil {
		err = s.look()
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	s.state = state{Runs: s.state.Runs + 1}
	if err != nil {
		s.state.Error = err.Error()
	}
}

// tell keeps how far the run is.
func (s *Server) tell(stage string, done, total int64) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.state.Stage, s.state.Done, s.state.Total = stage, done, total
}
