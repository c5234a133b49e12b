package main

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Pages are opened as a person opens them: in a browser without a window,
// Chromium, and printed by it; poppler reads what was printed.

// needProgram finds a program that a test cannot do without, or says why the
// test is skipped.
func needProgram(t *testing.T, name, from string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		what := fmt.Sprintf("%s is not installed (Debian's %s has it), so pages are not looked at", name, from)
		if os.Getenv("BRINEMARK_REQUIRE_ALL") != "" {
			require.FailNow(t, what+", and BRINEMARK_REQUIRE_ALL lets nothing be skipped")
		}
		t.Skip(what)
	}
	return path
}

// browser runs Chromium with a profile of its own.
type browser struct {
	t       *testing.T
	program string
	profile string
}

func newBrowser(t *testing.T) *browser {
	t.Helper()
	if testing.Short() {
		t.Skip("a browser takes seconds")
	}
	return &browser{t, needProgram(t, "chromium", "chromium"), t.TempDir()}
}

// open has a file opened, and returns what went to stdout and stderr.
func (b *browser) open(file string, flags ...string) (stdout, stderr string) {
	b.t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	defer cancel()
	args := append([]string{"--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking",
		"--disable-component-update", "--disable-sync", "--hide-scrollbars", "--enable-logging=stderr", "--user-data-dir=" + b.profile}, flags...)
	c := exec.CommandContext(ctx, b.program, append(args, "file://"+file)...)
	var out, err strings.Builder
	c.Stdout, c.Stderr = &out, &err
	require.NoError(b.t, c.Run(), "%s", err.String())
	return out.String(), err.String()
}

// looked is what a browser finds on pages.
type looked struct {
	console  []string // what they say to it
	requests []string // what they ask the network for
	sizes    []measured
}

// measured is what a page needs at a width.
type measured struct {
	File         string
	Width, Needs int
	Beyond       []string // elements that stick out, but for what a drawing's own frame holds
	Title        string
}

// measuring is a page that shows others in frames, and measures what they need
// at several widths.
const measuring = `<!DOCTYPE html><meta charset="utf-8"><title>frames</title><pre id="out"></pre><script>
const files = FILES, list = [];
for (const file of files) { const f = document.createElement("iframe"); f.src = "file://" + file; f.style = "border:0;height:800px"; document.body.append(f); }
onload = () => {
  [...document.querySelectorAll("iframe")].forEach((f, i) => { for (const width of WIDTHS) {
    f.style.width = width + "px";
    const d = f.contentDocument;
    const beyond = [...d.querySelectorAll("body *")].filter(e => !e.closest(".drawing svg") && e.getBoundingClientRect().right > width + 0.5).map(e => e.tagName + " " + e.textContent.slice(0, 30));
    list.push({File: files[i], Width: width, Needs: d.documentElement.scrollWidth, Beyond: beyond, Title: d.title});
  } });
  document.getElementById("out").textContent = "MEASURED" + encodeURIComponent(JSON.stringify(list)) + "END";
}</script>`

// look opens pages and measures them at each width.
func (b *browser) look(widths []int, files ...string) looked {
	b.t.Helper()
	folder := b.t.TempDir()
	page, logged := filepath.Join(folder, "frames.html"), filepath.Join(folder, "net.json")
	list, err := json.Marshal(files)
	require.NoError(b.t, err)
	text := strings.NewReplacer("FILES", string(list), "WIDTHS", strings.ReplaceAll(fmt.Sprint(widths), " ", ",")).Replace(measuring)
	require.NoError(b.t, os.WriteFile(page, []byte(text), 0o600))
	out, stderr := b.open(page, "--dump-dom", "--allow-file-access-from-files", "--window-size=1600,1000", "--log-net-log="+logged)
	var s looked
	for _, line := range strings.Split(stderr, "\n") {
		if strings.Contains(line, "CONSOLE") {
			s.console = append(s.console, line)
		}
	}
	s.requests = b.requests(logged)
	_, out, _ = strings.Cut(out, `<pre id="out">MEASURED`)
	out, _, found := strings.Cut(out, "END</pre>")
	require.True(b.t, found, "nothing was measured: %.300s %s", out, stderr)
	out, err = url.PathUnescape(out)
	require.NoError(b.t, err)
	require.NoError(b.t, json.Unmarshal([]byte(out), &s.sizes), out)
	require.Len(b.t, s.sizes, len(widths)*len(files))
	return s
}

// requests are the addresses in a log of the browser's network.
func (b *browser) requests(path string) []string {
	b.t.Helper()
	text, err := os.ReadFile(path)
	require.NoError(b.t, err)
	var log struct {
		Events []struct {
			Params struct {
				URL string `json:"url"`
			} `json:"params"`
		} `json:"events"`
	}
	require.NoError(b.t, json.Unmarshal(text, &log), "%.200s", text)
	require.NotEmpty(b.t, log.Events)
	var out []string
	for _, e := range log.Events {
		// The browser itself asks its maker for updates.
		if u := e.Params.URL; strings.HasPrefix(u, "http") && !strings.Contains(u, "google") {
			out = append(out, u)
		}
	}
	return out
}

// good asserts that pages say nothing to the console, ask for nothing, and need
// no more than the width of a phone.
func (b *browser) good(files ...string) []measured {
	b.t.Helper()
	s := b.look([]int{320, 360, 412, 1200}, files...)
	assert.Empty(b.t, s.console)
	assert.Empty(b.t, s.requests)
	for _, m := range s.sizes {
		assert.LessOrEqual(b.t, m.Needs, m.Width, "%s", m.File)
		assert.Empty(b.t, m.Beyond, "%s at %d px", m.File, m.Width)
	}
	return s.sizes
}

// printed prints a page on paper of a size and returns its sheets as text. The
// font is one whose widths the number of sheets was counted with.
func (b *browser) printed(file, size string) []string {
	b.t.Helper()
	reader := needProgram(b.t, "pdftotext", "poppler-utils")
	text, err := os.ReadFile(file)
	require.NoError(b.t, err)
	at := strings.Index(string(text), "</style>")
	require.Positive(b.t, at)
	folder := b.t.TempDir()
	copied, pdf := filepath.Join(folder, "page.html"), filepath.Join(folder, "page.pdf")
	sized := string(text)[:at] + "@page { size: " + size + " }\nbody { font-family: 'DejaVu Sans' }\n" + string(text)[at:]
	require.NoError(b.t, os.WriteFile(copied, []byte(sized), 0o600))
	b.open(copied, "--print-to-pdf="+pdf, "--no-pdf-header-footer")
	out, err := exec.Command(reader, "-layout", pdf, "-").Output()
	require.NoError(b.t, err)
	return strings.Split(strings.TrimSuffix(string(out), "\f"), "\f")
}

// sheetOf is the number of the one sheet that holds a text, from 1.
func sheetOf(t *testing.T, sheets []string, text string) int {
	t.Helper()
	at := 0
	for i, s := range sheets {
		if strings.Contains(strings.Join(strings.Fields(s), " "), text) {
			require.Zero(t, at, "%q stands on two sheets", text)
			at = i + 1
		}
	}
	require.Positive(t, at, "%q is on no sheet", text)
	return at
}

// What the checks of pages find, they can find.
func TestTheBrowserTellsBadPages(t *testing.T) {
	b := newBrowser(t)
	asked := make(chan string, 10)
	server := httptest.NewServer(http.HandlerFunc(func(_ http.ResponseWriter, r *http.Request) { asked <- r.URL.Path }))
	defer server.Close()
	bad := filepath.Join(t.TempDir(), "bad.html")
	require.NoError(t, os.WriteFile(bad, []byte(`<!DOCTYPE html><title>bad</title><img alt="" src="`+server.URL+`/picture"><p style="width:500px">wide</p><script>console.log("spoke")</script>`), 0o600))
	s := b.look([]int{360}, bad)
	assert.Contains(t, strings.Join(s.console, "\n"), "spoke")
	assert.Contains(t, s.requests, server.URL+"/picture")
	assert.Equal(t, "/picture", <-asked)
	assert.Greater(t, s.sizes[0].Needs, 360)
	assert.NotEmpty(t, s.sizes[0].Beyond)
	assert.Equal(t, "bad", s.sizes[0].Title)
}
