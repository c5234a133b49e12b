package main

import (
	"encoding/xml"
	"fmt"
	"image/png"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// pumpLog is a log of two months, every three hours: a pen that drifts, a pump
// that stops twice, three days without readings, and a gap.
func pumpLog() string {
	var b strings.Builder
	b.WriteString("time,ec,ph\n")
	for i := range 8 * 60 {
		day := i / 8
		if day >= 40 && day < 44 {
			continue
		}
		ec, ph := fmt.Sprintf("%.1f", (600-float64(i%160)/4+float64(i%8))*(1-0.002*float64(day))), fmt.Sprintf("%.2f", 6+float64(i%40)/100)
		switch {
		case day == 12 || day == 30 && i%8 > 3:
			ec = fmt.Sprint(i % 3)
		case day >= 20 && day < 23:
			ec, ph = "", "?"
		}
		fmt.Fprintf(&b, "2026-%02d-%02d %02d:00,%s,%s\n", 2+day/28, 1+day%28, 3*(i%8), ec, ph)
	}
	return b.String()
}

// charted are runs of every command that draws a chart.
func charted(t *testing.T) map[string][]string {
	t.Helper()
	compare := func(name string) string { return filepath.Join("..", "..", "testdata", "compare", name) }
	march := func(name, quantity, day, state string, intercept, slope float64) string {
		return aCalibration(t, name, quantity, "2026-"+day+"T12:00:00Z", state, intercept, slope)
	}
	log := []string{"correct", file(t, "pump.csv", pumpLog()), "--calibration", "ec=" + march("a.json", "ec", "02-03", "as-left", 0, 1),
		"--calibration", "ec=" + march("b.json", "ec", "03-01", "as-found", 1, 1.06)}
	return map[string][]string{
		"calibrate": {"calibrate", file(t, "pen.csv", "bottle,ref,u_ref,ref_source,u_ref_shared,reading,u_reading\nA,311.22,0.16,stock 1,2.80,270,1.5\nB,611.52,0.15,stock 1,5.22,532,1.5\nC,901.13,0.15,stock 1,7.59,784,1.5\n"),
			"--tolerance", "5%", "--unit", "ppm", "--meter", "old pen", "--time", "2026-03-01"},
		"calibrate-ph":       {"calibrate", file(t, "ph.csv", "buffer,reading,temp_C,u_reading\n4.00,4.08,20,0.02\n7.00,7.05,20,0.02\n10.01,9.97,20,0.02\n"), "--quantity", "ph", "--tolerance", "0.1"},
		"calibrate-humidity": {"calibrate", file(t, "rh.csv", "ref,reading,u_ref\n33.1,36,0.2\n75.5,74,0.2\n97.6,93,0.6\n"), "--quantity", "humidity"},
		"compare":            {"compare", compare("three-pens.csv"), "--tolerance", "5%"},
		"compare-ph":         {"compare", compare("ph.csv"), "--quantity", "ph", "--tolerance", "0.1"},
		"correct":            log,
		"correct-two":        andMore(log, "--calibration", "ph="+march("ph.json", "ph", "02-02", "as-left", 0.1, 1)),
		"drift":              {"drift", penChecks, "--tolerance", "5%", "--now", "2026-03-10"},
	}
}

// andMore are arguments and more of them, in a list of their own.
func andMore(args []string, more ...string) []string { return slices.Concat(args, more) }

// Charts as files: the text of each SVG, and that a PNG is a picture.
func TestPlots(t *testing.T) {
	for name, args := range charted(t) {
		t.Run(name, func(t *testing.T) {
			folder := t.TempDir()
			args := andMore(args, "--time-zone", "UTC", "--plot")
			plain := invoke(args[:len(args)-1]...)
			for _, ending := range []string{"svg", "PNG"} {
				r := invoke(andMore(args, filepath.Join(folder, "chart."+ending))...)
				require.Equal(t, statusDone, r.status, r.stderr)
				assert.Equal(t, plain.stdout, r.stdout, "the result is the same")
				assert.Equal(t, plain.stderr, r.stderr)
			}
			text := content(t, filepath.Join(folder, "chart.svg"))
			require.NoError(t, xml.Unmarshal([]byte(text), new(struct{})))
			if name != "drift" { // stands with the command's other files
				golden(t, "charts/"+name+".svg", text)
			}
			picture, err := os.Open(filepath.Join(folder, "chart.PNG"))
			require.NoError(t, err)
			defer picture.Close()
			size, err := png.DecodeConfig(picture)
			require.NoError(t, err)
			assert.Equal(t, 1280, size.Width)
			assert.Len(t, filesIn(t, folder), 2, "nothing else is left")
		})
	}
}

// Charts with characters: with the table, or with the summary where the log
// takes the output; never within JSON.
func TestChartsOfCharacters(t *testing.T) {
	for name, args := range charted(t) {
		t.Run(name, func(t *testing.T) {
			args := andMore(args, "--time-zone", "UTC", "--chart")
			r := invoke(andMore(args, "always")...)
			require.Equal(t, statusDone, r.status, r.stderr)
			text, other := r.stdout, r.stderr
			if strings.HasPrefix(name, "correct") {
				text, other = r.stderr, r.stdout
			}
			assert.NotContains(t, other, "\nChart\n")
			_, chart, found := strings.Cut(text, "\nChart\n")
			require.True(t, found)
			golden(t, "charts/"+name+".txt", chart)
			for _, line := range strings.Split(chart, "\n") {
				assert.LessOrEqual(t, len([]rune(line)), 80, line)
			}
			for _, when := range []string{"auto", "never"} {
				quiet := invoke(andMore(args, when)...)
				assert.NotContains(t, quiet.stdout+quiet.stderr, "\nChart\n", "a buffer is no screen")
			}
			if strings.HasPrefix(name, "correct") {
				args = append(args, "always", "--out", filepath.Join(t.TempDir(), "out.csv"), "--json")
			} else {
				args = append(args, "always", "--json")
			}
			r = invoke(args...)
			require.Equal(t, statusDone, r.status, r.stderr)
			assert.True(t, strings.HasPrefix(r.stdout, "{"))
			assert.NotContains(t, r.stdout+r.stderr, "fitted line\n")
			assert.NotContains(t, r.stdout+r.stderr, "\nChart\n")
		})
	}
}

// A chart that cannot be drawn: nothing on stdout, nothing left in the folder,
// and what was there stays.
func TestPlotsRefused(t *testing.T) {
	for name, args := range charted(t) {
		t.Run(name, func(t *testing.T) {
			folder := t.TempDir()
			require.NoError(t, os.Mkdir(filepath.Join(folder, "a.svg"), 0o755))
			input := filepath.Join(folder, "input.svg")
			require.NoError(t, os.WriteFile(input, []byte(content(t, args[1])), 0o644))
			link := filepath.Join(folder, "link.svg")
			require.NoError(t, os.Link(input, link))
			itself := append([]string{args[0], input}, args[2:]...)
			for _, c := range []struct {
				args   []string
				status int
				says   string
			}{
				{andMore(args, "--plot", filepath.Join(folder, "a.gif")), statusBadInput, ".svg or .png"},
				{andMore(args, "--plot", filepath.Join(folder, "a")), statusBadInput, ".svg or .png"},
				{andMore(args, "--plot", ""), statusBadInput, ".svg or .png"},
				{andMore(args, "--plot", "-"), statusBadInput, ".svg or .png"},
				{andMore(args, "--plot", filepath.Join(folder, "no", "a.svg")), statusBadInput, "there is no folder"},
				{andMore(args, "--plot", filepath.Join(folder, "a.svg")), statusBadInput, "is a folder"},
				{andMore(itself, "--plot", input), statusBadInput, "a file of its own"},
				{andMore(itself, "--plot", link), statusBadInput, "a file of its own"},
				{andMore(args, "--chart", "sometimes"), statusBadInput, "always"},
			} {
				r := invoke(andMore(c.args, "--time-zone", "UTC")...)
				assert.Equal(t, c.status, r.status, "%v: %s", c.args, r.stderr)
				assert.Contains(t, r.stderr, c.says)
				assert.Empty(t, r.stdout, "%v", c.args)
			}
			assert.ElementsMatch(t, []string{"a.svg", "input.svg", "link.svg"}, filesIn(t, folder))
			assert.Equal(t, content(t, args[1]), content(t, input))
		})
	}
}

// A run that fails leaves the chart of the last one.
func TestPlotStaysWhereTheRunFails(t *testing.T) {
	chart := file(t, "chart.svg", "of last week")
	for _, args := range [][]string{
		{"calibrate", file(t, "a.csv", "ref,reading\n1,x\n")},
		{"compare", file(t, "b.csv", "meter,sample,reading\nP1,A,x\n")},
		{"drift", file(t, "c.csv", "time,ref,reading\n2026-01-01,1,x\n")},
		{"correct", file(t, "d.csv", "time,ec\n2026-03-01,1\nsome day,2\n"), "--calibration", "ec=" + aCalibration(t, "cal.json", "ec", "2026-02-01T00:00:00Z", "as-left", 0, 1)},
	} {
		r := invoke(andMore(args, "--plot", chart)...)
		assert.Equal(t, statusBadInput, r.status, "%v: %s", args, r.stderr)
		assert.Equal(t, "of last week", content(t, chart))
		assert.Len(t, filesIn(t, filepath.Dir(chart)), 1)
	}
}

// What cannot be drawn is not put on record.
func TestNothingIsSavedWithoutItsChart(t *testing.T) {
	s := shelfOfBottles(t)
	pens := s.table("pens.csv", penTable)
	day := s.table("day.csv", "ref,reading,time\n706.5,694,2026-02-01\n1413,1380,2026-02-01\n")
	nowhere := filepath.Join(t.TempDir(), "no", "chart.svg")
	for kind, args := range map[string][]string{"comparison": {"compare", pens, "--save"}, "calibration": {"calibrate", day, "--meter", "blue", "--save"}} {
		before := len(s.exported(kind))
		r := s.run(andMore(args, "--plot", nowhere)...)
		assert.Equal(t, statusBadInput, r.status, r.stderr)
		assert.Empty(t, r.stdout)
		assert.Len(t, s.exported(kind), before)
		chart := filepath.Join(t.TempDir(), "chart.svg")
		r = s.run(andMore(args, "--plot", chart)...)
		require.Equal(t, statusDone, r.status, r.stderr)
		assert.Len(t, s.exported(kind), before+1)
		assert.Contains(t, content(t, chart), "blue")
		assert.Len(t, filesIn(t, filepath.Dir(chart)), 1)
	}
}

// The chart of a log has a file of its own, and needs a log with an end.
func TestPlotOfALogRefused(t *testing.T) {
	args := charted(t)["correct"]
	folder := t.TempDir()
	same := filepath.Join(folder, "one.svg")
	for _, more := range [][]string{
		{"--plot", same, "--out", same}, {"--plot", same, "--events", same}, {"--plot", same, "--daily", folder + "/./one.svg"},
		{"--plot", same, "--follow"}, {"--chart", "always", "--follow"},
	} {
		r := invoke(andMore(args, more...)...)
		assert.Equal(t, statusBadInput, r.status, "%v: %s", more, r.stderr)
		assert.Empty(t, r.stdout, "%v", more)
		assert.Empty(t, filesIn(t, folder), "%v", more)
	}
}

// Events, days and the chart are told of the same rows.
func TestPlotBesideEventsAndDays(t *testing.T) {
	args := charted(t)["correct"]
	folder := t.TempDir()
	alone, both := filepath.Join(folder, "alone.svg"), filepath.Join(folder, "both.svg")
	require.Equal(t, statusDone, invoke(andMore(args, "--plot", alone)...).status)
	events, only := filepath.Join(folder, "events.csv"), filepath.Join(folder, "only.csv")
	require.Equal(t, statusDone, invoke(andMore(args, "--events", only)...).status)
	require.Equal(t, statusDone, invoke(andMore(args, "--plot", both, "--events", events)...).status)
	assert.Equal(t, content(t, alone), content(t, both))
	assert.Equal(t, content(t, only), content(t, events))
}

// The axes of a comparison carry the unit that the meters show, from the record
// or from a factor that was typed; where they show different ones, each is said.
func TestCompareChartsCarryUnits(t *testing.T) {
	rows := "meter,sample,reading\n"
	for i, v := range []float64{450, 1000, 1900, 2500} {
		rows += fmt.Sprintf("left,s%d,%g\nright,s%d,%g\n", i, v, i, v+float64(3*i*i))
	}
	s := newSession(t)
	table := s.table("two.csv", rows)
	axes := func(args ...string) string {
		chart := filepath.Join(t.TempDir(), "chart.svg")
		r := s.run(andMore([]string{"compare", table, "--plot", chart}, args...)...)
		require.Equal(t, statusDone, r.status, r.stderr)
		return content(t, chart)
	}
	assert.Contains(t, axes(), ">mean of the two meters, as displayed<")
	assert.Contains(t, axes("--ppm-factor", "left=0.5", "--ppm-factor", "right=0.5"), ">mean of the two meters, ppm (× 0.5)<")
	s.ok("meter", "add", "left", "--quantity", "ec", "--unit", "uS/cm")
	assert.Contains(t, axes(), ">mean of the two meters, as displayed<", "one is not known")
	assert.Contains(t, axes(), ">right minus left in µS/cm<")
	s.ok("meter", "add", "right", "--quantity", "ec", "--unit", "ppm", "--ppm-factor", "0.7")
	assert.Contains(t, axes(), ">mean of the two meters, units differ<")
	assert.Contains(t, axes(), ">right in ppm (× 0.7) minus left in µS/cm<")
	assert.Contains(t, axes("--ppm-factor", "right=1"), ">mean of the two meters, µS/cm<", "what is typed goes before the record")
	r := s.run("compare", table, "--ppm-factor", "right=1", "--chart", "always")
	assert.Contains(t, r.stdout, "mean of the two meters, uS/cm", "ASCII on a terminal")
}
