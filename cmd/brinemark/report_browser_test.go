package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/brinemark/brinemark/reports"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The pages of a whole record in a browser: nothing said, nothing asked for,
// nothing wider than a phone.
func TestReportPagesInABrowser(t *testing.T) {
	b := newBrowser(t)
	s := aBench(t)
	folder := t.TempDir()
	s.ok("report", "--all", "--out", filepath.Join(folder, "index.html"))
	pages, err := filepath.Glob(filepath.Join(folder, "*.html"))
	require.NoError(t, err)
	require.Len(t, pages, 7)
	b.good(pages...)
}

// What a person named is shown as it is, and does nothing.
func TestHostileReportInABrowser(t *testing.T) {
	b := newBrowser(t)
	var files []string
	for what, name := range map[string]string{
		"script": `<script>document.title="taken"</script>`, "closing": `</title></style><img src=x onerror="document.title='taken'">`,
		"long": strings.Repeat("x", 10000), "long words": strings.Repeat("הודעה ארוכה ", 800), "quotes": `" onmouseover="alert(1)" '`,
	} {
		from := reports.ReportSource{Now: now(), By: name, Place: name, For: name}
		from.Meter = logbook.Meter{Name: name, Quantity: "ec", Unit: name, Note: name}
		from.Events = []logbook.Event{{Event: "note", Note: name}}
		r, err := reports.NewReport(from)
		require.NoError(t, err)
		path := filepath.Join(t.TempDir(), what+".html")
		file, err := os.Create(path)
		require.NoError(t, err)
		require.NoError(t, r.HTML(file))
		require.NoError(t, file.Close())
		files = append(files, path)
	}
	for _, m := range b.good(files...) {
		assert.True(t, strings.HasPrefix(m.Title, "Calibration report: meter "), "%s: %s", m.File, m.Title)
		assert.LessOrEqual(t, len([]rune(m.Title)), 80)
	}
}

// On paper, of both sizes: how many sheets, and no short table, no section's
// heading and no picture apart from what belongs to it.
func TestReportOnPaper(t *testing.T) {
	b := newBrowser(t)
	s := aBench(t)
	path := filepath.Join(t.TempDir(), "tent.html")
	s.ok("report", "--meter", "tent pen", "--by", "A. Grower", "--out", path)
	for _, size := range []string{"A4", "letter"} {
		sheets := b.printed(path, size)
		assert.Len(t, sheets, 4, size)
		for _, pair := range [][2]string{
			{"3. The meter ISO/IEC", "on record as tent pen"},
			{"Its readings (error: reading - reference", "607.4 ± 4.8 606.0 ± 1.0"},
			{"Calibrations by time", "0.9976 ± 0.0094 2.9 ± 2.5 -0.69 %"},
			{"Calibrations by time", "below what it leaves over."},
			{"Bottles used and what they are worth", "607.5 ± 4.8 ppm"},
			{"11. Drift and the next check", "The error over time."},
			{"Drift of tent pen", "The error over time."},
			{"13. Who answers for it", "date and signature"},
		} {
			assert.Equal(t, sheetOf(t, sheets, pair[0]), sheetOf(t, sheets, pair[1]), "%s: %v", size, pair)
		}
		assert.Equal(t, 4, sheetOf(t, sheets, "End of report tent pen, 2026-03-01"))
		assert.Contains(t, strings.Join(sheets, ""), "<script>document.title='taken'")
	}
}

// The reports of the demonstration on paper: four sheets each. A table that goes on
// over the end of a sheet repeats its head, and no sheet ends with a head alone.
func TestDemoReportsOnPaper(t *testing.T) {
	b := newBrowser(t)
	d, folder := sharedDemo(t), t.TempDir()
	for _, meter := range []string{"old-pen", "new-pen", "ph-pen", "tub-probe"} {
		path := filepath.Join(folder, "meter.html")
		require.NoError(t, os.WriteFile(path, []byte(d.files["meter-"+meter+".html"]), 0o600))
		for _, size := range []string{"A4", "letter"} {
			sheets := b.printed(path, size)
			assert.LessOrEqual(t, len(sheets), 4, "%s, %s", meter, size)
			for i, sheet := range sheets[:len(sheets)-1] {
				lines := strings.Split(strings.TrimSpace(sheet), "\n")
				assert.NotRegexp(t, `^ *(day|bottle|source|time)  `, lines[len(lines)-1], "%s, %s, sheet %d", meter, size, i+1)
				assert.Greater(t, len(lines), 30, "%s, %s: sheet %d has room for more", meter, size, i+1)
			}
		}
	}
}
