package review

import (
	"context"
	"encoding/json"
	"errors"
	"io"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pointup/mesh"
	"pointup/pipeline/job"
	"pointup/pipeline/result"
)

const address = "127.0.0.1:4711"

// folder is an output folder as small as one can be, with a file that is not ours.
func folder(t *testing.T) string {
	t.Helper()
	above := t.TempDir()
	dir := filepath.Join(above, "out")
	j, err := job.ForScan("post.stl", "mm", 10)
	require.NoError(t, err)
	text, err := job.Write(j)
	require.NoError(t, err)
	f, err := result.OpenFolder(dir)
	require.NoError(t, err)
	require.NoError(t, f.Write(job.OutName, text))
	require.NoError(t, f.Write("report.html", []byte("<p>the page</p>")))
	require.NoError(t, f.Write("tables/a.csv", []byte("a,b\n")))
	require.NoError(t, f.Commit(result.Document{Schema: result.SchemaName, Version: "1", Job: j, Scan: result.Scan{File: "post.stl", Unit: "mm", Findings: []result.Finding{}}, Elements: []result.Element{}, Files: f.Sums(), Gates: []result.Gate{}}))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "private.txt"), []byte("secret"), 0o600))
	require.NoError(t, os.WriteFile(filepath.Join(above, "above.txt"), []byte("secret"), 0o600))
	return dir
}

func server(t *testing.T, dir string, rerun Rerun) *Server {
	t.Helper()
	s, err := New(context.Background(), dir, address, rerun)
	require.NoError(t, err)
	t.Cleanup(func() { s.Close() })
	return s
}

// ask sends a request from the page itself, changed by change.
func ask(s *Server, method, name, body string, change func(*http.Request)) *http.Response {
	r := httptest.NewRequest(method, "http://"+address+s.Path()+name, strings.NewReader(body))
	r.Header.Set("Origin", "http://"+address)
	if change != nil {
		change(r)
	}
	w := httptest.NewRecorder()
	s.ServeHTTP(w, r)
	return w.Result()
}

func text(t *testing.T, r *http.Response) string {
	t.Helper()
	data, err := io.ReadAll(r.Body)
	require.NoError(t, err)
	return string(data)
}

func TestShowsWhatTheResultNamesAndNothingElse(t *testing.T) {
	s := server(t, folder(t), nil)
	for name, want := range map[string]string{"": "<p>the page</p>", "report.html": "<p>the page</p>", "tables/a.csv": "a,b\n"} {
		r := ask(s, "GET", name, "", nil)
		assert.Equal(t, http.StatusOK, r.StatusCode, name)
		assert.Equal(t, want, text(t, r), name)
		assert.Equal(t, "no-referrer", r.Header.Get("Referrer-Policy"))
	}
	for _, name := range []string{"private.txt", "../above.txt", "%2e%2e/above.txt", "tables/../../above.txt", "tables", "..%2fabove.txt", "/etc/passwd", ".writing", "tables/a.csv/"} {
		r := ask(s, "GET", name, "", nil)
		assert.Equal(t, http.StatusNotFound, r.StatusCode, name)
		assert.NotContains(t, text(t, r), "secret", name)
	}
}

func TestFollowsNoLinkOutOfTheFolder(t *testing.T) {
	dir := folder(t)
	s := server(t, dir, nil)
	require.NoError(t, os.Remove(filepath.Join(dir, "tables", "a.csv")))
	require.NoError(t, os.Symlink("../../above.txt", filepath.Join(dir, "tables", "a.csv")))
	assert.Equal(t, http.StatusNotFound, ask(s, "GET", "tables/a.csv", "", nil).StatusCode)
}

func TestRefusesStrangers(t *testing.T) {
	dir := folder(t)
	s := server(t, dir, func(context.Context, mesh.Tell) error { t.Error("it ran"); return nil })
	before, err := os.ReadFile(filepath.Join(dir, job.OutName))
	require.NoError(t, err)
	for name, c := range map[string]struct {
		method, path string
		change       func(*http.Request)
		status       int
	}{
		"another host":     {"GET", "", func(r *http.Request) { r.Host = "evil.example" }, http.StatusForbidden},
		"another port":     {"GET", "", func(r *http.Request) { r.Host = "127.0.0.1:80" }, http.StatusForbidden},
		"a foreign origin": {"POST", "job", func(r *http.Request) { r.Header.Set("Origin", "http://evil.example") }, http.StatusForbidden},
		"no origin":        {"POST", "job", func(r *http.Request) { r.Header.Del("Origin") }, http.StatusForbidden},
		"a hidden origin":  {"POST", "run", func(r *http.Request) { r.Header.Set("Origin", "null") }, http.StatusForbidden},
		"its own by https": {"POST", "run", func(r *http.Request) { r.Header.Set("Origin", "https://"+address) }, http.StatusForbidden},
		"no token":         {"GET", "", func(r *http.Request) { r.URL.Path = "/report.html" }, http.StatusNotFound},
		"another token":    {"POST", "run", func(r *http.Request) { r.URL.Path = "/0123456789abcdef0123456789abcdef/run" }, http.StatusNotFound},
		"another way":      {"PUT", "job", nil, http.StatusMethodNotAllowed},
		"another place":    {"POST", "report.html", nil, http.StatusNotFound},
	} {
		r := ask(s, c.method, c.path, "job: 1\nscan: {file: post.stl, unit: mm}\nenlarge: {ratio: 9}\n", c.change)
		assert.Equal(t, c.status, r.StatusCode, name)
		assert.NotContains(t, text(t, r), s.token, name)
	}
	after, err := os.ReadFile(filepath.Join(dir, job.OutName))
	require.NoError(t, err)
	assert.Equal(t, string(before), string(after))
}

func TestSavesAJobAndOnlyAJob(t *testing.T) {
	dir := folder(t)
	s := server(t, dir, nil)
	names := func() (list []string) {
		entries, err := os.ReadDir(dir)
		require.NoError(t, err)
		for _, e := range entries {
			list = append(list, e.Name())
		}
		return list
	}
	before := names()
	good := "job: 1\nscan: {file: post.stl, unit: mm}\nenlarge: {ratio: 9}\n"
	require.Equal(t, http.StatusOK, ask(s, "POST", "job", good, nil).StatusCode)
	on, err := os.ReadFile(filepath.Join(dir, job.OutName))
	require.NoError(t, err)
	assert.Equal(t, good, string(on))

	r := ask(s, "POST", "job", "job: 1\nscan: {file: post.stl}\n", nil)
	assert.Equal(t, http.StatusUnprocessableEntity, r.StatusCode)
	assert.Contains(t, text(t, r), "line 2")
	r = ask(s, "POST", "job", strings.Repeat("#", jobMost+1), nil)
	assert.Equal(t, http.StatusRequestEntityTooLarge, r.StatusCode)
	on, err = os.ReadFile(filepath.Join(dir, job.OutName))
	require.NoError(t, err)
	assert.Equal(t, good, string(on))

	other := strings.Replace(good, "9", "8", 1)
	require.NoError(t, os.WriteFile(filepath.Join(dir, job.OutName), []byte(other), 0o644))
	assert.Equal(t, http.StatusConflict, ask(s, "POST", "job", good, nil).StatusCode)
	on, err = os.ReadFile(filepath.Join(dir, job.OutName))
	require.NoError(t, err)
	assert.Equal(t, other, string(on), "what another wrote stays")
	assert.Equal(t, before, names())
}

// stateOf asks until no run is at work.
func stateOf(t *testing.T, s *Server) (now state) {
	t.Helper()
	require.Eventually(t, func() bool {
		now = state{}
		require.NoError(t, json.Unmarshal([]byte(text(t, ask(s, "GET", "state", "", nil))), &now))
		return !now.Running
	}, 5*time.Second, time.Millisecond)
	return now
}

func TestRunsOneAtATime(t *testing.T) {
	going, goOn := make(chan bool), make(chan error)
	s := server(t, folder(t), func(_ context.Context, tell mesh.Tell) error {
		tell("fit", 1, 4)
		going <- true
		return <-goOn
	})
	require.Equal(t, http.StatusAccepted, ask(s, "POST", "run", "", nil).StatusCode)
	<-going
	assert.Equal(t, http.StatusConflict, ask(s, "POST", "run", "", nil).StatusCode)
	assert.Equal(t, http.StatusConflict, ask(s, "POST", "job", "scan: {file: a.stl, unit: mm}\nenlarge: {ratio: 9}\n", nil).StatusCode)
	assert.JSONEq(t, `{"running": true, "runs": 0, "stage": "fit", "done": 1, "total": 4}`, text(t, ask(s, "GET", "state", "", nil)))
	goOn <- nil
	assert.Equal(t, state{Runs: 1}, stateOf(t, s))

	ask(s, "POST", "run", "", nil)
	<-going
	goOn <- errors.New("the scan is damaged")
	assert.Equal(t, state{Runs: 2, Error: "the scan is damaged"}, stateOf(t, s))
}

func TestAFaultOfARunIsToldAndEndsNothing(t *testing.T) {
	s := server(t, folder(t), func(context.Context, mesh.Tell) error { panic("no such piece") })
	ask(s, "POST", "run", "", nil)
	assert.Contains(t, stateOf(t, s).Error, "no such piece")
	assert.Equal(t, http.StatusOK, ask(s, "GET", "", "", nil).StatusCode)
}

func TestNewRefuses(t *testing.T) {
	dir := folder(t)
	for name, c := range map[string]struct{ dir, address, says string }{
		"an open address":    {dir, "0.0.0.0:4711", "loopback"},
		"a name":             {dir, "example.org:4711", "loopback"},
		"no folder":          {filepath.Join(dir, "none"), address, "cannot be opened"},
		"an empty folder":    {t.TempDir(), address, "no result.json"},
		"a folder of others": {filepath.Join(dir, "tables"), address, "no result.json"},
	} {
		_, err := New(context.Background(), c.dir, c.address, nil)
		assert.ErrorContains(t, err, c.says, name)
	}
	one, two := server(t, dir, nil), server(t, dir, nil)
	assert.NotEqual(t, one.Path(), two.Path())
	assert.Len(t, one.Path(), 34)
}
