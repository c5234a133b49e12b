package paired

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/drift"
	"github.com/brinemark/brinemark/calib/readings"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func read(t *testing.T, text string, s Spec) *Log {
	t.Helper()
	l, err := Read(strings.NewReader(text), "log.csv", s)
	require.NoError(t, err)
	return l
}

var ab = Spec{A: "a", B: "b"}

func TestDailyMedians(t *testing.T) {
	l := read(t, "time,a,b,note\n2026-03-01 08:00,10,8,x\n2026-03-01 09:00,11,8,\n2026-03-01 10:00,90,8,splash\n2026-03-02T00:00:00Z,10,9,\n2026-03-02T00:01:00Z,12,9,\n", ab)
	require.Len(t, l.Days, 2)
	assert.Equal(t, Day{Start: time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC), N: 3, B: 8, Difference: 3, Spread: 1.4826}, l.Days[0])
	assert.Equal(t, 2.0, l.Days[1].Difference)
	entries := l.Entries()
	assert.Equal(t, 8.0, *entries[0].Ref)
	assert.Equal(t, 11.0, *entries[0].Reading)
	assert.Equal(t, 12, entries[0].Time.Hour())
	relative := read(t, "time,a,b\n2026-03-01 08:00,10,8\n", Spec{A: "a", B: "b", Relative: true})
	assert.Equal(t, 0.25, relative.Days[0].Difference)
	assert.Equal(t, 10.0, *relative.Entries()[0].Reading)
}

// Every way to write a table that package readings takes.
func TestDialects(t *testing.T) {
	want := read(t, "time,a,b\n2026-03-01 08:00,1.5,2.25\n2026-03-02 08:00,1.75,2.25\n", ab).Days
	for name, text := range map[string]string{
		"CRLF":             "time,a,b\r\n2026-03-01 08:00,1.5,2.25\r\n2026-03-02 08:00,1.75,2.25",
		"byte-order mark":  "\ufefftime,a,b\n2026-03-01 08:00,1.5,2.25\n2026-03-02 08:00,1.75,2.25\n",
		"semicolon, comma": "b;time;a\n2,25;2026-03-01 08:00;1,5\n2,25;2026-03-02 08:00;1,75\n",
		"tab":              "time\ta\tb\n2026-03-01 08:00\t1.5\t2.25\n2026-03-02 08:00\t1.75\t2.25\n",
		"quotes":           "time,a,b\n\"2026-03-01 08:00\",\"1.5\",2.25\n2026-03-02 08:00,1.75,2.25\n",
		"quotes later":     "time,a,b,n\n2026-03-01 08:00,1.5,2.25,\n2026-03-02 08:00,1.75,2.25,\"two\nlines\"\n",
		"case and blanks":  " Time , A ,b\n2026-03-01 08:00, 1.5 ,2.25\n\n2026-03-02 08:00,1.75,2.25\n",
		"Unix seconds":     "time,a,b\n1772352000,1.5,2.25\n1772438400,1.75,2.25\n",
		"offset":           "time,a,b\n2026-03-01T09:00:00+01:00,1.5,2.25\n2026-03-02T08:00:00.25Z,1.75,2.25\n",
		"exponents":        "time,a,b\n2026-03-01 08:00:30,15e-1,2.25\n2026-03-02 08:00,1.75,225E-2\n",
		"noise":            "time,a,b\n2026-03-01 08:00,1.5,2.25\n2026-03-01 08:01,,2.25\n2026-03-01 08:02,err,2.25\n2026-03-01 08:02,NaN,1\n2026-03-02 08:00,1.75,2.25\n",
	} {
		assert.Equal(t, want, read(t, text, ab).Days, name)
	}
}

func TestHolesAreCountedAndSpokenOf(t *testing.T) {
	l := read(t, "time,a,b\n2026-03-02 08:00,1,2\n2026-03-01 08:00,,2\n2026-03-01 08:02,err,2\n2026-03-01 08:03,1,2\n", ab)
	assert.Equal(t, 4, l.Rows)
	assert.Equal(t, 2, l.Skipped)
	text := fmt.Sprint(l.Warnings)
	assert.Contains(t, text, "2 of 4 rows tell nothing")
	assert.Contains(t, text, `row 4 holds "err"`)
	assert.Contains(t, text, "row 3 is earlier than the one before")
	require.Len(t, l.Days, 2)
	assert.True(t, l.Days[0].Start.Before(l.Days[1].Start))
	dry := read(t, "time,a,b\n2026-03-01 08:00,1,2\n2026-03-01 08:01,-1,2\n2026-03-01 08:02,5,0\n", Spec{A: "a", B: "b", Relative: true})
	assert.Equal(t, 2, dry.Skipped, "a probe in the air")
	assert.Equal(t, -0.5, dry.Days[0].Difference)
}

func TestRefusesInOneLine(t *testing.T) {
	for name, c := range map[string]struct {
		text  string
		spec  Spec
		cause error
		want  string
	}{
		"empty":      {"", ab, readings.ErrEmpty, "log.csv: found nothing"},
		"header":     {"time,a,b\n", ab, ErrNoPairs, "no row"},
		"no numbers": {"time,a,b\n2026-03-01,x,y\n", ab, ErrNoPairs, "in any of 1 rows"},
		"no column":  {"time,a,c\n1,2,3\n", Spec{A: "a", B: "bb"}, readings.ErrMissingColumn, "row 1, column bb: found no such column; want one of time, a, c"},
		"nearest":    {"time,left,right\n1,2,3\n", Spec{A: "left", B: "rigth"}, readings.ErrMissingColumn, "the nearest is right"},
		"no time":    {"when,a,b\n1,2,3\n", ab, readings.ErrMissingColumn, "column time"},
		"twice":      {"time,a,b,a\n1,2,3,4\n", ab, readings.ErrDuplicateColumn, "column a"},
		"same":       {"time,a\n1,2\n", Spec{A: "a", B: "A"}, ErrSameColumn, "two different columns"},
		"ragged":     {"time,a,b\n1,2,3\n1,2\n", ab, readings.ErrRagged, "row 3: found 2 fields; want 3"},
		"bad time":   {"time,a,b\n2026-02-30 08:00,2,3\n", ab, readings.ErrNotATime, `row 2, column time: found "2026-02-30 08:00"`},
		"bad hour":   {"time,a,b\n2026-02-03 24:00,2,3\n", ab, readings.ErrNotATime, "row 2, column time"},
		"open quote": {"time,a,b\n2026-02-03 14:00,\"2,3\n", ab, readings.ErrQuoting, "row 2"},
	} {
		_, err := Read(strings.NewReader(c.text), "log.csv", c.spec)
		require.Error(t, err, name)
		assert.ErrorIs(t, err, c.cause, name)
		assert.Contains(t, err.Error(), c.want, name)
		assert.NotContains(t, err.Error(), "\n", name)
	}
}

// Days are those of the zone, whichever way a time is written.
func TestDaysOfAZone(t *testing.T) {
	zone, err := time.LoadLocation("Europe/Vienna")
	require.NoError(t, err)
	l := read(t, "time,a,b\n2026-03-28T22:59:00Z,1,1\n2026-03-28T23:01:00Z,2,1\n2026-03-29T21:59:00Z,2,1\n2026-03-29T22:01:00Z,3,1\n2026-03-30 00:30,3,1\n", Spec{A: "a", B: "b", Zone: zone})
	require.Len(t, l.Days, 3, "the 29th has 23 hours")
	for i, d := range l.Days {
		assert.Equal(t, float64(i), d.Difference)
		assert.Equal(t, 28+i, d.Start.Day())
		assert.Equal(t, 0, d.Start.Hour())
	}
}

// The fast ways give what the slow ones give, bit by bit.
func TestFastIsRight(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	zone, err := time.LoadLocation("America/New_York")
	require.NoError(t, err)
	fast := 0
	for range 20000 {
		text := strconv.FormatFloat((rng.Float64()-0.3)*math.Pow(10, float64(rng.IntN(9))), 'f', rng.IntN(7), 64)
		if x, ok := plain([]byte(text), false); ok {
			want, err := strconv.ParseFloat(text, 64)
			require.NoError(t, err)
			require.Equal(t, math.Float64bits(want), math.Float64bits(x), text)
			fast++
		}
		at := time.Unix(rng.Int64N(4e9), 0).UTC()
		c := clock{zone: zone}
		for _, text := range []string{at.Format(time.RFC3339), at.Format("2006-01-02 15:04:05"), at.Format("2006-01-02 15:04"), at.In(zone).Format(time.RFC3339)} {
			want, err := readings.ParseTime(text, zone)
			if err != nil {
				continue // a wall time that the clocks skipped
			}
			day, _, err := c.read([]byte(text))
			require.NoError(t, err, text)
			y, m, d := want.In(zone).Date()
			require.Equal(t, civil(y, int(m), d), day, text)
			require.Equal(t, time.Date(y, m, d, 0, 0, 0, 0, zone), c.start(day), text)
		}
	}
	require.Greater(t, fast, 15000)
}

// A day of very many rows is thinned, evenly.
func TestManyRowsADay(t *testing.T) {
	var k bucket
	for i := range 100000 {
		k.add(1, float64(i))
	}
	assert.LessOrEqual(t, len(k.d), most)
	assert.Greater(t, len(k.d), most/4)
	day := k.day(time.Time{})
	assert.Equal(t, 100000, day.N)
	assert.InEpsilon(t, 50000, day.Difference, 0.01)
}

// month writes a log of two probes in one tub whose strength goes up and down,
// a row a minute: the first drifts by so much per 30 days.
func month(rng *rand.Rand, days int, rate float64) []byte {
	var b bytes.Buffer
	b.WriteString("time,left,right\n")
	start := time.Date(2025, 9, 1, 0, 0, 0, 0, time.UTC)
	for i := range days * 1440 {
		at := start.Add(time.Duration(i) * time.Minute)
		d := float64(i) / 1440
		tub := 1500 + 300*math.Sin(d/3) + 20*math.Sin(2*math.Pi*d)
		left, right := tub*(1.01+rate*d/30+0.004*rng.NormFloat64()), tub*(1+0.004*rng.NormFloat64())
		if i%5000 < 40 {
			left = 20 * rng.Float64() // out of the water
		}
		b.WriteString(at.Format("2006-01-02T15:04:05Z"))
		b.WriteByte(',')
		b.Write(strconv.AppendFloat(nil, left, 'f', 1, 64))
		b.WriteByte(',')
		b.Write(strconv.AppendFloat(nil, right, 'f', 1, 64))
		b.WriteByte('\n')
	}
	return b.Bytes()
}

// A drift of half a per cent a month between two probes is found in a log of
// two months, and none is where there is none.
func TestDriftBetweenTwoProbes(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	for _, rate := range []float64{0, 0.005, -0.02} {
		l, err := Read(bytes.NewReader(month(rng, 60, rate)), "log.csv", Spec{A: "left", B: "right", Relative: true})
		require.NoError(t, err)
		require.Len(t, l.Days, 60)
		r, err := drift.Run(l.Entries(), drift.Options{Kind: check.EC, Now: time.Date(2025, 10, 31, 0, 0, 0, 0, time.UTC), Logged: true})
		require.NoError(t, err)
		assert.InDelta(t, rate, r.Rate.Value, 0.0005, "%v", rate)
		assert.InDelta(t, 0.01+2*rate, r.Error.Value, 0.001)
		drifts := false
		for _, a := range r.Alarms {
			drifts = drifts || a.Kind == drift.AlarmCUSUM || a.Kind == drift.AlarmTrend
		}
		assert.Equal(t, rate != 0, drifts, "%v", r.Alarms)
	}
}

// A stretch without liquid is no drift, a knock is flagged as a step, and what
// drifts beside them is still found.
func TestDryDaysAndKnocks(t *testing.T) {
	asked := drift.Options{Kind: check.EC, Now: time.Date(2025, 10, 31, 0, 0, 0, 0, time.UTC), Logged: true}
	of := func(change func(day int, left, right float64) (float64, float64)) (*Log, *drift.Result) {
		rng := rand.New(rand.NewPCG(8, 8))
		var b strings.Builder
		b.WriteString("time,left,right\n")
		for i := range 60 * 24 {
			day := float64(i) / 24
			left, right := 1500*(1+0.005*day/30+0.004*rng.NormFloat64()), 1500*(1+0.004*rng.NormFloat64())
			left, right = change(i/24, left, right)
			fmt.Fprintf(&b, "%s,%.1f,%.1f\n", time.Date(2025, 9, 1, i, 0, 0, 0, time.UTC).Format("2006-01-02 15:04"), left, right)
		}
		l := read(t, b.String(), Spec{A: "left", B: "right", Relative: true})
		r, err := drift.Run(l.Entries(), asked)
		require.NoError(t, err)
		return l, r
	}
	has := func(r *drift.Result, kind drift.AlarmKind) bool {
		return slices.ContainsFunc(r.Alarms, func(a drift.Alarm) bool { return a.Kind == kind })
	}
	dry, r := of(func(day int, left, right float64) (float64, float64) {
		switch {
		case day >= 20 && day < 24: // drained
			return 3, 2
		case day >= 40 && day < 43: // one lifted out
			return 4, right
		}
		return left, right
	})
	assert.Len(t, dry.Days, 53)
	assert.Contains(t, fmt.Sprint(dry.Warnings), "4 of 57 days, the first on 2025-09-21")
	assert.Contains(t, fmt.Sprint(dry.Warnings), "72 of 1440 rows tell nothing")
	assert.InDelta(t, 0.005, r.Rate.Value, 0.0008)
	assert.False(t, has(r, drift.AlarmStep))

	knocked, r := of(func(day int, left, right float64) (float64, float64) {
		if day >= 33 {
			left *= 1.05
		}
		return left, right
	})
	assert.Len(t, knocked.Days, 60)
	assert.True(t, has(r, drift.AlarmStep), "%v", r.Alarms)
	assert.InDelta(t, 0.005, r.Rate.Value, 0.001, "the step is not part of the rate")
	assert.InDelta(t, 0.06, r.Error.Value, 0.002)
}

// Columns in two units are no pair.
func TestOtherUnit(t *testing.T) {
	_, err := Read(strings.NewReader("time,a,b\n2026-03-01 08:00,1.41,1413\n"), "log.csv", Spec{A: "a", B: "b", Relative: true})
	require.ErrorIs(t, err, ErrNoPairs)
	assert.Contains(t, err.Error(), "both columns in one unit")
}

// Whatever the text, the answer is days or one error.
func FuzzRead(f *testing.F) {
	f.Add("time,a,b\n2026-03-01 08:00,1.5,2.25\n")
	f.Add("\ufefftime;a;b\r\n2026-03-01T08:00:00Z;1,5;-2,25\r\n\"1772352000\";\"1\";2\n")
	f.Add("time\ta\tb\n9999-12-31 23:59\t1e308\t-1e308\n")
	f.Fuzz(func(t *testing.T, text string) {
		for _, relative := range []bool{false, true} {
			l, err := Read(strings.NewReader(text), "log.csv", Spec{A: "a", B: "b", Relative: relative})
			if err != nil {
				assert.NotEmpty(t, err.Error())
				continue
			}
			require.NotEmpty(t, l.Days)
			for i, d := range l.Days {
				assert.False(t, math.IsNaN(d.Difference) || math.IsInf(d.Difference, 0))
				assert.Positive(t, d.N)
				assert.True(t, i == 0 || l.Days[i-1].Start.Before(d.Start))
			}
		}
	})
}

func BenchmarkReadMillionRows(b *testing.B) {
	text := month(rand.New(rand.NewPCG(1, 2)), 695, 0.001)
	b.SetBytes(int64(len(text)))
	for b.Loop() {
		if _, err := Read(bytes.NewReader(text), "log.csv", Spec{A: "left", B: "right", Relative: true}); err != nil {
			b.Fatal(err)
		}
	}
}
