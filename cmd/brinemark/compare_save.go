package main

import (
	"bytes"
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
		if row.Time.After(now().Add(time.Minute)) {
			warnings = append(warnings, "the comparison lies in the future, "+row.Time.Format(time.RFC3339))
		}
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

// checkKnown refuses meters that are not on record.
func (in *comparing) checkKnown() error {
	for _, r := range in.rows {
		if _, ok := in.known[r.Meter]; !ok {
			return usageError("--save: meter %s (%s, row %d) is not on record; add it with: brinemark meter add %s --quantity %s",
				quantity.Quoted(r.Meter), in.table.Name, r.Row, quantity.Quoted(r.Meter), in.kind)
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
