package reports

import (
	"bytes"
	"encoding/json"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/brinemark/brinemark/calib/uncert"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func ptr(x float64) *float64 { return &x }

// The uncertainty of an error is that of reading and reference together, by the
// sum of squares (JCGM 100:2008, 5.1.2), and unknown where either is.
func TestUncertaintyOfAnError(t *testing.T) {
	parts := uncert.Must(uncert.New(1413, 3, uncert.Source{ID: "a"})).Add(uncert.Must(uncert.New(0, 4, uncert.Source{ID: "b"})))
	unstated := parts.Add(uncert.Unstated(0, uncert.Source{ID: "c"}))
	for what, c := range map[string]struct {
		r    logbook.Reading
		u, e float64 // NaN: unknown
	}{
		"own and reading":   {logbook.Reading{URef: ptr(3), UReading: ptr(4)}, 3, 5},
		"own and shared":    {logbook.Reading{URef: ptr(2), URefShared: ptr(1), UReading: ptr(2)}, math.Sqrt(5), 3},
		"of a bottle":       {logbook.Reading{RefParts: parts.Parts(), URef: ptr(99), UReading: ptr(12)}, 5, 13},
		"exact":             {logbook.Reading{URef: ptr(0), UReading: ptr(0)}, 0, 0},
		"reading not known": {logbook.Reading{URef: ptr(3)}, 3, math.NaN()},
		"ref not known":     {logbook.Reading{UReading: ptr(3)}, math.NaN(), math.NaN()},
		"shared alone":      {logbook.Reading{URefShared: ptr(3), UReading: ptr(4)}, math.NaN(), math.NaN()},
		"part not stated":   {logbook.Reading{RefParts: unstated.Parts(), UReading: ptr(4)}, math.NaN(), math.NaN()},
	} {
		c.r.Ref, c.r.Reading = 1413, 1420
		got := newReportReading(logbook.Calibration{Slope: 1, Intercept: -7}, c.r)
		assert.Equal(t, 7.0, got.Error, what)
		assert.Equal(t, 1413.0, got.Corrected, what)
		for want, n := range map[*float64]Number{&c.u: got.URef, &c.e: got.UError} {
			x, known := n.Get()
			assert.Equal(t, !math.IsNaN(*want), known, what)
			if known {
				assert.InDelta(t, *want, x, 1e-12, what)
			}
		}
	}
}

// Each calibration as left is paired with the last one as found before it, and
// with what was done between; never twice with one.
func TestAdjustmentsArePaired(t *testing.T) {
	from := ReportSource{Now: time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)}
	from.Meter = logbook.Meter{Name: "P1", Quantity: "ec"}
	on := func(day int) time.Time { return time.Date(2026, 1, day, 12, 0, 0, 0, time.UTC) }
	for _, c := range []struct {
		id, state string
		day       int
	}{{"a", "as-left", 1}, {"b", "as-found", 2}, {"c", "as-found", 3}, {"d", "as-left", 5}, {"e", "as-left", 6}, {"f", "as-found", 7}} {
		from.Calibrations = append(from.Calibrations, logbook.Calibration{Head: logbook.Head{ID: c.id}, State: c.state, Time: on(c.day)})
	}
	from.Events = []logbook.Event{{Event: "cleaned", Time: on(2)}, {Event: "replaced", Time: on(4)}, {Event: "note", Time: on(4)}, {Event: "battery", Time: on(8)}}
	r, err := NewReport(from)
	require.NoError(t, err)
	var got []string
	for _, a := range r.Adjustments {
		got = append(got, wordOrEmpty(a.Before)+">"+a.After+" "+strings.Join(a.Events, ","))
	}
	assert.Equal(t, []string{">a ", "c>d replaced", ">e "}, got)
}

// What a record says of a calibration's result may be anything: a report of it
// is made, with a chart or without, and never panics.
func FuzzReportOfAnyResult(f *testing.F) {
	for _, s := range []string{
		`{}`, `{"points":[{}]}`, `{"points":[{"ref":1,"reading":2}],"fit":{"method":"gain","slope":1e308,"u_basis":"stated"}}`, `{"points":5}`, `[]`,
		`{"points":[{"ref":1e308,"reading":-1e308}],"fit":{"method":"x"},"tolerance":1e308,"time":"1"}`,
		`{"points":[{"ref":1,"reading":2}],"as_left":{"points":[{"ref":3,"reading":3}]},"electrode":{},"monte_carlo":{},"advice":["\u0000<b>"],"warnings":null}`,
	} {
		f.Add(s, 1.0, 2.0)
	}
	f.Fuzz(func(t *testing.T, result string, ref, reading float64) {
		if math.IsNaN(ref) || math.IsInf(ref, 0) || math.IsNaN(reading) || math.IsInf(reading, 0) || math.Abs(ref)+math.Abs(reading) > 1e300 {
			return // the record refuses these
		}
		from := ReportSource{}
		from.Meter = logbook.Meter{Name: "P1", Quantity: "ec"}
		from.Calibrations = []logbook.Calibration{{State: "as-found", Method: "line", UBasis: "none", Slope: 1, Result: json.RawMessage(result),
			Readings: []logbook.Reading{{Ref: ref, Reading: reading}}}}
		r, err := NewReport(from)
		if err != nil {
			return
		}
		var html, text bytes.Buffer
		if r.HTML(&html) == nil {
			assert.True(t, strings.HasSuffix(html.String(), "</html>\n"))
		}
		require.NoError(t, r.Table(&text, Style{}))
		require.NoError(t, r.Markdown(&text))
		require.NoError(t, r.JSON(&text))
	})
}
