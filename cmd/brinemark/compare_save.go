package main

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/reports"
	"github.com/urfave/cli/v2"
)

// save puts the comparison on record, with every reading and what it found. When
// it returns nil, the comparison is there and the result says under which ID.
func (in *comparing) save(c *cli.Context, result *reports.Compare) error {
	if err := in.checkKnown(); err != nil {
		return err
	}
	row := logbook.Comparison{
		Time: now(), Quantity: string(in.kind), ToleranceRelative: in.tolerance.Relative, Note: strings.TrimSpace(c.String("note")),
	}
	if in.tolerance.Value > 0 {
		row.Tolerance = &in.tolerance.Value
	}
	var last time.Time
	for _, r := range in.rows {
		row.Readings = append(row.Readings, in.compared(r))
		if r.Time != nil && r.Time.After(last) {
			last = *r.Time
		}
	}
	if !last.IsZero() {
		row.Time = last
	}
	return changeRecord(c, false, func(book *logbook.Book) error {
		warnings, err := clockWarning(book)
		if err != nil {
			return err
		}
		if isGiven(c, "corrects") {
			if err := in.correct(book, strings.TrimSpace(c.String("corrects")), &row, last.IsZero()); err != nil {
				return err
			}
		}
		warnings = append(warnings, inFuture("the comparison", row.Time)...)
		result.Warnings = append(result.Warnings, warnings...)
		var text bytes.Buffer
		if err := reports.WriteJSON(&text, result); err != nil {
			return couldNotDo(err)
		}
		row.Result = text.Bytes()
		if err := book.Save(&row); err != nil {
			return err
		}
		result.Saved(row.Head)
		return nil
	})
}

// correct lets the comparison take the place of one that was wrong, and have its
// time where no reading says one.
func (in *comparing) correct(book *logbook.Book, id string, row *logbook.Comparison, untimed bool) error {
	if id == "" {
		return usageError("--corrects needs the ID of a comparison, as \"meter show --all\" gives it")
	}
	old, err := book.Comparison(id)
	if err != nil {
		return fmt.Errorf("--corrects: %w", err)
	}
	for _, r := range old.Readings {
		if slices.ContainsFunc(row.Readings, func(now logbook.Compared) bool { return now.MeterID != "" && now.MeterID == r.MeterID }) {
			if row.Supersedes = old.ID; untimed {
				row.Time = old.Time
			}
			return nil
		}
	}
	return usageError("--corrects: %s is a comparison of other meters", old.ID)
}

// checkKnown refuses meters that are not on record, or no longer in use.
func (in *comparing) checkKnown() error {
	for _, r := range in.rows {
		m, ok := in.known[r.Meter]
		if !ok {
			return usageError("--save: meter %s (%s, row %d) is not on record; add it with: brinemark meter add %s --quantity %s",
				quantity.Quoted(r.Meter), in.table.Name, r.Row, quantity.Quoted(r.Meter), in.kind)
		}
		if in.readOutOfUse(m, r.Meter) {
			return usageError("--save: meter %s is out of use since %s; correct that with \"meter add … --correct\", or give the time of the readings in the column time",
				m.Name, m.RetiredAt.Format(time.DateOnly))
		}
	}
	return nil
}

// compared is a row as it goes on record.
func (in *comparing) compared(r comparedRow) logbook.Compared {
	out := logbook.Compared{
		Meter: r.Meter, MeterID: in.known[r.Meter].Name, Sample: r.Sample, Replicate: r.Replicate, Reading: r.Value, UReading: r.UValue,
		Ref: r.Ref, URef: r.URef, RefSource: r.RefSource, URefShared: r.URefShared, TempC: r.TempC,
		Bottle: r.bottle, BottleID: r.bottleID, RefParts: r.RefParts,
	}
	if r.Time != nil {
		out.Time = *r.Time
	}
	return out
}

// savedAllTheSame adds to an error about writing a result that what it is about
// is on record; id is "" where nothing was saved.
func savedAllTheSame(err error, id string) error {
	var failed *failure
	if id == "" || !errors.As(err, &failed) {
		return err
	}
	return couldNotDo(fmt.Errorf("%w; the comparison is on record as %s", failed.err, id))
}
