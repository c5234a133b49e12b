package reports

import (
	"encoding/csv"
	"fmt"
	"io"
	"strconv"
	"time"

	"github.com/brinemark/brinemark/calib/readings"
	"github.com/brinemark/brinemark/calib/series/watch"
)

// DailyFile writes the days of a log as CSV while they are over.
type DailyFile struct {
	csv   *csv.Writer
	about []CorrectionPlan
	again int
	err   error
}

// NewDailyFile writes the header. about are the columns of the plan.
func NewDailyFile(w io.Writer, about []CorrectionPlan) *DailyFile {
	f := &DailyFile{csv: csv.NewWriter(w), about: about}
	f.write("day", "column", "rows", "min", "median", "max", "flagged_share")
	return f
}

// Add writes a day of a column.
func (f *DailyFile) Add(d watch.Day) {
	if d.Again {
		f.again++
	}
	f.write(d.Date.Format(time.DateOnly), readings.SafeCell(f.about[d.Column].Column), strconv.FormatInt(d.Rows, 10),
		plainFigure(d.Least), plainFigure(d.Median), plainFigure(d.Most), figureOf(float64(d.Flagged)/float64(d.Rows), 4))
}

// WarningList gives the warnings.
func (f *DailyFile) WarningList() []string {
	switch f.again {
	case 0:
		return nil
	case 1:
		return []string{"--daily: 1 line is of a day that had been written before, since rows of other days stand in between"}
	}
	return []string{fmt.Sprintf("--daily: %d lines are of days that had been written before, since rows of other days stand in between", f.again)}
}

// Close writes what is left, and returns the first error.
func (f *DailyFile) Close() error {
	f.csv.Flush()
	if f.err != nil {
		return f.err
	}
	return f.csv.Error()
}

func (f *DailyFile) write(fields ...string) {
	if err := f.csv.Write(fields); err != nil && f.err == nil {
		f.err = err
	}
}
