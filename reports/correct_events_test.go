package reports_test

import (
	"errors"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/series/watch"
	"github.com/brinemark/brinemark/reports"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestEventsAreWorded(t *testing.T) {
	about := []reports.CorrectionPlan{{Column: "ec, tent", Kind: check.EC}, {Column: "ph", Kind: check.PH}}
	from := time.Date(2026, 3, 1, 23, 30, 0, 0, time.UTC)
	unknown := math.NaN()
	for want, e := range map[string]watch.Event{
		`dry,"ec, tent",out of the liquid for 1 d 2 h,1200,,1560`:                                                              {Kind: watch.OutOfLiquid, To: from.Add(26 * time.Hour), Before: 1200, After: unknown, Rows: 1560},
		`stuck,ph,no change for 3 h 20 min: 6.02,6.02,6.02,200`:                                                                {Kind: watch.Stuck, Column: 1, To: from.Add(200 * time.Minute), Before: 6.02, After: 6.02, Rows: 200},
		`stuck,ph,no change for 59 s,,,60`:                                                                                     {Kind: watch.Stuck, Column: 1, To: from.Add(59 * time.Second), Before: unknown, After: unknown, Rows: 60},
		`jump,ph,from 6.01 to 5.71 (-0.3) from one row to the next: an adjustment that is not on record?,6.01,5.71,1`:          {Kind: watch.Jump, Column: 1, To: from.Add(time.Minute), Before: 6.01, After: 5.71, Rows: 1},
		`jump,"ec, tent",from 1500 to 1650 (+10 %) from one row to the next: an adjustment that is not on record?,1500,1650,1`: {Kind: watch.Jump, To: from.Add(time.Minute), Before: 1500, After: 1650, Rows: 1},
		`top-up,"ec, tent; ph",from 1500 to 1350 (-10 %): water added,1500,1350,4`:                                             {Kind: watch.TopUp, With: []int{1}, To: from.Add(time.Minute), Before: 1500, After: 1350, Rows: 4},
		`top-up,"ec, tent",from 1.5 to 1.65 (+10 %): concentrate added,1.5,1.65,4`:                                             {Kind: watch.TopUp, To: from.Add(time.Minute), Before: 1.5, After: 1.65, Rows: 4},
		`refill,"ec, tent",from 1500 to 600 (-60 %): liquid renewed,1500,600,4`:                                                {Kind: watch.Refill, To: from.Add(time.Minute), Before: 1500, After: 600, Rows: 4},
		`refill,"ec, tent",back in the liquid: from 1500 to 1600 (+6.67 %),1500,1600,1`:                                        {Kind: watch.Refill, AfterAir: true, To: from.Add(time.Minute), Before: 1500, After: 1600, Rows: 1},
		`refill,"ec, tent","in the liquid, at 1600",,1600,1`:                                                                   {Kind: watch.Refill, AfterAir: true, To: from.Add(time.Minute), Before: unknown, After: 1600, Rows: 1},
	} {
		var b strings.Builder
		f := reports.NewEventsFile(&b, about, time.FixedZone("", 3600))
		e.From = from
		f.Add(e)
		require.NoError(t, f.Close())
		lines := strings.Split(b.String(), "\n")
		assert.Equal(t, "start,end,kind,columns,what,before,after,rows", lines[0])
		assert.Equal(t, "2026-03-02T00:30:00+01:00,"+e.To.Add(time.Hour).Format("2006-01-02T15:04:05")+"+01:00,"+want, lines[1])
	}
}

func TestDaysAreWritten(t *testing.T) {
	var b strings.Builder
	f := reports.NewDailyFile(&b, []reports.CorrectionPlan{{Column: "ec"}})
	day := watch.Day{Date: time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC), Rows: 3, Flagged: 1, Least: 999.99999, Median: 1234.56789, Most: 1.5e7}
	f.Add(day)
	require.Empty(t, f.WarningList())
	day.Again, day.Flagged, day.Least, day.Median, day.Most = true, 3, math.NaN(), math.NaN(), math.NaN()
	f.Add(day)
	require.NoError(t, f.Close())
	assert.Equal(t, "day,column,rows,min,median,max,flagged_share\n2026-03-01,ec,3,1000,1234.568,15000000,0.3333\n2026-03-01,ec,3,,,,1\n", b.String())
	assert.Equal(t, []string{"--daily: 1 line is of a day that had been written before, since rows of other days stand in between"}, f.WarningList())
	f.Add(day)
	assert.Contains(t, f.WarningList()[0], "2 lines are")
}

// fullDisk takes no byte.
type fullDisk struct{}

func (fullDisk) Write([]byte) (int, error) { return 0, errors.New("no space left") }

func TestAFullDiskIsTold(t *testing.T) {
	events := reports.NewEventsFile(fullDisk{}, []reports.CorrectionPlan{{Column: "ec"}}, time.UTC)
	days := reports.NewDailyFile(fullDisk{}, []reports.CorrectionPlan{{Column: "ec"}})
	for range 1000 {
		events.Add(watch.Event{Kind: watch.Refill})
		days.Add(watch.Day{Rows: 1})
	}
	assert.ErrorContains(t, events.Close(), "no space left")
	assert.ErrorContains(t, days.Close(), "no space left")
}
