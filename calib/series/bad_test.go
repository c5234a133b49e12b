package series

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/brinemark/brinemark/calib/readings"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What bad logs get: the file, the row, the column, what was found and what would
// be right.
func TestBadLogs(t *testing.T) {
	plan := inventedPlan(t)
	good := "time,ec,temp,ph\n2026-03-06T12:00:00Z,1000,20,6\n"
	for _, c := range []struct {
		text, says string
		cause      error
	}{
		{"", "log.csv: found an empty log; want a header row and rows of readings", readings.ErrEmpty},
		{"\n\r\n\n", "log.csv: found an empty log", readings.ErrEmpty},
		{"\uFEFF", "log.csv: found an empty log", readings.ErrEmpty},
		{"time,ec,tmp,ph\n", "log.csv, row 1, column temp: found no such column; want tmp, which is the nearest name", readings.ErrMissingColumn},
		{"\n\ndate,ec,temp,ph\n", "log.csv, row 3, column time: found no such column; want one of date, ec, temp, ph", readings.ErrMissingColumn},
		{"time,ec,temp,ph,ec\n", "log.csv, row 1, column ec: found it twice in the header; want each column once", readings.ErrDuplicateColumn},
		{"time,ec,temp,ph,ec_u\n", "log.csv, row 1, column ec_u: found it in the log already", readings.ErrDuplicateColumn},
		{good + "2026-03-06T12:01:00Z,1000,20\n" + good, "log.csv, row 3: found 3 fields; want 4, as in the header", readings.ErrRagged},
		{good + "\n2026-03-06T12:01:00Z,1000,20,6,\n", "log.csv, row 4: found 5 fields; want 4, as in the header", readings.ErrRagged},
		{good + "2026-03-06T12:01", "log.csv, row 3: found 1 field; want 4, as in the header; the log ends in the middle of this row", readings.ErrRagged},
		{good + ",1000,20,6\n", "log.csv, row 3, column time: found nothing; want a time such as", readings.ErrNotATime},
		{good + "06.03.2026,1000,20,6\n", `log.csv, row 3, column time: found "06.03.2026"; want a time such as`, readings.ErrNotATime},
		{good + "1772353800000,1000,20,6\n", `log.csv, row 3, column time: found "1772353800000"; want Unix seconds, not milliseconds`, readings.ErrNotATime},
		{good + "1500-01-01,1000,20,6\n", `log.csv, row 3, column time: found "1500-01-01"`, readings.ErrNotATime},
		{good + "2026-03-06T12:01:00Z,10\"00,20,6\n", `log.csv, row 3: found a " inside a field that does not begin with one; want fields quoted as RFC 4180 says`, readings.ErrQuoting},
		{good + "2026-03-06T12:01:00Z,\"1000,20,6\n", `log.csv, row 3: found a quoted field without a closing "`, readings.ErrQuoting},
		{"time,\"ec,temp,ph\n", `log.csv, row 1: found a quoted field without a closing "`, readings.ErrQuoting},
		{good + "\"" + strings.Repeat("x\n", mostRow/2+1), "log.csv, row 3: found a row of more than a million bytes; want a line end before that; was a quote opened and not closed?", nil},
		{good + strings.Repeat("x", mostRow+1) + ",1\n", "log.csv, row 3: found a row of more than a million bytes", nil},
		{good + "x\"" + strings.Repeat("x\n", mostRow/2+1), `log.csv, row 3: found a " inside a field`, readings.ErrQuoting},
		{strings.Repeat("x", mostRow+70000), "log.csv, row 1", nil},
		{"time,ec,temp,ph" + strings.Repeat(",x", mostRow), "log.csv, row 1: found a row of more than a million bytes", nil},
		{"\x7fELF\x02\x01\x01\x00\x00", "log.csv, row 1: found a byte of value zero; want a log as UTF-8 text, not a binary file", readings.ErrEncoding},
		{"\x1f\x8b\x08\xff\xfe,\n\x01", "log.csv, row 1: found bytes that are not UTF-8; want a log as UTF-8 text", readings.ErrEncoding},
		{"t\x00i\x00m\x00e\x00", "log.csv, row 1: found a byte of value zero", readings.ErrEncoding},
	} {
		_, _, err := correctText(t, "log.csv", c.text, plan)
		var place *readings.Error
		require.ErrorAs(t, err, &place, "%.60q", c.text)
		assert.Contains(t, err.Error(), c.says, "%.60q", c.text)
		assert.Less(t, len(err.Error()), 500)
		if c.cause != nil {
			assert.ErrorIs(t, err, c.cause)
		}
	}
}

func TestBadPlans(t *testing.T) {
	plan := inventedPlan(t)
	plan.Probes = append(plan.Probes, plan.Probes[0])
	_, _, err := correctText(t, "log.csv", "time,ec,temp,ph\n", plan)
	assert.ErrorIs(t, err, readings.ErrDuplicateColumn)
	assert.ErrorContains(t, err, "column ec: found two corrections of it")
	plan = inventedPlan(t)
	plan.TempColumn = ""
	_, _, err = correctText(t, "log.csv", "time,ec,temp,ph\n", plan)
	assert.ErrorContains(t, err, "column ec: found a compensation to change, and no column of the temperature")
	plan = inventedPlan(t)
	plan.Probes[1].URead = -1
	_, _, err = correctText(t, "log.csv", "time,ec,temp,ph\n", plan)
	assert.ErrorContains(t, err, "uncertainty of a reading is -1")
}

// A log with nothing but a header has no rows, and its new columns.
func TestHeaderOnly(t *testing.T) {
	for _, end := range []string{"", "\n", "\r\n"} {
		out, summary, err := correctText(t, "log.csv", "time,ec,temp,ph"+end, inventedPlan(t))
		require.NoError(t, err)
		assert.Equal(t, "time,ec,temp,ph,ec_corrected,ec_u,ec_flag,ph_corrected,ph_u,ph_flag"+end, out)
		assert.Zero(t, summary.Rows)
		assert.True(t, summary.First.IsZero() && summary.Last.IsZero())
	}
}

// Very wide rows, and a name that needs quotes.
func TestWideRows(t *testing.T) {
	plan := Plan{Probes: inventedProbes(t)[1:]}
	plan.Probes[0].Column = `pH, "left"`
	wide := strings.Repeat("µS,", 30000)
	text := wide + "time,\"pH, \"\"left\"\"\"\n" + strings.Repeat(wide+"2026-03-06T12:00:00Z,6\n", 5)
	out, summary, err := correctText(t, "log.csv", text, plan)
	require.NoError(t, err)
	assert.Equal(t, int64(5), summary.Columns[0].Flagged[Believed])
	lines := strings.Split(out, "\n")
	assert.True(t, strings.HasSuffix(lines[0], `,"pH, ""left""_corrected","pH, ""left""_u","pH, ""left""_flag"`))
	assert.True(t, strings.HasPrefix(lines[5], wide+"2026-03-06T12:00:00Z,6,6.186000000,"))
}

// Offsets, zones and times that go back: each row by its own time.
func TestTimesOfAllSorts(t *testing.T) {
	plan := Plan{Probes: inventedProbes(t)[1:]}
	var err error
	plan.Zone, err = time.LoadLocation("Europe/Vienna")
	require.NoError(t, err)
	text := "time,ph\n2026-03-06T12:00:00Z,6\n2026-03-06T14:00:00+02:00,6\n2026-03-06 13:00,6\n2026-03-06T06:30:00.000-05:30,6\n1772798400,6\n2026-03-01T12:00:00Z,6\n2026-03-20T12:00:00Z,6\n2026-04-20T12:00:00Z,6\n"
	out, summary, err := correctText(t, "log.csv", text, plan)
	require.NoError(t, err)
	lines := strings.Split(out, "\n")
	for i := 1; i <= 5; i++ {
		assert.Contains(t, lines[i], ",6.186000000,", "noon of 6 March UTC, all of them")
	}
	assert.True(t, strings.HasSuffix(lines[6], ",6,,,before-calibration"), lines[6])
	assert.Contains(t, lines[7], ",6.011000000,", "0.005 + 1.001·6, as left on 12 March")
	assert.True(t, strings.HasSuffix(lines[8], ",stale"), lines[8])
	assert.Equal(t, int64(1), summary.Backwards)
	assert.Equal(t, int64(8), summary.Rows)
	assert.Equal(t, "2026-03-06T12:00:00Z", summary.First.Format(time.RFC3339))
	assert.Equal(t, "2026-04-20T12:00:00Z", summary.Last.Format(time.RFC3339))
	assert.Equal(t, []Stretch{
		{Flag: BeforeCalibration, From: summary.Columns[0].Stretches[0].From, To: summary.Columns[0].Stretches[0].From, Rows: 1, first: 1772366400e9, last: 1772366400e9},
		{Flag: Stale, From: summary.Last, To: summary.Last, Rows: 1, first: summary.Last.UnixNano(), last: summary.Last.UnixNano()},
	}, summary.Columns[0].Stretches)
}

// The summary of a log worked by hand.
func TestSummary(t *testing.T) {
	plan := Plan{Probes: inventedProbes(t)[1:]}
	text := "time,ph\n2026-03-20T12:00:00Z,6\n2026-03-20T12:01:00Z,7\n2026-03-20T12:02:00Z,\n2026-03-20T12:03:00Z,\n2026-03-20T12:04:00Z,x\n2026-03-20T12:05:00Z,15\n2026-03-20T12:06:00Z,4\n"
	_, summary, err := correctText(t, "log.csv", text, plan)
	require.NoError(t, err)
	c := summary.Columns[0]
	assert.Equal(t, "ph", c.Column)
	assert.Equal(t, [7]int64{Believed: 3, Blank: 2, NotANumber: 1, OutOfRange: 1}, c.Flagged)
	assert.Equal(t, 7.0, c.Largest.Reading)
	assert.InDelta(t, 0.012, c.Largest.Correction, 1e-12, "0.005 + 0.001·7")
	assert.Equal(t, "12:01", c.Largest.Time.Format("15:04"))
	assert.InDelta(t, 17.0/3, c.MeanReading, 1e-12)
	assert.InDelta(t, 17.0/3+0.005+0.001*17/3, c.MeanCorrected, 1e-12)
	require.Len(t, c.Stretches, 3)
	assert.Equal(t, int64(3), c.Runs)
	var got []string
	for _, s := range c.Stretches {
		got = append(got, fmt.Sprint(s.Flag, " ", s.From.Format("15:04"), " ", s.To.Format("15:04"), " ", s.Rows))
	}
	assert.Equal(t, []string{"blank 12:02 12:03 2", "not-a-number 12:04 12:04 1", "out-of-range 12:05 12:05 1"}, got)
}

// Of very many stretches the longest stay, and all are counted.
func TestSummaryForgetsTheShortest(t *testing.T) {
	plan := Plan{Probes: inventedProbes(t)[1:]}
	var b strings.Builder
	b.WriteString("time,ph\n")
	at := firstDay.AddDate(0, 0, 12)
	for i := range 3 * MostStretches {
		for range 1 + i%3 {
			at = at.Add(time.Second)
			fmt.Fprintf(&b, "%s,\n", at.Format(time.RFC3339))
		}
		at = at.Add(time.Second)
		fmt.Fprintf(&b, "%s,6\n", at.Format(time.RFC3339))
	}
	_, summary, err := correctText(t, "log.csv", b.String(), plan)
	require.NoError(t, err)
	c := summary.Columns[0]
	assert.Equal(t, int64(3*MostStretches), c.Runs)
	require.Len(t, c.Stretches, MostStretches)
	for i, s := range c.Stretches {
		assert.Equal(t, int64(3), s.Rows)
		assert.True(t, i == 0 || c.Stretches[i-1].To.Before(s.From), "in the order of time")
	}
}

// An observer is told each row once, in order, with its final flags and its line.
func TestObserver(t *testing.T) {
	plan := inventedPlan(t)
	text := "time,ec,temp,ph,note\n2026-03-06T12:00:00Z,1200,25,6,\"a\nb\"\n\n2026-03-06T12:01:00Z,1200,,6,\n2026-03-06T12:02:00Z,400,25,x,\n"
	for minute := 3; minute < 9; minute++ {
		text += fmt.Sprintf("2026-03-06T12:0%d:00Z,3,25,6,\n", minute)
	}
	for _, size := range []int{10, 1 << 16} {
		seen := &remember{}
		plan.Observer = seen
		_, _, err := engine(text, plan, size)
		require.NoError(t, err)
		require.Len(t, seen.rows, 9)
		var lines []int
		var flags []string
		for _, r := range seen.rows {
			lines = append(lines, r.Line)
			flags = append(flags, r.Seen[0].Flag.String()+"/"+r.Seen[1].Flag.String())
		}
		assert.Equal(t, []int{2, 5, 6, 7, 8, 9, 10, 11, 12}, lines)
		assert.Equal(t, []string{"/", "blank/", "dry/not-a-number", "dry/", "dry/", "dry/", "dry/", "dry/", "dry/"}, flags)
		assert.Equal(t, 1200.0, seen.rows[0].Seen[0].Reading)
		assert.Equal(t, 25.0, seen.rows[0].TempC)
		assert.NotEqual(t, seen.rows[1].TempC, seen.rows[1].TempC, "NaN: no temperature")
		assert.InDelta(t, 6.186, seen.rows[0].Seen[1].Value, 1e-12)
		assert.Equal(t, int64(1772798400e9), seen.rows[0].Time)
	}
	seen := &remember{}
	plan.Observer = seen
	_, _, _, err := followText(t, "feed", strings.Replace(text, "\"a\nb\"", "", 1), plan)
	require.NoError(t, err)
	require.Len(t, seen.rows, 9)
	assert.Equal(t, Believed, seen.rows[2].Seen[0].Flag, "live: told as it was written")
	assert.Equal(t, Dry, seen.rows[8].Seen[0].Flag)
	assert.Equal(t, 5, seen.rows[2].Line)
}

type remember struct{ rows []Row }

func (m *remember) Observe(row *Row) {
	kept := *row
	kept.Seen = append([]Seen(nil), row.Seen...)
	m.rows = append(m.rows, kept)
}
