package main

import (
	"encoding/csv"
	"flag"
	"fmt"
	"html"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/brinemark/brinemark/cmd/brinemark/scenario"
	"github.com/brinemark/brinemark/reports"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/urfave/cli/v2"
)

type reportsFile = reports.DemoFile

// runFailingDemo runs a story of one step in a folder, and takes it back as demo
// does.
func runFailingDemo(t *testing.T, dir string, step demoStep) error {
	t.Helper()
	app := newApp(nil, strings.NewReader(""), &strings.Builder{}, &strings.Builder{})
	step.clock = scenario.Made
	d := demoRun{c: cli.NewContext(app, flag.NewFlagSet("demo", flag.ContinueOnError), nil), result: &reports.Demo{Dir: dir}, kept: map[string]reports.Result{}}
	require.NoError(t, writeDemoFile(d.result, "first.csv", "a file", []byte("x\n")))
	err := d.tell([]demoChapter{{"One", []demoStep{step}}})
	removeDemo(*d.result, false)
	return err
}

// What the commands find is what the scenario has hidden.
func TestDemoFindsWhatWasInvented(t *testing.T) {
	d := sharedDemo(t)

	// The old pen reads an eighth low, the new one is right.
	assert.Equal(t, "fail", d.found(t, "calibrate-old-pen")["verdict"])
	assert.Equal(t, "pass", d.found(t, "calibrate-new-pen")["verdict"])
	fault := scenario.OldPen.Gain(scenario.Made) - 1
	for _, name := range []string{"compare", "compare-cold-warm"} {
		found := d.found(t, name)
		assert.Equal(t, "disagree", found["pairs"].([]any)[0].(map[string]any)["verdict"])
		first := found["causes"].([]any)[0].(map[string]any)
		assert.Equal(t, "gain", first["cause"])
		assert.Equal(t, scenario.OldPen.Name, first["meter"])
		assert.InDelta(t, fault, first["size"], 2*first["u_size"].(float64), name)
		assert.Equal(t, scenario.NewPen.Name, found["trust"])
	}
	before := d.found(t, "compare")["causes"].([]any)[0].(map[string]any)["probability"].(float64)
	after := d.found(t, "compare-cold-warm")["causes"].([]any)[0].(map[string]any)["probability"].(float64)
	assert.Less(t, before, 0.95, "bottles alone cannot tell a gain from a wrong compensation")
	assert.Greater(t, after, 0.95, "the reading that was advised can")
	assert.Equal(t, "pass", d.found(t, "calibrate-old-pen-cleaned")["verdict"])

	// The aged electrode, and the new one.
	electrode := d.found(t, "calibrate-ph-pen")["electrode"].(map[string]any)
	assert.InDelta(t, 88, electrode["slope_percent"], 1)
	assert.InDelta(t, 6.8, electrode["zero_point_pH"], 0.05)
	assert.Equal(t, "pass", d.found(t, "calibrate-ph-pen-new")["verdict"])

	// What evaporated: two weighings to 0.1 g, of some 500 g.
	for _, name := range scenario.Names {
		lost := d.found(t, "weigh-"+name)["evaporation"].(map[string]any)
		assert.InDelta(t, 0.0056, lost["lost_rel"], 2*lost["u_lost_rel"].(float64), name)
	}

	// The drift of the probe.
	drift := d.found(t, "drift")
	day := scenario.Today
	perDay := scenario.Probe.Gain(day.AddDate(0, 0, 1)) - scenario.Probe.Gain(day)
	assert.InDelta(t, 30*perDay, drift["rate_per_30d"], 2*drift["u_rate_per_30d"].(float64))
	assert.Less(t, drift["rate_per_30d"].(float64)+3*drift["u_rate_per_30d"].(float64), 0.0, "it is seen to drift")
	assert.InDelta(t, scenario.Probe.Gain(day)-1, drift["error_now"], 2*drift["u_error_now"].(float64))
	outside := day
	for scenario.Probe.Gain(outside) > 1-0.05 {
		outside = outside.AddDate(0, 0, 1)
	}
	due, err := time.Parse(time.DateOnly, drift["due"].(string))
	require.NoError(t, err)
	assert.True(t, due.After(day), "due %s", due)
	assert.True(t, due.Before(outside), "due %s, and outside its tolerance from %s on", due, outside)
	assert.GreaterOrEqual(t, due.Sub(day).Hours(), 0.5*outside.Sub(day).Hours(), "and not much too early")
}

// table reads a table of the folder as rows by the names of its columns.
func (d demoFolder) table(t *testing.T, name string) []map[string]string {
	t.Helper()
	rows, err := csv.NewReader(strings.NewReader(d.read(t, name))).ReadAll()
	require.NoError(t, err)
	var list []map[string]string
	for _, row := range rows[1:] {
		cells := map[string]string{}
		for i, column := range rows[0] {
			cells[column] = row[i]
		}
		list = append(list, cells)
	}
	return list
}

func readFigure(t *testing.T, text string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(strings.NewReplacer("−", "-", "+", "").Replace(text), 64)
	require.NoError(t, err)
	return x
}

// nearer is how many times nearer to the truth the corrected log must be.
const nearer = 5

// The log is put right, the rows without liquid are flagged and no others, and
// what happened to the tub is told.
func TestDemoPutsTheLogRight(t *testing.T) {
	d := sharedDemo(t)
	corrected, truth := d.table(t, correctedFile), d.table(t, scenario.TubTruthFile)
	require.Len(t, corrected, len(truth))
	var raw, right, n float64
	for i, row := range corrected {
		require.Equal(t, truth[i]["time"], row["time"])
		if truth[i]["probe"] == "in air" {
			require.Equal(t, "dry", row["ec_flag"], row["time"])
			continue
		}
		require.Empty(t, row["ec_flag"], row["time"])
		true25 := readFigure(t, truth[i]["true_ec_at_25_C"])
		// As it was read, at 25 C by the usual 2 % per degree.
		read25 := readFigure(t, row["ec"]) / (1 + 0.02*(readFigure(t, row["water_C"])-25))
		raw += math.Pow(read25/true25-1, 2)
		right += math.Pow(readFigure(t, row["ec_corrected"])/true25-1, 2)
		n++
	}
	raw, right = math.Sqrt(raw/n), math.Sqrt(right/n)
	assert.Greater(t, raw, 0.02)
	assert.Less(t, nearer*right, raw, "off by %.2g %%, and by %.2g %% once corrected", 100*raw, 100*right)

	index := d.index(t)
	shown := between(t, index, "the log was off by ", " %; corrected it is off by ", " %: ", " times nearer")
	assert.InDelta(t, 100*raw, shown[0], 0.051)
	assert.InDelta(t, 100*right, shown[1], 0.0051)
	assert.InDelta(t, raw/right, shown[2], 0.051)

	events := d.table(t, eventsFile)
	require.Len(t, events, 3)
	for i, want := range []struct {
		kind  string
		about time.Time
	}{{"dry", scenario.Emptied}, {"refill", scenario.Refilled}, {"top-up", scenario.ToppedUp}} {
		assert.Equal(t, want.kind, events[i]["kind"])
		start, err := time.Parse(time.RFC3339, events[i]["start"])
		require.NoError(t, err)
		assert.InDelta(t, 0, start.Sub(want.about).Minutes(), 20, want.kind)
		assert.Contains(t, index, events[i]["what"])
	}
	days := d.table(t, dailyFile)
	assert.Len(t, days, 29, "17 January to 14 February")
}

// index is the text of the page, without its elements.
func (d demoFolder) index(t *testing.T) string {
	t.Helper()
	text := d.read(t, demoPage)
	for _, element := range []string{`(?s)<style>.*?</style>`, `(?s)<svg.*?</svg>`, `</?(bdi|strong|small)[^>]*>`} {
		text = regexp.MustCompile(element).ReplaceAllString(text, "")
	}
	text = regexp.MustCompile(`<[^>]*>`).ReplaceAllString(text, " ")
	return html.UnescapeString(regexp.MustCompile(`\s+`).ReplaceAllString(text, " "))
}

// between are the figures that stand between words.
func between(t *testing.T, text string, words ...string) []float64 {
	t.Helper()
	pattern := ""
	for i, w := range words {
		if i > 0 {
			pattern += `([-+−0-9.]+)`
		}
		pattern += regexp.QuoteMeta(w)
	}
	found := regexp.MustCompile(pattern).FindStringSubmatch(text)
	require.NotEmpty(t, found, "%v in the page", words)
	var list []float64
	for _, x := range found[1:] {
		list = append(list, readFigure(t, x))
	}
	return list
}

// The figures of the page are those of the results.
func TestDemoPageTellsTheResults(t *testing.T) {
	d := sharedDemo(t)
	index := d.index(t)
	for _, name := range scenario.Names {
		made := d.found(t, "bottle-"+name)
		u := made["u_ec25_uS_cm"].(float64)
		shown := between(t, index, fmt.Sprintf(" %s %s %.1f ", name, made["best_before"], made["salt_mg_L"]), " ± ", " ")
		assert.InDelta(t, made["ec25_uS_cm"], shown[0], u/20)
		assert.InDelta(t, u, shown[1], u/10)
	}
	for name, meter := range map[string]string{"calibrate-old-pen": "old-pen", "calibrate-new-pen": "new-pen", "calibrate-probe-2025-12-06": "tub-probe"} {
		found := d.found(t, name)
		worst := 100 * found["worst_error"].(float64)
		shown := between(t, index, meter+": "+found["verdict"].(string)+", its worst error is ", " %")
		assert.InEpsilon(t, worst, shown[0], 0.05, meter)
		slope := found["fit"].(map[string]any)["slope"].(float64)
		assert.InEpsilon(t, slope, between(t, index, meter+" 2025-12-06 as found "+found["verdict"].(string)+" ", " % ", " × reading")[1], 0.001)
	}
	drift := d.found(t, "drift")
	shown := between(t, index, "moves by ", " ± ", " % in 30 days")
	assert.InDelta(t, 100*drift["rate_per_30d"].(float64), shown[0], 0.0051)
	assert.InDelta(t, 100*drift["u_rate_per_30d"].(float64), shown[1], 0.0051)
	assert.Contains(t, index, "due "+drift["due"].(string))
	assert.Contains(t, index, "next check "+drift["next_check"].(string))
	causes := d.found(t, "compare")["causes"].([]any)
	for _, c := range causes[:2] {
		c := c.(map[string]any)
		shown := between(t, index, fmt.Sprintf(" %s %s ", c["cause"], c["meter"]), " %")
		assert.InDelta(t, 100*c["probability"].(float64), shown[0], 0.06)
	}
	log := d.found(t, "correct")["columns"].([]any)[0].(map[string]any)
	rows := between(t, index, "rows ", ", of which ", " can be believed")
	assert.Equal(t, []float64{log["rows"].(float64), log["corrected"].(float64)}, rows)
	for _, m := range d.found(t, "drift-all")["meters"].([]any) {
		m := m.(map[string]any)
		assert.Regexp(t, regexp.QuoteMeta(m["meter"].(string))+" "+m["verdict"].(string)+" "+m["next_check"].(string)+` [^ ]+ ± [^ ]+ (%|pH)`, index)
	}
	for _, s := range d.steps() {
		assert.Contains(t, index, regexp.MustCompile(`\s+`).ReplaceAllString(s.Command, " "))
		printed := strings.Fields(d.read(t, s.TextFile))
		assert.Contains(t, index, strings.Join(printed, " "), s.Command)
	}
}

// The page needs nothing but itself, its links lead to files of the folder, and
// it says that it is invented.
func TestDemoPageStandsAlone(t *testing.T) {
	d := sharedDemo(t)
	text := d.read(t, demoPage)
	// The names of SVG are no addresses.
	plain := regexp.MustCompile(`xmlns(:xlink)?="[^"]*"`).ReplaceAllString(text, "")
	for _, no := range []string{"<script", "http:", "https:", "src=", "stylesheet", "@import", "<iframe", "<form"} {
		assert.NotContains(t, plain, no)
	}
	assert.Equal(t, 4, strings.Count(text, "<svg"), "calibration, comparison, drift and log")
	assert.Equal(t, 4, strings.Count(text, `<div class="drawing themed"`), "in the shape that is read on a phone, and not one that scrolls there")
	assert.Regexp(t, `(?s)<svg [^>]*style="width:100%;[^>]*>`, text)
	assert.Contains(t, text, "--chart-paper:", "colours that go dark with the page")
	links := regexp.MustCompile(`href="([^"]*)"`).FindAllStringSubmatch(text, -1)
	require.Greater(t, len(links), 60)
	for _, link := range links {
		if link[1] == "data:," {
			continue
		}
		d.read(t, link[1])
	}
	assert.Contains(t, text, "Everything on this page is invented")
	assert.Contains(t, text, "not for drinking")
}
