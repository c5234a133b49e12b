package main

import (
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/brinemark/brinemark/reports"
	"github.com/brinemark/brinemark/reports/label"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Labels and bench sheets in a browser: nothing said, nothing asked for, nothing
// wider than a phone, whatever their names are.
func TestLabelsAndSheetsInABrowser(t *testing.T) {
	b := newBrowser(t)
	s := fullShelf(t)
	folder := t.TempDir()
	labels, sheet := filepath.Join(folder, "labels.html"), filepath.Join(folder, "sheet.html")
	s.ok("label", "--all", "--out", labels)
	s.ok("sheet", "--temp", "19C", "--out", sheet)
	files := []string{labels, sheet}
	for what, name := range map[string]string{
		"script": `<script>document.title="taken"</script>`, "closing": `</title></style></svg><img src=x onerror="document.title='taken'">`,
		"long": strings.Repeat("x", 10000), "long words": strings.Repeat("הודעה ארוכה ", 800), "quotes": `" onmouseover="alert(1)" '`,
	} {
		strength := 600.0
		bottle := logbook.Bottle{Head: logbook.Head{ID: name}, Name: name, Salt: "NaCl", StrengthUnit: "mg/L", Strength: &logbook.Amount{Value: strength}, Note: name, MadeOn: "2026-02-01", BestBefore: "2026-05-01"}
		meter := logbook.Meter{Head: logbook.Head{ID: name}, Name: name, Quantity: "ec", Unit: "uS/cm", Compensation: "none", Note: name}
		made, err := reports.NewLabels(reports.LabelsOf{Bottles: []logbook.Bottle{bottle}, Layout: label.Layout{Paper: label.Papers()[0], WidthMM: 70, HeightMM: 37}, Now: now()})
		require.NoError(t, err)
		files = append(files, save(t, filepath.Join(folder, what+"-label.html"), made.WriteHTML))
		bench, err := reports.NewBenchSheet(reports.SheetOf{Bottles: []logbook.Bottle{bottle}, Meters: []logbook.Meter{meter, meter, meter}, Now: now(), Paper: "a4"})
		require.NoError(t, err)
		files = append(files, save(t, filepath.Join(folder, what+"-sheet.html"), bench.WriteHTML))
	}
	for _, m := range b.good(files...) {
		assert.Contains(t, []string{"Labels for bottles", "Bench sheet"}, m.Title, m.File)
	}
}

func TestLabelsOnPaper(t *testing.T) {
	b := newBrowser(t)
	s := fullShelf(t)
	path := filepath.Join(t.TempDir(), "labels.html")
	for paper, perSheet := range map[string]int{"a4": 24, "letter": 21} {
		s.ok("label", "K1413", "--copies", "30", "--paper", paper, "--out", path)
		sheets := b.printed(path, map[string]string{"a4": "A4", "letter": "letter"}[paper])
		require.Len(t, sheets, 2, paper)
		assert.Equal(t, perSheet, strings.Count(sheets[0], "1413.0 ± 7.1 µS/cm"), paper)
		assert.Equal(t, 30-perSheet, strings.Count(sheets[1], "1413.0 ± 7.1 µS/cm"), paper)
		assert.NotContains(t, sheets[0], "Print on", "how to print is for the screen")
	}
}

// What comes out of the printer is read by a reader of codes that is not ours,
// and is as large as it is said to be.
func TestCodesAreReadOffThePaper(t *testing.T) {
	b := newBrowser(t)
	zbarimg, pdftoppm := needProgram(t, "zbarimg", "zbar-tools"), needProgram(t, "pdftoppm", "poppler-utils")
	s := fullShelf(t)
	folder := t.TempDir()
	path := filepath.Join(folder, "labels.html")
	s.ok("label", "--all", "--out", path)
	b.printed(path, "A4")
	pdf := filepath.Join(folder, "labels.pdf")
	b.open(path, "--no-pdf-header-footer", "--print-to-pdf="+pdf)
	require.NoError(t, exec.Command(pdftoppm, "-r", "200", "-png", "-singlefile", pdf, filepath.Join(folder, "labels")).Run())
	out, err := exec.Command(zbarimg, "--quiet", "--raw", "-Sdisable", "-Sqrcode.enable", filepath.Join(folder, "labels.png")).Output()
	require.NoError(t, err)
	assert.ElementsMatch(t, []string{"<script>", "A", "B4", "B7", "B9", "K1413"}, strings.Split(strings.TrimSpace(string(out)), "\n"))
}

func TestSheetOnPaper(t *testing.T) {
	b := newBrowser(t)
	s := fullShelf(t)
	path := filepath.Join(t.TempDir(), "sheet.html")
	s.ok("sheet", "--temp", "19C", "--out", path)
	for _, size := range []string{"A4", "letter"} {
		sheets := b.printed(path, size)
		require.Len(t, sheets, 2, size)
		for _, want := range []string{"Thermometer, and its ±", "not for drinking", "tent pen", "607.6 ± 3.5", "B9: pH buffer 10.01", "10.073 ± 0.010"} {
			assert.Contains(t, strings.ReplaceAll(sheets[0], "\u2011", "-"), want, "%s: what is written on is one sheet", size)
		}
	}
}

// save writes a file by a function.
func save(t *testing.T, path string, write func(w io.Writer) error) string {
	t.Helper()
	file, err := os.Create(path)
	require.NoError(t, err)
	require.NoError(t, write(file))
	require.NoError(t, file.Close())
	return path
}

// A large check, eight bottles and six meters, is two sheets on either paper, with
// as many meters on each; a figure is never parted from its unit.
func TestLargeSheetOnPaper(t *testing.T) {
	b := newBrowser(t)
	s := newSession(t)
	args := []string{"sheet", "--temp", "19C"}
	for i := range 8 {
		name := fmt.Sprintf("bottle %d", 11+i)
		s.ok("bottle", "add", name, "--salt", "NaCl", "--strength", fmt.Sprintf("%dmg/L", 237+150*i), "--u-strength", "0.5%", "--made", "2026-02-01")
		args = append(args, "--bottle", name)
	}
	for i := range 6 {
		name := fmt.Sprintf("pen %d", i+1)
		s.ok("meter", "add", name, "--quantity", "ec", "--ppm-factor", "0.5")
		args = append(args, "--meter", name)
	}
	path := filepath.Join(t.TempDir(), "sheet.html")
	for _, paper := range []string{"a4", "letter"} {
		s.ok(append(args, "--paper", paper, "--out", path)...)
		sheets := b.printed(path, map[string]string{"a4": "A4", "letter": "letter"}[paper])
		require.Len(t, sheets, 2, paper)
		assert.Contains(t, sheets[0], "meters 1 to 3 of 6", paper)
		assert.Contains(t, sheets[1], "meters 4 to 6 of 6", paper)
		assert.Contains(t, sheets[1], "brinemark compare", paper)
		for _, sheet := range sheets {
			assert.NotRegexp(t, `(?m)^\s*(°C|µS/cm|mg/L)|±\s*$`, sheet, paper)
		}
	}
	assert.NotContains(t, content(t, path), "uS/cm")
}
