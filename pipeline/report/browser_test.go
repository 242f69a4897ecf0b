package report

import (
	"context"
	"fmt"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"
)

// browser opens a page from disk in Chromium, and tells of all that went wrong in it:
// errors, refusals of the page's policy, requests for anything outside.
func browser(t *testing.T, html []byte) (ctx context.Context, wrong func() []string) {
	t.Helper()
	program, err := exec.LookPath("chromium")
	if err != nil {
		t.Skip("chromium is not installed")
	}
	file := filepath.Join(t.TempDir(), "report.html")
	require.NoError(t, os.WriteFile(file, html, 0o644))
	opts := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(program), chromedp.NoSandbox,
		chromedp.Flag("use-gl", "angle"), chromedp.Flag("use-angle", "swiftshader"), chromedp.Flag("enable-unsafe-swiftshader", true), chromedp.Flag("ignore-gpu-blocklist", true), chromedp.WindowSize(800, 600))
	allocated, stop := chromedp.NewExecAllocator(context.Background(), opts...)
	t.Cleanup(stop)
	ctx, cancel := chromedp.NewContext(allocated)
	t.Cleanup(cancel)
	var mu sync.Mutex
	var list []string
	note := func(format string, a ...any) {
		mu.Lock()
		defer mu.Unlock()
		list = append(list, fmt.Sprintf(format, a...))
	}
	require.NoError(t, chromedp.Listen(ctx, func(ev any) {
		switch e := ev.(type) {
		case *runtime.EventExceptionThrown:
			note("error: %v", e.ExceptionDetails)
		case *runtime.EventConsoleAPICalled:
			note("console: %s %v", e.Type, e.Args)
		case *log.EventEntryAdded:
			note("log: %s", e.Entry.Text)
		case *network.EventRequestWillBeSent:
			if !strings.HasPrefix(e.Request.URL, "file:") && !strings.HasPrefix(e.Request.URL, "data:") && !strings.HasPrefix(e.Request.URL, "blob:") {
				note("request: %s", e.Request.URL)
			}
		}
	}))
	require.NoError(t, chromedp.Do(ctx, chromedp.Func(func(ctx context.Context, target *chromedp.Target) error {
		if _, err := cdp.Call(ctx, target, network.Enable, network.EnableParams{}); err != nil {
			return err
		}
		_, err := cdp.Call(ctx, target, log.Enable, cdp.Empty{})
		return err
	}), chromedp.Navigate((&url.URL{Scheme: "file", Path: file}).String())))
	return ctx, func() []string {
		mu.Lock()
		defer mu.Unlock()
		return list
	}
}

func asked[T any](t *testing.T, ctx context.Context, script string) T {
	t.Helper()
	v, err := chromedp.Run(ctx, chromedp.Evaluate[T](script))
	require.NoError(t, err)
	return v
}

// eventually waits until a script is true.
func eventually(t *testing.T, ctx context.Context, script string) {
	t.Helper()
	require.Eventually(t, func() bool { return asked[bool](t, ctx, script) }, 20*time.Second, 50*time.Millisecond, script)
}

const evilName = `<script>window.evil = 1</script>`

func TestPageInABrowser(t *testing.T) {
	doc := sample()
	doc.Elements[1].Name = evilName
	html, err := Page(doc, sampleArt())
	require.NoError(t, err)
	ctx, wrong := browser(t, html)

	eventually(t, ctx, `!!window.fig1`)
	require.Greater(t, asked[int](t, ctx, `(() => {
		const g = document.getElementById("fig1-canvas"), c = document.createElement("canvas"), x = c.getContext("2d");
		c.width = g.width; c.height = g.height; x.drawImage(g, 0, 0);
		return new Set(new Uint32Array(x.getImageData(0, 0, c.width, c.height).data.buffer)).size;
	})()`), 20, "colours in Fig. 1")

	// the front of the upper box is pressed: its sheet opens; the way back picks it
	asked[any](t, ctx, `(document.getElementById("fig1-canvas").scrollIntoView({block: "center"}), null)`)
	at := asked[[]float64](t, ctx, `(() => { const r = document.getElementById("fig1-canvas").getBoundingClientRect(); return [r.x + r.width / 2, r.y + r.height * 0.3]; })()`)
	require.NoError(t, chromedp.Do(ctx, chromedp.MouseClickXY(at[0], at[1])))
	eventually(t, ctx, `location.hash === "#element-2"`)
	asked[any](t, ctx, `(document.querySelector("[data-id=E02] .top a[data-pick]").click(), null)`)
	eventually(t, ctx, `location.hash === "#fig1" && document.getElementById("fig1-says").textContent.includes("E02 `+evilName+`")`)
	require.True(t, asked[bool](t, ctx, `document.querySelector("#fig1-pieces a.on").dataset.pick === "E02"`))

	// a place of the figure is a point of the scan, 12 times smaller and moved by the
	// scene's matrix: from the front, the middle is x = 0 and the face y = -200
	asked[any](t, ctx, `(fig1.turn(-90, 0), null)`)
	eventually(t, ctx, `(() => {
		const r = document.getElementById("fig1-canvas").getBoundingClientRect(), p = fig1.pick(r.x + r.width / 2, r.y + r.height / 2 + 40);
		return p && p.id === "E01" && Math.abs(p.at[0] - 5 / 12) < 0.2 && Math.abs(p.at[1] + 200 / 12 + 0.25) < 0.05;
	})()`)

	// every key of the figure does something, none leaves the page
	for _, key := range []string{"ArrowLeft", "ArrowUp", "+", "-", "Home", "Escape"} {
		asked[any](t, ctx, `(document.getElementById("fig1-canvas").dispatchEvent(new KeyboardEvent("keydown", {key: "`+key+`", bubbles: true})), null)`)
	}
	for _, layer := range []string{"fitted", "stock", "deviation", "scan"} {
		asked[any](t, ctx, `(document.querySelector("input[value=`+layer+`]").click(), null)`)
	}
	asked[any](t, ctx, `(fig1.apart(1), null)`)
	require.True(t, asked[bool](t, ctx, `window.evil === undefined && document.querySelectorAll("script").length === 4`))
	require.Empty(t, wrong())
}

// crowded lists what lies over something else, leaves the window, or is cut off.
const crowded = `(() => {
	const out = [], leaves = [], wide = document.documentElement.clientWidth;
	if (document.documentElement.scrollWidth > wide) out.push("the page is " + document.documentElement.scrollWidth + " wide, the window " + wide);
	const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
	for (let n; (n = walk.nextNode());) {
		if (!n.data.trim() || !n.parentElement.checkVisibility({ visibilityProperty: true }) || n.parentElement.closest("script, .hide, thead, svg")) continue;
		const range = document.createRange();
		range.selectNodeContents(n);
		for (const r of range.getClientRects()) if (r.width > 1 && r.height > 1) leaves.push({ r, n });
	}
	for (const { r, n } of leaves) if (r.left < -1 || r.right > wide + 1) out.push("beyond the window: " + n.data.trim());
	leaves.sort((a, b) => a.r.top - b.r.top);
	for (let i = 0; i < leaves.length; i++) for (let k = i + 1; k < leaves.length && leaves[k].r.top < leaves[i].r.bottom - 3; k++) {
		const a = leaves[i].r, b = leaves[k].r;
		if (Math.min(a.right, b.right) - Math.max(a.left, b.left) > 2) out.push("over each other: " + leaves[i].n.data.trim() + " | " + leaves[k].n.data.trim());
	}
	for (const e of document.querySelectorAll("main *:not(textarea, canvas)")) {
		const s = getComputedStyle(e);
		if (s.overflowX !== "visible" && e.scrollWidth > e.clientWidth + 1 && !e.closest(".hide, thead, svg")) out.push("cut off: " + e.tagName + " " + (e.id || e.className) + " " + e.textContent.slice(0, 40));
	}
	return out.slice(0, 8);
})()`

func TestNothingOverlapsOrIsCutOff(t *testing.T) {
	art := sampleArt()
	sketch := func(wide string) string {
		return `<svg width="` + wide + `mm" height="60mm" viewBox="0 0 ` + wide + ` 60"><path d="M0 30h` + wide + `" stroke="#000"/></svg>`
	}
	art.Sketches = map[string]string{"E01": sketch("161"), "E02": sketch("95")}
	html, err := Page(sample(), art)
	require.NoError(t, err)
	ctx, _ := browser(t, html)
	for _, wide := range []int64{1280, 768, 390} {
		require.NoError(t, chromedp.Do(ctx, chromedp.EmulateViewport(wide, 900)))
		require.Empty(t, asked[[]string](t, ctx, crowded), "%d px wide", wide)
	}

	// on paper: A4 and Letter less the margins, in px at 96 to the inch: (210 - 26) and (215.9 - 26) mm
	print := chromedp.Func(func(ctx context.Context, target *chromedp.Target) error {
		_, err := cdp.Call(ctx, target, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: "print"})
		return err
	})
	require.NoError(t, chromedp.Do(ctx, print))
	for name, wide := range map[string]int64{"A4": 695, "Letter": 717} {
		require.NoError(t, chromedp.Do(ctx, chromedp.EmulateViewport(wide, 1000)))
		require.Empty(t, asked[[]string](t, ctx, crowded), name)
		require.Empty(t, asked[[]string](t, ctx, `Array.from(document.querySelectorAll("table")).filter(t =>
			t.scrollWidth > t.parentElement.clientWidth + 1 || getComputedStyle(t.tHead).display !== "table-header-group" || getComputedStyle(t.rows[1]).breakInside !== "avoid").map(t => t.caption.textContent)`), name)
		require.InDelta(t, 161*96/25.4, asked[float64](t, ctx, `document.querySelector(".sketch svg").getBoundingClientRect().width`), 0.5, "a sketch keeps its scale")
		require.True(t, asked[bool](t, ctx, `getComputedStyle(document.querySelector(".turn")).display === "none" && getComputedStyle(document.querySelector(".still")).display !== "none"`), "pictures in place of Fig. 1")
	}
}
