package picture

import (
	"math"
	"testing"
	"time"
	_ "time/tzdata" // wherever the tests run

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func labelsOf(list []tick) (out []string) {
	for _, t := range list {
		out = append(out, t.text)
	}
	return out
}

func TestTicksOfNumbers(t *testing.T) {
	for _, c := range []struct {
		low, high, scale float64
		want             []string
	}{
		{-6.2, 4.4, 1, []string{"-6", "-4", "-2", "0", "2", "4"}},
		{-0.062, 0.044, 100, []string{"-6", "-4", "-2", "0", "2", "4"}},
		{0.02, 0.11, 0, []string{"0.02", "0.04", "0.06", "0.08", "0.10"}},
		{0, 1000, 0, []string{"0", "200", "400", "600", "800", "1000"}},
		{-0.31, 0.29, 0, []string{"-0.3", "-0.2", "-0.1", "0.0", "0.1", "0.2"}},
		{0, 5.2e9, 0, []string{"0", "1e+09", "2e+09", "3e+09", "4e+09", "5e+09"}},
		{0, 4.2e9, 0, []string{"0", "5e+08", "1e+09", "1.5e+09", "2e+09", "2.5e+09", "3e+09", "3.5e+09", "4e+09"}},
		{1.2340e8, 1.23423e8, 0, []string{"1.234e+08", "1.23405e+08", "1.2341e+08", "1.23415e+08", "1.2342e+08"}},
		{-2.6e-9, 2.6e-9, 0, []string{"-2e-09", "-1e-09", "0", "1e-09", "2e-09"}},
		{999999.87, 1000000.43, 0, []string{"999999.9", "1000000.0", "1000000.1", "1000000.2", "1000000.3", "1000000.4"}},
	} {
		assert.Equal(t, c.want, labelsOf(Axis{Scale: c.scale}.ticks(c.low, c.high, fewTicks)))
	}
	for _, span := range []float64{1e-9, 1.01e-3, 0.7, 3, 19.9, 4e7} {
		n := len(Axis{}.ticks(-span/3, span, fewTicks))
		assert.True(t, n >= 4 && n <= 11, "%d ticks for %g", n, span)
	}
}

func TestTicksOfDates(t *testing.T) {
	at := func(text string) float64 {
		v, err := time.Parse(time.DateOnly, text)
		assert.NoError(t, err)
		return At(v)
	}
	a := Axis{Zone: time.UTC}
	for _, c := range []struct {
		from, to string
		most     int
		want     []string
	}{
		{"2026-03-01", "2026-03-05", 10, []string{"2026-03-01", "03-02", "03-03", "03-04", "03-05"}},
		{"2025-12-30", "2026-01-02", 10, []string{"2025-12-30", "12-31", "2026-01-01", "01-02"}},
		{"2025-11-20", "2026-03-02", 10, []string{"2025-12", "2026-01", "2026-02", "2026-03"}},
		{"2025-01-10", "2026-02-10", 7, []string{"2025-03", "2025-05", "2025-07", "2025-09", "2025-11", "2026-01"}},
		{"2010-06-01", "2016-02-10", 7, []string{"2011", "2012", "2013", "2014", "2015", "2016"}},
	} {
		assert.Equal(t, c.want, labelsOf(a.ticks(at(c.from), at(c.to), c.most)), "%s to %s", c.from, c.to)
	}
	clock := func(day, hour, minute, second int) float64 {
		return At(time.Date(2026, 3, day, hour, minute, second, 0, time.UTC))
	}
	for _, c := range []struct {
		from, to float64
		want     []string
	}{
		{clock(1, 9, 50, 0), clock(1, 15, 10, 0), []string{"2026-03-01 10:00", "11:00", "12:00", "13:00", "14:00", "15:00"}},
		{clock(1, 23, 58, 0), clock(2, 0, 3, 0), []string{"2026-03-01 23:58", "23:59", "03-02", "00:01", "00:02", "00:03"}},
		{clock(2, 0, 0, 0), clock(3, 12, 0, 0), []string{"2026-03-02", "06:00", "12:00", "18:00", "03-03", "06:00", "12:00"}},
		{clock(1, 9, 0, 1), clock(1, 9, 0, 6), []string{"2026-03-01 09:00:01", "09:00:02", "09:00:03", "09:00:04", "09:00:05", "09:00:06"}},
		{clock(1, 0, 0, 0), clock(3, 0, 0, 1), []string{"2026-03-01", "03-02", "03-03"}},
	} {
		assert.Equal(t, c.want, labelsOf(a.ticks(c.from, c.to, 10)))
	}
	assert.NotEmpty(t, a.ticks(At(time.Unix(0, math.MinInt64)), At(time.Unix(0, math.MaxInt64)), 10), "all that a log can hold")
	zone := time.FixedZone("", 5*3600)
	assert.Equal(t, At(time.Date(2026, 3, 2, 0, 0, 0, 0, zone)), Axis{Zone: zone}.ticks(at("2026-03-01"), at("2026-03-04"), 10)[0].at, "days begin at midnight in the axis' zone")
}

// An axis of dates says what it shows, and times of a day in which zone.
func TestNamesOfDates(t *testing.T) {
	at := time.Date(2026, 10, 24, 12, 0, 0, 0, time.UTC)
	berlin, err := time.LoadLocation("Europe/Berlin")
	require.NoError(t, err)
	for _, c := range []struct {
		zone  *time.Location
		hours int
		want  string
	}{
		{time.UTC, 24 * 30, "date"}, {berlin, 24 * 3, "date"}, {time.UTC, 5, "time, UTC"}, {berlin, 5, "time, CEST"},
		{berlin, 24, "time, CEST/CET"}, // summer time ended on 2026-10-25
		{time.FixedZone("", 5*3600+1800), 5, "time, UTC+05:30"}, {time.FixedZone("+03", 3*3600), 5, "time, UTC+03:00"}, {time.FixedZone("", 0), 5, "time, UTC"},
	} {
		a := Axis{Zone: c.zone}
		f := frame{left: At(at), right: At(at.Add(time.Duration(c.hours) * time.Hour))}
		assert.Equal(t, c.want, a.title(f, fewTicks))
	}
	assert.Equal(t, "as named", Axis{Zone: time.UTC, Name: "as named"}.title(frame{}, fewTicks))
	temp := Axis{Name: "reading", Unit: "C"}
	assert.Equal(t, "reading, C", temp.title(frame{}, 0))
	assert.Equal(t, "reading, °C", temp.asWritten().title(frame{}, 0))
	assert.Equal(t, "uS/cm", Axis{Unit: "uS/cm"}.title(frame{}, 0))
}
