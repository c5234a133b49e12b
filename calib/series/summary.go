package series

import (
	"cmp"
	"slices"
	"time"
)

// Summary is what was done to a log.
type Summary struct {
	Rows        int64
	First, Last time.Time // the first row's time and the latest
	Backwards   int64     // rows whose time lies before one above
	Columns     []ColumnSummary
	Temp        Typical // of the liquid's temperature as logged
}

// ColumnSummary is what was done to a column of a log.
type ColumnSummary struct {
	Column  string
	Flagged [len(flagWords)]int64 // rows by flag; those under Believed were corrected
	// Largest is the largest correction of a value that can be believed, and
	// MeanReading and MeanCorrected the means of those; zero where there are
	// none. All are on the meter's own display.
	Largest                    Correction
	MeanReading, MeanCorrected float64
	// Stretches are the longest runs of rows under one flag, at most
	// [MostStretches], in the order of time; Runs counts all of them.
	Stretches []Stretch
	Runs      int64

	// Typical is of all readings, those under a flag included.
	Typical Typical

	sumReading, sumCorrection float64
	readings                  gathering
}

// Correction is what was added to a reading.
type Correction struct {
	Time                time.Time
	Reading, Correction float64
}

// Stretch is a run of rows that must not be believed, all for one reason.
type Stretch struct {
	Flag     Flag
	From, To time.Time // of its first and its last row
	Rows     int64

	first, last int64
}

// MostStretches is how many stretches a summary keeps of a column.
const MostStretches = 1000

// keep adds a stretch; beyond the most, the shorter half is forgotten.
func (c *ColumnSummary) keep(s Stretch) {
	c.Runs++
	c.Stretches = append(c.Stretches, s)
	if len(c.Stretches) >= 2*MostStretches {
		c.trim()
	}
}

func (c *ColumnSummary) trim() {
	if len(c.Stretches) > MostStretches {
		slices.SortStableFunc(c.Stretches, func(a, b Stretch) int { return cmp.Compare(b.Rows, a.Rows) })
		c.Stretches = c.Stretches[:MostStretches]
	}
}

func (c *ColumnSummary) finish() {
	c.trim()
	c.Typical = c.readings.typical()
	slices.SortStableFunc(c.Stretches, func(a, b Stretch) int { return a.From.Compare(b.From) })
	if n := float64(c.Flagged[Believed]); n > 0 {
		c.MeanReading = c.sumReading / n
		c.MeanCorrected = (c.sumReading + c.sumCorrection) / n
	}
}

// moment is a time in Unix nanoseconds.
func moment(t int64) time.Time { return time.Unix(0, t).UTC() }
