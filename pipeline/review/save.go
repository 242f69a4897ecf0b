package review

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"net/http"
	"os"

	"pointup/pipeline/job"
)

// jobMost is how long a job file may be, bytes: what job.Parse takes.
const jobMost = 1 << 20

// newName is the job file while it is written.
const newName = "." + job.OutName + ".new"

// save takes a corrected job file. It is refused as a run would refuse it, and
// where the file on disk is not the one that the server knows.
func (s *Server) save(w http.ResponseWriter, r *http.Request) {
	data, err := io.ReadAll(http.MaxBytesReader(w, r.Body, jobMost))
	if err != nil {
		answer(w, http.StatusRequestEntityTooLarge, refusal{"the job file is too long"})
		return
	}
	if _, err := job.Parse(job.OutName, data); err != nil {
		answer(w, http.StatusUnprocessableEntity, refusal{err.Error()})
		return
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.state.Running {
		answer(w, http.StatusConflict, refusal{"a run is at work; wait until it has ended"})
		return
	}
	on, err := s.sum()
	if err == nil && on != s.job {
		answer(w, http.StatusConflict, refusal{job.OutName + " was changed by another since; load the page again and correct that"})
		return
	}
	if err == nil {
		err = s.replace(data)
	}
	if err != nil {
		answer(w, http.StatusInternalServerError, refusal{err.Error()})
		return
	}
	sum := sha256.Sum256(data)
	s.job = hex.EncodeToString(sum[:])
	answer(w, http.StatusOK, s.state)
}

// replace puts data in place of the job file: all of it or nothing.
func (s *Server) replace(data []byte) error {
	f, err := s.root.OpenFile(newName, os.O_WRONLY|os.O_CREATE|os.O_TRUNC, 0o644)
	if err != nil {
		return fmt.Errorf("%s cannot be written: %w", job.OutName, err)
	}
	_, err = f.Write(data)
	if err == nil {
		err = f.Sync()
	}
	if e := f.Close(); err == nil {
		err = e
	}
	if err == nil {
		err = s.root.Rename(newName, job.OutName)
	}
	if err != nil {
		_ = s.root.Remove(newName)
		return fmt.Errorf("%s cannot be written: %w", job.OutName, err)
	}
	return nil
}

// sum is the sha256 of the job file on disk.
func (s *Server) sum() (string, error) {
	data, err := s.root.ReadFile(job.OutName)
	if err != nil {
		return "", fmt.Errorf("%s cannot be read; run the job again", job.OutName)
	}
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:]), nil
}
