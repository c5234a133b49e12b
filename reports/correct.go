package reports

import (
	"fmt"
	"io"
	"strconv"
	"time"

	"github.com/brinemark/brinemark/calib/series"
)

// Correction is what was done to a log.
type Correction struct {
	Log       string                   `json:"log"`
	Rows      int64                    `json:"rows"`
	First     *string                  `json:"first"` // RFC 3339
	Last      *string                  `json:"last"`
	Backwards int64                    `json:"rows_back_in_time"`
	Columns   List[CorrectionOfColumn] `json:"columns"`
	Warnings  Warnings                 `json:"warnings"`
}

// CorrectionOfColumn is what was done to one column.
type CorrectionOfColumn struct {
	Column    string           `json:"column"`
	Corrected int64            `json:"corrected"` // rows that can be believed
	Flagged   map[string]int64 `json:"flagged"`
	// Largest is the largest correction that can be believed; null without one.
	Largest       *LargestCorrection `json:"largest"`
	MeanReading   Number             `json:"mean_reading"`
	MeanCorrected Number             `json:"mean_corrected"`
	Stretches     List[Stretch]      `json:"not_to_be_believed"` // the longest
	Runs          int64              `json:"runs_not_to_be_believed"`
}

// LargestCorrection is a reading and what it should have been.
type LargestCorrection struct {
	Time      string  `json:"time"`
	Reading   float64 `json:"reading"`
	Corrected float64 `json:"corrected"`
}

// Stretch is a run of rows under one flag.
type Stretch struct {
	Flag string `json:"flag"`
	From string `json:"from"`
	To   string `json:"to"`
	Rows int64  `json:"rows"`
}

// NewCorrection makes the result.
func NewCorrection(s *series.Summary, log string) *Correction {
	r := &Correction{Log: log, Rows: s.Rows, Backwards: s.Backwards}
	if s.Rows > 0 {
		r.First, r.Last = wordOrNull(stamp(s.First)), wordOrNull(stamp(s.Last))
	}
	for _, c := range s.Columns {
		r.Columns = append(r.Columns, newCorrectionOfColumn(c))
	}
	if s.Backwards > 0 {
		r.Warnings = append(r.Warnings, fmt.Sprintf("%d rows lie before one above them in time; they are corrected by their own times", s.Backwards))
	}
	return r
}

func stamp(t time.Time) string { return t.UTC().Format(time.RFC3339) }

func newCorrectionOfColumn(c series.ColumnSummary) CorrectionOfColumn {
	out := CorrectionOfColumn{Column: c.Column, Corrected: c.Flagged[series.Believed], Flagged: map[string]int64{}, Runs: c.Runs}
	for _, f := range series.Flags() {
		if n := c.Flagged[f]; n > 0 {
			out.Flagged[f.String()] = n
		}
	}
	if out.Corrected > 0 {
		out.Largest = &LargestCorrection{stamp(c.Largest.Time), c.Largest.Reading, c.Largest.Reading + c.Largest.Correction}
		out.MeanReading, out.MeanCorrected = Known(c.MeanReading), Known(c.MeanCorrected)
	}
	for _, s := range c.Stretches {
		out.Stretches = append(out.Stretches, Stretch{s.Flag.String(), stamp(s.From), stamp(s.To), s.Rows})
	}
	return out
}

// WarningList gives the warnings.
func (r *Correction) WarningList() []string { return r.Warnings }

// Table writes the summary for people.
func (r *Correction) Table(w io.Writer, s Style) error {
	t := NewTable(Column{Name: "column", Text: true}, Column{Name: "rows"}, Column{Name: "corrected"}, Column{Name: "flagged", Text: true})
	for _, c := range r.Columns {
		t.Row(c.Column, rowsText(r.Rows), rowsText(c.Corrected), c.flaggedText())
	}
	if err := t.Write(w, s); err != nil {
		return err
	}
	for _, c := range r.Columns {
		if c.Largest == nil {
			continue
		}
		if _, err := fmt.Fprintf(w, "%s: the tub was at %s when the meter said %s (%s), the largest correction\n", c.Column,
			figure(c.Largest.Corrected), figure(c.Largest.Reading), c.Largest.Time); err != nil {
			return err
		}
	}
	return nil
}

func rowsText(n int64) string { return strconv.FormatInt(n, 10) }

func figure(x float64) string { return strconv.FormatFloat(x, 'g', 5, 64) }

// flaggedText lists the flags with their rows.
func (c CorrectionOfColumn) flaggedText() string {
	text := ""
	for _, f := range series.Flags() {
		if n := c.Flagged[f.String()]; n > 0 {
			if text != "" {
				text += ", "
			}
			text += fmt.Sprintf("%s %d", f, n)
		}
	}
	return text
}
