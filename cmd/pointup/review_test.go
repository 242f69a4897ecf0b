package main

import (
	"context"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"pointup/mesh"
	"pointup/pipeline/job"
	"pointup/pipeline/result"
	"pointup/pipeline/review"
)

// reviewed runs a small scan into a folder, serves it and opens it in Chromium.
func reviewed(t *testing.T) (dir string, ctx context.Context) {
	t.Helper()
	program, err := exec.LookPath("chromium")
	if err != nil {
		t.Skip("chromium is not installed")
	}
	scan := scanned(t)
	dir = filepath.Join(filepath.Dir(scan), "out")
	status, _, stderr := call("run", scan, "--unit", "mm", "--ratio", "10", "--only", "page,job,csv", "-o", dir)
	require.Zero(t, status, stderr)

	serving, stop := context.WithCancel(context.Background())
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	c, s := &reviewCommand{Dir: dir}, &session{ctx: serving}
	address := listener.Addr().String()
	room, err := review.New(serving, dir, address, func(ctx context.Context, tell mesh.Tell) error { return c.again(ctx, s, tell) })
	require.NoError(t, err)
	ended := make(chan error, 1)
	go func() { ended <- serve(serving, listener, room) }()
	t.Cleanup(func() {
		stop()
		require.NoError(t, <-ended)
		require.NoError(t, room.Close())
	})
	opts := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(program), chromedp.NoSandbox)
	allocated, end := chromedp.NewExecAllocator(context.Background(), opts...)
	t.Cleanup(end)
	ctx, cancel := chromedp.NewContext(allocated)
	t.Cleanup(cancel)
	require.NoError(t, chromedp.Do(ctx, chromedp.Navigate("http://"+address+room.Path())))
	return dir, ctx
}

func in[T any](t *testing.T, ctx context.Context, script string) T {
	t.Helper()
	v, err := chromedp.Run(ctx, chromedp.Evaluate[T](script))
	require.NoError(t, err, script)
	return v
}

// decoded reads the result of a folder.
func decoded(t *testing.T, dir string) result.Document {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(dir, "result.json"))
	require.NoError(t, err)
	doc, err := result.Decode(data)
	require.NoError(t, err)
	return doc
}

// TestCorrectionsGoRound corrects both pieces in the page, saves, runs again, and
// holds what came of it: names, kinds and decisions as corrected, all else as it was.
func TestCorrectionsGoRound(t *testing.T) {
	dir, ctx := reviewed(t)
	before := decoded(t, dir)
	tube, disc := "", ""
	for _, e := range before.Elements {
		switch e.Kind {
		case "tube":
			tube = e.ID
		case "disc":
			disc = e.ID
		}
	}
	require.NotEmpty(t, tube)
	require.NotEmpty(t, disc)
	require.Eventually(t, func() bool { return in[bool](t, ctx, `!document.querySelector("[data-do=again]").hidden`) }, 20*time.Second, 50*time.Millisecond)
	const name = `Ärmel '</script>" & co`
	in[any](t, ctx, `(() => {
		const form = (id) => document.querySelector(".correct[data-id=" + id + "]");
		const write = (e, text) => { e.value = text; e.dispatchEvent(new Event("input")); };
		write(form("`+tube+`").querySelector("input[type=text]"), "`+strings.ReplaceAll(name, `"`, `\"`)+`");
		const kind = form("`+tube+`").querySelector("select"); kind.value = "bar"; kind.dispatchEvent(new Event("change"));
		write(form("`+disc+`").querySelectorAll("input[type=text]")[1], "PL 1/4 in");
		write(document.querySelector("li[data-decision='finding uncertainty-incomplete'] input[type=text]"), "certificate: ±0.02 %");
		return null;
	})()`)
	require.Equal(t, 4, in[int](t, ctx, `document.querySelectorAll("#correct-list li").length`))

	text := in[string](t, ctx, `document.getElementById("correct-job").value`)
	j, err := job.Parse(job.OutName, []byte(text))
	require.NoError(t, err, text)
	written, err := job.Write(j)
	require.NoError(t, err)
	back, err := job.Parse(job.OutName, written)
	require.NoError(t, err)
	require.Equal(t, j, back)
	require.Equal(t, []job.Decided{{On: "finding uncertainty-incomplete", Note: "certificate: ±0.02 %"}}, j.Decided)

	in[any](t, ctx, `(document.querySelector("[data-do=again]").click(), null)`)
	says := ""
	require.Eventually(t, func() bool {
		says = in[string](t, ctx, `document.getElementById("correct-says")?.textContent || ""`)
		return strings.Contains(says, "without") || in[bool](t, ctx, `document.readyState === "complete" && document.querySelectorAll("#correct-list li").length === 0`)
	}, 2*time.Minute, 200*time.Millisecond)
	require.Empty(t, says)

	after := decoded(t, dir)
	require.Len(t, after.Elements, len(before.Elements))
	for i, e := range after.Elements {
		require.Equal(t, before.Elements[i].ID, e.ID)
		switch e.ID {
		case tube:
			require.Equal(t, name, e.Name)
			require.Equal(t, before.Elements[i].Maquette, e.Maquette)
		case disc:
			require.Equal(t, before.Elements[i].Maquette, e.Maquette)
		}
	}
	require.Equal(t, "PL 1/4 in", after.Stock.Families[familyOf(after, disc)].Stock.Mark)
	require.True(t, after.Stock.Families[familyOf(after, disc)].Pinned)
	for _, r := range after.Job.Pieces.Rows {
		require.Equal(t, r.ID == tube, r.Kind == "bar", "the bore was seen: it stays a tube, and a finding says so")
	}
	require.Equal(t, j.Decided, after.Job.Decided)
	require.ElementsMatch(t, keys(before.Files), keys(after.Files), "the outputs that there were")
}

func familyOf(doc result.Document, id string) int {
	for i, f := range doc.Stock.Families {
		for _, e := range f.Elements {
			if e == id {
				return i
			}
		}
	}
	return -1
}

func keys(m map[string]string) (list []string) {
	for k := range m {
		list = append(list, k)
	}
	return list
}

func TestReviewRefusesWhatItCannotServe(t *testing.T) {
	for name, c := range map[string]struct {
		args []string
		says string
	}{
		"no folder":  {[]string{"review", filepath.Join(t.TempDir(), "none")}, "cannot be opened"},
		"no result":  {[]string{"review", t.TempDir()}, "no result.json"},
		"no port":    {[]string{"review", t.TempDir(), "--port", "70000"}, "--port is 70000"},
		"port taken": {[]string{"review", t.TempDir(), "--port", taken(t)}, "cannot be had"},
	} {
		status, _, stderr := call(c.args...)
		require.Equal(t, exitInput, status, name)
		require.Contains(t, stderr, c.says, name)
	}
}

// taken is a port that something else listens on.
func taken(t *testing.T) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	t.Cleanup(func() { l.Close() })
	_, port, err := net.SplitHostPort(l.Addr().String())
	require.NoError(t, err)
	return port
}
