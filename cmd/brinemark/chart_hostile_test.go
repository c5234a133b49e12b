package main

import (
	"encoding/csv"
	"encoding/json"
	"encoding/xml"
	"fmt"
	"image/png"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
	"unicode"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// hostileName holds what must not be shown as it is: controls of a screen and of
// its colours (C0, C1), ends of lines, marks, embeddings, overrides and isolates
// of direction; and what XML would read as its own.
const hostileName = "pen\x1b[31m\x07\u0085\u009b2J\nNEWLINE\r\u2028\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069 <script>&\"' end"

// hostile are runs of every command with a chart, and of others that show names,
// on names that are hostile wherever a file or a flag can hold one.
func hostile(t *testing.T) map[string][]string {
	t.Helper()
	table := func(name string, rows ...[]string) string {
		var b strings.Builder
		w := csv.NewWriter(&b)
		require.NoError(t, w.WriteAll(rows))
		return file(t, name, b.String())
	}
	a, b := hostileName, hostileName+" too"
	compared := [][]string{{"meter", "sample", "reading", "ref", "u_ref", "ref_source", "u_ref_shared", "u_reading"}}
	for i, v := range []float64{450, 1000, 1900} {
		sample := fmt.Sprint(hostileName, i)
		compared = append(compared, []string{a, sample, fmt.Sprint(v), fmt.Sprint(v), "3", hostileName, "1", "2"}, []string{b, sample, fmt.Sprint(1.1 * v), fmt.Sprint(v), "3", hostileName, "1", "2"})
	}
	log := [][]string{{"time", a}}
	short := strings.ReplaceAll(hostileName, "\n", "") // the names of two probes stand on one line
	pair := [][]string{{"time", short, short + " too"}}
	for i := range 24 * 60 {
		at := time.Date(2026, 3, 1, i, 0, 0, 0, time.UTC).Format(time.RFC3339)
		log = append(log, []string{at, fmt.Sprint(500 + i%7)})
		pair = append(pair, []string{at, fmt.Sprint(500 + i%7), fmt.Sprint(505 + i%5)})
	}
	quoted, err := json.Marshal(hostileName)
	require.NoError(t, err)
	calibration := file(t, "cal.json", strings.Replace(content(t, aCalibration(t, "plain.json", "ec", "2026-02-01T00:00:00Z", "as-left", 0, 1.1)), "{", fmt.Sprintf(`{"meter": %s, "unit": %s, `, quoted, quoted), 1))
	name := strings.NewReplacer("/", "", "\x00", "").Replace(hostileName) + ".csv"
	return map[string][]string{
		"calibrate": {"calibrate", table(name, []string{"bottle", "ref", "u_ref", "ref_source", "reading", "u_reading"}, []string{a, "450", "2", a, "440", "1"}, []string{b, "1000", "4", b, "985", "1"}, []string{"C", "1900", "8", "C", "1860", "1"}),
			"--meter", hostileName, "--unit", hostileName, "--tolerance", "5%"},
		"compare":    {"compare", table(name, compared...), "--tolerance", "5%", "--ppm-factor", a + "=0.5"},
		"correct":    {"correct", table(name, log...), "--calibration", a + "=" + calibration, "--out", filepath.Join(t.TempDir(), "out.csv")},
		"drift":      {"drift", file(t, name, content(t, penChecks)), "--tolerance", "5%", "--now", "2026-03-10"},
		"drift pair": {"drift", table(name, pair...), "--pair", short + "," + short + " too", "--tolerance", "10%", "--now", "2026-05-02"},
		// Without a chart.
		"missing file": {"calibrate", filepath.Join("no", hostileName)}, "missing meter": {"meter", "show", hostileName},
		"word": {"calibrate", "--point", "1=2", "--quantity", hostileName}, "flag": {"calibrate", "--" + hostileName}, "command": {hostileName},
		"column": {"calibrate", table("column.csv", []string{hostileName, "ref"}, []string{"1", "2"})}, "cell": {"calibrate", table("cell.csv", []string{"ref", "reading"}, []string{hostileName, "2"})},
		"quantity": {"recipe", "--target", hostileName}, "salt": {"recipe", "--salt", hostileName, "--target", "500mg/L", "--batch", "1L"}, "folder": {"compare", "x.csv", "--plot", filepath.Join(hostileName, "x.svg")},
	}
}

// assertHarmless finds nothing in a text that commands a screen or turns the
// direction of what follows, but ends of lines.
func assertHarmless(t *testing.T, what, text string) {
	t.Helper()
	for i, r := range text {
		if r != '\n' && (unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r)) {
			assert.Fail(t, what, "%U in %q", r, text[max(0, i-40):min(len(text), i+40)])
			return
		}
	}
}

// What a file, a flag or a record calls a thing commands no screen, turns nothing
// around, ends no line and opens no element, in any chart and on any terminal.
func TestHostileNamesAreShownHarmlessly(t *testing.T) {
	drawn := 0
	for name, args := range hostile(t) {
		t.Run(name, func(t *testing.T) {
			chart := filepath.Join(t.TempDir(), "chart")
			charts := strings.HasPrefix(name, "calibrate") || strings.HasPrefix(name, "compare") || strings.HasPrefix(name, "correct") || strings.HasPrefix(name, "drift")
			if charts {
				args = andMore(args, "--time-zone", "UTC", "--chart", "always")
			}
			r := invoke(args...)
			assertHarmless(t, "stdout", r.stdout)
			assertHarmless(t, "stderr", r.stderr)
			if !charts {
				assert.Equal(t, statusBadInput, r.status, r.stderr)
				return
			}
			require.Equal(t, statusDone, r.status, r.stderr)
			assert.Contains(t, r.stdout+r.stderr, "\nChart\n")
			_, graph, _ := strings.Cut(r.stdout+r.stderr, "\nChart\n")
			graph, _, _ = strings.Cut(graph, "\n\n")
			assert.NotContains(t, graph, "\nNEWLINE", "a name ends no line")
			drawn++
			for _, ending := range []string{".svg", ".png"} {
				r := invoke(andMore(args, "--plot", chart+ending)...)
				require.Equal(t, statusDone, r.status, r.stderr)
			}
			document := content(t, chart+".svg")
			assertHarmless(t, "SVG", strings.ReplaceAll(document, "\t", " ")) // between attributes
			decoder := xml.NewDecoder(strings.NewReader(document))
			texts, element := 0, ""
			for {
				token, err := decoder.Token()
				if err == io.EOF {
					break
				}
				require.NoError(t, err)
				switch token := token.(type) {
				case xml.StartElement:
					element = token.Name.Local
					require.Contains(t, []string{"svg", "title", "desc", "g", "path", "text"}, element)
				case xml.EndElement:
					element = ""
				case xml.CharData:
					if element == "title" || element == "desc" || element == "text" {
						texts++
						assert.NotContains(t, string(token), "\n", element)
					}
				}
			}
			assert.Greater(t, texts, 10)
			if name != "drift" { // which is not told a name
				assert.Contains(t, document, "pen\ufffd[31m", "it is seen that something is there")
			}
			f, err := os.Open(chart + ".png")
			require.NoError(t, err)
			defer f.Close()
			_, err = png.Decode(f)
			require.NoError(t, err)
		})
	}
	assert.Equal(t, 5, drawn)
}
