package picture

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
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
		{"2026-03-01", "2026-03-05", 10, []string{"03-01", "03-02", "03-03", "03-04", "03-05"}},
		{"2025-12-30", "2026-01-02", 10, []string{"2025-12-30", "2025-12-31", "2026-01-01", "2026-01-02"}},
		{"2025-11-20", "2026-03-02", 10, []string{"2025-12", "2026-01", "2026-02", "2026-03"}},
		{"2025-01-10", "2026-02-10", 7, []string{"2025-03", "2025-05", "2025-07", "2025-09", "2025-11", "2026-01"}},
		{"2010-06-01", "2016-02-10", 7, []string{"2011", "2012", "2013", "2014", "2015", "2016"}},
	} {
		assert.Equal(t, c.want, labelsOf(a.ticks(at(c.from), at(c.to), c.most)), "%s to %s", c.from, c.to)
	}
	zone := time.FixedZone("", 5*3600)
	assert.Equal(t, At(time.Date(2026, 3, 2, 0, 0, 0, 0, zone)), Axis{Zone: zone}.ticks(at("2026-03-01"), at("2026-03-04"), 10)[0].at, "days begin at midnight in the axis' zone")
}
