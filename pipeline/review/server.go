// Package review serves an output folder to a browser on the same machine, takes
// back the job file as corrected in its page, and runs it again.
package review

import (
	"context"
	"crypto/rand"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"net"
	"net/http"
	"os"
	"slices"
	"strings"
	"sync"

	"pointup/mesh"
	"pointup/pipeline/job"
	"pointup/pipeline/result"
)

// Rerun runs the job file of the folder again into the same folder.
type Rerun func(ctx context.Context, tell mesh.Tell) error

// Server shows one output folder under a path that only who started it knows.
//
// It answers requests whose Host is its own loopback address, and such as change
// something only from its own page (Origin). It reads the files that result.json
// names, and writes one: the job file.
type Server struct {
	token string
	hosts []string // what a request's Host may be
	rerun Rerun
	root  *os.Root
	ended context.Context

	mu    sync.Mutex
	files map[string]bool
	job   string // sha256 of the job file as this server knows it
	state state
	work  sync.WaitGroup
}

// state is what the page is told of a run.
type state struct {
	Running bool   `json:"running"`
	Runs    int    `json:"runs"` // how many have ended
	Stage   string `json:"stage,omitempty"`
	Done    int64  `json:"done"`
	Total   int64  `json:"total"`
	Error   string `json:"error,omitempty"` // why the last one ended without a result
}

// New opens the folder dir for a server at address, as host:port of a loopback
// interface. Runs end when ctx does; [Server.Close] waits for that.
//
// Errors: the folder, or a result.json in it, is not there or not of this program;
// an address that others could reach.
func New(ctx context.Context, dir, address string, rerun Rerun) (*Server, error) {
	host, port, err := net.SplitHostPort(address)
	if err != nil {
		return nil, fmt.Errorf("review: %w", err)
	}
	if ip := net.ParseIP(host); ip == nil || !ip.IsLoopback() {
		return nil, fmt.Errorf("review: %s is not a loopback address; others could reach it", address)
	}
	secret := make([]byte, 16)
	if _, err := rand.Read(secret); err != nil {
		return nil, fmt.Errorf("review: %w", err)
	}
	root, err := os.OpenRoot(dir)
	if err != nil {
		return nil, fmt.Errorf("%s: the folder cannot be opened; name one that pointup run has written", dir)
	}
	s := &Server{
		token: hex.EncodeToString(secret), hosts: []string{net.JoinHostPort(host, port), "localhost:" + port},
		rerun: rerun, root: root, ended: ctx,
	}
	if err := s.look(); err != nil {
		root.Close()
		return nil, fmt.Errorf("%s: %w", dir, err)
	}
	return s, nil
}

// Path is where the page stands on the server.
func (s *Server) Path() string { return "/" + s.token + "/" }

// Close waits for a run to end and closes the folder.
func (s *Server) Close() error {
	s.work.Wait()
	return s.root.Close()
}

// look reads which files the folder has.
func (s *Server) look() error {
	data, err := s.root.ReadFile("result.json")
	if err != nil {
		return fmt.Errorf("there is no result.json in it; name a folder that pointup run has finished")
	}
	doc, err := result.Decode(data)
	if err != nil {
		return err
	}
	files := map[string]bool{"result.json": true}
	for name := range doc.Files {
		files[name] = true
	}
	if !files["report.html"] || !files[job.OutName] {
		return fmt.Errorf("it has no report.html or no %s; run the job again without --only", job.OutName)
	}
	known, err := s.sum()
	if err != nil {
		return err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	s.files, s.job = files, known
	return nil
}

// ServeHTTP answers one request.
func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	h := w.Header()
	h.Set("Cache-Control", "no-store")
	h.Set("Referrer-Policy", "no-referrer")
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("X-Frame-Options", "DENY")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	if !slices.Contains(s.hosts, r.Host) {
		http.Error(w, "this address is not the review's own", http.StatusForbidden)
		return
	}
	name, ok := strings.CutPrefix(r.URL.Path, s.Path())
	if !ok {
		http.NotFound(w, r)
		return
	}
	switch r.Method {
	case http.MethodGet, http.MethodHead:
		s.show(w, r, name)
	case http.MethodPost:
		s.take(w, r, name)
	default:
		h.Set("Allow", "GET, HEAD, POST")
		http.Error(w, "only GET, HEAD and POST", http.StatusMethodNotAllowed)
	}
}

// show serves the page, what it links to, and the state of a run.
func (s *Server) show(w http.ResponseWriter, r *http.Request, name string) {
	switch name {
	case "":
		name = "report.html"
	case "state":
		s.mu.Lock()
		now := s.state
		s.mu.Unlock()
		answer(w, http.StatusOK, now)
		return
	}
	s.mu.Lock()
	ours := s.files[name]
	s.mu.Unlock()
	if !ours {
		http.NotFound(w, r)
		return
	}
	f, err := s.root.Open(name)
	if err != nil {
		http.NotFound(w, r)
		return
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil || !info.Mode().IsRegular() {
		http.NotFound(w, r)
		return
	}
	http.ServeContent(w, r, name, info.ModTime(), f)
}

// take does what the page asks for.
func (s *Server) take(w http.ResponseWriter, r *http.Request, name string) {
	from, ok := strings.CutPrefix(r.Header.Get("Origin"), "http://")
	if !ok || from != r.Host {
		http.Error(w, "only the review's own page may change anything", http.StatusForbidden)
		return
	}
	switch name {
	case "job":
		s.save(w, r)
	case "run":
		s.start(w)
	default:
		http.NotFound(w, r)
	}
}

// answer writes v as JSON.
func answer(w http.ResponseWriter, status int, v any) {
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(status)
	_ = json.NewEncoder(w).Encode(v) // the browser has gone: nothing to be done
}

// refusal is why something was not done.
type refusal struct {
	Error string `json:"error"`
}
