package watch_test

import (
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/brinemark/brinemark/calib/series/watch"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func vienna(t *testing.T) *time.Location {
	zone, err := time.LoadLocation("Europe/Vienna")
	require.NoError(t, err)
	return zone
}

func moment(t *testing.T, text string) int64 {
	at, err := time.Parse(time.RFC3339, text)
	require.NoError(t, err)
	return at.UnixNano()
}

func dayText(d watch.Day) string {
	text := fmt.Sprintf("%s column %d: %d rows, %v %v %v, %d flagged", d.Date.Format(time.DateOnly), d.Column, d.Rows, d.Least, d.Median, d.Most, d.Flagged)
	if d.Thinned {
		text += ", thinned"
	}
	if d.Again {
		text += ", again"
	}
	return text
}

// Days by hand: those of the zone and not of UTC, without what must not be believed, none
// for a day without rows, and each row in the day of its own time though the clock was set back
// over midnight.
func TestDaysByHand(t *testing.T) {
	var got []string
	d := watch.NewDaily(2, vienna(t), func(day watch.Day) { got = append(got, dayText(day)) })
	for _, row := range []struct {
		at       string
		a, b     float64
		believed bool
	}{
		{"2026-01-01T22:59:00Z", 5, 1, true}, // 23:59 in Vienna
		{"2026-01-01T23:00:00Z", 7, 2, true}, // midnight
		{"2026-01-01T23:01:00Z", 1, 2, true},
		{"2026-01-01T22:59:30Z", 3, 3, true}, // set back
		{"2026-01-02T10:00:00Z", 900, 900, false},
		{"2026-01-02T11:00:00Z", 4, math.NaN(), true},
		{"2026-01-02T22:59:59Z", 2, 6, true},
		{"2026-01-05T12:00:00Z", 8, 8, false}, // the 3rd and 4th have no rows
		{"2026-01-01T12:00:00Z", 9, 9, true},  // and the 1st comes again
	} {
		d.Row(moment(t, row.at), 0, row.a, row.believed)
		d.Row(moment(t, row.at), 1, row.b, row.believed)
	}
	d.Finish()
	assert.Equal(t, []string{
		"2026-01-01 column 0: 2 rows, 3 4 5, 0 flagged",
		"2026-01-01 column 1: 2 rows, 1 2 3, 0 flagged",
		"2026-01-02 column 0: 5 rows, 1 3 7, 1 flagged",
		"2026-01-02 column 1: 5 rows, 2 2 6, 2 flagged",
		"2026-01-01 column 0: 1 rows, 9 9 9, 0 flagged, again",
		"2026-01-01 column 1: 1 rows, 9 9 9, 0 flagged, again",
		"2026-01-05 column 0: 1 rows, NaN NaN NaN, 1 flagged",
		"2026-01-05 column 1: 1 rows, NaN NaN NaN, 1 flagged",
	}, got)
}

// Days have 23, 24, 25 or 24.5 hours, and begin where the zone says; each row
// stands in the day in which its clock says it was.
func TestDaysOfOddZones(t *testing.T) {
	for _, name := range []string{"Europe/Vienna", "America/Sao_Paulo", "Australia/Lord_Howe", "Asia/Kathmandu", "Pacific/Apia", "Africa/Monrovia", "UTC"} {
		zone, err := time.LoadLocation(name)
		require.NoError(t, err)
		for _, begin := range []time.Time{time.Date(2018, 1, 1, 0, 0, 0, 0, time.UTC), time.Date(2011, 12, 1, 0, 0, 0, 0, time.UTC), time.Date(1969, 11, 1, 0, 7, 0, 0, time.UTC)} {
			want, got := map[string]int64{}, map[string]int64{}
			d := watch.NewDaily(1, zone, func(day watch.Day) { got[day.Date.Format(time.DateOnly)] += day.Rows })
			for at := begin; at.Before(begin.AddDate(1, 0, 0)); at = at.Add(7 * time.Minute) {
				want[at.In(zone).Format(time.DateOnly)]++
				d.Row(at.UnixNano(), 0, 1, true)
			}
			d.Finish()
			assert.True(t, maps.Equal(want, got), "%s from %v", name, begin)
		}
	}
}

// Up to MostSample values the median is that of all; beyond, its rank is as near as the guide
// says: 0.1 % of the rows where they follow one another, four standard deviations
// of 0.8 % in any order, also in one that repeats itself each second, fourth
// or 32nd row.
func TestMediansOfManyRows(t *testing.T) {
	orders := map[string]func(i, n int) float64{
		"rising":  func(i, n int) float64 { return float64(i) },
		"falling": func(i, n int) float64 { return float64(n - i) },
		"by two":  func(i, n int) float64 { return float64(i%2) + float64(i)/1e9 },
		"by four": func(i, n int) float64 { return float64(i%4*n + i) },
		"by 32":   func(i, n int) float64 { return float64(i%32*n + i) },
		"swing":   func(i, n int) float64 { return math.Sin(7 * float64(i) / float64(n)) },
		"at random": func(i, n int) float64 {
			return rand.New(rand.NewPCG(uint64(i), 1)).Float64()
		},
	}
	for name, order := range orders {
		for _, n := range []int{1, 2, 3, 10, 11, watch.MostSample - 1, watch.MostSample, watch.MostSample + 1, 3 * watch.MostSample, 86400} {
			var days []watch.Day
			d := watch.NewDaily(1, nil, func(day watch.Day) { days = append(days, day) })
			values := make([]float64, n)
			for i := range values {
				values[i] = order(i, n)
				d.Row(int64(i)*1e9, 0, values[i], true)
			}
			d.Finish()
			require.Len(t, days, 1)
			got := days[0]
			slices.Sort(values)
			assert.Equal(t, n > watch.MostSample, got.Thinned, "%s, %d rows", name, n)
			assert.Equal(t, [2]float64{values[0], values[n-1]}, [2]float64{got.Least, got.Most}, "%s, %d rows", name, n)
			if n <= watch.MostSample {
				want := values[n/2]
				if n%2 == 0 {
					want = values[n/2-1] + (values[n/2]-values[n/2-1])/2
				}
				assert.Equal(t, want, got.Median, "%s, %d rows", name, n)
				continue
			}
			off := int(0.001 * float64(n))
			if name != "rising" && name != "falling" && name != "swing" {
				off = int(4 * 0.008 * float64(n))
			}
			low, high := values[n/2-off], values[n/2+off]
			assert.True(t, low <= got.Median && got.Median <= high, "%s, %d rows: a median of %v, want one between %v and %v", name, n, got.Median, low, high)
		}
	}
}

// Each row goes into a day, and none is lost or counted twice, however times run.
func TestNoRowIsLost(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 9))
	var rows, flagged int64
	d := watch.NewDaily(1, vienna(t), func(day watch.Day) { rows, flagged = rows+day.Rows, flagged+day.Flagged })
	at := int64(start)
	for range 50000 {
		at += rng.Int64N(7200e9) - 3000e9
		d.Row(at, 0, 1, rng.IntN(4) > 0)
	}
	d.Finish()
	assert.EqualValues(t, 50000, rows)
	assert.InDelta(t, 12500, flagged, 500)
}
