package series_test

import (
	"fmt"
	"math"
	"testing"
	"time"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/series"
	"github.com/brinemark/brinemark/calib/series/watch"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A reading that is stale, was made before any calibration or lies outside of
// what was calibrated still shows what happens to the tub; one at the end of the meter's
// range does not, and one in air is told as such. Days count believed values alone.
func TestWatcherKnowsWhatFlagsMean(t *testing.T) {
	for _, c := range []struct {
		flag    series.Flag
		reading float64
		event   string
		share   int64 // flagged rows of the second half
	}{
		{series.Believed, 1200, "jump", 0},
		{series.Stale, 1200, "jump", 300},
		{series.OutOfRange, 1200, "jump", 300},
		{series.OutOfRange, 2000, "", 300}, // as high as the meter goes
		{series.Dry, 3, "dry", 300},
		{series.Blank, math.NaN(), "", 300},
		{series.NotANumber, math.NaN(), "", 300},
	} {
		plan := series.Plan{Probes: []*series.Probe{{Column: "ec", Low: 0, High: 2000}, {Column: "ph", Low: math.NaN(), High: math.NaN()}}}
		var kinds []watch.Kind
		var days []watch.Day
		w, err := series.NewWatcher(plan, []check.Kind{check.EC, check.PH},
			func(e watch.Event) { kinds = append(kinds, e.Kind) }, func(d watch.Day) { days = append(days, d) })
		require.NoError(t, err)
		begin := time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)
		for i := range 600 {
			seen := series.Seen{Reading: 1000 + float64(i%3), Value: 1000 + float64(i%3)}
			if i >= 300 {
				seen = series.Seen{Reading: c.reading + float64(i%3), Value: c.reading + float64(i%3), Flag: c.flag}
			}
			w.Observe(&series.Row{Time: begin.Add(time.Duration(i) * time.Minute).UnixNano(), TempC: math.NaN(), Seen: []series.Seen{seen, {Reading: 6, Value: 6}}})
		}
		w.Finish()
		name := fmt.Sprintf("%q, %v", c.flag.String(), c.reading)
		got := ""
		for _, kind := range kinds {
			got += string(kind)
		}
		assert.Equal(t, c.event, got, name)
		require.Len(t, days, 2, name)
		assert.Equal(t, c.share, days[0].Flagged, name)
		assert.EqualValues(t, 600, days[0].Rows, name)
	}
}

func TestWatcherWantsAKindForEachProbe(t *testing.T) {
	_, err := series.NewWatcher(series.Plan{Probes: []*series.Probe{{}}}, nil, nil, nil)
	assert.ErrorContains(t, err, "0 kinds for 1 probes")
}

func TestEveryKindHasALeastChange(t *testing.T) {
	for _, kind := range append(check.Kinds(), "", "anything") {
		column := series.UsualColumn(kind)
		assert.Greater(t, column.Least, 0.0, "%q", kind)
		assert.Equal(t, kind == check.EC, column.Conductivity, "%q", kind)
		aside := kind == check.Temperature || kind == check.Humidity || kind == check.CO2
		assert.Equal(t, aside, column.Aside, "%q", kind)
	}
}
